"""A weight off the middle or a weak corner pulls it over with its own thrust; what turns the wrong way does not."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_outputs_motion import HZ, LIFT_S, Made, seen_in

from turnback.assess.signs_motion import motion_signs

SIDE, CORNER = "thrust-pulls-it-to-a-side", "thrust-pulls-it-to-a-corner"
GAIN, ANSWERS = 200.0, 0.025


def lifted(pull: tuple[float, float], sense: float = 1.0) -> set[str]:
    """Return what is seen of a lift with a pull of roll and pitch; the aircraft obeys its board with some sense."""
    made = Made()
    first = round(LIFT_S * HZ)
    rate = np.array([0.02, 0.02])
    for k in range(first, first + round(0.7 * HZ)):
        mean = min(0.1 + 2.0 * (k - first) / HZ, 0.6)
        part = np.clip(-ANSWERS * rate, -0.5, 0.5)  # front-left, front-right, rear-left, rear-right
        made.out[:, k] = mean + np.array([part.sum(), part[1] - part[0], part[0] - part[1], -part.sum()]) / 2.0
        rate = rate + (GAIN * sense * 2.0 * part + np.array(pull) * mean) / HZ
        made.rate[:2, k] = rate
    return seen_in(motion_signs(made.looked(ended_s=LIFT_S + 0.7)))


@pytest.mark.parametrize("pull, shows", [((120.0, 10.0), {SIDE}), ((-10.0, 90.0), {SIDE}), ((70.0, -70.0), {CORNER})])
def test_a_pull_of_its_own_thrust_is_told_with_its_way(pull: tuple[float, float], shows: set[str]) -> None:
    seen = lifted(pull)
    assert seen & {SIDE, CORNER} == shows
    assert "diverges-after-lift" not in seen


def test_outputs_that_push_the_wrong_way_are_no_pull() -> None:
    seen = lifted((3.0, 2.0), sense=-1.0)
    assert not seen & {SIDE, CORNER}
    assert "diverges-after-lift" in seen
