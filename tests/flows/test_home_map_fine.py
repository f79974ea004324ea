"""On fine ground all draws are asked every few metres, as a brief's stations stand: what the map then says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.cases import case_of

from turnback.assess import homing
from turnback.assess.homing_kernel import asked_samples
from turnback.flows.home_map import home_map
from turnback.readers.terrain_shapes import RidgeLine, ridge_terrain
from turnback.records.case import Case
from turnback.records.home_map import HomeMap


def fine() -> Case:
    """Ground of 1 m with a ridge near by, and trees that nobody told of."""
    ground = ridge_terrain(160.0, 1.0, [RidgeLine(100.0, 25.0, 70.0, 60.0)])
    return case_of(ground, site__canopy="don't know", route__height_m=12)


@pytest.mark.slow
def test_asking_every_few_metres_changes_nothing_that_matters(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [homing.stride(spacing_m) for spacing_m in (1.0, 1.7, 2.5, 4.0, 30.0)] == [5, 2, 2, 1, 1]
    seldom = home_map(fine())
    monkeypatch.setattr(homing, "stride", lambda spacing_m: 1)
    often = home_map(fine())

    def off(key: str, found: HomeMap, other: HomeMap) -> np.ndarray:
        return np.asarray(np.abs(found.layers[key].numbers() - other.layers[key].numbers())).ravel()

    known = often.layers["reason"].values != 5  # not where the way meets the ridge
    assert 0.2 < known.mean() < 1.0
    for key in ("control_diffraction", "video_diffraction", "sight"):
        assert off(key, seldom, often).max() == 0.0, key  # what the ground does is worked out for every cell
    assert off("return_clearance", seldom, often).max() < 0.55  # tops are looked for at samples of 1 m only
    for key, most in (("home_low", 0.02), ("home", 0.02), ("control_chance", 0.02), ("control_margin", 1.0)):
        differences = off(key, seldom, often)[known.ravel()]
        assert np.quantile(differences, 0.97) <= most, key


def strip() -> Case:
    """Ground of 2 m, 3.6 km long and 80 m wide, with two ridges on the way."""
    ground = ridge_terrain(1850.0, 2.0, [RidgeLine(600.0, 18.0, 70.0, 90.0), RidgeLine(1500.0, 26.0, 120.0, 90.0)])
    middle = ground.heights_m.shape[0] // 2
    rows = slice(middle - 20, middle + 20)
    turned = replace(
        ground, heights_m=np.ascontiguousarray(ground.heights_m[rows]), known=ground.known[rows],
        y_north_m=ground.y_north_m - (middle - 20) * ground.cell_m, radius_m=40.0,
    )  # fmt: skip
    return case_of(turned, route__height_m=40)


def test_all_draws_are_asked_closer_than_a_brief_looks_at_its_way() -> None:
    for every, spacing_m in ((5, 1.0), (2, 2.0)):
        asked = asked_samples(9000, every)
        assert np.all(asked <= np.arange(9000))
        at = np.unique(asked)
        assert np.array_equal(asked[at], at)  # where draws are asked, they are asked there
        apart_m = np.diff(at) * spacing_m
        brief_m = np.maximum(at[1:] * spacing_m / 80.0, 5.0)  # `track`: MOST_STATIONS
        assert np.all(apart_m <= brief_m)
        assert apart_m[at[1:] * spacing_m > 2500.0].min() >= 10.0  # and no closer than pays
    assert np.array_equal(asked_samples(500, 1), np.arange(500))  # on coarse ground at every sample


@pytest.mark.slow
def test_asking_seldom_far_out_changes_nothing_that_matters(monkeypatch: pytest.MonkeyPatch) -> None:
    seldom = home_map(strip())
    monkeypatch.setattr(homing, "stride", lambda spacing_m: 1)
    often = home_map(strip())
    for key in ("control_diffraction", "video_diffraction", "sight"):
        assert np.array_equal(seldom.layers[key].values, often.layers[key].values), key
    low = often.layers["home_low"].numbers()
    assert low.max() - low.min() > 0.5  # there is something to get wrong
    for key, most in (("home_low", 0.02), ("home", 0.02), ("control_chance", 0.02), ("control_margin", 1.0)):
        off = np.abs(seldom.layers[key].numbers() - often.layers[key].numbers())
        assert np.quantile(off, 0.97) <= most, key
