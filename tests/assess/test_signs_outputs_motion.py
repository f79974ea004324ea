"""Signs of corner outputs and of motion: every one of the book is told or not looked for; faults show theirs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.motion_events import find_motion
from turnback.assess.output_events import find_outputs
from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_tell import sure_of
from turnback.knowledge.book import Channel as Way
from turnback.knowledge.reading import read_book
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.debrief import Looked, RecordSign, SignsTold
from turnback.records.happened import Flown, PhaseKind, RecordAnswer, WhyNot

Floats = NDArray[np.float64]
HZ = 250.0
LIFT_S, END_S = 4.0, 30.0


class Made:
    """A flight that stands for 3 s, lifts, and hovers for 26 s; signals are set by the test."""

    def __init__(self, seed: int = 3) -> None:
        rng = np.random.default_rng(seed)
        self.t_s = np.arange(round(END_S * HZ)) / HZ
        n = self.t_s.size
        self.aloft = self.t_s >= LIFT_S
        self.out = np.where(self.aloft, 0.4, np.where(self.t_s >= 1.0, 0.05, 0.0)) + np.zeros((4, n))
        wander = np.array([np.convolve(row, np.ones(50) / 7.0, "same") for row in rng.normal(0.0, 1.0, (4, n))])
        self.out[:, self.aloft] += 0.02 * wander[:, self.aloft]
        self.speed = 60.0 + 500.0 * self.out**0.7
        self.rate = rng.normal(0.0, 0.02, (3, n))
        self.force = np.array([[0.0], [0.0], [-9.80665]]) + rng.normal(0.0, 0.1, (3, n))

    def rows(self, start_s: float, end_s: float = END_S) -> slice:
        return slice(round(start_s * HZ), round(end_s * HZ))

    def looked(self, ended_s: float = END_S, numbered: bool = False, speeds: bool = True) -> Looked:
        made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
        for k, quantity in enumerate(RATES):
            made[quantity] = (self.t_s, self.rate[k])
            made[ACCELERATIONS[k]] = (self.t_s, self.force[k])
        for k, quantity in enumerate((Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK)):
            made[quantity] = (self.t_s, np.full(self.t_s.size, 0.001 * k))
        for k, at in enumerate(At):
            key = {"number": k} if numbered else {"at": at}
            made[Channel(Quantity.OUTPUT, **key)] = (self.t_s, self.out[k])
            if speeds:
                made[Channel(Quantity.ROTOR_SPEED, **key)] = (self.t_s, self.speed[k])
        phases = (
            flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.TAKE_OFF, LIFT_S, LIFT_S + 1.0),
            flat(PhaseKind.HOVER, LIFT_S + 1.0, END_S),
        )  # fmt: skip
        flown = Flown(make_record(made), phases)
        found = [find(flown) for find in (find_outputs, find_motion)]
        events = tuple(sorted((e for each in found for e in each.events), key=lambda event: event.start_s))
        return Looked(RecordAnswer(flown, events, tuple(e for each in found for e in each.not_told), ()), ended_s)


def seen_in(told: SignsTold) -> set[str]:
    return {each.sign for each in told.signs if each.seen}


def sign(told: SignsTold, key: str) -> RecordSign:
    return next(each for each in told.signs if each.sign == key)


@pytest.mark.parametrize("kind", [Way.OUTPUTS, Way.MOTION])
def test_every_sign_of_the_book_is_told_or_not_looked_for(kind: Way) -> None:
    book = {each.key for each in read_book().signs if each.channel is kind}
    for looked in (Made().looked(), Made().looked(numbered=True, speeds=False)):
        told = output_signs(looked) if kind is Way.OUTPUTS else motion_signs(looked)
        keys = [each.sign for each in told.signs] + [each.sign for each in told.not_looked_for]
        assert len(keys) == len(set(keys))
        assert set(keys) == book


def test_a_record_of_nothing_but_place_tells_nothing_and_says_what_it_needs() -> None:
    t_s = np.arange(100) / 10.0
    flown = Flown(make_record({Quantity.LATITUDE: (t_s, 50.0)}), (flat(PhaseKind.UNKNOWN, 0.0, 9.9),))
    looked = Looked(RecordAnswer(flown, (), (), ()), 9.9)
    assert output_signs(looked).signs == ()
    assert seen_in(motion_signs(looked)) == set()
    needs = {each.sign: each.needs for each in output_signs(looked).not_looked_for}
    assert needs["one-corner-works-harder"] == (Channel(Quantity.OUTPUT),)


def test_a_sound_flight_shows_no_sign() -> None:
    looked = Made().looked()
    assert seen_in(output_signs(looked)) == set()
    assert seen_in(motion_signs(looked)) == set()


def test_one_corner_at_full_and_the_opposite_at_idle_as_it_lifts_and_it_turns_over() -> None:
    made = Made()
    flips = made.rows(LIFT_S + 0.1, LIFT_S + 0.6)
    made.out[0, flips], made.out[3, flips] = 1.0, 0.05
    made.speed = 60.0 + 500.0 * made.out**0.7
    made.rate[0, flips] = np.linspace(0.0, -12.0, flips.stop - flips.start)
    made.rate[1, flips] = np.linspace(0.0, -12.0, flips.stop - flips.start)
    looked = made.looked(ended_s=LIFT_S + 0.6)
    shown = seen_in(output_signs(looked)) | seen_in(motion_signs(looked))
    assert {"corner-saturates-at-lift", "speed-follows-at-saturated-corner", "rates-run-away-toward-corner"} <= shown
    made.speed[0] = 40.0  # the rotor stands: the corner saturates in vain
    follows = sign(output_signs(made.looked(ended_s=LIFT_S + 0.6)), "speed-follows-at-saturated-corner")
    assert not follows.seen


def test_a_weight_off_the_middle_is_halves_and_a_weak_corner_is_one_corner() -> None:
    made = Made()
    made.out[:2, made.aloft] += 0.05
    assert seen_in(output_signs(made.looked(speeds=False))) == {"halves-differ-in-hover"}
    made = Made()
    made.out[2, made.aloft] += 0.12
    assert seen_in(output_signs(made.looked(speeds=False))) == {"one-corner-works-harder"}


def test_a_weight_that_shifts_steps_and_is_no_weight_off_the_middle_before() -> None:
    made = Made()
    made.out[:2, made.rows(15.0)] += 0.05
    shown = seen_in(output_signs(made.looked(speeds=False)))
    assert shown == {"halves-step-in-flight"}


def test_a_slow_rotor_is_told_against_its_siblings() -> None:
    made = Made()
    made.speed[1] *= 0.88
    told = output_signs(made.looked())
    low = sign(told, "speed-low-for-output")
    assert low.seen
    assert low.values["siblings_ratio"] == pytest.approx(0.88, abs=0.01)
    assert low.channels == (Channel(Quantity.ROTOR_SPEED, At.FRONT_RIGHT),)
    assert not sign(told, "speed-high-for-output").seen


def test_spinning_about_the_upright_axis_with_a_diagonal_pair_at_full() -> None:
    made = Made()
    spin = made.rows(LIFT_S + 0.3, LIFT_S + 3.0)
    made.rate[2, spin] = np.linspace(0.0, 15.0, spin.stop - spin.start)
    made.out[[0, 3], spin], made.out[[1, 2], spin] = 0.95, 0.05
    looked = made.looked(ended_s=LIFT_S + 3.0)
    assert "turns-about-upright-axis" in seen_in(motion_signs(looked))
    assert "diagonal-pair-saturates" in seen_in(output_signs(looked))


def test_gravity_that_does_not_point_up_at_rest() -> None:
    made = Made()
    made.force[2, ~made.aloft] *= -1.0
    told = sign(motion_signs(made.looked()), "gravity-wrong-at-rest")
    assert told.seen
    assert told.values["lean_rad"] == pytest.approx(np.pi, abs=0.05)
    made = Made()
    made.force[0, ~made.aloft] += 9.80665 * np.sin(0.15)
    told = sign(motion_signs(made.looked()), "leans-at-rest")
    assert told.values["lean_rad"] == pytest.approx(0.15, abs=0.01)
    assert told.seen
    assert not sign(motion_signs(made.looked()), "gravity-wrong-at-rest").seen


def test_what_comes_after_the_end_is_no_sign() -> None:
    made = Made()
    wild = made.rows(20.0)
    made.out[:, wild] = np.where(np.arange(wild.stop - wild.start) // 10 % 2, 1.0, 0.05)
    made.rate[:, wild] = 20.0 * np.sin(40.0 * made.t_s[wild])
    looked = replace(made.looked(ended_s=19.9))
    assert seen_in(output_signs(looked)) == set()
    assert seen_in(motion_signs(looked)) == set()


def test_numbered_corners_still_tell_that_one_works_harder() -> None:
    made = Made()
    made.out[2, made.aloft] += 0.12
    told = output_signs(made.looked(numbered=True, speeds=False))
    assert "one-corner-works-harder" in seen_in(told)
    why = {each.sign: each.why for each in motion_signs(made.looked(numbered=True)).not_looked_for}
    assert why["diverges-after-lift"] is WhyNot.CORNERS_UNKNOWN


def test_sureness_is_a_half_at_the_limit_and_grows_evenly_to_both_sides() -> None:
    assert sure_of(1.0) == 0.5
    assert sure_of(2.0) == pytest.approx(sure_of(0.5))
    assert 0.5 < sure_of(1.1) < sure_of(1.5) < sure_of(3.0) <= 0.98
