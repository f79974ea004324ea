"""What the pack can still give at its land-by volts."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.assess.draws import Nodes
from turnback.assess.energy import _greatest_power_w
from turnback.assess.flight_energy import march_flight
from turnback.assess.last_flight import craft_of
from turnback.assess.legs import planned_legs
from turnback.assess.track import lay_track
from turnback.assess.world import chemistry_of, fill


def test_a_nearly_empty_cell_resists_more() -> None:
    """Matched load n E² / 4R by hand: 3.5 V is 3.38 % of charge, where resistance is 1.957 of a full cell's."""
    warm, ohm = ({"value": v, "low": v, "high": v} for v in (25, 5.0))
    case = case_of(plain(), pack__temperature_c=warm, pack__resistance_mohm_per_cell=ohm)
    craft = craft_of(fill(case), chemistry_of(case), None, 1)
    by_hand = 6 * 3.5**2 / (4 * 0.005 * (1 + 0.5 + 0.667) * 1.957)
    assert _greatest_power_w(craft) == pytest.approx(np.full(250, by_hand), rel=0.002)


def test_a_cold_pack_sags_in_the_march_itself() -> None:
    """At 0 °C a cell resists about twice as much as at 25 °C (Arrhenius, 20 kJ/mol: 2.09, from memory): so its sag."""
    sags = []
    for celsius in (25, 0):
        case = case_of(plain(), pack__temperature_c={"value": celsius, "low": celsius, "high": celsius})
        craft = craft_of(fill(case), chemistry_of(case), None, 1)
        track = lay_track(case.route, case.terrain, case.launch_height_m)
        marched = march_flight(craft, planned_legs(track), Nodes(np.zeros(1), np.zeros(1), np.ones(1)))
        first = marched.loaded_v[:, 0, 0, 0]
        sags.append(np.median(marched.rest_v[:, 0, 0, 0] - first))
    assert 1.7 < sags[1] / sags[0] < 2.2
