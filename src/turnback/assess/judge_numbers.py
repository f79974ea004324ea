"""Findings on energy, links, return and weather: numbers against rules, at both ends of what is not known."""

from __future__ import annotations

from turnback.assess.assumed import Shares
from turnback.assess.energy import EnergyAnswer
from turnback.assess.judge import at_least, chance_severity, found
from turnback.assess.reception import LinkAnswer
from turnback.assess.spreads import spread
from turnback.physics.cell import soc_at_rest_v
from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.result import AirResult, ReturnResult
from turnback.records.world import World
from turnback.rules import flight, people
from turnback.rules.chance import CONTROL_CHANCE, LANDING_CHANCE, LIMIT_CHANCE, VIDEO_CHANCE
from turnback.rules.chemistry import Chemistry
from turnback.rules.rule import Rule

LEAST_LEVEL_MPS = 0.1


def measurement_for(of: str, shares: Shares, fallback: str) -> str:
    """Return the ``do`` that would decide a chance: measure the unknown that moves it most."""
    key = shares.greatest(of)
    return fallback if key is None else f"measure:{key}"


def chance_finding(rule: Rule, chance: Spread, of: str, shares: Shares) -> Finding:
    """Judge a chance; where nobody can say, name the measurement that would decide."""
    severity = chance_severity(chance)
    do = measurement_for(of, shares, rule.do) if severity is Severity.UNKNOWN else rule.do
    do = "none" if severity is Severity.NOTE else do
    limit = rule.value if severity in (Severity.NOTE, Severity.LIMIT) else LIMIT_CHANCE.value
    return found(rule, severity, chance, do=do, limit=limit)


def energy_findings(world: World, energy: EnergyAnswer, shares: Shares) -> list[Finding]:
    """The pack: landing volts, loaded volts, share used, C rating, thrust."""
    result = energy.result
    findings = [chance_finding(LANDING_CHANCE, result.probability, "energy", shares)]
    loaded = chance_severity(spread(energy.loaded_chance))
    if loaded is not Severity.NOTE:
        do = measurement_for("energy", shares, flight.LOADED_DAMAGE.do) if loaded is Severity.UNKNOWN else None
        findings.append(found(flight.LOADED_DAMAGE, loaded, spread(energy.loaded_chance), do=do))
    gives = spread(energy.deliver_chance)
    given = chance_severity(gives)
    if given is not Severity.NOTE:
        fails = Spread(1.0 - gives.mid, 1.0 - gives.high, 1.0 - gives.low)
        do = measurement_for("energy", shares, flight.CANNOT_DELIVER.do) if given is Severity.UNKNOWN else None
        findings.append(found(flight.CANNOT_DELIVER, given, fails, do=do))
    findings += _used(result.used_fraction) + _thrust(result.thrust_margin, shares)
    limit_a = world.aircraft.current_limit_a
    if limit_a.said and result.full_current_a.low / world.aircraft.rotors > limit_a.value:
        each = Spread(*(value / world.aircraft.rotors for value in _three(result.full_current_a)))
        findings.append(found(flight.CURRENT_LIMIT, Severity.LIMIT, each, limit=limit_a.value, unit="A"))
    if world.pack.c_rating:
        asked, holds = result.cruise_current_a, result.capacity_ah.mid * world.pack.c_rating
        share = Spread(asked.mid / holds, asked.low / holds, asked.high / holds)
        if share.mid > flight.C_RATING.value:
            findings.append(found(flight.C_RATING, Severity.LIMIT, share))
    return findings


def _three(values: Spread) -> tuple[float, float, float]:
    return values.mid, values.low, values.high


def _used(used: Spread) -> list[Finding]:
    if used.low > flight.USED_NEVER.value:
        return [found(flight.USED_NEVER, Severity.STOP, used)]
    if used.high > flight.USED_NEVER.value:
        return [found(flight.USED_NEVER, Severity.LIMIT, used)]
    if used.mid > flight.USED_PLAN.value:
        return [found(flight.USED_PLAN, Severity.LIMIT, used)]
    return []


def _thrust(margin: Spread, shares: Shares) -> list[Finding]:
    least = at_least(margin, flight.THRUST_LEAST.value, Severity.STOP)
    if least is not None:
        do = measurement_for("thrust", shares, flight.THRUST_LEAST.do) if least is Severity.UNKNOWN else None
        return [found(flight.THRUST_LEAST, least, margin, do=do)]
    if margin.mid < flight.THRUST_MARGIN.value:
        return [found(flight.THRUST_MARGIN, Severity.LIMIT, margin)]
    return []


def pack_findings(world: World, chemistry: Chemistry) -> list[Finding]:
    """What is known of the pack today."""
    findings = []
    pack = world.pack
    charged = float(soc_at_rest_v(pack.rest_v.value, chemistry))
    if not pack.rest_v.known:
        findings.append(found(flight.PACK_UNKNOWN, Severity.UNKNOWN))
    elif charged < flight.PACK_NOT_FULL.value:
        findings.append(found(flight.PACK_NOT_FULL, Severity.LIMIT, charged))
    if pack.spread_v is not None and pack.spread_v > flight.PACK_SPREAD_STOP.value + 1e-9:
        findings.append(found(flight.PACK_SPREAD_STOP, Severity.STOP, pack.spread_v))
    elif pack.spread_v is not None and pack.spread_v > flight.PACK_SPREAD_WATCH.value + 1e-9:
        findings.append(found(flight.PACK_SPREAD_WATCH, Severity.LIMIT, pack.spread_v))
    if pack.temperature_c.said and pack.temperature_c.value < flight.PACK_COLD.value:
        findings.append(found(flight.PACK_COLD, Severity.LIMIT, pack.temperature_c.value))
    return findings


def link_findings(world: World, control: LinkAnswer, video: LinkAnswer | None, shares: Shares) -> list[Finding]:
    """Both links: chance, clearance, and the trees that would break them."""
    findings = []
    for rule, answer in ((CONTROL_CHANCE, control), (VIDEO_CHANCE, video)):
        if answer is None:
            continue
        link = answer.result
        row = chance_finding(rule, link.probability, link.name, shares)
        evidence: dict[str, float | str] = {
            "at_m": float(link.from_launch_m[link.worst]),
            "obstacle_m": float(link.obstacle_from_launch_m[link.worst]),
            "obstacle_height_m": float(link.obstacle_height_m[link.worst]),
            "line_of_sight": "yes" if link.line_of_sight[link.worst] else "no",
        }
        findings.append(_with(row, evidence))
        ratio = float(link.clearance_ratio[link.worst])
        if ratio < people.FRESNEL.value:
            findings.append(found(people.FRESNEL, Severity.NOTE, ratio, evidence={**evidence, "link": link.name}))
        breaks = link.canopy_that_breaks_m
        if breaks <= people.CANOPY_BREAKS.value:
            severity = Severity.LIMIT if world.site.canopy.value == "don't know" else Severity.NOTE
            findings.append(found(people.CANOPY_BREAKS, severity, breaks, evidence={**evidence, "link": link.name}))
    return findings


def _with(row: Finding, evidence: dict[str, float | str]) -> Finding:
    return Finding(
        row.rule, row.severity, row.value, row.unit, row.limit, row.low, row.high, row.source, row.do, evidence
    )


def return_findings(world: World, back: ReturnResult) -> list[Finding]:
    """The automatic return against ground and wind; the turn-back point against the plan."""
    findings = []
    if world.aircraft.action is RadioLossAction.AUTOMATIC_RETURN:
        evidence = {"obstacle_m": back.obstacle_from_launch_m, "obstacle_height_m": back.obstacle_height_m,
                    "lowest_m": back.lowest_height_m}  # fmt: skip
        if back.clearance_m is None:
            findings.append(found(flight.RETURN_HEIGHT_UNKNOWN, Severity.UNKNOWN, evidence=evidence))
        elif back.clearance_m < flight.RETURN_CLEARANCE.value:
            severity = Severity.STOP if back.clearance_m < 0.0 else Severity.LIMIT
            findings.append(found(flight.RETURN_CLEARANCE, severity, back.clearance_m, evidence=evidence))
        findings += _headwind(back)
    short = _turn_back(back)
    return findings + ([short] if short else [])


def _headwind(back: ReturnResult) -> list[Finding]:
    wind, beats = back.headwind_mps, back.beatable_headwind_mps
    if beats.low >= wind.high and beats.low > 0.0:  # beats none: it keeps no speed over ground even in still air
        return []
    severity = Severity.STOP if beats.high < wind.low else Severity.LIMIT
    spare = Spread(beats.mid - wind.mid, beats.low - wind.high, beats.high - wind.low)
    evidence = {"headwind_mps": wind.mid, "beatable_mps": beats.mid}
    return [found(flight.RETURN_HEADWIND, severity, spare, limit=0.0, unit="m/s", evidence=evidence)]


def _turn_back(back: ReturnResult) -> Finding | None:
    """Say where the plan goes past the turn-back point; the chances themselves carry the verdict."""
    if back.turn_back_m.low >= back.planned_m - 1.0:
        return None
    severity = Severity.STOP if back.turn_back_m.high < back.planned_m - 1.0 else Severity.LIMIT
    if back.turn_back_m.high <= 0.0:  # from nowhere: no distance to tell
        return found(flight.TURN_BACK, severity, evidence={"reason": back.turn_back_reason})
    return found(
        flight.TURN_BACK, severity, back.turn_back_m, limit=back.planned_m, unit="m",
        evidence={"reason": back.turn_back_reason},
    )  # fmt: skip


def weather_findings(world: World, air: AirResult, most_level_mps: float, largest_wind_mps: float) -> list[Finding]:
    """Wind that nobody measured, or that blows too hard for the aircraft."""
    findings = []
    if not world.site.wind_known:
        evidence: dict[str, float | str] = {"largest_wind_mps": largest_wind_mps}
        evidence["stale"] = "yes" if world.site.weather_stale else "no"
        findings.append(found(flight.WEATHER_UNKNOWN, Severity.LIMIT, evidence=evidence))
    elif air.gust_mps.mid > flight.GUSTS.value * most_level_mps:
        share = air.gust_mps.mid / max(most_level_mps, LEAST_LEVEL_MPS)  # an aircraft that cannot lift has no speed
        findings.append(found(flight.GUSTS, Severity.STOP, share))
    if world.site.temperature_c.said and world.site.temperature_c.value <= flight.ICE.value:
        findings.append(found(flight.ICE, Severity.LIMIT, world.site.temperature_c.value))
    return findings
