"""A declared thrust curve: its amperes are those of a fresh pack, so its watts are counted at a full cell's volts."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.last_flight import craft_of
from turnback.assess.world import chemistry_of, fill

CURVE = [
    {"output_percent": 20, "thrust_g": 120, "current_a": 1.5},
    {"output_percent": 30, "thrust_g": 220, "current_a": 3.2},
    {"output_percent": 100, "thrust_g": 1500, "current_a": 40.0},
]


def test_hover_power_is_the_benchs_watts() -> None:
    """P = I V by hand: four motors at 4.2 V a cell, read off the curve at a quarter of the weight, and the board."""
    case = case_of(plain(), aircraft__thrust_curve=CURVE)
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    hover, _ = hover_and_cruise_w(craft.draws, craft.thrust, craft.scale)
    each_g = craft.draws.mass_kg * 1000 / 4
    amperes = 4 * np.interp(each_g, [120, 220, 1500], [1.5, 3.2, 40.0])
    assert hover == pytest.approx(amperes * 4.2 * 6 + craft.draws["aircraft.auxiliary_w"], rel=1e-6)
