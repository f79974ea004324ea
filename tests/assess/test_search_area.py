"""Where a lost aircraft is looked for: held against falls by scipy, true places drawn apart, and plain geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.path import Path as Outline
from numpy.typing import ArrayLike, NDArray
from scipy.integrate import solve_ivp

from turnback.assess.search_area import SearchFacts, search_area
from turnback.assess.search_last import GoesOn, LastKnown, last_told
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.aircraft import RadioLossAction
from turnback.records.debrief import Reading, SearchArea, TypedReading

Array = NDArray[np.float64]

LAST = LastKnown(
    x_m=300.0, y_m=400.0, height_m=60.0, east_mps=9.0, north_mps=12.0, climb_mps=0.0, at_s=80.0, along_sd_m=3.0,
    across_sd_m=3.0, height_sd_m=3.0, goes_on=GoesOn.FALLS, launch_deg=(46.0, 7.0),
)  # fmt: skip
STILL = SearchFacts((24.0, 26.0), 0.0, 0.0)


def _inside(area: SearchArea, x: ArrayLike, y: ArrayLike, which: str = "most") -> NDArray[np.bool_]:
    outline = Outline(np.column_stack([getattr(area, f"{which}_x_m"), getattr(area, f"{which}_y_m")]))
    return np.asarray(outline.contains_points(np.column_stack([x, y])))


def _ground(_t: float, s: Array) -> float:
    return float(s[2])


_ground.terminal = True  # type: ignore[attr-defined]


def _true_falls(n: int, wind_to: tuple[float, float], seed: int) -> Array:
    """Fall by scipy's integrator: quadratic drag, steady wind, motors stopped after 0.2 to 1.5 s."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(n):
        terminal, wait = rng.uniform(22.0, 28.0), rng.uniform(0.2, 1.5)
        x, y = 300.0 + rng.normal(0, 3) + 9.0 * wait, 400.0 + rng.normal(0, 3) + 12.0 * wait
        wind = np.array([*wind_to, 0.0]) * (1.0 + 0.3 * rng.normal())

        def rate(_t: float, s: Array, wind: Array = wind, terminal: float = terminal) -> list[float]:
            air = s[3:] - wind
            return [*s[3:], *(-9.80665 / terminal**2 * np.linalg.norm(air) * air - np.array([0, 0, 9.80665]))]

        height = 60.0 + rng.normal(0, 3)
        end = solve_ivp(rate, (0, 60), [x, y, height, 9.0, 12.0, 0.0], events=_ground, max_step=0.2).y[:, -1]
        found.append(end[:2])
    return np.array(found)


@pytest.mark.parametrize("wind_to", [(0.0, 0.0), (-6.0, 2.0)])
def test_nine_tenths_of_falls_by_scipy_lie_in_the_outer_outline(wind_to: tuple[float, float]) -> None:
    speed = math.hypot(*wind_to)
    from_deg = math.degrees(math.atan2(-wind_to[0], -wind_to[1])) % 360.0
    area = search_area(LAST, SearchFacts((22.0, 28.0), speed, from_deg))
    ends = _true_falls(150, wind_to, 5)
    share = _inside(area, ends[:, 0], ends[:, 1]).mean()
    assert 0.82 <= share <= 0.99
    assert 0.35 <= _inside(area, ends[:, 0], ends[:, 1], which="half").mean() <= 0.68
    assert math.hypot(area.centre_x_m - np.median(ends[:, 0]), area.centre_y_m - np.median(ends[:, 1])) < 4.0


def test_it_lies_ahead_of_where_it_was_last_seen_and_down_wind() -> None:
    still = search_area(LAST, STILL)
    ahead = (still.centre_x_m - 300.0) * 0.6 + (still.centre_y_m - 400.0) * 0.8
    assert 25.0 < ahead < 65.0  # 15 m/s, 3.6 s and the wait of its board, less drag
    blown = search_area(LAST, replace(STILL, wind_mps=8.0, wind_from_deg=270.0))
    assert blown.centre_x_m > still.centre_x_m + 3.0
    assert blown.centre_y_m == pytest.approx(still.centre_y_m, abs=3.0)
    assert still.distance_m.low < math.hypot(still.centre_x_m, still.centre_y_m) < still.distance_m.high
    assert still.bearing_deg.mid == pytest.approx(36.87, abs=1.0)  # atan2(300, 400)


def test_what_lies_where_a_blow_was_recorded_is_near_the_fix() -> None:
    area = search_area(replace(LAST, goes_on=GoesOn.LIES_THERE, height_m=0.0), STILL)
    assert math.hypot(area.centre_x_m - 300.0, area.centre_y_m - 400.0) < 1.0
    assert area.area_m2 == pytest.approx(math.pi * (3.0 * math.sqrt(2.0 * math.log(10.0))) ** 2, rel=0.08)  # Rayleigh
    assert area.impact_speed_mps.high == 0.0
    assert not area.flies_on


def test_what_flies_on_may_be_anywhere_ahead_and_says_so() -> None:
    falls, on = search_area(LAST, STILL), search_area(replace(LAST, goes_on=GoesOn.FLIES_ON), STILL)
    assert on.flies_on
    assert not falls.flies_on
    assert on.area_m2 > 50.0 * falls.area_m2
    assert not _inside(falls, [300.0 + 9.0 * 60.0], [400.0 + 12.0 * 60.0])[0]
    assert _inside(on, [300.0 + 9.0 * 60.0], [400.0 + 12.0 * 60.0])[0]


def test_one_that_flies_home_by_itself_is_sought_along_the_line() -> None:
    area = search_area(replace(LAST, goes_on=GoesOn.RETURNS), STILL)
    shares = np.linspace(0.1, 0.9, 9)
    assert _inside(area, 300.0 * shares, 400.0 * shares).all()
    across = np.array([0.8, -0.6]) * 120.0
    assert not _inside(area, [150.0 + across[0]], [200.0 + across[1]])[0]


def test_not_knowing_what_it_does_widens_and_one_in_place_stays_near() -> None:
    known, unknown = search_area(LAST, STILL), search_area(replace(LAST, goes_on=GoesOn.NOT_KNOWN), STILL)
    assert unknown.area_m2 > 3.0 * known.area_m2
    assert unknown.flies_on
    down = search_area(replace(LAST, goes_on=GoesOn.DRIFTS_DOWN), STILL)
    assert math.hypot(down.centre_x_m - 300.0, down.centre_y_m - 400.0) < 2.0


def test_it_falls_shorter_onto_rising_ground() -> None:
    x = np.arange(-200.0, 1200.0, 10.0)
    north = np.arange(1200.0, -200.0, -10.0)
    rise = 0.1 * (0.6 * x[None, :] + 0.8 * north[:, None])  # one in ten toward where it flies: 50 m up where it was
    hill = terrain_grid(rise.astype(np.float32), -200.0, 1195.0, 10.0)
    level, slope = search_area(LAST, STILL), search_area(LAST, replace(STILL, ground=hill))
    assert math.hypot(slope.centre_x_m, slope.centre_y_m) < math.hypot(level.centre_x_m, level.centre_y_m) - 10.0


def test_what_is_told_needs_a_distance_and_without_a_direction_goes_all_around() -> None:
    far, way = TypedReading(Reading.DISTANCE, 250.0, 100.0), TypedReading(Reading.BEARING, 90.0)
    assert last_told((way,), RadioLossAction.MOTORS_STOP) is None
    told = last_told((far, way, TypedReading(Reading.HEIGHT, 40.0)), RadioLossAction.MOTORS_STOP)
    assert told is not None
    assert (told.x_m, told.y_m, told.at_s) == pytest.approx((250.0, 0.0, 100.0), abs=1e-9)
    assert told.goes_on is GoesOn.FALLS
    area = search_area(told, STILL)
    assert area.centre_x_m == pytest.approx(250.0, abs=8.0)
    around = last_told((far,), RadioLossAction.UNKNOWN)
    assert around is not None
    ring = search_area(around, STILL)
    assert (ring.bearing_deg.low, ring.bearing_deg.high) == (0.0, 360.0)
    assert _inside(ring, [0.0, 250.0, 0.0, -250.0], [250.0, 0.0, -250.0, 0.0]).all()


def test_the_same_seed_gives_the_same_area() -> None:
    first, again, other = search_area(LAST, STILL), search_area(LAST, STILL), search_area(LAST, STILL, seed=2)
    assert first.most_x_m.tobytes() == again.most_x_m.tobytes()
    assert first.most_x_m.tobytes() != other.most_x_m.tobytes()
