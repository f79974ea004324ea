"""Until when what a record shows can be a cause."""

from __future__ import annotations

import pytest

from turnback.flows.debrief_looked import ended_s
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, RecordAnswer
from turnback.records.record_read import Clock, RecordFormat

K = PhaseKind


def _answer(phases: list[tuple[PhaseKind, float, float]], blows: tuple[float, ...] = ()) -> RecordAnswer:
    record = FlightRecord("made", next(iter(RecordFormat)), Clock("t", "s", 100.0, 45.0, None, (), 0), {})
    made = tuple(Phase(kind, start, end, "rule") for kind, start, end in phases)
    events = tuple(Event(EventKind.IMPACT, at, at + 0.1, (), "rule") for at in blows)
    return RecordAnswer(Flown(record, made), events, (), ())


@pytest.mark.parametrize(
    ("phases", "blows", "ended"),
    [
        ([(K.GROUND, 0, 2), (K.TAKE_OFF, 2, 4), (K.CRUISE, 4, 30), (K.GROUND, 30, 40)], (), 30.0),
        ([(K.TAKE_OFF, 2, 4), (K.CRUISE, 4, 30), (K.GROUND, 30, 40)], (29.0,), 29.0),
        ([(K.TAKE_OFF, 2, 4), (K.CRUISE, 4, 30), (K.GROUND, 30, 40)], (12.0,), 30.0),  # a branch brushed, and flown on
        ([(K.CRUISE, 4, 20), (K.FALL, 20, 23), (K.GROUND, 23, 30)], (23.0,), 21.0),
        ([(K.CRUISE, 4, 20), (K.FALL, 20, 21), (K.CRUISE, 21, 40), (K.GROUND, 40, 45)], (), 40.0),
        ([(K.CRUISE, 4, 20), (K.FALL, 20, 21), (K.CRUISE, 21, 22.5)], (), 22.5),  # flew still when the record ended
        ([(K.CRUISE, 4, 20), (K.FALL, 20, 21.5)], (), 21.0),
        ([(K.GROUND, 0, 12)], (), 12.0),
        ([], (), 0.0),
    ],
)  # fmt: skip
def test_the_end_is_the_blow_the_fall_the_landing_or_the_last_row(
    phases: list[tuple[PhaseKind, float, float]], blows: tuple[float, ...], ended: float
) -> None:
    assert ended_s(_answer(phases, blows)) == pytest.approx(ended)
