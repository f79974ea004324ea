"""The pilot and the aircraft: what this flight asks for, what was shown, the next step, and what a crash costs.

A demand counts at the unfavourable end of what is not known: a strong aircraft is not taken for a mild one because
nobody measured it. That an aircraft is far beyond its pilot is said only where it is so at the favourable end too.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.assess.flight_energy import Craft
from turnback.assess.judge import found
from turnback.assess.judge_facts import route_clearance_m
from turnback.assess.spreads import spread
from turnback.assess.track import Track
from turnback.physics.trials import lower_bound_probability
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.pilot_result import CrashCost, Demand, PilotResult, Step, StepState, Trials
from turnback.records.plan import FlightMode, PilotFile, PlanFile, Skill
from turnback.records.result import EnergyResult, LinkResult, ReturnResult
from turnback.records.world import World
from turnback.rules import people, pilot
from turnback.rules.rule import Rule
from turnback.rules.typical import typical

FACT = Spread(1.0, 1.0, 1.0)
NO_FACT = Spread(0.0, 0.0, 0.0)
FIRST_STEPS = tuple(Skill(word) for word in pilot.FIRST_STEPS)


def assess_pilot(
    plan: PlanFile,
    world: World,
    craft: Craft,
    energy: EnergyResult | None,
    back: ReturnResult,
    track: Track,
    sight: LinkResult | None = None,
) -> PilotResult:
    """Set what this flight asks for beside what the pilot has shown.

    Parameters
    ----------
    plan : PlanFile
    world : World
    craft : Craft
    energy : EnergyResult or None
        Its thrust margin; the craft's own where the pack was not marched yet: the same number.
    back : ReturnResult
        Its planned distance.
    track : Track
    sight : LinkResult, optional
        The control link, for where ground hides the aircraft.
    """
    crash = crash_cost(plan, craft)
    thrust = spread(craft.thrust.margin_ratio) if energy is None else energy.thrust_margin
    demands = (
        *_of_the_aircraft(world, craft, thrust),
        *_of_the_flight(plan, world, back, track, sight),
    )
    shown = shown_by(plan.pilot)
    needed = {demand.asks for demand in demands if demand.asks is not None}
    missing = tuple(skill for skill in Skill if skill in needed and skill not in shown)
    return PilotResult(
        said=was_told(plan.pilot),
        packs_flown=plan.pilot.packs_flown,
        simulator_hours=plan.pilot.simulator_hours,
        steps=_steps(demands, shown, plan.pilot.shown, missing),
        missing=missing,
        next=missing[0] if missing else None,
        demands=demands,
        trials=tuple(_trials(successes, of) for successes, of in pilot.EXAMPLE_TRIALS),
        crash=crash,
        mode=plan.route.mode,
        mode_matters=plan.route.mode is FlightMode.UNKNOWN and Skill.RATE_MODE not in shown,
        first_steps_only=needed <= set(FIRST_STEPS),
        far_beyond=_far_beyond(demands, missing),
    )


def was_told(who: PilotFile) -> bool:
    """Return whether a plan says what its pilot has shown; a pilot who never flew has shown nothing."""
    return "shown" in who.model_fields_set or who.packs_flown == 0


def shown_by(who: PilotFile) -> frozenset[Skill]:
    """Return the steps behind a pilot: those named, and the first ones where a later one is named."""
    named = frozenset(who.shown)
    return named | frozenset(FIRST_STEPS) if named - {Skill.SIMULATOR} else named


def pilot_findings(result: PilotResult) -> list[Finding]:
    """Judge it as a careful instructor: one new thing at a time."""
    findings = _on_the_mode(result)
    if not result.said and not result.first_steps_only:
        return [found(pilot.UNKNOWN, Severity.UNKNOWN), *findings]
    if not result.said or result.next is None:
        return findings
    evidence: dict[str, float | str] = {"skill": result.next.value, "missing": float(len(result.missing))}
    if len(result.missing) >= pilot.TOO_STRONG.value:
        row = found(pilot.TOO_STRONG, Severity.STOP, float(len(result.missing)), evidence=evidence)
        return [row, *findings]
    far = [rule for rule in (pilot.FAR_THRUST, pilot.FAR_ENERGY) if rule.key in result.far_beyond]
    if far:
        values = {demand.key: demand.value for demand in result.demands}
        asked = {pilot.FAR_THRUST.key: pilot.DEMAND_THRUST, pilot.FAR_ENERGY.key: pilot.DEMAND_ENERGY}
        rows = [found(rule, Severity.STOP, values[asked[rule.key].key], evidence=evidence) for rule in far]
        return [*rows, *findings]
    row = found(pilot.ONE_STEP_SHORT, Severity.LIMIT, evidence=evidence)
    return [row, *findings]


def _on_the_mode(result: PilotResult) -> list[Finding]:
    """An open mode is kept to self-level, unless the pilot has to be asked first anyway."""
    open_question = result.mode_matters and (result.said or result.first_steps_only)
    return [found(pilot.MODE_OPEN, Severity.LIMIT)] if open_question else []


def crash_cost(plan: PlanFile, craft: Craft) -> CrashCost:
    """Return this aircraft's energy at cruise beside that of the next smaller class and of the smallest."""
    name = plan.aircraft.class_.value
    speed_mps = float(np.median(craft.draws["aircraft.cruise_mps"]))
    mass_kg = float(np.median(craft.draws.mass_kg))
    energy_j = float(np.median(kinetic_energy_j(craft.draws.mass_kg, craft.draws["aircraft.cruise_mps"])))
    smaller = pilot.SMALLER_CLASS[name]
    less_kg, less_mps = class_motion(smaller) if smaller else (np.nan, np.nan)
    less_j = float(kinetic_energy_j(less_kg, less_mps))
    least_j = float(kinetic_energy_j(*class_motion(pilot.SMALLEST_CLASS))) if smaller else np.nan
    return CrashCost(
        mass_kg=mass_kg,
        speed_mps=speed_mps,
        energy_j=energy_j,
        smaller_class=smaller,
        smaller_mass_kg=less_kg,
        smaller_speed_mps=less_mps,
        smaller_energy_j=less_j,
        ratio=energy_j / less_j,
        smallest_class=pilot.SMALLEST_CLASS,
        smallest_ratio=energy_j / least_j,
    )


@cache
def class_motion(name: str) -> tuple[float, float]:
    """Return the typical mass with a pack, kg, and the cruise speed, m/s, of a class."""
    rows = typical("aircraft", name)
    return rows["mass_g"].value * 1e-3 * (1.0 + typical("pilot")["pack_share"].value), rows["cruise_mps"].value


def kinetic_energy_j(mass_kg: Any, speed_mps: Any) -> NDArray[np.float64]:
    """Return m v² / 2."""
    return np.asarray(0.5 * mass_kg * speed_mps**2)


def _of_the_aircraft(world: World, craft: Craft, thrust_margin: Spread) -> tuple[Demand, ...]:
    cruise_mps = craft.draws["aircraft.cruise_mps"]
    in_sight = Skill.SELF_LEVEL_IN_SIGHT
    return (
        _fact(pilot.DEMAND_FLIGHT, Skill.SIMULATOR, holds=True),
        _fact(pilot.DEMAND_OPEN, Skill.SELF_LEVEL_DUCTED, holds=not world.aircraft.ducted),
        _from(pilot.DEMAND_MASS, spread(craft.draws.mass_kg), in_sight),
        _from(pilot.DEMAND_ENERGY, spread(kinetic_energy_j(craft.draws.mass_kg, cruise_mps)), in_sight),
        _from(pilot.DEMAND_THRUST, thrust_margin, in_sight),
        _from(pilot.DEMAND_CRUISE, spread(cruise_mps), in_sight),
        _from(pilot.DEMAND_LEVEL_SPEED, spread(craft.thrust.most_level_mps), in_sight),
    )


def _of_the_flight(
    plan: PlanFile, world: World, back: ReturnResult, track: Track, sight: LinkResult | None
) -> tuple[Demand, ...]:
    tells_m = people.ORIENTATION.value * world.aircraft.span_m + people.ORIENTATION_OFFSET.value
    planned_m = Spread(back.planned_m, back.planned_m, back.planned_m)
    far = pilot.DEMAND_FAR.value * tells_m
    hidden = sight is not None and bool((track.planned() & ~sight.line_of_sight).any())
    return (
        _fact(pilot.DEMAND_GOGGLES, Skill.GOGGLES_WITH_OBSERVER, holds=world.video is not None),
        Demand(pilot.DEMAND_FAR.key, planned_m, "m", far, Skill.RADIO_LOSS_DRILL if back.planned_m > far else None),
        _fact(pilot.DEMAND_HIDDEN, Skill.RADIO_LOSS_DRILL, holds=hidden),
        _fact(pilot.DEMAND_RATE_MODE, Skill.RATE_MODE, holds=plan.route.mode is FlightMode.RATE),
        _obstacles(world, track),
    )


def _obstacles(world: World, track: Track) -> Demand:
    """Trees or rising ground close below the route; level ground below a low flight is none."""
    clear_m = route_clearance_m(world, track)
    trees_m = world.site.canopy_height_m.value if world.site.tree_depth_fraction.value > 0.0 else 0.0
    away = track.planned() & (track.from_launch_m > 0.0)
    rises_m = trees_m + float(track.ground_m[away].max(initial=0.0))
    near = clear_m < pilot.DEMAND_OBSTACLES.value and rises_m > pilot.RISES.value
    value = Spread(clear_m, clear_m, clear_m)
    limit = pilot.DEMAND_OBSTACLES
    return Demand(limit.key, value, limit.unit, limit.value, Skill.OBSTACLES if near else None)


def _fact(rule: Rule, skill: Skill, *, holds: bool) -> Demand:
    return Demand(rule.key, FACT if holds else NO_FACT, rule.unit, rule.value, skill if holds else None)


def _from(rule: Rule, value: Spread, skill: Skill) -> Demand:
    """Return a demand that begins at a limit, held against the unfavourable end."""
    return Demand(rule.key, value, rule.unit, rule.value, skill if value.high >= rule.value else None)


def _far_beyond(demands: tuple[Demand, ...], missing: tuple[Skill, ...]) -> tuple[str, ...]:
    if Skill.SELF_LEVEL_IN_SIGHT not in missing:
        return ()
    least = {demand.key: demand.value.low for demand in demands}
    rows = ((pilot.FAR_THRUST, pilot.DEMAND_THRUST), (pilot.FAR_ENERGY, pilot.DEMAND_ENERGY))
    return tuple(far.key for far, demand in rows if least[demand.key] > far.value)


def _steps(
    demands: tuple[Demand, ...], shown: frozenset[Skill], named: tuple[Skill, ...], missing: tuple[Skill, ...]
) -> tuple[Step, ...]:
    criteria = {Skill(row.skill): row for row in pilot.CRITERIA}
    steps = []
    for skill in Skill:
        state = StepState.SHOWN if skill in shown else StepState.NEXT if skill in missing[:1] else StepState.LATER
        why = tuple(demand.key for demand in demands if demand.asks is skill)
        row = criteria[skill]
        steps.append(
            Step(
                skill=skill,
                state=state,
                needed=bool(why),
                trials=_trials(row.tries, row.tries),
                why_needed=why,
                within_m=row.within_m,
                by_later=skill in shown and skill not in named,
            )
        )
    return tuple(steps)


@cache
def _trials(successes: int, of: int) -> Trials:
    return Trials(successes, of, lower_bound_probability(successes, of, pilot.CONFIDENCE))
