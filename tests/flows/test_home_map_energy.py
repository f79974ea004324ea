"""Where the pack ends it: the map's chances, draw by draw with the links, are the brief's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.cases import case_of

from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.readers.terrain_shapes import flat_terrain
from turnback.records.home_map import Reason
from turnback.records.route import HeightReference, Route

FAR_M, CELL_M, HEIGHT_M = 3000.0, 150.0, 60.0


@pytest.mark.slow
def test_where_the_pack_ends_it_the_map_says_what_the_brief_says() -> None:
    """Flat ground, a wind of 5 m/s, bearings between those of the energy's table, links about as weak as the pack.

    Which draws have the weak pack and which the weak link is felt by the ends of their product.
    """
    case = case_of(
        flat_terrain(FAR_M, CELL_M), weather__wind_mps=5, radio__video={"class": "none"},
        radio__control={"class": "2.4 GHz, 25 mW", "interference_dbm": -118}, site__canopy="don't know",
    )  # fmt: skip
    found, terrain = home_map(case, height_m=HEIGHT_M, height_above="launch"), case.terrain
    rows, columns = terrain.heights_m.shape
    both = 0
    for row, column in ((0, 27), (14, columns - 1), (26, 0), (rows - 1, 9)):
        x_m, y_m = terrain.x_west_m + column * terrain.cell_m, terrain.y_north_m - row * terrain.cell_m
        route = Route(
            np.array([0.0, x_m]), np.array([0.0, y_m]), np.full(2, HEIGHT_M), HeightReference.LAUNCH,
            case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
        )  # fmt: skip
        told = Flight(replace(case, route=route))
        pack, control = (float(np.median(chance)) for chance in (told.energy.chance, told.links[0].chance))
        for key, exact in (
            ("home_low", told.home.low), ("home", told.home.mid), ("home_high", told.home.high),
            ("energy_chance", pack),
        ):  # fmt: skip
            assert found.layers[key].numbers()[row, column] == pytest.approx(exact, abs=0.02), (row, column, key)
        needed_wh, high_wh = (float(found.layers[key].numbers()[row, column]) for key in ("energy", "energy_high"))
        assert needed_wh < 0.97 * high_wh  # nineteen of twenty draws ask more than the middle one
        both += 0.02 < pack < 0.98 and 0.02 < control < 0.98
    assert both >= 2  # places at which neither of the two is sure
    assert (found.layers["reason"].values == Reason.ENERGY).any()
