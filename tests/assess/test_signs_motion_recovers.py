"""What turns over as it lifts and then lies still with its corners at their ends has not recovered."""

from __future__ import annotations

import pytest
from tests.assess.test_signs_outputs_motion import LIFT_S, Made

from turnback.assess.signs_motion_lift import recovers
from turnback.assess.signs_outputs_flight import seen_of


@pytest.mark.parametrize(("strains", "flies_on"), [(False, True), (True, False)])
def test_only_what_flies_on_has_recovered(strains: bool, flies_on: bool) -> None:
    made = Made()
    made.rate[0, made.rows(LIFT_S + 0.1, LIFT_S + 0.6)] = -6.0
    if strains:
        lies = made.rows(LIFT_S + 0.6, LIFT_S + 8.0)
        made.out[2, lies], made.out[1, lies] = 1.0, 0.05
    seen = seen_of(made.looked())
    assert seen.lift is not None
    assert seen.lift.turned_s is not None
    assert recovers(seen, seen.lift) is flies_on
