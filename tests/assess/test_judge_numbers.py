"""Numbers against rules: each limit is met from both sides, at the end of the band that counts.

The limits are written out here (issue 2 and the design's care rules: four fifths of a pack, never more than nine
tenths, twice the weight, half the labelled C rating, 15 m under the return), not read from the rules.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.assumed import Shares
from turnback.assess.coming_back import return_works, way_home
from turnback.assess.energy import EnergyAnswer, assess_energy
from turnback.assess.flight_energy import Craft
from turnback.assess.judge_facts import law_findings, observer_findings, site_findings
from turnback.assess.judge_numbers import energy_findings, link_findings, return_findings, weather_findings
from turnback.assess.last_flight import craft_of
from turnback.assess.reception import LinkAnswer
from turnback.assess.track import Track, lay_track
from turnback.assess.world import chemistry_of, fill
from turnback.flows.brief import brief
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.result import BriefResult, ReturnResult
from turnback.records.world import Origin, World

NOBODY = Shares({"energy": {"pack.capacity_ah": 0.4, "aircraft.mass_kg": 0.3}, "thrust": {"aircraft.mass_kg": 0.9}})
STOP, UNKNOWN, LIMIT, NOTE = Severity.STOP, Severity.UNKNOWN, Severity.LIMIT, Severity.NOTE


@pytest.fixture(scope="module")
def flown() -> tuple[World, EnergyAnswer, Craft, Track]:
    """Return the careful plan's world, its energy answer, its drawn craft and its track."""
    case = case_of(plain())
    world = fill(case)
    craft = craft_of(world, chemistry_of(case), None, 1)
    track = lay_track(case.route, case.terrain, case.launch_height_m)
    return world, assess_energy(craft, track), craft, track


@pytest.fixture(scope="module")
def answered() -> BriefResult:
    """Return the careful plan's brief."""
    return brief(case_of())


def said(findings: list[Finding], rule: str) -> Severity | None:
    """Return how severe a rule's finding is; None where there is none."""
    return next((finding.severity for finding in findings if finding.rule == rule), None)


def ends(low: float, high: float) -> Spread:
    """Return a spread by its ends."""
    return Spread((low + high) / 2.0, low, high)


@pytest.mark.parametrize(
    ("field", "value", "rule", "severity"),
    [
        ("used_fraction", ends(0.91, 0.97), "energy.used_never", STOP),
        ("used_fraction", ends(0.70, 0.92), "energy.used_never", LIMIT),
        ("used_fraction", ends(0.79, 0.85), "energy.used_plan", LIMIT),
        ("used_fraction", ends(0.70, 0.85), "energy.used_plan", None),
        ("thrust_margin", ends(1.2, 1.4), "energy.thrust_least", STOP),
        ("thrust_margin", ends(1.2, 1.9), "energy.thrust_least", UNKNOWN),
        ("thrust_margin", ends(1.5, 2.3), "energy.thrust_margin", LIMIT),
        ("thrust_margin", ends(1.6, 2.6), "energy.thrust_margin", None),
        ("probability", ends(0.96, 0.999), "energy.landing_chance", LIMIT),
        ("probability", ends(0.50, 0.90), "energy.landing_chance", STOP),
    ],
)
def test_energy_against_its_limits(
    flown: tuple[World, EnergyAnswer, Craft, Track], field: str, value: Spread, rule: str, severity: Severity | None
) -> None:
    world, energy, *_ = flown
    changes: dict[str, Any] = {field: value}
    found = energy_findings(world, replace(energy, result=replace(energy.result, **changes)), NOBODY)
    assert said(found, rule) is severity


@pytest.mark.parametrize(
    ("gives", "share_of_worlds", "severity"),
    [
        (0.5, 1.0, STOP),
        (0.94, 1.0, STOP),
        (0.985, 1.0, LIMIT),
        (0.995, 1.0, None),
        (0.5, 0.5, UNKNOWN),
        (0.5, 0.02, None),
    ],
)
def test_a_pack_that_cannot_give_what_is_asked(
    flown: tuple[World, EnergyAnswer, Craft, Track], gives: float, share_of_worlds: float, severity: Severity | None
) -> None:
    """Judged as every chance is: at both ends of what is not known, at 0.99 and 0.95."""
    world, energy, *_ = flown
    worlds = np.arange(energy.deliver_chance.size) / energy.deliver_chance.size
    chance = np.where(worlds < share_of_worlds, gives, 1.0)
    found = energy_findings(world, replace(energy, deliver_chance=chance), NOBODY)
    assert said(found, "energy.cannot_deliver") is severity
    for finding in (finding for finding in found if finding.rule == "energy.cannot_deliver"):
        assert finding.low is not None
        assert finding.value is not None
        assert finding.high is not None
        assert finding.low <= finding.value <= finding.high
        assert finding.high == pytest.approx(1.0 - gives)


@pytest.mark.parametrize(
    ("low", "high", "severity", "do"),
    [
        (0.2, 0.6, STOP, "lighter_or_stronger_pack"),
        (0.2, 1.0, UNKNOWN, "measure:pack.capacity_ah"),
        (0.97, 1.0, LIMIT, "lighter_or_stronger_pack"),
        (0.995, 1.0, None, None),
    ],
)
def test_loaded_volts_and_the_measurement_that_would_decide(
    flown: tuple[World, EnergyAnswer, Craft, Track], low: float, high: float, severity: Severity | None, do: str | None
) -> None:
    world, energy, *_ = flown
    chance = np.linspace(low, high, energy.loaded_chance.size)
    found = energy_findings(world, replace(energy, loaded_chance=chance), NOBODY)
    assert said(found, "energy.loaded_damage") is severity
    assert [finding.do for finding in found if finding.rule == "energy.loaded_damage"] == ([do] if do else [])


def test_a_speed_controls_limit_is_that_of_one_motor(flown: tuple[World, EnergyAnswer, Craft, Track]) -> None:
    """120 A from the pack is 30 A for each of four: too much for 29 A, within 31 A; a typical limit says nothing."""
    world, energy, *_ = flown
    asked = replace(energy, result=replace(energy.result, full_current_a=ends(120.0, 130.0)))
    for limit_a, origin, severity in (
        (29.0, Origin.DECLARED, LIMIT), (31.0, Origin.DECLARED, None), (29.0, Origin.TYPICAL, None),
    ):  # fmt: skip
        band = replace(world.aircraft.current_limit_a, value=limit_a, origin=origin)
        there = replace(world, aircraft=replace(world.aircraft, current_limit_a=band))
        assert said(energy_findings(there, asked, NOBODY), "energy.current_limit") is severity


def test_cruise_is_held_against_the_labels_c_rating(flown: tuple[World, EnergyAnswer, Craft, Track]) -> None:
    """50 A from 1.25 Ah is 40 C: more than half of 75 C, less than half of 85 C."""
    world, energy, *_ = flown
    result = replace(energy.result, cruise_current_a=Spread(50.0, 45.0, 55.0), capacity_ah=Spread(1.25, 1.2, 1.3))
    for rating, severity in ((75.0, LIMIT), (85.0, None), (None, None)):
        there = replace(world, pack=replace(world.pack, c_rating=rating))
        assert said(energy_findings(there, replace(energy, result=result), NOBODY), "energy.c_rating") is severity


@pytest.mark.parametrize(
    ("changes", "rule", "severity"),
    [
        ({"clearance_m": -1.0}, "return.clearance", STOP),
        ({"clearance_m": 14.0}, "return.clearance", LIMIT),
        ({"clearance_m": 15.0}, "return.clearance", None),
        ({"clearance_m": None}, "return.height_unknown", UNKNOWN),
        ({"headwind_mps": ends(8.0, 12.0), "beatable_headwind_mps": ends(4.0, 7.0)}, "return.headwind", STOP),
        ({"headwind_mps": ends(4.0, 8.0), "beatable_headwind_mps": ends(6.0, 9.0)}, "return.headwind", LIMIT),
        ({"headwind_mps": ends(4.0, 7.0), "beatable_headwind_mps": ends(6.0, 9.0)}, "return.headwind", LIMIT),
        ({"headwind_mps": ends(4.0, 6.0), "beatable_headwind_mps": ends(6.0, 9.0)}, "return.headwind", None),
        ({"turn_back_m": ends(50.0, 90.0)}, "return.turn_back", STOP),
        ({"turn_back_m": ends(50.0, 400.0)}, "return.turn_back", LIMIT),
        ({"turn_back_m": ends(120.0, 400.0)}, "return.turn_back", None),
    ],
)
def test_the_way_home_against_its_limits(
    flown: tuple[World, EnergyAnswer, Craft, Track],
    answered: BriefResult,
    changes: dict[str, Any],
    rule: str,
    severity: Severity | None,
) -> None:
    """The plan goes 120 m out."""
    back: ReturnResult = replace(answered.back, **changes)
    assert back.planned_m == pytest.approx(120.0)
    assert said(return_findings(flown[0], back), rule) is severity


def test_a_return_works_only_tested_clear_and_faster_than_the_wind(answered: BriefResult) -> None:
    """Each of what it needs taken away alone."""
    case = case_of()
    world, terrain = fill(case), case.terrain
    grid = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    home = way_home(grid, world, lay_track(case.route, terrain, case.launch_height_m), case.launch_height_m)
    assert return_works(world, home, answered.back)
    assert not return_works(world, replace(home, clearance_m=14.0), answered.back)
    assert not return_works(world, replace(home, clearance_m=None), answered.back)
    slow = replace(answered.back, headwind_mps=ends(3.0, 9.0), beatable_headwind_mps=ends(8.0, 12.0))
    assert not return_works(world, home, slow)
    stops = replace(world, aircraft=replace(world.aircraft, action=RadioLossAction.MOTORS_STOP))
    assert not return_works(stops, home, answered.back)


def test_trees_raise_the_return_by_their_height() -> None:
    """Over the same ground, trees of 18 m ask for 18 m more and leave 18 m less."""
    bare = brief(case_of()).back
    woods = brief(case_of(site__canopy="wood", site__canopy_height_m={"value": 18, "low": 15, "high": 20})).back
    assert woods.lowest_height_m - bare.lowest_height_m == pytest.approx(18.0)
    assert bare.clearance_m is not None
    assert woods.clearance_m is not None
    assert bare.clearance_m - woods.clearance_m == pytest.approx(18.0)


def test_the_headwind_is_that_of_the_way_home() -> None:
    """Out to the west and home to the east: an east wind is against the way home, a west wind is not."""
    against = brief(case_of(plain(), route__bearing_deg=270, weather__wind_from_deg=90, weather__wind_mps=6)).back
    behind = brief(case_of(plain(), route__bearing_deg=270, weather__wind_from_deg=270, weather__wind_mps=6)).back
    aloft_mps = 6.0 * np.log(60 / 0.1) / np.log(10 / 0.1)  # 8.34 m/s at 60 m over 0.1 m roughness (log law)
    assert against.headwind_mps.mid > 1.1 * aloft_mps, "in the wind that one flight in twenty meets"
    assert behind.headwind_mps.mid == 0.0
    assert against.seconds_home_s.mid > behind.seconds_home_s.mid


@pytest.mark.parametrize(
    ("canopy", "breaks_m", "severity"),
    [("don't know", 14.0, LIMIT), ("wood", 14.0, NOTE), ("don't know", 16.0, None), ("don't know", np.nan, None)],
)
def test_trees_that_would_break_the_link(
    flown: tuple[World, EnergyAnswer, Craft, Track],
    answered: BriefResult,
    canopy: str,
    breaks_m: float,
    severity: Severity | None,
) -> None:
    world = fill(case_of(plain(), site__canopy=canopy))
    link = replace(answered.control, canopy_that_breaks_m=breaks_m)
    one = np.ones(3)
    found = link_findings(world, LinkAnswer(link, one, one, one), None, NOBODY)
    assert said(found, "site.canopy_breaks") is severity


def test_gusts_against_the_greatest_level_speed(
    flown: tuple[World, EnergyAnswer, Craft, Track], answered: BriefResult
) -> None:
    """Six tenths of 20 m/s are 12 m/s."""
    for gust, severity in ((12.5, STOP), (11.5, None)):
        air = replace(answered.air, gust_mps=ends(gust - 1.0, gust + 1.0))
        assert said(weather_findings(flown[0], air, 20.0, 9.0), "weather.gusts") is severity


def test_heights_are_held_against_the_limit_above_ground(
    flown: tuple[World, EnergyAnswer, Craft, Track], answered: BriefResult
) -> None:
    """A limit is above the ground below: 60 m over a valley that falls away by 40 m is 100 m."""
    track = flown[3]
    plan = case_of(plain(), site__local_limits={"looked_up": "yes", "height_m": 80}).plan
    falls = replace(track, ground_m=np.full_like(track.ground_m, -45.0))
    low = replace(answered.back, lowest_height_m=30.0)
    assert said(law_findings(plan, track, low, answered.control), "law.height") is None
    assert said(law_findings(plan, falls, low, answered.control), "law.height") is STOP
    assert said(law_findings(plan, track, low, answered.control), "law.return_height") is None
    high = replace(answered.back, lowest_height_m=81.0)
    assert said(law_findings(plan, track, high, answered.control), "law.return_height") is LIMIT


def test_the_route_against_ground_and_trees(flown: tuple[World, EnergyAnswer, Craft, Track]) -> None:
    """Forty metres up: over a rise of 35 m little is left, over 45 m nothing; trees of 20 m count as ground."""
    world, *_, track = flown
    woods = fill(case_of(plain(), site__canopy="wood", site__canopy_height_m=20))
    cases = [(world, 0.0, None), (world, 35.0, LIMIT), (world, 45.0, STOP), (woods, 0.0, None), (woods, 25.0, STOP)]
    for there, rise_m, severity in cases:
        raised = replace(track, ground_m=np.full_like(track.ground_m, rise_m))
        found = site_findings(there, raised, 0.0, 400.0, terrain_assumed=False)
        assert said(found, "route.terrain") is severity
    near = replace(track, ground_m=np.full_like(track.ground_m, 35.0))
    by_eye = site_findings(world, near, 0.0, 120.0, terrain_assumed=False)
    assert said(by_eye, "route.terrain") is None, "a pilot sees that ground"


def test_filled_voids_are_said(flown: tuple[World, EnergyAnswer, Craft, Track]) -> None:
    world, *_, track = flown
    for share, severity in ((0.0, None), (0.001, LIMIT)):
        found = site_findings(world, track, share, 120.0, terrain_assumed=False)
        assert said(found, "terrain.voids") is severity


def test_how_far_an_observer_can_tell_the_direction(flown: tuple[World, EnergyAnswer, Craft, Track]) -> None:
    """327 spans and 20 m (EASA's formula for a multirotor in visual line of sight): 0.36 m reach 137.7 m."""
    world = replace(flown[0], aircraft=replace(flown[0].aircraft, span_m=0.36))
    assert observer_findings(world, 137.0) == []
    (finding,) = observer_findings(world, 138.0)
    assert finding.rule == "observer.orientation"
    assert finding.limit == pytest.approx(137.72)
    by_eye = replace(world, video=None, observer=fill(case_of(observer="no")).observer)
    assert said(observer_findings(by_eye, 100.0), "observer.none") is LIMIT
