"""A corner that throws it over is told however short, and is no pair; what flew well at first is not set up wrong."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.test_signs_motion_pulled import ANSWERS, GAIN
from tests.assess.test_signs_outputs_motion import HZ, LIFT_S, Made, seen_in

from turnback.assess.output_events_balance import HALVES
from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_lift import recovers
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_flight import seen_of

CORNER, PAIR = "corner-saturates-at-lift", "diagonal-pair-saturates"


def tipped(outputs: tuple[float, ...], held_s: float, rate_rad_s: float) -> Made:
    """Return a lift with outputs held for a while, as it rolls and pitches."""
    made = Made()
    held = made.rows(LIFT_S + 0.1, LIFT_S + 0.1 + held_s)
    made.out[:, held] = np.array(outputs)[:, None]
    turns = made.rows(LIFT_S + 0.05, LIFT_S + 0.1 + held_s)
    made.rate[:2, turns] = rate_rad_s
    return made


@pytest.mark.parametrize(("held_s", "seen"), [(0.028, True), (0.008, False)])
def test_a_corner_at_full_is_told_from_a_fiftieth_of_a_second_on(held_s: float, seen: bool) -> None:
    shown = seen_in(output_signs(tipped((1.0, 0.4, 0.4, 0.05), held_s, -6.0).looked(ended_s=LIFT_S + 0.5)))
    assert (CORNER in shown) is seen


@pytest.mark.parametrize(
    ("rate_rad_s", "outputs", "shows"),
    [
        (2.6, (0.1, 0.5, 1.0, 0.05), {CORNER}),  # it tips over, and whirls as it does
        (0.0, (0.05, 0.95, 1.0, 0.05), {PAIR}),
    ],
)
def test_a_corner_alone_held_against_a_whirl_is_no_pair(
    rate_rad_s: float, outputs: tuple[float, ...], shows: set[str]
) -> None:  # fmt: skip
    made = tipped(outputs, 0.7, rate_rad_s)
    assert seen_in(output_signs(made.looked(ended_s=LIFT_S + 0.8, speeds=False))) & {CORNER, PAIR} == shows


def test_what_scrapes_with_one_corner_at_full_has_not_recovered() -> None:
    for full, flies_on in ((1.0, False), (0.6, True)):
        made = Made()
        made.rate[0, made.rows(LIFT_S + 0.1, LIFT_S + 0.6)] = -6.0
        lies = made.rows(LIFT_S + 0.6, LIFT_S + 8.0)
        made.out[2, lies], made.out[1, lies] = full, 0.25
        seen = seen_of(made.looked())
        assert seen.lift is not None
        assert recovers(seen, seen.lift) is flies_on


@pytest.mark.parametrize(("late_s", "diverges"), [(0.0, True), (1.3, False)])
def test_what_flew_well_before_it_turned_crosswise_is_not_set_up_so(late_s: float, diverges: bool) -> None:
    made = Made()
    first = round((LIFT_S + late_s) * HZ)
    rate = np.array([0.2, 0.3])
    for k in range(first, first + round(0.6 * HZ)):
        part = np.clip(-ANSWERS * rate, -0.5, 0.5)
        made.out[:, k] = 0.4 + np.array([part.sum(), part[1] - part[0], part[0] - part[1], -part.sum()]) / 2.0
        own = np.array([made.out[:, k] @ HALVES["left-right"], made.out[:, k] @ HALVES["front-rear"]])
        rate = rate - GAIN * own / HZ
        made.rate[:2, k] = rate
    shown = seen_in(motion_signs(made.looked(ended_s=LIFT_S + late_s + 0.6)))
    assert ("diverges-after-lift" in shown) is diverges
