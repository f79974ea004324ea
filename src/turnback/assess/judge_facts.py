"""Findings on people, law, observer, build, radio-loss action and site: the questions an instructor asks."""

from __future__ import annotations

import numpy as np

from turnback.assess.judge import found
from turnback.assess.track import Track
from turnback.records.aircraft import AircraftClass, AircraftFile, RadioLossAction
from turnback.records.common import Answer
from turnback.records.finding import Finding, Severity
from turnback.records.plan import People, PlanFile
from turnback.records.result import LinkResult, ReturnResult
from turnback.records.world import World
from turnback.rules import flight, people
from turnback.rules.range_walk import MEASURED
from turnback.rules.rule import Rule

SIGHT_M = 300.0
CELLS_OF_CLASS = {AircraftClass.FIVE_INCH_FOUR_CELLS: 4, AircraftClass.FIVE_INCH_SIX_CELLS: 6}


def build_findings(plan: PlanFile) -> list[Finding]:
    """Propellers: looked at today, and matching their motors where the plan says both."""
    findings = []
    if plan.answers.propellers_verified_today is not Answer.YES:
        unknown = plan.answers.propellers_verified_today is Answer.UNKNOWN
        findings.append(found(people.PROPELLERS_UNKNOWN if unknown else people.PROPELLERS_NO, Severity.UNKNOWN))
    findings += [
        found(people.PROPELLER_MISMATCH, Severity.STOP, evidence={"corner": corner})
        for corner in mismatched_corners(plan.aircraft)
    ]
    if cells_unlike_class(plan):
        findings.append(found(flight.CELLS_UNLIKE_CLASS, Severity.UNKNOWN))
    return findings


def cells_unlike_class(plan: PlanFile) -> bool:
    """True where the class names its cells, the pack has others, and no motor is described that would fit them."""
    cells = CELLS_OF_CLASS.get(plan.aircraft.class_)
    described = plan.aircraft.motor is not None and plan.aircraft.motor.speed_constant_rpm_per_v is not None
    return cells is not None and plan.pack.cells != cells and not described


def mismatched_corners(aircraft: AircraftFile) -> list[str]:
    """Return the corners whose propeller cannot lift as its motor turns, or is turned over."""
    if aircraft.corners is None:
        return []
    wrong = []
    for name in ("front_left", "front_right", "rear_left", "rear_right"):
        corner = getattr(aircraft.corners, name)
        against = corner.motor is not None and corner.propeller is not None and corner.motor is not corner.propeller
        if against or (corner.way_up is not None and corner.way_up.value == "turned over"):
            wrong.append(name.replace("_", "-"))
    return wrong


def people_findings(world: World, area_names: list[str]) -> list[Finding]:
    """Who can be underneath; areas the route crosses."""
    answers: dict[People, tuple[Rule, Severity]] = {
        People.UNKNOWN: (people.PEOPLE_UNKNOWN, Severity.UNKNOWN),
        People.OTHERS: (people.PEOPLE_OTHERS, Severity.STOP),
        People.INVOLVED: (people.PEOPLE_INVOLVED, Severity.LIMIT),
    }
    findings = [found(*answers[world.people])] if world.people in answers else []
    if area_names:
        first = area_names[0] or "unnamed"
        evidence: dict[str, float | str] = {"areas": float(len(area_names)), "first": first}
        findings.append(found(people.PEOPLE_AREA, Severity.STOP, evidence=evidence))
    return findings


def law_findings(plan: PlanFile, track: Track, back: ReturnResult, sight: LinkResult) -> list[Finding]:
    """Limits the pilot has looked up; nothing here knows the law."""
    limits = plan.site.local_limits
    if limits.looked_up is not Answer.YES:
        return [found(people.LIMITS_UNKNOWN, Severity.UNKNOWN)]
    findings = []
    planned = track.planned()
    above_ground_m = float((track.height_m - track.ground_m)[planned].max())
    if limits.height_m is not None and above_ground_m > limits.height_m + 0.5:
        findings.append(found(people.LIMIT_HEIGHT, Severity.STOP, above_ground_m, limit=limits.height_m))
    if limits.distance_m is not None and back.planned_m > limits.distance_m + 0.5:
        findings.append(found(people.LIMIT_DISTANCE, Severity.STOP, back.planned_m, limit=limits.distance_m))
    hidden = track.planned() & ~sight.line_of_sight
    if limits.in_sight is Answer.YES and hidden.any():
        from_m = float(track.from_launch_m[hidden].min())
        findings.append(found(people.LIMIT_SIGHT, Severity.STOP, evidence={"from_m": from_m}))
    if limits.height_m is not None and world_returns(plan) and back.lowest_height_m > limits.height_m:
        findings.append(found(people.LIMIT_RETURN_HEIGHT, Severity.LIMIT, back.lowest_height_m, limit=limits.height_m))
    set_m = back.set_height_m
    if limits.height_m is not None and set_m is not None and world_returns(plan) and set_m > limits.height_m:
        findings.append(found(people.LIMIT_SET_HEIGHT, Severity.LIMIT, set_m, limit=limits.height_m))
    return findings


def world_returns(plan: PlanFile) -> bool:
    """True where the radio-loss action is an automatic return."""
    return plan.aircraft.on_radio_loss is RadioLossAction.AUTOMATIC_RETURN


def observer_findings(world: World, planned_m: float) -> list[Finding]:
    """An observer beside the pilot, who can still tell which way the aircraft points."""
    findings = []
    if world.observer is Answer.UNKNOWN:
        findings.append(found(people.OBSERVER_UNKNOWN, Severity.UNKNOWN))
    elif world.observer is Answer.NO:
        findings.append(found(people.OBSERVER_NONE, Severity.STOP if world.video else Severity.LIMIT))
    tells_m = people.ORIENTATION.value * world.aircraft.span_m + people.ORIENTATION_OFFSET.value
    if planned_m > tells_m:
        findings.append(found(people.ORIENTATION, Severity.LIMIT, planned_m, limit=tells_m, unit="m"))
    return findings


def action_findings(world: World) -> list[Finding]:
    """What the aircraft does with no control link."""
    aircraft = world.aircraft
    if aircraft.action is RadioLossAction.AUTOMATIC_RETURN:
        findings = [found(flight.RETURN_DOES_NOT_LAND, Severity.NOTE)]
        if aircraft.return_tested is not Answer.YES:
            findings.append(found(flight.RETURN_UNTESTED, Severity.LIMIT))
        return findings
    rows: dict[RadioLossAction, tuple[Rule, Severity]] = {
        RadioLossAction.UNKNOWN: (flight.ACTION_UNKNOWN, Severity.UNKNOWN),
        RadioLossAction.KEEP_LAST_STICKS: (flight.ACTION_KEEP, Severity.STOP),
        RadioLossAction.MOTORS_STOP: (flight.ACTION_STOP, Severity.LIMIT),
        RadioLossAction.DESCEND_IN_PLACE: (flight.ACTION_DESCEND, Severity.LIMIT),
    }
    return [found(*rows[aircraft.action])]


def site_findings(
    world: World, track: Track, void_fraction: float, planned_m: float, *, terrain_assumed: bool
) -> list[Finding]:
    """What the ground under the answer is worth, and what no grid shows."""
    findings = [found(people.LOOK_FOR, Severity.NOTE)]
    if terrain_assumed:
        severity = Severity.UNKNOWN if planned_m > SIGHT_M else Severity.LIMIT
        findings.append(found(people.TERRAIN_ASSUMED, severity))
    if void_fraction > people.TERRAIN_VOIDS.value:
        findings.append(found(people.TERRAIN_VOIDS, Severity.LIMIT, void_fraction))
    if not track.covered:
        findings.append(found(people.TERRAIN_UNCOVERED, Severity.UNKNOWN))
    clearance_m = route_clearance_m(world, track)
    if clearance_m < flight.ROUTE_TERRAIN.value and planned_m > SIGHT_M:
        severity = Severity.STOP if clearance_m < 0.0 else Severity.LIMIT
        findings.append(found(flight.ROUTE_TERRAIN, severity, clearance_m))
    elif clearance_m < 0.0:
        findings.append(found(flight.ROUTE_TERRAIN, Severity.STOP, clearance_m))
    return findings + measured_findings(world, planned_m)


def measured_findings(world: World, planned_m: float) -> list[Finding]:
    """Say which links a range walk corrects here, when it was, and whether the flight goes farther than it did."""
    findings = []
    for link in (world.control, world.video):
        if link is None or link.measured is None:
            continue
        walk = link.measured
        evidence: dict[str, float | str] = {"link": link.name, "walked_m": walk.walked_m}
        evidence["beyond"] = "yes" if planned_m > walk.walked_m else "no"
        evidence |= {} if walk.on is None else {"on": walk.on.isoformat()}
        findings.append(found(MEASURED, Severity.NOTE, evidence=evidence))
    return findings


def route_clearance_m(world: World, track: Track) -> float:
    """Return the least height of the route over ground and assumed trees, away from the launch point itself."""
    trees_m = world.site.canopy_height_m.value if world.site.tree_depth_fraction.value > 0.0 else 0.0
    away = track.planned() & (track.from_launch_m > 30.0)
    if not away.any():
        away = track.planned()
        trees_m = 0.0
    return float(np.min((track.height_m - track.ground_m)[away]) - trees_m)
