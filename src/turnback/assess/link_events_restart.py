"""Restarts of the flight board in flight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import (
    Span,
    between,
    no_channel,
    spans_looked_at,
    value_at,
    values_at,
    within,
)
from turnback.assess.link_events_rest import fell
from turnback.assess.signals import spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened
from turnback.records.record_read import Gap
from turnback.rules.record_link import MOTORS_STOPPED, RESTART_BACK_S, RESTART_GAP_S, RESTART_RESET, RESTART_VOLTS
from turnback.rules.rule import Threshold

COUNTS: Final = (Quantity.CHARGE_USED, Quantity.ROW)
VOLTS: Final = (Quantity.SUPPLY_VOLTS, Quantity.PACK_VOLTS)
THROTTLE_UP: Final = 0.1
"""No board lets a pilot arm with the throttle up: armed again so, it came back by itself."""
SAME_S: Final = 2.0
JUST_S: Final = 0.5
EDGE_S: Final = 1e-6


@dataclass(frozen=True, slots=True)
class _Sign:
    """One sign of a restart."""

    start_s: float
    end_s: float
    how: str
    rule: Threshold
    channels: tuple[Channel, ...] = ()


def find_restarts(flown: Flown) -> Happened:
    """Find where the board began anew while it flew.

    Parameters
    ----------
    flown : Flown
    """
    record = flown.record
    looked = spans_looked_at(flown)
    signs = [*_clock(record, looked), *_counts(record, looked), *_arming(record, looked)]
    signs = sorted((each for each in signs if _near(each.start_s, looked)), key=lambda each: each.start_s)
    groups: list[list[_Sign]] = []
    for sign in signs:
        if groups and sign.start_s <= max(each.end_s for each in groups[-1]) + SAME_S:
            groups[-1].append(sign)
        else:
            groups.append([sign])
    needs = (*COUNTS, Quantity.ARMED, Quantity.SUPPLY_VOLTS)
    told = () if any(record.get(quantity) for quantity in needs) or record.clock.column else (
        no_channel(EventKind.RESTART, *needs),
    )  # fmt: skip
    return Happened(tuple(_told(record, group) for group in groups), told)


def _near(at_s: float, looked: tuple[Span, ...]) -> bool:
    """Tell whether it flew just before a moment: what follows a restart may no longer count as flight."""
    return within(at_s, looked) is not None or any(end <= at_s <= end + 0.5 for _, end in looked)


def _told(record: FlightRecord, group: list[_Sign]) -> Event:
    """Return one restart."""
    start_s = min(each.start_s for each in group)
    end_s = max(each.end_s for each in group)
    values = {"gap_s": end_s - start_s}
    for name, quantity in (("supply_before_v", VOLTS[0]), ("pack_before_v", VOLTS[1])):
        series = record.get(quantity)
        before = np.empty(0) if series is None else between(series, start_s - 1.0, start_s + 1e-6)
        if before.size:
            values[name] = float(before.min())
    values |= values_at(record, start_s - 1e-3, height_m=Quantity.HEIGHT_LAUNCH, distance_m=Quantity.DISTANCE_LAUNCH)
    channels = tuple(dict.fromkeys(channel for each in group for channel in each.channels))
    how = ",".join(dict.fromkeys(each.how for each in group))
    return Event(EventKind.RESTART, start_s, end_s, channels, group[0].rule.key, values, words={"how": how})


def _clock(record: FlightRecord, looked: tuple[Span, ...]) -> list[_Sign]:
    """Return where the clock began again, and gaps before which volts gave way or after which nothing runs."""
    signs = []
    for gap in record.clock.gaps:
        if gap.kind is Gap.CLOCK_AGAIN:
            signs.append(_Sign(gap.start_s, gap.end_s, "clock-began-again", RESTART_GAP_S))
        elif gap.kind in {Gap.MISSING, Gap.CLOCK_BACK} and gap.end_s - gap.start_s >= RESTART_GAP_S.value:
            if not _near(gap.start_s, looked):
                continue
            fallen = _volts_gave_way(record, gap.start_s)
            stands = _nothing_runs_after(record, gap.start_s, gap.end_s)
            if fallen is not None:
                signs.append(_Sign(gap.start_s, gap.end_s, "gap-after-volts-fell", RESTART_VOLTS, (fallen,)))
            elif stands:
                signs.append(_Sign(gap.start_s, gap.end_s, "gap-then-nothing-runs", RESTART_GAP_S, stands))
    return signs


def _nothing_runs_after(record: FlightRecord, start_s: float, end_s: float) -> tuple[Channel, ...]:
    """Return arming and outputs where a gap took both: on before it, off after it, and it fell instead of resting."""
    armed, outputs = record.get(Quantity.ARMED), record.all_of(Quantity.OUTPUT)
    if armed is None or not outputs or end_s - start_s > RESTART_BACK_S.value:
        return ()
    around = (start_s - JUST_S, start_s + EDGE_S), (end_s - EDGE_S, end_s + JUST_S)
    was, now = (between(armed, *span) for span in around)
    if not was.size or not now.size or not was[-1] > 0.5 or not now[0] < 0.5:
        return ()
    ran = any(not _nothing(each, *around[0]) for each in outputs)
    stands = all(_nothing(each, *around[1]) for each in outputs)
    if not ran or not stands or fell(record, end_s) is False:
        return ()
    return armed.channel, *(each.channel for each in outputs)


def _volts_gave_way(record: FlightRecord, at_s: float) -> Channel | None:
    """Return the supply whose volts fell by a quarter just before a moment."""
    for quantity in VOLTS:
        series = record.get(quantity)
        if series is None:
            continue
        before, usual = between(series, at_s - 0.3, at_s + 1e-6), between(series, at_s - 10.0, at_s - 0.3)
        if before.size and usual.size and float(before.min()) < RESTART_VOLTS.value * float(np.median(usual)):
            return series.channel
    return None


def _counts(record: FlightRecord, looked: tuple[Span, ...]) -> list[_Sign]:
    """Return where charge used or a running count began again."""
    signs = []
    for quantity in COUNTS:
        series = record.get(quantity)
        if series is None or series.t_s.size < 3:
            continue
        values = series.values
        falls = np.flatnonzero(values[1:] < values[:-1])
        for row in falls[:1000]:
            was, now = float(values[row]), float(values[row + 1])
            seen = within(float(series.t_s[row]), looked) is not None
            if seen and now < RESTART_RESET.value * was and was - now > 0.02 * float(np.ptp(values)):
                how = "charge-used-began-again" if quantity is Quantity.CHARGE_USED else "count-began-again"
                times = float(series.t_s[row]), float(series.t_s[row + 1])
                signs.append(_Sign(*times, how, RESTART_RESET, (series.channel,)))
    return signs


def _arming(record: FlightRecord, looked: tuple[Span, ...]) -> list[_Sign]:
    """Return where arming was lost, outputs went to nothing, and both came back with the throttle up."""
    armed = record.get(Quantity.ARMED)
    outputs = record.all_of(Quantity.OUTPUT)
    if armed is None or not outputs:
        return []
    signs = []
    for first, after in spans_where(armed.values < 0.5, armed.t_s):
        if first == 0 or after >= armed.t_s.size:
            continue
        start_s, end_s = float(armed.t_s[first]), float(armed.t_s[after])
        if end_s - start_s > RESTART_BACK_S.value or within(start_s, looked) is None:
            continue
        off = all(_nothing(each, start_s, end_s) for each in outputs)
        throttle = value_at(record, Quantity.THROTTLE, end_s)
        if off and throttle is not None and throttle > THROTTLE_UP:
            channels = (armed.channel, *(each.channel for each in outputs))
            signs.append(_Sign(start_s, end_s, "arming-lost-and-back", RESTART_BACK_S, channels))
    return signs


def _nothing(series: Series, start_s: float, end_s: float) -> bool:
    """Tell whether an output is at nothing in most of a span."""
    values = between(series, start_s, end_s)
    return values.size > 0 and float(np.median(values)) <= MOTORS_STOPPED.value
