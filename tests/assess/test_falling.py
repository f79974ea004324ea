"""Falls along a route: against hand-worked falls, fresh draws, and what an area of people must change."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.path import Path as Outline
from numpy.typing import NDArray
from tests.assess.cases import case_of, plain, valley

from turnback.assess.energy import assess_energy
from turnback.assess.falling import fall_findings, falls
from turnback.assess.falling_ring import CORNERS, between, narrow_m, ring
from turnback.assess.falling_worlds import fall_worlds, headings, velocity_mps
from turnback.assess.flight_energy import Craft
from turnback.assess.last_flight import craft_of
from turnback.assess.track import Track, lay_track
from turnback.assess.world import chemistry_of, fill
from turnback.flows.brief import brief
from turnback.physics.fall import fall_to_ground
from turnback.records.aircraft import RadioLossAction
from turnback.records.areas import PeopleArea, PeopleAreas
from turnback.records.case import Case
from turnback.records.fall import FallResult
from turnback.records.finding import Severity, Spread, Verdict
from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain, TerrainKind

Array = NDArray[np.float64]


def parts(case: Case, seed: int = 1) -> tuple[Craft, Track]:
    """Return draws and stations of a case."""
    craft = craft_of(fill(case), chemistry_of(case), case.plan.answers.last_flight, seed)
    return craft, lay_track(case.route, case.terrain, case.launch_height_m)


def fallen(case: Case, seed: int = 1) -> FallResult:
    """Return the falls of a case."""
    craft, track = parts(case, seed)
    energy = assess_energy(craft, track).result
    return falls(craft, track, case.terrain, case.launch_height_m, case.people_areas, energy)


def way(*points: tuple[float, float, float]) -> Route:
    """Return a track through points east, north, height above launch, that ends where it began."""
    east, north, height = np.array(points, dtype=float).T
    return Route(east, north, height, HeightReference.LAUNCH, None, 0.0, straight=False, closes_at_launch=True)


HOVER = way((0, 0, 40), (0, 0, 40))


def square(x_m: float, y_m: float, half_m: float, name: str = "school") -> PeopleAreas:
    """Return one square area around a point."""
    sides = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]], dtype=float) * half_m
    return PeopleAreas((PeopleArea(name, (sides + np.array([x_m, y_m]),)),))


def drop(mass_kg: float, drag_area_m2: float, density_kg_m3: float, height_m: float) -> tuple[float, float]:
    """Return speed and time of a drop by the textbook's closed form."""
    end = math.sqrt(2.0 * mass_kg * 9.80665 / (density_kg_m3 * drag_area_m2))
    q = 9.80665 * height_m / end**2
    return end * math.sqrt(1.0 - math.exp(-2.0 * q)), end / 9.80665 * math.acosh(math.exp(q))


def test_a_hover_in_a_calm_falls_straight_down_as_the_textbook_says() -> None:
    # 175 cm² × 1.2 tumbling, 460 g and the pack; the median of many draws is that of the middle values, near enough.
    case = case_of(plain(), route=HOVER, weather__wind_mps=0, weather__gust_mps=0)
    craft, _ = parts(case)
    density = float(np.median(craft.draws.density_kg_m3))
    speed, seconds = drop(float(np.median(craft.draws.mass_kg)), 0.0175 * 1.2, density, 40.0)
    result = fallen(case)
    for place in result.places:
        assert place.speed_mps.mid == pytest.approx(speed, rel=0.02)
        assert place.fall_s.mid == pytest.approx(seconds, rel=0.02)
        assert place.reach_m.high < 1.0  # a calm is at most half a metre per second
        assert place.above_ground_m == 40.0
        assert (place.centre_x_m, place.centre_y_m) == pytest.approx((0.0, 0.0), abs=0.01)
        assert 1.0 <= narrow_m((place.ring_x_m, place.ring_y_m)) < 1.1  # its own size
    assert result.mass_kg.mid == pytest.approx(float(np.median(craft.draws.mass_kg)), rel=0.01)


def test_energy_is_half_the_mass_times_the_speed_squared() -> None:
    result = fallen(case_of(plain(), aircraft__mass_g=500, pack__mass_g=200))
    place = result.places[result.worst]
    assert place.energy_j.mid == pytest.approx(0.5 * 0.7 * place.speed_mps.mid**2, rel=0.02)
    assert place.energy_j.mid == max(each.energy_j.mid for each in result.places)


def test_wind_carries_it_downwind_and_the_way_flown_ahead() -> None:
    # Wind from the west, 8 m/s; way out to the north, home to the south.
    result = fallen(case_of(plain(), route__bearing_deg=0, route__distance_m=600, weather__wind_mps=8))
    out = next(place for place in result.places if 200 < place.from_launch_m < 400 and not place.homeward)
    home = next(place for place in result.places if 200 < place.from_launch_m < 400 and place.homeward)
    for place, ahead in ((out, 1.0), (home, -1.0)):
        assert place.centre_x_m - place.x_m > 5.0
        assert ahead * (place.centre_y_m - place.y_m) > 10.0


def test_a_fall_may_not_end_farther_than_wind_and_speed_together_carry() -> None:
    result = fallen(case_of(plain(), weather__wind_mps=6))
    for place in result.places:
        assert place.reach_m.high < place.fall_s.high * (25.0 + 2.0 * 6.0)


def test_the_outline_holds_nine_in_ten_of_falls_it_was_not_drawn_from() -> None:
    case = case_of(plain(), route__distance_m=600, weather__wind_mps=5, weather__gust_mps=8)
    result = fallen(case)
    craft, track = parts(case, seed=77)
    worlds, flown = fall_worlds(craft), headings(track)
    shares = []
    for place in result.places:
        at = int(np.flatnonzero(
            np.isclose(track.along_m[flown.stations], place.along_m)
            & np.isclose(track.x_m[flown.stations], place.x_m)
        )[0])  # fmt: skip
        east, north, up = velocity_mps(worlds, flown, np.array([at]), np.array([place.above_ground_m]))
        fall = fall_to_ground(
            worlds.mass_kg, worlds.drag_area_m2, worlds.density_kg_m3, place.above_ground_m, east[0], north[0], up[0],
            worlds.wind_east_mps + worlds.gust_east_mps, worlds.wind_north_mps + worlds.gust_north_mps,
            worlds.roughness_m, place.x_m, place.y_m,
        )  # fmt: skip
        inside = Outline(np.column_stack([place.ring_x_m, place.ring_y_m])).contains_points(
            np.column_stack([fall.x_m, fall.y_m])
        )
        shares.append(float(inside.mean()))
    assert 0.88 < np.mean(shares) < 0.93
    assert min(shares) > 0.84


@given(st.integers(0, 10_000), st.sampled_from(["cloud", "line", "point", "arc", "two"]))
def test_the_outline_holds_nine_in_ten_of_any_cloud(seed: int, shape: str) -> None:
    random = np.random.default_rng(seed)
    count = 400
    turn = random.uniform(0.0, 2.0, count)
    x, y = {
        "cloud": (random.normal(3.0, 9.0, count), random.normal(-700.0, 2.0, count)),
        "line": (turn * 50.0, turn * 20.0),
        "point": (np.full(count, 5.0), np.full(count, -8.0)),
        "arc": (100.0 * np.cos(turn), 100.0 * np.sin(turn)),
        "two": (np.where(turn < 1.0, 0.0, 80.0), random.normal(0.0, 1.0, count)),
    }[shape]
    ring_x, ring_y = ring(x, y, float(np.median(x)), float(np.median(y)))
    assert ring_x.size == CORNERS + 1
    assert (ring_x[0], ring_y[0]) == (ring_x[-1], ring_y[-1])
    around = np.column_stack([ring_x, ring_y])
    assert Outline(around).contains_points(np.column_stack([x, y]), radius=1e-9).mean() >= 0.9 - 1e-9
    area = 0.5 * np.sum(ring_x[:-1] * ring_y[1:] - ring_x[1:] * ring_y[:-1])
    assert area > 0.0  # anticlockwise
    assert narrow_m((ring_x, ring_y)) >= 1.0 - 1e-9


def test_between_two_outlines_there_is_no_gap() -> None:
    random = np.random.default_rng(1)
    first, second = (ring(random.normal(at, 3.0, 300), random.normal(0.0, 2.0, 300), at, 0.0) for at in (0.0, 100.0))
    chain = [first, *between(first, second, 2.0), second]
    middles = np.array([np.column_stack(each)[:-1].mean(axis=0) for each in chain])
    assert np.hypot(*np.diff(middles, axis=0).T).max() < 2.5
    assert all(narrow_m(each) > 3.0 for each in chain)  # none is pinched: corners are matched


def test_it_falls_onto_the_ground_below_and_not_onto_the_launch_point_s() -> None:
    # A step: ground 60 m lower from 300 m out; a fall from 40 m above launch takes that of 100 m there.
    cells = np.arange(-1500.0, 1501.0, 30.0)
    heights = np.tile(np.where(cells > 300.0, 40.0, 100.0), (cells.size, 1)).astype(np.float32)
    step = Terrain(
        heights, np.ones_like(heights, dtype=bool), -1500.0, 1500.0, 30.0, TerrainKind.MEASURED, "invented", 1400.0
    )
    case = case_of(step, route__bearing_deg=90, route__distance_m=700, weather__wind_mps=0, weather__gust_mps=0)
    craft, _ = parts(case)
    drag_m2, density = 0.0175 * 1.2, float(np.median(craft.draws.density_kg_m3))
    mass = float(np.median(craft.draws.mass_kg))
    for place in fallen(case).places:
        if 50 < place.from_launch_m < 240 or place.from_launch_m > 400:
            height = 40.0 if place.from_launch_m < 300 else 100.0
            assert place.above_ground_m == pytest.approx(height, abs=0.01)
            assert place.fall_s.mid == pytest.approx(drop(mass, drag_m2, density, height)[1], rel=0.06)  # it flies too


@pytest.mark.parametrize(
    "weather", [{"weather__wind_mps": 0, "weather__gust_mps": 0}, {"weather__wind_mps": 30, "weather__gust_mps": 45}]
)
@pytest.mark.parametrize("height_m", [0.5, 3000.0])
@pytest.mark.parametrize("action", list(RadioLossAction))
def test_nothing_is_missing_at_the_ends(weather: dict[str, Any], height_m: float, action: RadioLossAction) -> None:
    route = way((0, 0, height_m), (200, 0, height_m), (200, 300, height_m), (0, 0, height_m))
    result = fallen(case_of(plain(), route=route, aircraft__on_radio_loss=action.value, **weather))
    for place in result.places:
        for value in (place.reach_m, place.fall_s, place.speed_mps, place.energy_j):
            assert 0.0 <= value.low <= value.mid <= value.high < 1e5
        assert np.isfinite([*place.ring_x_m, *place.ring_y_m, place.centre_x_m, place.centre_y_m]).all()
    for value in (result.after_loss_m, result.after_loss_speed_mps, result.after_loss_energy_j, result.terminal_mps):
        assert 0.0 <= value.low <= value.mid <= value.high < 1e6
    assert not any(math.isnan(end) for end in (result.after_loss_s.low, result.after_loss_s.mid))
    assert len(result.places) <= 24


def test_motors_stop_is_the_fall() -> None:
    result = fallen(case_of(plain(), aircraft__on_radio_loss="motors stop"))
    assert result.after_loss_energy_j == result.places[result.worst].energy_j
    assert result.after_loss_s in [place.fall_s for place in result.places]
    assert result.after_loss_m.mid == max(place.reach_m.mid for place in result.places)


def test_descend_in_place_sinks_gently_and_drifts() -> None:
    # By hand: 40 m at 2 m/s are 20 s; with 5 m/s at 10 m it drifts less than 20 s × 5 m/s × the growth to 40 m.
    calm, windy = (
        fallen(case_of(plain(), aircraft__on_radio_loss="descend in place", weather__wind_mps=wind)) for wind in (0, 5)
    )
    assert calm.after_loss_s.mid == pytest.approx(20.0, rel=0.02)
    assert calm.after_loss_m.mid == pytest.approx(0.0, abs=0.01)
    assert calm.after_loss_speed_mps.mid == pytest.approx(2.0, rel=0.02)
    assert windy.after_loss_m.low < 10.0 < windy.after_loss_m.mid < 20.0 * 5.0 < windy.after_loss_m.high + 60.0
    assert windy.after_loss_energy_j.high < windy.places[windy.worst].energy_j.low


@pytest.mark.parametrize("action", ["keep last sticks", "don't know"])
def test_what_flies_on_is_never_a_comforting_number(action: str) -> None:
    result = fallen(case_of(plain(), aircraft__on_radio_loss=action))
    assert math.isinf(result.after_loss_s.mid)
    assert math.isinf(result.after_loss_s.high)
    assert result.after_loss_m.high > 3000.0  # minutes of cruise
    assert result.after_loss_m.low == 0.0
    assert result.after_loss_energy_j.high > max(place.energy_j.high for place in result.places)


def test_automatic_return_is_home_or_a_fall() -> None:
    result = fallen(case_of(plain(), route__distance_m=600, weather__wind_mps=0, weather__gust_mps=0))
    assert result.after_loss_m == Spread(600.0, 0.0, 600.0)
    assert result.after_loss_s.mid == pytest.approx(600.0 / 13.0, rel=0.03)  # cruise of the class, 13 m/s
    assert result.after_loss_energy_j == result.places[result.worst].energy_j
    stormy = fallen(case_of(plain(), route__distance_m=600, weather__wind_mps=40, weather__gust_mps=50))
    assert math.isinf(stormy.after_loss_s.mid)


def test_an_area_beside_the_route_and_downwind_is_met() -> None:
    # Way north, wind from the west: a yard 20 m east of the way is never flown over.
    calm: dict[str, Any] = {
        "route__bearing_deg": 0,
        "route__distance_m": 900,
        "weather__wind_mps": 8,
        "weather__wind_from_deg": 270,
    }
    yard = square(25.0, 437.0, 4.0)
    case = case_of(plain(), areas=yard, **calm)
    assert yard.crossed_by(case.route.east_m, case.route.north_m) == []
    result = fallen(case)
    assert result.meets == ("school",)
    assert result.areas_given
    assert any(place.share_in_areas > 0.02 for place in result.places)
    stop = fall_findings(result)[0]
    assert (stop.rule, stop.severity, stop.evidence["first"]) == ("fall.area", Severity.STOP, "school")
    assert 380.0 < float(stop.evidence["from_m"]) < 460.0
    upwind = fallen(case_of(plain(), areas=square(-40.0, 437.0, 4.0), **calm))
    assert upwind.meets == ()
    assert [finding.rule for finding in fall_findings(upwind)] == ["fall.energy"]


@pytest.mark.parametrize("north_m", np.arange(100.0, 900.0, 41.0).tolist())
def test_no_area_slips_between_two_places(north_m: float) -> None:
    case = case_of(plain(), areas=square(12.0, north_m, 1.0), route__bearing_deg=0, route__distance_m=1200,
                   weather__wind_mps=4, weather__wind_from_deg=270)  # fmt: skip
    assert fallen(case).meets == ("school",)


def test_an_area_on_a_turn_of_the_way_is_met() -> None:
    # A loop with a short spur to the west: between evenly chosen stations, but near an area every station counts.
    route = way((0, 0, 40), (0, 800, 40), (-150, 800, 40), (0, 815, 40), (0, 1600, 40), (400, 1600, 40), (400, 0, 40),
                (0, 0, 40))  # fmt: skip
    result = fallen(case_of(plain(), areas=square(-168.0, 800.0, 5.0), route=route, weather__wind_mps=1))
    assert result.meets == ("school",)


def test_an_area_that_holds_a_whole_outline_or_lies_inside_one_is_met() -> None:
    for half_m in (3000.0, 0.5):
        case = case_of(plain(), areas=square(0.0, 0.0, half_m), route=HOVER, weather__wind_mps=0)
        result = fallen(case)
        assert result.meets == ("school",)
        assert max(place.share_in_areas for place in result.places) > 0.9


def test_names_come_in_the_file_s_order_and_none_without_a_file() -> None:
    both = PeopleAreas((*square(0.0, 300.0, 5.0, "b").areas, *square(0.0, 100.0, 5.0, "a").areas,
                        *square(0.0, 5000.0, 5.0, "far").areas, *square(0.0, 200.0, 5.0, "").areas))  # fmt: skip
    way_north: dict[str, Any] = {"route__bearing_deg": 0, "route__distance_m": 400, "weather__wind_mps": 1}
    result = fallen(case_of(plain(), areas=both, **way_north))
    assert result.meets == ("b", "a", "")
    without = fallen(case_of(plain(), **way_north))
    assert (without.meets, without.areas_given) == ((), False)
    unnamed = fallen(case_of(plain(), areas=square(0.0, 200.0, 5.0, ""), **way_north))
    assert fall_findings(unnamed)[0].evidence["first"] == "unnamed"


def test_the_same_draws_give_the_same_bytes() -> None:
    nothing = np.array([])
    first, second = (fallen(case_of(valley())) for _ in range(2))
    for one, other in zip(first.places, second.places, strict=True):
        assert one.ring_x_m.tobytes() == other.ring_x_m.tobytes()
        assert replace(one, ring_x_m=nothing, ring_y_m=nothing) == replace(other, ring_x_m=nothing, ring_y_m=nothing)
    other_seed = fallen(case_of(valley()), seed=2)
    assert first.terminal_mps != other_seed.terminal_mps
    assert first.terminal_mps.mid == pytest.approx(other_seed.terminal_mps.mid, rel=0.02)


def test_thresholds_stand_beside_what_their_clause_is_about() -> None:
    result = fallen(case_of(plain()))
    held = {row.key: row for row in result.thresholds}
    assert held["energy.cfr_107_110"].compared == result.mass_kg
    assert held["energy.cfr_107_120"].compared == result.places[result.worst].energy_j
    terminal_j = 0.5 * result.mass_kg.mid * result.terminal_mps.mid**2
    assert held["energy.eu_c1_energy"].compared.mid == pytest.approx(terminal_j, rel=0.05)
    assert held["energy.eu_c0_speed"].compared.mid > 25.0  # in level flight; its terminal speed is another matter
    assert "107.120(a)(1)" in held["energy.cfr_107_120"].clause


def test_a_brief_stops_for_a_fall_among_people_and_notes_its_energy() -> None:
    calm: dict[str, Any] = {
        "route__bearing_deg": 0,
        "route__distance_m": 120,
        "weather__wind_mps": 3,
        "weather__wind_from_deg": 270,
    }
    clear = brief(case_of(plain(), **calm))
    assert clear.fall is not None
    notes = [finding for finding in clear.findings if finding.rule.startswith("fall.")]
    assert [(note.rule, note.severity, note.limit) for note in notes] == [("fall.energy", Severity.NOTE, None)]
    assert notes[0].value == clear.fall.places[clear.fall.worst].energy_j.mid
    among = brief(case_of(plain(), areas=square(7.0, 60.0, 3.0), **calm))
    assert among.verdict is Verdict.NO_GO
    assert {finding.rule for finding in among.findings if finding.severity is Severity.STOP} == {"fall.area"}
