"""Energy over the plane: the brief's own chances at any bearing and distance, and a return worked out by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from turnback.assess.consumption import electrical_w
from turnback.assess.draws import chance_nodes
from turnback.assess.flight_energy import Craft, landing_chance, march_flight
from turnback.assess.legs import planned_legs
from turnback.assess.map_energy import EnergyTable, energy_table
from turnback.assess.map_energy_chance import chances_of
from turnback.assess.map_energy_kernel import Craftwise, Ways, plane_kernel
from turnback.assess.map_energy_pack import STOPS, Emptied
from turnback.assess.track import lay_track
from turnback.flows.flight import Flight
from turnback.readers.case import read_case
from turnback.records.case import Case
from turnback.records.route import HeightReference, Route

Array = NDArray[np.float64]

EXAMPLES = Path(__file__).parents[2] / "examples"
FAR_M = 5000.0
HEIGHT_M = 45.0
LAUNCH, GROUND = HeightReference.LAUNCH, HeightReference.GROUND


@cache
def example(name: str) -> tuple[Case, Craft]:
    case = read_case(EXAMPLES / f"{name}.toml")
    return case, Flight(case).craft


@cache
def table_of(name: str, reference: HeightReference) -> EnergyTable:
    case, craft = example(name)
    return energy_table(craft, case, HEIGHT_M, reference, FAR_M)


def briefs_own(name: str, bearing_deg: float, distance_m: float, reference: HeightReference) -> Array:
    """Return the brief's chance of every draw, by its own route, legs, march and count."""
    case, craft = example(name)
    east, north = distance_m * np.sin(np.deg2rad(bearing_deg)), distance_m * np.cos(np.deg2rad(bearing_deg))
    route = Route(
        np.array([0.0, east]), np.array([0.0, north]), np.array([HEIGHT_M, HEIGHT_M]), reference,
        case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
    )  # fmt: skip
    track = lay_track(route, case.terrain, case.launch_height_m)
    return landing_chance(march_flight(craft, planned_legs(track)), craft)


def read(table: EnergyTable, bearing_deg: float, distance_m: float) -> Array:
    """Return the table's chance between two bearings and two distances, by straight lines."""
    count = table.bearing_deg.size
    at = bearing_deg / (360.0 / count)
    b, turn = int(at) % count, at - int(at)
    k = int(np.searchsorted(table.distance_m, distance_m, side="right")) - 1
    k = min(k, table.distance_m.size - 2)
    part = (distance_m - table.distance_m[k]) / (table.distance_m[k + 1] - table.distance_m[k])
    way = (1.0 - turn) * table.chance[b] + turn * table.chance[(b + 1) % count]
    return np.asarray((1.0 - part) * way[k] + part * way[k + 1], dtype=np.float64)


def falling_m(table: EnergyTable) -> tuple[float, float]:
    """Return between which distances chances fall."""
    typical = np.quantile(table.chance, 0.05, axis=2).max(axis=0)
    strong = np.quantile(table.chance, 0.95, axis=2).min(axis=0)
    return float(table.distance_m[typical > 0.97].max()), float(table.distance_m[strong > 0.03].max())


def compared(name: str, reference: HeightReference, places: int) -> tuple[float, float, float]:
    """Return the greatest miss of the 5 %, 50 % and 95 % ends, of any draw, and the mean miss, over random places."""
    table, random = table_of(name, reference), np.random.default_rng(20)
    near_m, far_m = falling_m(table)
    ends, worst, mean = 0.0, 0.0, 0.0
    for _ in range(places):
        bearing, distance = random.uniform(0.0, 360.0), random.uniform(near_m, far_m)
        own, found = briefs_own(name, bearing, distance, reference), read(table, bearing, distance)
        at = [0.05, 0.5, 0.95]
        ends = max(ends, float(np.abs(np.quantile(own, at) - np.quantile(found, at)).max()))
        worst, mean = max(worst, float(np.abs(own - found).max())), mean + float(np.abs(own - found).mean()) / places
    print(f"{name}, {reference.value}: ends {ends:.4f}, any draw {worst:.4f}, mean {mean:.5f}")
    return ends, worst, mean


def test_over_launch_it_is_the_briefs_own_number() -> None:
    ends, worst, mean = compared("demo", LAUNCH, 3)
    assert ends < 0.01
    assert worst < 0.04
    assert mean < 0.003


def test_over_ground_it_is_the_briefs_own_number() -> None:
    ends, worst, mean = compared("demo", GROUND, 3)
    assert ends < 0.02  # between bearings the ground is another
    assert worst < 0.06
    assert mean < 0.004


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "reference"), [("go", LAUNCH), ("demo", GROUND), ("ten-lines", GROUND)], ids=["go", "demo", "ten lines"]
)
def test_anywhere_over_the_plane_it_is_the_briefs_own_number(name: str, reference: HeightReference) -> None:
    # A draw whose chance is a step between two bearings, as where the wind can just be beaten, is missed by more.
    ends, worst, mean = compared(name, reference, 14)
    assert ends < (0.025 if reference is LAUNCH else 0.04)
    assert worst < 0.25
    assert mean < 0.004


def test_chances_never_rise_with_distance() -> None:
    table = table_of("demo", GROUND)
    assert (np.diff(table.chance, axis=1) <= 0.0).all()
    assert table.chance.max() <= 1.0
    assert table.chance[:, -1].max() < table.chance[:, 0].max()


def test_the_same_plan_gives_the_same_bytes() -> None:
    case, craft = example("demo")
    again = energy_table(craft, case, HEIGHT_M, LAUNCH, FAR_M)
    first = table_of("demo", LAUNCH)
    assert again.chance.tobytes() == first.chance.tobytes()
    assert again.needed_high_wh.tobytes() == first.needed_high_wh.tobytes()


def test_energy_is_power_times_time() -> None:
    # In a calm the way there and back takes 2 d / v at cruise power; the rest is the flight to the launch point itself.
    case, craft = example("demo")
    still = {**craft.draws.values, "site.wind_mps": np.zeros(craft.draws.count)}
    draws = type(craft.draws)(craft.draws.world, still, craft.draws.nodes, craft.draws.density_kg_m3,
                              craft.draws.mass_kg)  # fmt: skip
    calm = Craft(draws, craft.thrust, craft.scale, craft.chemistry)
    table = energy_table(calm, case, HEIGHT_M, LAUNCH, 2000.0, distance_m=np.array([0.0, 1.0, 1000.0, 2000.0]))
    cruise = draws["aircraft.cruise_mps"]
    way_wh = electrical_w(draws, craft.thrust, craft.scale, cruise, np.zeros(draws.count)) * 2000.0 / cruise / 3600.0
    here = table.needed_mid_wh[0, 2] - table.needed_mid_wh[0, 0]
    assert here == pytest.approx(np.median(way_wh), rel=0.02)  # medians do not add up exactly
    assert table.needed_mid_wh[0, 3] - table.needed_mid_wh[0, 2] == pytest.approx(here, rel=0.01)
    assert np.ptp(table.needed_mid_wh[:, 2]) < 1e-3
    assert table.beaten.all()


@pytest.mark.parametrize(("wind_mps", "distance_m"), [(0.0, 1620.0), (5.0, 1440.0), (8.0, 1159.2), (12.0, 583.2)])
def test_an_electric_return_takes_what_is_published(wind_mps: float, distance_m: float) -> None:
    # d = E / (P / (v + w) + P / (v - w)): 15 Wh, 250 W, 15 m/s; point of no return, common practice in aviation.
    nodes = chance_nodes()
    own = np.array([[15.0, 15.0, 1.0, 0.0, 0.0, 1.0, 1e6, 250.0, 0.0, 0.0]])
    winds = np.full((1, nodes.wind_z.size + 1), wind_mps)
    craft = Craftwise(own, winds, np.full((1, 2, 3), 250.0), np.zeros((1, winds.size, 3)))
    level = np.stack([np.zeros((1, 1)), np.ones((1, 1))], axis=1)
    ways = Ways(np.array([[1.0, 0.0]]), np.array([distance_m]), level, np.ones((1, 2)),
                np.full((1, 2), -1, dtype=np.int64), np.array([[0.2, 3.0], [0.3, 40.0]]))  # fmt: skip
    packs = Emptied(np.array([0.5, 1.0, 1.5]), STOPS, np.ones((1, 3, 3, STOPS.size)))
    chance, needed = np.empty((1, 2, 1), dtype=np.float32), np.empty((2, 1, 2, 1), dtype=np.float32)
    plane_kernel(craft, ways, packs, chances_of(nodes), chance, needed)
    assert needed[:, 0, 1, 0] == pytest.approx([15.0, 15.0], rel=1e-4)


def test_a_wind_as_fast_as_the_aircraft_never_lets_it_home() -> None:
    case, craft = example("demo")
    gale = {**craft.draws.values, "site.wind_mps": np.full(craft.draws.count, 40.0)}
    draws = type(craft.draws)(craft.draws.world, gale, craft.draws.nodes, craft.draws.density_kg_m3,
                              craft.draws.mass_kg)  # fmt: skip
    table = energy_table(Craft(draws, craft.thrust, craft.scale, craft.chemistry), case, HEIGHT_M, LAUNCH, 1000.0)
    assert not table.beaten[:, 1:].any()
    assert (table.chance[:, 1:] == 0.0).all()
    assert np.isinf(table.needed_high_wh[:, 1:]).all()
