"""What a range walk taught is felt by the map as by the brief: offset, slope, spread, and the way beyond the walk."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of

from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.readers.terrain_shapes import flat_terrain
from turnback.records.case import Case
from turnback.records.learned import NOTHING_LEARNED, Learned, LearnedAbout, LearnedEntry
from turnback.records.route import HeightReference, Route

TAUGHT = {"offset_db": 7.0, "excess_exponent": 1.5, "sigma_ratio": 1.0, "reference_m": 100.0, "walked_m": 5000.0}
DAY = date(2025, 6, 30)
NEARLY = 1e-3


def learned(**changed: float) -> Learned:
    """Return what a walk taught about the control link of the site ``place``, with hardly any band."""
    entries = []
    for key, value in {**TAUGHT, **changed}.items():
        banded = not key.endswith("_m")
        low, high = (value - NEARLY, value + NEARLY) if banded else (None, None)
        entries.append(
            LearnedEntry(
                of=LearnedAbout.SITE,
                id="place",
                on=DAY,
                quantity=f"control_{key}",
                value=value,
                low=low,
                high=high,
                from_record="w",
            )
        )
    return Learned(tuple(entries))


def flight(taught: Learned, **more: Any) -> Case:
    return case_of(flat_terrain(570.0, 30.0), site__id="place", learned=taught, **more)


def straight_to(case: Case, x_m: float, y_m: float, height_m: float) -> Flight:
    route = Route(
        np.array([0.0, x_m]), np.array([0.0, y_m]), np.full(2, height_m), HeightReference.LAUNCH,
        case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
    )  # fmt: skip
    return Flight(replace(case, route=route))


def test_a_brief_spreads_its_shadowing_as_wide_as_was_measured() -> None:
    bare, taught = (Flight(flight(each)).links[0].result for each in (NOTHING_LEARNED, learned(sigma_ratio=2.0)))
    assert taught.sigma_db == pytest.approx(2.0 * bare.sigma_db, rel=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("canopy", ["none", "don't know"], ids=["open", "trees"])
def test_the_map_takes_what_was_measured_as_the_brief_does(canopy: str) -> None:
    """On the axes and at the rim, where a ray of the map meets the middle of a cell; in the open and among trees.

    The map's kernel has a form of its own for each. So weak that offset, slope, spread and the way beyond 250 m each
    move a chance by more than is allowed.
    """
    taught = learned(offset_db=21.0, excess_exponent=2.5, sigma_ratio=2.0, walked_m=250.0)
    case = flight(taught, site__canopy=canopy, answers__return_tested_on_this_build="no")
    found, terrain = home_map(case), case.terrain
    for row, column in ((20, 28), (20, 40), (0, 5)):
        x_m, y_m = terrain.x_west_m + column * terrain.cell_m, terrain.y_north_m - row * terrain.cell_m
        told = straight_to(case, x_m, y_m, found.height_m)
        control = told.links[0].result.probability.mid
        for key, exact in (("home_low", told.home.low), ("home_high", told.home.high), ("control_chance", control)):
            assert found.layers[key].numbers()[row, column] == pytest.approx(exact, abs=0.005), (row, column, key)
        assert 0.01 < control < 0.8
