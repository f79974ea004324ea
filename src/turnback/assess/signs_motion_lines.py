"""Lines of each rotor in acceleration, or in the turning rates, over chosen stretches of a record."""

from __future__ import annotations

from typing import Final

from turnback.assess.signs_outputs_flight import Seen
from turnback.assess.vibration_lines import LEAST_RATE_HZ, CornerLine, corner_lines
from turnback.assess.vibration_spans import Group, Shaken, fresh_axes, high_in, shaken
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import PhaseKind
from turnback.rules.record_vibration import RATE_FACTOR

Spans = list[tuple[float, float]]
MOST_S: Final = 16.0
PIECE_S: Final = 4.0
LEAST_S: Final = 4.5
LEAST_ROTOR_HZ: Final = 10.0


def lines_in(record: FlightRecord, spans: Spans, orders: tuple[int, ...] = (1,)) -> tuple[CornerLine, ...] | None:
    """Return the lines of every rotor over some spans; None where the record cannot show them.

    Parameters
    ----------
    record : FlightRecord
    spans : list of tuple
        Sixteen seconds of them are read at most.
    orders : tuple of int
    """
    rotors = tuple(each for each in record.all_of(Quantity.ROTOR_SPEED) if each.t_s.size > 16)
    axes = _axes(record)
    if len(rotors) < 3 or axes is None:
        return None
    group = Group(PhaseKind.ALOFT, tuple(some_of(spans)))
    if group.length_s < LEAST_S:
        return None
    turning = tuple(each for each in rotors if high_in(each, group) > LEAST_ROTOR_HZ)
    if len(turning) < 3:
        return None
    highest_hz = max(high_in(each, group) for each in turning)
    rate_hz = min(each.usable_hz for each in axes)
    if rate_hz < max(RATE_FACTOR.value * highest_hz, LEAST_RATE_HZ):
        return None
    reach = int(rate_hz / (RATE_FACTOR.value * highest_hz))
    series = fresh_axes(tuple(each.series for each in axes))
    found = corner_lines(series, turning, group, tuple(each for each in orders if each <= reach))
    return found or None


def _axes(record: FlightRecord) -> tuple[Shaken, ...] | None:
    """Return the axes of the faster of acceleration and turning rates."""
    kinds = [shaken(record, ACCELERATIONS), shaken(record, RATES)]
    there = [tuple(each for each in axes if each.series.t_s is axes[0].series.t_s) for axes in kinds if axes]
    return max(there, key=lambda axes: min(each.usable_hz for each in axes), default=None)


def some_of(spans: Spans) -> Spans:
    """Return pieces of spans, spread over them, of about `MOST_S` in all."""
    total_s = sum(b - a for a, b in spans)
    if total_s <= MOST_S:
        return spans
    pieces = [
        (a + PIECE_S * k, min(a + PIECE_S * (k + 1), b))
        for a, b in spans
        for k in range(max(1, int((b - a) / PIECE_S)))
    ]
    wanted = int(MOST_S / PIECE_S)
    step = len(pieces) / wanted
    return [pieces[int((k + 0.5) * step)] for k in range(min(wanted, len(pieces)))]


def line_levels(seen: Seen, spans: Spans) -> list[float] | None:
    """Return the amplitude of each rotor's once-per-rev line over some spans; None where nobody can tell."""
    lines = lines_in(seen.record, spans)
    return None if lines is None else [line.amplitude for line in lines]
