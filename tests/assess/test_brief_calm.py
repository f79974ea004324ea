"""Chance in a calm: the pilot's hand alone decides, and its few nodes must not make the chance jump."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy import stats
from tests.assess.cases import case_of, plain

from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import landing_chance, landing_margin, loaded_margin_v, march_flight
from turnback.assess.last_flight import craft_of, rows_of
from turnback.assess.legs import planned_legs
from turnback.assess.track import lay_track
from turnback.assess.turning import subset
from turnback.assess.world import chemistry_of, fill

CALM_AND_MARGINAL: dict[str, Any] = {
    "pack__label": "6S 650 mAh 60C",
    "pack__resistance_mohm_per_cell": 12.0,
    "answers__rest_v_per_cell": 4.0,
    "weather__wind_mps": {"value": 0, "low": 0, "high": 0},
    "route__distance_m": 1500,
}


def test_in_a_calm_the_chance_is_the_share_of_hands_that_land() -> None:
    """The nodes against 300 equal shares of the hand, counted. Summed over five nodes alone they were 0.29 apart."""
    case = case_of(plain(), **CALM_AND_MARGINAL)
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    craft = rows_of(craft, subset(craft.draws.count, 60))
    legs = planned_legs(lay_track(case.route, case.terrain, case.launch_height_m))
    by_nodes = landing_chance(march_flight(craft, legs), craft)
    hand = stats.norm.ppf((np.arange(300) + 0.5) / 300)
    many = march_flight(craft, legs, Nodes(np.zeros(1), hand, np.full(300, 1 / 300)))
    lands = (landing_margin(many, craft) > 0.0) & (loaded_margin_v(many, craft) > 0.0)
    by_count = lands.mean(axis=(1, 2))
    assert ((by_count > 0.05) & (by_count < 0.95)).sum() >= 5, "the case must be marginal for the test to show anything"
    assert np.abs(by_nodes - by_count).max() < 0.035
    assert by_count[by_nodes >= 0.95].min() >= 0.93
