"""Where the map's automatic return beats the wind: on the very bearings on which a brief says so."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import changed, plain, plan_of, straight

from turnback.assess.coming_back import assess_return
from turnback.assess.homing_return import beats_wind, share_beaten
from turnback.assess.turning import Turning
from turnback.flows.flight import Flight
from turnback.records.case import Case
from turnback.records.learned import NOTHING_LEARNED
from turnback.records.result import ReturnResult


def flight(bearing_deg: float, wind_mps: float) -> Flight:
    plan = plan_of(
        changed(
            route__bearing_deg=bearing_deg,
            weather__wind_mps=wind_mps,
            aircraft__automatic_return={"height_m": 60, "speed_mps": 10},
        )
    )
    terrain = plain(1500.0)
    return Flight(Case(plan, terrain, straight(plan), None, None, NOTHING_LEARNED, terrain.launch_ground_m, "test"))


def way_back(asked: Flight) -> ReturnResult:
    """Return the brief's way home, its pack left out: it lasts from anywhere."""
    count = asked.craft.draws.count
    anywhere = Turning(np.arange(count), np.full(count, 1e9), np.zeros(count))
    return assess_return(asked.craft.draws, asked.track, asked.ridge, anywhere, asked.links, float("nan"))


@pytest.mark.parametrize(
    ("wind_mps", "bearings"),
    [(1.0, (90.0, 270.0)), (5.0, (0.0, 90.0, 270.0)), (12.0, (90.0, 270.0))],
    ids=["light", "middling", "strong"],
)
def test_it_beats_the_wind_where_a_brief_says_so(wind_mps: float, bearings: tuple[float, ...]) -> None:
    briefs = [flight(bearing, wind_mps).back for bearing in bearings]
    expected = [back.beatable_headwind_mps.low >= back.headwind_mps.high for back in briefs]
    assert set(expected) == ({True} if wind_mps == 1.0 else {True, False})  # with the wind it always does
    draws = flight(0.0, wind_mps).craft.draws
    assert beats_wind(draws, 60.0, np.deg2rad(bearings)).tolist() == expected


def test_the_share_of_bearings_falls_toward_the_unfavourable_end() -> None:
    share = share_beaten(flight(0.0, 5.0).craft.draws, 60.0, np.deg2rad(np.arange(360)))
    assert share.low <= share.mid <= share.high
    assert share_beaten(flight(0.0, 1.0).craft.draws, 60.0, np.deg2rad(np.arange(360))).low == 1.0
    assert share_beaten(flight(0.0, 15.0).craft.draws, 60.0, np.deg2rad(np.arange(360))).low < 0.6
