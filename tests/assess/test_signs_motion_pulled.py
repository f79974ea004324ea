"""A weight off the middle or a weak corner pulls it over with its own thrust; what turns the wrong way does not."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_outputs_motion import HZ, LIFT_S, Made, seen_in, sign

from turnback.assess.output_events_balance import HALVES
from turnback.assess.signs_motion import motion_signs
from turnback.records.debrief import SignsTold

SIDE, CORNER = "thrust-pulls-it-to-a-side", "thrust-pulls-it-to-a-corner"
GAIN, ANSWERS, HOVER = 200.0, 0.025, 0.3


def lifted(pull: tuple[float, float], sense: float = 1.0, power: float = 1.0) -> SignsTold:
    """Return what is told of a lift with a pull of roll and pitch; the aircraft obeys its board with some sense.

    Thrust goes with some power of an output.
    """
    made = Made()
    first = round(LIFT_S * HZ)
    rate = np.array([0.02, 0.02])
    for k in range(first, first + round(0.7 * HZ)):
        mean = min(0.1 + 2.0 * (k - first) / HZ, 0.6)
        part = np.clip(-ANSWERS * rate, -0.5, 0.5)  # front-left, front-right, rear-left, rear-right
        made.out[:, k] = mean + np.array([part.sum(), part[1] - part[0], part[0] - part[1], -part.sum()]) / 2.0
        thrust = HOVER * (np.clip(made.out[:, k], 0.0, None) / HOVER) ** power
        own = np.array([thrust @ HALVES["left-right"], thrust @ HALVES["front-rear"]])
        rate = rate + (GAIN * sense * own + np.array(pull) * thrust.mean()) / HZ
        made.rate[:2, k] = rate
    return motion_signs(made.looked(ended_s=LIFT_S + 0.7))


@pytest.mark.parametrize(
    "pull, shows, power",
    [
        ((120.0, 10.0), {SIDE}, 1.0),
        ((-10.0, 90.0), {SIDE}, 1.0),
        ((70.0, -70.0), {CORNER}, 1.0),
        ((-20.0, 180.0), {SIDE}, 2.0),
        ((110.0, -110.0), {CORNER}, 2.0),
    ],
)
def test_a_pull_of_its_own_thrust_is_told_with_its_way(
    pull: tuple[float, float], shows: set[str], power: float
) -> None:  # fmt: skip
    told = lifted(pull, power=power)
    seen = seen_in(told)
    assert seen & {SIDE, CORNER} == shows
    assert sign(told, CORNER).values["left_share"] < 0.02
    assert "diverges-after-lift" not in seen
    assert "rates-run-away-toward-corner" not in seen


def test_a_pull_to_a_corner_leaves_open_whether_it_pulls_to_a_side() -> None:
    told = lifted((70.0, -70.0))
    assert SIDE in {each.sign for each in told.not_looked_for}
    assert not sign(lifted((120.0, 10.0)), CORNER).seen


def test_outputs_that_push_the_wrong_way_are_no_pull() -> None:
    seen = seen_in(lifted((3.0, 2.0), sense=-1.0))
    assert not seen & {SIDE, CORNER}
    assert {"diverges-after-lift", "rates-run-away-toward-corner"} <= seen
