"""One link: its scatter by what stands in the way, trees, interference, the weaker direction, the ruling place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats
from tests.assess.cases import case_of, plain, ridge

from turnback.assess.draw_set import draw_set
from turnback.assess.reception import assess_link, cast_rays
from turnback.assess.track import lay_track
from turnback.assess.world import fill
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.result import LinkResult
from turnback.records.terrain import Terrain


def sure(value: float) -> dict[str, float]:
    """Return a value without a band."""
    return {"value": value, "low": value, "high": value}


ANTENNA = {"gain_dbi": sure(2.0), "pattern": "omnidirectional", "polarisation": "vertical"}
CONTROL = {
    "class": "2.4 GHz, 100 mW", "frequency_mhz": 2400, "ground_power_mw": sure(100), "aircraft_power_mw": sure(100),
    "ground_antenna": ANTENNA, "aircraft_antenna": ANTENNA, "ground_sensitivity_dbm": sure(-104),
    "aircraft_sensitivity_dbm": sure(-104), "bandwidth_khz": 800, "noise_figure_db": sure(6),
    "interference_dbm": sure(-140),
}  # fmt: skip


def heard(terrain: Terrain, *, control: dict[str, Any] | None = None, **changes: Any) -> LinkResult:
    """Return the control link of a case with every level known."""
    case = case_of(terrain, radio__control={**CONTROL, **(control or {})}, **changes)
    draws = draw_set(fill(case), 100, 1)
    track = lay_track(case.route, terrain, case.launch_height_m)
    grid = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    link = draws.world.control
    rays = cast_rays(grid, draws, track, case.launch_height_m, [link])
    return assess_link(grid, draws, track, rays, 0, link, case.launch_height_m).result


def near(link: LinkResult, from_launch_m: float) -> int:
    """Return the station nearest to a distance."""
    return int(np.argmin(np.abs(link.from_launch_m - from_launch_m)))


def test_scatter_grows_with_what_stands_in_the_way() -> None:
    """The design's ranges: clear 5 to 6 dB, grazing 7, diffracted 9 to 10 (ours)."""
    link = heard(ridge(600.0, 120.0), route__distance_m=1200, route__bearing_deg=90, route__height_m=60)
    clear, hidden = near(link, 200.0), near(link, 1200.0)
    assert link.line_of_sight[clear]
    assert link.clearance_ratio[clear] > 0.6
    assert 5.0 <= link.sigma_db[clear] <= 6.0
    assert not link.line_of_sight[hidden]
    assert 9.0 <= link.sigma_db[hidden] <= 10.0
    low = heard(plain(), route__distance_m=600, route__height_m=4)
    grazing = low.line_of_sight & (low.clearance_ratio < 0.6)
    assert grazing.any()
    assert low.sigma_db[grazing] == pytest.approx(7.0)


def test_leaves_take_what_they_take_and_add_scatter() -> None:
    """A wood takes its loss from the margin; the scatter of leaves, 6 to 8 dB (ours), adds in squares."""
    there: dict[str, Any] = {"route__distance_m": 500, "route__height_m": 30}
    bare = heard(plain(), site__canopy="none", **there)
    wood = heard(plain(), site__canopy="wood", site__canopy_height_m=sure(25), **there)
    at = near(bare, 500.0)
    assert bare.trees_db[at] == 0.0
    # 500 m at 25 of 30 m: hundreds of metres of leaves, so about the greatest loss, 29 to 37 dB at 2.4 GHz (P.833)
    assert 25.0 < wood.trees_db[at] < 40.0
    assert bare.margin_mid_db[at] - wood.margin_mid_db[at] == pytest.approx(wood.trees_db[at], abs=0.5)
    assert 6.0 <= np.sqrt(wood.sigma_db[at] ** 2 - bare.sigma_db[at] ** 2) <= 8.0


def test_interference_as_strong_as_the_noise_takes_three_decibels() -> None:
    """kT0B of 800 kHz is -114.94 dBm (ITU-R P.372), 6 dB noise figure above it: as much again is 3.01 dB more."""
    quiet = heard(plain())
    loud = heard(plain(), control={"interference_dbm": sure(-108.94)})
    assert quiet.margin_mid_db - loud.margin_mid_db == pytest.approx(3.01, abs=0.02)


def test_the_weaker_direction_is_the_links() -> None:
    """Ten times less power at one end is 10 dB; the link is no better than that way."""
    both = heard(plain())
    assert both.to_aircraft_mid_db == pytest.approx(both.to_ground_mid_db)
    for end, name in (("aircraft_power_mw", "to ground"), ("ground_power_mw", "to aircraft")):
        weak = heard(plain(), control={end: sure(10)})
        ways = {"to ground": weak.to_ground_mid_db, "to aircraft": weak.to_aircraft_mid_db}
        assert weak.weaker_direction == name
        assert weak.margin_mid_db == pytest.approx(ways[name])
        assert both.margin_mid_db - weak.margin_mid_db == pytest.approx(10.0)


def test_the_worst_place_of_the_plan_decides_and_none_beyond_it() -> None:
    """The chance is the normal distribution at the least margin over scatter, out and back; not of what lies beyond."""
    ground = ridge(600.0, 120.0)
    there: dict[str, Any] = {"route__bearing_deg": 90, "route__height_m": 60}
    control = {"ground_power_mw": sure(3), "aircraft_power_mw": sure(3)}
    far = heard(ground, control=control, **there, route__distance_m=1200)
    planned = far.from_launch_m <= 1200.0 + 1e-6
    least = (far.margin_mid_db / far.sigma_db)[planned].min()
    assert far.probability.mid == pytest.approx(stats.norm.cdf(least), abs=0.03)
    before = heard(ground, control=control, **there, route__distance_m=400)
    assert (~before.line_of_sight).any(), "what lies beyond the plan is looked at too"
    assert before.line_of_sight[before.worst]
    assert before.probability.mid > 0.99
    assert 400.0 < before.reach_m.mid < 1200.0
    assert far.probability.mid < 0.9


def test_a_patch_on_the_ground_is_aimed_and_one_below_the_aircraft_looks_down() -> None:
    """On the ground it loses the same wherever the aircraft is; below the aircraft it hears best from overhead."""
    kind = {"gain_dbi": sure(5.0), "pattern": "patch", "polarisation": "circular, right hand"}
    round_about = {**kind, "pattern": "omnidirectional"}
    aimed = heard(plain(), control={"ground_antenna": kind, "aircraft_antenna": round_about}, route__distance_m=2000)
    plainly = heard(plain(), control={"ground_antenna": round_about, "aircraft_antenna": round_about},
                    route__distance_m=2000)  # fmt: skip
    lost = plainly.margin_mid_db - aimed.margin_mid_db
    assert abs(near_value(aimed, lost, 1000.0) - near_value(aimed, lost, 2000.0)) < 0.1
    below = heard(plain(), control={"ground_antenna": round_about, "aircraft_antenna": kind}, route__distance_m=2000)
    gained = below.margin_mid_db - plainly.margin_mid_db
    assert near_value(below, gained, 30.0) > near_value(below, gained, 1500.0)


def near_value(link: LinkResult, values: Any, from_launch_m: float) -> float:
    """Return a value at the station nearest to a distance."""
    return float(values[near(link, from_launch_m)])
