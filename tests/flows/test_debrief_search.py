"""The ground under a search area counts from where the record took off, not from the plan's launch point."""

from __future__ import annotations

from pathlib import Path

import pytest

from turnback.flows.debrief_search import search_facts
from turnback.flows.flight import Flight
from turnback.physics.geodesy import lat_lon_deg
from turnback.physics.terrain_grid import ground_height_m
from turnback.readers.case import read_case

CASE = read_case(Path(__file__).resolve().parents[2] / "examples" / "demo.toml")


def _at(east_m: float, north_m: float) -> tuple[float, float]:
    site = CASE.plan.site
    assert site.latitude_deg is not None
    assert site.longitude_deg is not None
    lat, lon = lat_lon_deg(east_m, north_m, float(site.latitude_deg), float(site.longitude_deg))
    return float(lat), float(lon)


def test_a_place_has_one_height_wherever_it_is_counted_from() -> None:
    planned = Flight(CASE).ground
    moved = search_facts(None, CASE, _at(150.0, -80.0)).ground
    assert moved is not None
    for east_m, north_m in ((0.0, 0.0), (300.0, 200.0), (-250.0, 90.0)):
        here = float(ground_height_m(moved, east_m, north_m))
        assert here == pytest.approx(float(ground_height_m(planned, east_m + 150.0, north_m - 80.0)), abs=0.05)


def test_a_take_off_beyond_the_plans_ground_has_none() -> None:
    assert search_facts(None, CASE, _at(50_000.0, 0.0)).ground is None


def test_without_a_take_off_the_plans_launch_point_counts() -> None:
    facts = search_facts(None, CASE)
    assert facts.ground is not None
    assert facts.terminal_mps is not None
    assert 10.0 < facts.terminal_mps[0] < facts.terminal_mps[1] < 60.0
    assert facts.wind_from_deg == pytest.approx(250.0, abs=12.0)  # the demo's plan says 250
