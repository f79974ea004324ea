"""What the corner outputs and rotor speeds of a record tell."""

from __future__ import annotations

from turnback.assess.output_columns import Columns, aloft_rows, columns_of, on_one_clock
from turnback.assess.output_events_balance import ENOUGH_S, hover_spans, imbalance, imbalance_step
from turnback.assess.output_events_ends import at_ends
from turnback.assess.output_events_speed import off_speeds
from turnback.assess.output_events_still import standing
from turnback.assess.signals import NEARLY, held_at, rows_between
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_outputs import SPEED_RATE

LEAST_ROTORS = 3
CORNERS = 4
AFTER_TAKE_OFF_S = 0.5
OF_OUTPUTS = (EventKind.OUTPUT_SATURATED, EventKind.IMBALANCE, EventKind.IMBALANCE_STEP)
OF_SPEEDS = (EventKind.SPEED_COLLAPSE, EventKind.SPEED_EXCESS)
LEAST_ALOFT_ROWS = 32


def find_outputs(flown: Flown) -> Happened:
    """Find outputs at their ends, rotors off the speed of their siblings, and corners that work unlike one another."""
    outputs = columns_of(flown.record, Quantity.OUTPUT)
    if outputs is None:
        off, not_told = _speeds_alone(flown)
        return Happened(tuple(off), (*_none(OF_OUTPUTS, WhyNot.NO_CHANNEL, (Channel(Quantity.OUTPUT),)), *not_told))
    aloft = aloft_rows(flown, outputs.t_s)
    if int(aloft.sum()) < LEAST_ALOFT_ROWS:
        why = WhyNot.TOO_SHORT if flown.aloft() else WhyNot.NOT_ALOFT
        return Happened(not_told=_none((*OF_OUTPUTS, *OF_SPEEDS), why))
    unlike, unlike_not_told = _balance(outputs, flown)
    off, off_not_told = _speeds(flown)
    events = sorted([*at_ends(outputs, aloft), *unlike, *off], key=lambda each: each.start_s)
    return Happened(tuple(events), (*unlike_not_told, *off_not_told))


def _none(kinds: tuple[EventKind, ...], why: WhyNot, needs: tuple[Channel, ...] = ()) -> tuple[NotTold, ...]:
    """Return that some kinds could not be told."""
    return tuple(NotTold(kind, why, needs) for kind in kinds)


def _balance(outputs: Columns, flown: Flown) -> tuple[list[Event], tuple[NotTold, ...]]:
    """Return what is told of unlike corners."""
    kinds = (EventKind.IMBALANCE, EventKind.IMBALANCE_STEP)
    if len(outputs.channels) != CORNERS:
        return [], _none(kinds, WhyNot.CORNERS_UNKNOWN)
    spans = hover_spans(flown)
    steps = imbalance_step(outputs, flown)
    if sum(end_s - start_s for start_s, end_s in spans) < ENOUGH_S:
        return steps, _none(kinds[:1], WhyNot.TOO_SHORT)
    return [*imbalance(outputs, spans), *steps], ()


def _speeds(flown: Flown) -> tuple[list[Event], tuple[NotTold, ...]]:
    """Return what is told of rotors off their siblings' speed."""
    paired = _pairs(flown.record)
    if paired is None:
        return _speeds_alone(flown)
    outputs, speeds, rate_hz = paired
    if rate_hz < NEARLY * SPEED_RATE.value:
        values = {"rate_hz": rate_hz, "needed_hz": SPEED_RATE.value}
        return [], tuple(NotTold(kind, WhyNot.TOO_SLOW, (), values) for kind in OF_SPEEDS)
    aloft = aloft_rows(flown, speeds.t_s)
    if int(aloft.sum()) < LEAST_ALOFT_ROWS:
        return [], _none(OF_SPEEDS, WhyNot.TOO_SHORT)
    settled = aloft.copy()
    for phase in flown.phases:
        if phase.kind is PhaseKind.TAKE_OFF:
            settled[rows_between(speeds.t_s, phase.start_s, phase.end_s + AFTER_TAKE_OFF_S)] = False
    return off_speeds(outputs, speeds, aloft, settled), ()


def _speeds_alone(flown: Flown) -> tuple[list[Event], tuple[NotTold, ...]]:
    """Return what rotor speeds tell without outputs: a rotor that stands; never one that is faster than it should."""
    needs = (Channel(Quantity.ROTOR_SPEED), Channel(Quantity.OUTPUT))
    speeds = columns_of(flown.record, Quantity.ROTOR_SPEED)
    rates = [each.fresh_hz or each.rate_hz for each in flown.record.all_of(Quantity.ROTOR_SPEED)]
    if speeds is None or len(speeds.channels) < LEAST_ROTORS or min(rates) < SPEED_RATE.value:
        return [], _none(OF_SPEEDS, WhyNot.NO_CHANNEL, needs)
    stands = standing(speeds, aloft_rows(flown, speeds.t_s), flown)
    if stands is None:
        return [], _none(OF_SPEEDS, WhyNot.NO_CHANNEL, needs)
    return stands, _none(OF_SPEEDS[1:], WhyNot.NO_CHANNEL, needs)


def _pairs(record: FlightRecord) -> tuple[Columns, Columns, float] | None:
    """Return outputs and speeds of the same rotors on one clock, and the lowest rate of a speed."""
    found = [
        (output, speed)
        for speed in record.all_of(Quantity.ROTOR_SPEED)
        if (output := record.get(Quantity.OUTPUT, speed.channel.at, speed.channel.number)) is not None
        and speed.t_s.size > LEAST_ALOFT_ROWS
    ]
    if len(found) < LEAST_ROTORS:
        return None
    speeds = on_one_clock(tuple(speed for _, speed in found))
    if speeds is None:
        return None
    asked = tuple(held_at(output.t_s, output.values, speeds.t_s) for output, _ in found)
    outputs = Columns(speeds.t_s, tuple(output.channel for output, _ in found), asked)
    return outputs, speeds, min(speed.fresh_hz or speed.rate_hz for _, speed in found)
