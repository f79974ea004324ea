"""How it stands is told from before it tumbles, also where the record begins with its motors run up."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_outputs_motion import HZ, Made, seen_in

from turnback.assess.signs_motion import motion_signs

WRONG = "gravity-wrong-at-rest"


@pytest.mark.parametrize("stands, lies, seen", [(9.80665, -9.80665, True), (-9.80665, 9.80665, False)])
def test_how_it_lies_after_a_tumble_is_not_how_it_stood(stands: float, lies: float, seen: bool) -> None:
    made = Made()
    made.aloft[:] = False
    made.out[:] = np.array([[0.3], [0.05], [0.3], [0.05]])  # a board that believes itself on its head pushes one side
    made.out[2:] += 0.3
    first, after = round(1.5 * HZ), round(2.0 * HZ)
    made.rate[0, first:after] = 6.0
    made.force[2] = np.where(np.arange(made.t_s.size) < first, stands, lies)
    assert (WRONG in seen_in(motion_signs(made.looked()))) is seen
