"""The pilot and the aircraft: what a flight asks for, who may fly it, what a crash brings to bear."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from tests.assess.cases import case_of, plain, valley

from turnback.assess.pilot import assess_pilot, pilot_findings
from turnback.flows.flight import Flight
from turnback.readers.terrain_shapes import ridge_terrain
from turnback.records.finding import Severity, Verdict
from turnback.records.pilot_result import PilotResult, StepState
from turnback.records.plan import Skill
from turnback.records.result import ReturnResult
from turnback.rules import pilot

WAY = [skill.value for skill in Skill]
TO_GOGGLES = WAY[:4]
TO_DRILL = WAY[:5]
MICRO: dict[str, Any] = {
    "aircraft": {"class": "ducted micro", "on_radio_loss": "motors stop"},
    "pack": {"label": "1S 300 mAh 40C"},
    "radio__video": {"class": "none"},
    "route__distance_m": 15,
    "route__height_m": 3,
}
THREE_INCH: dict[str, Any] = {
    **MICRO,
    "aircraft": {"class": "3-inch", "on_radio_loss": "motors stop"},
    "pack": {"label": "4S 650 mAh 90C"},
    "route__distance_m": 60,
    "route__height_m": 20,
}


def flight(shown: list[str] | None, terrain: Any = None, **changes: Any) -> Flight:
    """Return a flight of the careful plan over a plain, by a pilot who has shown some steps; None: nobody said."""
    told = {"pilot": {} if shown is None else {"shown": shown}}
    return Flight(case_of(terrain or plain(), **{**told, **changes}))


def judged(shown: list[str] | None, terrain: Any = None, **changes: Any) -> tuple[PilotResult, dict[str, Severity]]:
    """Return what was worked out about the pilot, and the findings by rule; the pack is not marched for it."""
    flown = flight(shown, terrain, **changes)
    far_m = float(flown.track.from_launch_m[flown.track.planned()].max())
    back = cast("ReturnResult", SimpleNamespace(planned_m=far_m))
    sight = flown.links[0].result
    result = assess_pilot(flown.case.plan, flown.world, flown.craft, None, back, flown.track, sight)
    return result, {row.rule: row.severity for row in pilot_findings(result)}


def test_it_is_the_same_before_and_after_the_pack_is_marched() -> None:
    """The quick verdict of a changed plan must not differ from the full one's."""
    assert flight(WAY[:3], route__distance_m=200).pilot == judged(WAY[:3], route__distance_m=200)[0]


def asks(result: PilotResult) -> set[Skill]:
    """Return the steps that the flight asks for."""
    return {step.skill for step in result.steps if step.needed}


def test_the_way_is_that_of_the_project_and_its_criteria_too() -> None:
    """Simulator; small ducted in self-level; in sight; goggles with observer; drill; rate mode; obstacles."""
    assert [row.skill for row in pilot.CRITERIA] == WAY
    assert WAY == [
        "simulator", "ducted in self-level", "self-level in sight", "goggles with observer", "radio-loss drill",
        "rate mode", "obstacles",
    ]  # fmt: skip
    result, _ = judged(TO_GOGGLES)
    assert [step.skill.value for step in result.steps] == WAY
    assert all(step.trials.successes == step.trials.of and step.within_m > 0.0 for step in result.steps)
    by_of = {row.of: row.lower_bound for row in result.trials}
    assert by_of[5] == pytest.approx(0.549, abs=5e-4)  # Clopper and Pearson: 0.05^(1/5)
    assert by_of[20] == pytest.approx(0.861, abs=5e-4)  # 0.05^(1/20)


def test_a_strong_aircraft_in_goggles_asks_for_four_steps() -> None:
    """A 5-inch, near, by video: the simulator, ducts, sight and goggles; no drill, no rate mode, no obstacles."""
    result, found = judged(TO_GOGGLES)
    assert asks(result) == {Skill(word) for word in TO_GOGGLES}
    assert result.missing == ()
    assert result.next is None
    assert found == {}
    reasons = {step.skill: step.why_needed for step in result.steps}
    assert {"pilot.demand_thrust", "pilot.demand_energy", "pilot.demand_mass", "pilot.demand_cruise"} <= set(
        reasons[Skill.SELF_LEVEL_IN_SIGHT]
    )


def test_a_ducted_micro_near_in_sight_asks_for_nothing_but_first_steps() -> None:
    """Nobody has to say anything about its pilot: the flight is what the first steps are made of."""
    result, found = judged(None, **MICRO)
    assert asks(result) == {Skill.SIMULATOR}
    assert result.first_steps_only
    assert not result.said
    assert found == {}


def test_an_unknown_pilot_is_never_a_go_where_more_is_asked() -> None:
    """The careful plan without its pilot cannot be said; with them it is a go."""
    assert flight(TO_GOGGLES, valley()).verdict is Verdict.GO
    unknown = flight(None, valley())
    assert unknown.verdict is Verdict.CANNOT_SAY
    assert pilot_findings(unknown.pilot)[0].rule == "pilot.unknown"
    assert judged(None, pilot__packs_flown=300)[1] == {"pilot.unknown": Severity.UNKNOWN}, (
        "packs flown are no step shown"
    )


def test_a_pilot_who_never_flew_has_shown_nothing() -> None:
    """Said without a list: no packs flown."""
    _, found = judged(None, pilot__packs_flown=0)
    assert found == {"pilot.too_strong": Severity.STOP}


def test_one_step_short_may_be_the_lesson_two_may_not() -> None:
    """Goggles not shown: a limit. Sight and goggles not shown: no-go."""
    result, found = judged(WAY[:3])
    assert (result.next, found) == (Skill.GOGGLES_WITH_OBSERVER, {"pilot.one_step_short": Severity.LIMIT})
    assert flight(WAY[:3]).verdict is Verdict.GO_WITH_LIMITS
    result, found = judged(WAY[:2])
    assert (result.missing, found) == (
        (Skill.SELF_LEVEL_IN_SIGHT, Skill.GOGGLES_WITH_OBSERVER),
        {"pilot.too_strong": Severity.STOP},
    )
    states = {step.skill: step.state for step in result.steps}
    assert states[Skill.SELF_LEVEL_IN_SIGHT] is StepState.NEXT
    assert states[Skill.GOGGLES_WITH_OBSERVER] is StepState.LATER


def test_a_racing_aircraft_is_no_first_open_aircraft_however_short_the_step() -> None:
    """From ducts to a 3-inch in sight is one step; to a heavy 5-inch it is one step too, and a stop."""
    gentle = {"radio__video": {"class": "none"}}
    _, found = judged(WAY[:2], **THREE_INCH)
    assert found == {"pilot.one_step_short": Severity.LIMIT}
    result, found = judged(WAY[:2], **gentle)
    assert result.missing == (Skill.SELF_LEVEL_IN_SIGHT,)
    assert found == {"pilot.far_energy": Severity.STOP}
    _, found = judged(WAY[:3], **gentle)
    assert found == {}, "who has flown in sight may"


def test_later_steps_leave_the_first_two_behind_and_no_others() -> None:
    """Who has shown goggles with an observer needs no simulator; who has shown the simulator has shown only that."""
    result, _ = judged(["goggles with observer"])
    assert result.missing == (Skill.SELF_LEVEL_IN_SIGHT,)
    assert {step.skill for step in result.steps if step.by_later} == {Skill.SIMULATOR, Skill.SELF_LEVEL_DUCTED}
    result, _ = judged(["simulator"])
    assert result.missing[0] is Skill.SELF_LEVEL_DUCTED
    assert not any(step.by_later for step in result.steps)


@pytest.mark.parametrize(
    ("changes", "skill", "key"),
    [
        ({"route__distance_m": 200}, Skill.RADIO_LOSS_DRILL, "pilot.demand_far"),
        ({"route__mode": "rate mode"}, Skill.RATE_MODE, "pilot.demand_rate_mode"),
        ({"route__height_m": 15, "site__canopy": "wood"}, Skill.OBSTACLES, "pilot.demand_obstacles"),
    ],
)
def test_far_rate_mode_and_trees_ask_for_a_step_each(changes: dict[str, Any], skill: Skill, key: str) -> None:
    """Beyond 327 spans and 20 m (EASA, from memory; 138 m for 0.36 m); rate mode; trees close below."""
    result, found = judged(TO_GOGGLES, **changes)
    assert result.missing == (skill,)
    assert next(step for step in result.steps if step.skill is skill).why_needed == (key,)
    assert found == {"pilot.one_step_short": Severity.LIMIT}


def test_behind_ground_asks_for_the_drill_however_near() -> None:
    """A ridge 60 m high 80 m out, flown at 40 m to 120 m: hidden, and into rising ground."""
    hill = ridge_terrain(3000.0, 10.0, ridges=((80.0, 60.0, None, 60.0),))
    result, _ = judged(WAY[:4], hill)
    why = next(step.why_needed for step in result.steps if step.skill is Skill.RADIO_LOSS_DRILL)
    assert why == ("pilot.demand_hidden",)
    assert Skill.OBSTACLES in asks(result)


def test_low_over_open_level_ground_is_no_obstacle_flight() -> None:
    """2 m over a lawn: near the ground, and nothing stands up from it."""
    low = {"route__height_m": 2, "route__distance_m": 60}
    assert Skill.OBSTACLES not in asks(judged(TO_DRILL, **low)[0])
    assert Skill.OBSTACLES in asks(judged(TO_DRILL, **low, site__canopy="scattered trees")[0])


def test_an_open_mode_is_kept_to_self_level_unless_rate_mode_was_shown() -> None:
    """Nobody said the mode: a limit; nothing where rate mode was shown or self-level is said."""
    _, found = judged(TO_GOGGLES, route__mode="don't know")
    assert found == {"pilot.mode_open": Severity.LIMIT}
    assert judged([*TO_GOGGLES, "rate mode"], route__mode=None)[1] == {}
    assert judged(None, route__mode=None)[1] == {"pilot.unknown": Severity.UNKNOWN}, "the pilot comes first"
    assert judged(None, **MICRO, route__mode="don't know")[1] == found


def test_a_demand_counts_at_the_unfavourable_end() -> None:
    """A thrust curve that nobody measured spans 5: the step is asked for, and the same aircraft is not called far."""
    result, _ = judged(WAY[:2], **{**THREE_INCH, "aircraft": {**THREE_INCH["aircraft"], "mass_g": 140}})
    rows = {row.key: row for row in result.demands}
    thrust = rows["pilot.demand_thrust"]
    assert thrust.value.low < thrust.limit < thrust.value.high
    assert thrust.asks is Skill.SELF_LEVEL_IN_SIGHT
    assert result.far_beyond == ()


def test_what_was_shown_never_worsens_the_verdict() -> None:
    """Step by step along the way: no-go, no-go, no-go, limits, go, go, go."""
    rank = [Verdict.NO_GO, Verdict.CANNOT_SAY, Verdict.GO_WITH_LIMITS, Verdict.GO]
    severities = [tuple(judged(WAY[:count])[1].values()) for count in range(8)]
    verdicts = [
        {(): Verdict.GO, (Severity.LIMIT,): Verdict.GO_WITH_LIMITS}.get(row, Verdict.NO_GO) for row in severities
    ]
    assert verdicts == [Verdict.NO_GO] * 3 + [Verdict.GO_WITH_LIMITS] + [Verdict.GO] * 4
    assert sorted(verdicts, key=rank.index) == verdicts


def test_a_crash_beside_smaller_aircraft() -> None:
    """m v² / 2 by hand: 0.46 and 0.22 kg at 12 m/s is 49 J; a ducted micro, 27 g and a third, at 4 m/s, 0.29 J."""
    known = {"aircraft__mass_g": 460, "pack__mass_g": 220, "aircraft__cruise_mps": 12}
    crash = judged(TO_GOGGLES, **known)[0].crash
    assert crash.energy_j == pytest.approx(0.5 * 0.68 * 144.0, rel=0.02)
    assert (crash.smaller_class, crash.smallest_class) == ("3-inch", "ducted micro")
    assert crash.smaller_energy_j == pytest.approx(0.5 * 0.165 * 1.35 * 81.0, rel=1e-6)
    assert crash.ratio == pytest.approx(49.0 / 9.02, rel=0.03)
    assert crash.smallest_ratio == pytest.approx(49.0 / (0.5 * 0.027 * 1.35 * 16.0), rel=0.03)
    micro = judged(None, **MICRO)[0].crash
    assert micro.smaller_class == ""
    assert np.isnan([micro.ratio, micro.smallest_ratio]).all()
    assert micro.energy_j < 1.0
