"""The charts draw what was computed: each line and band held against the numbers of the sample brief."""

from __future__ import annotations

import dataclasses
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from tests.report import sample

from turnback.report.charts import margin, side_view, volts
from turnback.report.numbers import Units
from turnback.report.vega import Chart

METRIC = Units.METRIC


def drawn(chart: Chart, kind: str) -> list[list[dict[str, float]]]:
    """Return the data of every layer of a kind, in drawing order."""
    layers: list[dict[str, Any]] = list(chart.layers)
    return [layer["data"]["values"] for layer in layers if layer["mark"]["type"] == kind]


def at(points: list[dict[str, float]], x: float, field: str = "y") -> float:
    """Return a drawn line's value at a place."""
    return float(np.interp(x, [point["x"] for point in points], [point[field] for point in points]))


def test_the_line_of_sight_runs_from_antenna_to_aircraft_inside_its_zone() -> None:
    """First Fresnel radius halfway of 1200 m at 2440 MHz: sqrt(λ d / 4), ITU-R P.526 equation 2, 6.07 m."""
    brief = sample.brief()
    side = brief.profile
    chart = side_view(brief, METRIC)
    zone, ray = drawn(chart, "area")[0], drawn(chart, "line")[0]
    assert [ray[0]["x"], ray[0]["y"]] == pytest.approx([0.0, side.antenna_m], abs=1e-3)
    assert [ray[-1]["x"], ray[-1]["y"]] == pytest.approx([1200.0, side.aircraft_m], abs=1e-3)
    middle = at(ray, 600.0)
    assert middle == pytest.approx((side.antenna_m + side.aircraft_m) / 2.0, abs=0.01)
    radius = np.sqrt(0.1229 * 1200.0 / 4.0)
    assert at(zone, 600.0) - middle == pytest.approx(radius, abs=0.02)
    assert middle - at(zone, 600.0, "y2") == pytest.approx(radius, abs=0.02)


def test_ground_trees_route_and_return_stand_at_their_heights() -> None:
    brief = sample.brief()
    side = brief.profile
    chart = side_view(brief, METRIC)
    _, trees, ground = drawn(chart, "area")
    top_m = float(side.ground_m.max())
    assert max(point["y"] for point in ground) == pytest.approx(top_m, abs=1e-3)
    assert max(point["y"] for point in trees) == pytest.approx(top_m + 12.0, abs=1e-3)
    _, route, home = drawn(chart, "line")
    assert at(route, 1200.0) == pytest.approx(side.route_m[-1], abs=1e-3)
    assert {point["y"] for point in home} == {round(float(side.return_m or 0.0), 3)}


def test_lengths_follow_the_units() -> None:
    """1200 m are 3937 feet (0.3048 m a foot, exact)."""
    ray = drawn(side_view(sample.brief(), Units.IMPERIAL), "line")[0]
    assert ray[-1]["x"] == pytest.approx(3937.008, abs=0.001)
    assert ray[-1]["y"] == pytest.approx(sample.brief().profile.aircraft_m / 0.3048, abs=0.01)


def test_volts_at_rest_under_load_and_to_land_by() -> None:
    energy = sample.brief().energy
    chart = volts(energy, METRIC)
    loaded, rest, land_by = drawn(chart, "line")
    (band,) = drawn(chart, "area")
    for minute, second in ((0.0, 0), (4.0, -1)):
        assert at(loaded, minute) == pytest.approx(energy.loaded_mid_v[second], abs=1e-3)
        assert at(rest, minute) == pytest.approx(energy.rest_mid_v[second], abs=1e-3)
        assert at(band, minute) == pytest.approx(energy.rest_high_v[second], abs=1e-3)
        assert at(band, minute, "y2") == pytest.approx(energy.rest_low_v[second], abs=1e-3)
    assert {point["y"] for point in land_by} == {3.5}


def test_margin_with_its_band_the_break_and_what_a_go_needs() -> None:
    """A go needs 99 of 100: 2.326 times the scatter (tables of the normal distribution)."""
    link = sample.brief().control
    whole = dataclasses.replace(link, sigma_db=np.full_like(link.sigma_db, 5.0))
    chart = margin(whole, METRIC)
    broken, needed, mid = drawn(chart, "line")
    (band,) = drawn(chart, "area")
    assert {point["y"] for point in broken} == {0.0}
    assert [point["y"] for point in needed] == pytest.approx([5.0 * 2.326] * len(needed), abs=0.002)
    assert NormalDist().cdf(2.326) == pytest.approx(0.99, abs=1e-4)
    far = float(link.distance_m[-1])
    assert at(mid, far) == pytest.approx(link.margin_mid_db[-1], abs=1e-3)
    assert at(band, far) == pytest.approx(link.margin_high_db[-1], abs=1e-3)
    assert at(band, far, "y2") == pytest.approx(link.margin_low_db[-1], abs=1e-3)
