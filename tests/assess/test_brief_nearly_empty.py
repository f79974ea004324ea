"""What the pack can still give at its land-by volts."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.energy import _greatest_power_w
from turnback.assess.last_flight import craft_of
from turnback.assess.world import chemistry_of, fill


def test_a_nearly_empty_cell_resists_more() -> None:
    """Matched load n E² / 4R by hand: 3.5 V is 3.38 % of charge, where resistance is 1.957 of a full cell's."""
    warm, ohm = ({"value": v, "low": v, "high": v} for v in (25, 5.0))
    case = case_of(plain(), pack__temperature_c=warm, pack__resistance_mohm_per_cell=ohm)
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    by_hand = 6 * 3.5**2 / (4 * 0.005 * (1 + 0.5 + 0.667) * 1.957)
    assert _greatest_power_w(craft) == pytest.approx(np.full(250, by_hand), rel=0.002)
