"""Outputs that ring at one pitch are told from noise, from a slow rotor's line and from gusts; what it hides."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import make_record
from tests.assess.test_signs_outputs_motion import END_S, LIFT_S, Made, sign

from turnback.assess.output_columns import columns_of
from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_ring import ringing_of
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, RecordAnswer

SWINGS = "outputs-swing-fast"
SPANS = [(LIFT_S + 1.0, END_S)]


def _ringing(size: float, frequency_hz: float = 37.0) -> Made:
    """All outputs swing at one pitch in two seconds out of five: no second alone swings much for long."""
    made = Made()
    some = made.aloft & (made.t_s % 5.0 < 2.0)
    for k, sense in enumerate((1.0, -1.0, 1.0, -1.0)):
        made.out[k, made.aloft] += 0.3 * size * np.sin(2.0 * np.pi * frequency_hz * made.t_s[made.aloft] + k)
        made.out[k, some] += sense * size * np.sin(2.0 * np.pi * frequency_hz * made.t_s[some])
    return made


def _of(made: Made, speeds: bool = False) -> float:
    record = made.looked().answer.flown.record
    outputs = columns_of(record, Quantity.OUTPUT)
    assert outputs is not None
    found = ringing_of(outputs, SPANS, columns_of(record, Quantity.ROTOR_SPEED) if speeds else None)
    return 0.0 if found is None else found.score


def test_a_loop_that_rings_is_told_though_it_never_swings_far() -> None:
    told = sign(output_signs(_ringing(0.07).looked(speeds=False)), SWINGS)
    assert told.seen
    assert told.values["swing_share"] < told.values["limit_share"]
    assert told.values["rings_hz"] == pytest.approx(37.0, abs=2.0)
    assert not sign(output_signs(_ringing(0.003).looked(speeds=False)), SWINGS).seen
    assert not sign(output_signs(Made().looked(speeds=False)), SWINGS).seen


def test_noise_of_the_same_size_does_not_ring() -> None:
    made = Made()
    made.out[:, made.aloft] += np.random.default_rng(5).normal(0.0, 0.05, (4, int(made.aloft.sum())))
    assert _of(made) < 0.5 < 1.0 < _of(_ringing(0.07))


def test_one_corner_alone_and_a_rotor_that_turns_so_fast_do_not_ring() -> None:
    made = Made()
    made.out[2, made.aloft] += 0.1 * np.sin(2.0 * np.pi * 37.0 * made.t_s[made.aloft])
    assert _of(made) < 0.5
    slow = _ringing(0.07)
    slow.speed[:] = 37.5
    assert _of(slow, speeds=True) == 0.0
    slow.speed[:] = 60.0
    assert _of(slow, speeds=True) > 1.0


def test_too_few_seconds_tell_nothing() -> None:
    outputs = columns_of(_ringing(0.07).looked().answer.flown.record, Quantity.OUTPUT)
    assert outputs is not None
    assert ringing_of(outputs, [(LIFT_S + 1.0, LIFT_S + 4.0)]) is None


def test_what_rings_hides_whether_it_runs_past() -> None:
    """The rates follow their demand well; a swing faster than the answer is read at leaves that open."""
    sures = []
    for made in (Made(), _ringing(0.07)):
        asked = np.convolve(np.random.default_rng(9).normal(0.0, 1.0, made.t_s.size), np.ones(40) / 12.0, "same")
        made.rate[0] += np.roll(asked, 5)
        looked = made.looked(speeds=False)
        flown = looked.answer.flown
        values = {each.channel: (each.t_s, each.values) for each in flown.record.series.values()}
        values[Channel(Quantity.ROLL_RATE_DEMAND)] = (made.t_s, asked)
        record = make_record({key: (np.asarray(t_s), np.asarray(value)) for key, (t_s, value) in values.items()})
        told = motion_signs(Looked(RecordAnswer(Flown(record, flown.phases), (), (), ()), END_S))
        assert not sign(told, "rates-overshoot").seen
        sures.append(sign(told, "rates-overshoot").sure)
    assert sures[0] > 0.8 > 0.6 > sures[1]
