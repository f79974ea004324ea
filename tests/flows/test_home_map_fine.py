"""On fine ground all draws are asked every few metres, as a brief's stations stand: what the map then says."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import case_of

from turnback.assess import homing
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
