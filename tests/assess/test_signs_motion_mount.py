"""Shaking of all rotors or of one, level from angles, a weak corner or a weight off the middle."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike
from tests.assess.record_makers import flat, make_record
from tests.assess.test_signs_outputs_motion import LIFT_S, Made, seen_in, sign

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_hover import lone_of
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

STRONG, EVEN = "vibration-strong-from-all-rotors", "vibration-even"


def _shaken(sizes: tuple[float, ...]) -> Made:
    made = Made()
    t_s = made.t_s[made.aloft]
    for k, size in enumerate(sizes):
        angle = 2.0 * np.pi * (93.0, 94.3, 97.1, 99.4)[k] * t_s + k
        made.rate[0, made.aloft] += size * np.sin(angle)
        made.rate[1, made.aloft] += size * np.cos(angle)
    return made


def test_all_rotors_beat_and_one_alone_shakes_evenly() -> None:
    """The mean square of the power of four equal rotors is 1.75 times the square of its mean; of one, once."""
    every = motion_signs(_shaken((0.5, 0.5, 0.5, 0.5)).looked())
    assert sign(every, STRONG).seen
    assert not sign(every, EVEN).seen
    assert sign(every, "board-sensor-glitches").sure <= 0.6  # hard to see beside strong lines
    assert sign(every, STRONG).values["beats_share"] == pytest.approx(0.75, abs=0.2)
    one = motion_signs(_shaken((1.0, 0.0, 0.0, 0.0)).looked())
    assert not sign(one, STRONG).seen
    assert sign(one, EVEN).seen
    assert sign(one, EVEN).sure > 0.9
    assert sign(one, STRONG).values["beats_share"] < 0.1
    quiet = motion_signs(_shaken((0.1, 0.1, 0.1, 0.1)).looked())
    assert not sign(quiet, STRONG).seen
    assert (sign(quiet, EVEN).seen, sign(quiet, EVEN).sure > 0.8) == (False, True)


def test_what_is_not_seen_beside_shaking_says_less_the_more_it_shakes() -> None:
    """Just below a limit as much as just above it: no word changes its weight by a hair's breadth."""
    key = "board-sensor-glitches"
    sures, seen = [], []
    for size in (0.02, 0.15, 0.25, 0.27, 0.6):
        told = motion_signs(_shaken((size,) * 4).looked())
        sures.append(sign(told, key).sure)
        seen.append(sign(told, STRONG).seen)
    assert seen == [False, False, False, True, True]
    assert sures == sorted(sures, reverse=True)
    assert sures[0] > 0.9
    assert sures[2] == pytest.approx(sures[3], abs=0.05)
    assert sures[4] == pytest.approx(0.6)


def test_what_the_roughest_of_sound_builds_does_is_a_weak_word_either_way() -> None:
    sures = {size: sign(motion_signs(_shaken((size,) * 4).looked()), STRONG).sure for size in (0.1, 0.25, 0.38, 0.6)}
    assert sures[0.25] < 0.6
    assert sures[0.38] < 0.7
    assert min(sures[0.1], sures[0.6]) > 0.85


def test_level_is_told_from_angles_where_no_acceleration_is_recorded() -> None:
    t_s = np.arange(0.0, 20.0, 0.1)
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.HOVER, LIFT_S, 19.9))
    for roll_rad, shows in ((0.1, {"leans-at-rest"}), (0.01, set()), (np.pi, {"gravity-wrong-at-rest"})):
        made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
            Quantity.ROLL: (t_s, roll_rad), Quantity.PITCH: (t_s, 0.0),
        }  # fmt: skip
        told = motion_signs(Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), 19.9))
        assert seen_in(told) & {"leans-at-rest", "gravity-wrong-at-rest"} == shows


def test_a_weak_corner_is_no_weight_off_the_middle() -> None:
    """A corner that lifts half: it works harder, its opposite less; a weight to one side moves all."""
    place, share, fit = lone_of(np.array([0.01, -0.18, 0.16, 0.01]))
    assert (place, fit > 0.8) == (2, True)
    assert share == pytest.approx(0.15)
    assert lone_of(np.array([-0.18, 0.09, -0.08, 0.17]))[2] < 0.8
    braked = lone_of(np.array([-0.05, -0.05, 0.15, -0.05]))
    assert braked[0] == 2
    assert braked[1:] == pytest.approx((0.2, 1.0))


def test_a_run_away_that_it_flies_on_from_hides_no_weight_off_the_middle() -> None:
    made = Made()
    made.out[:2, made.aloft] += 0.06
    made.out[2:, made.aloft] -= 0.06
    tips = made.rows(LIFT_S + 0.1, LIFT_S + 0.35)
    made.rate[0, tips] = 4.5
    assert "halves-differ-in-hover" in seen_in(output_signs(made.looked()))


def test_what_swings_by_itself_is_no_gust() -> None:
    """Outputs that swing at 15 Hz and run to their end again and again, and others that only run there at times."""
    swings, gusts = Made(), Made()
    t_s = swings.t_s
    bursts = (t_s > 6.0) & (t_s % 2.0 < 0.2)
    for made in (swings, gusts):
        made.out[0, bursts] = 1.0
        made.out[3, bursts] = 0.05
    quiet = swings.aloft & ~bursts
    swings.out[:, quiet] += 0.25 * np.sin(2.0 * np.pi * 15.0 * t_s[quiet])
    assert "outputs-at-limit-in-gusts" in seen_in(output_signs(gusts.looked(speeds=False)))
    told = seen_in(output_signs(swings.looked(speeds=False)))
    assert "outputs-swing-fast" in told
    assert "outputs-at-limit-in-gusts" not in told
