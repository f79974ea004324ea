"""Signs of volts that jump, that stay steady until a record ends, that collapse before a restart, that ripple."""

from __future__ import annotations

from math import log
from typing import Final

import numpy as np

from turnback.assess.signals import held_at, rows_between
from turnback.assess.signs_sticks_return import ends_in_return
from turnback.assess.signs_volts_pack import PackSeen
from turnback.assess.signs_volts_told import Blind, Saw, ends_aloft_event, events_of, needs, why_not
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_volts import COLLAPSES_TO, RIPPLE_HZ, RIPPLE_SHARE, STEADY_DROP, VANISHED

END_S: Final = 2.0
MOMENT_S: Final = 0.15
GONE_S: Final = 0.2
BEFORE_S: Final = 0.5
USUAL_S: Final = 5.0
SPARE_S: Final = 0.05
STEP_S: Final = 0.5
GROWS: Final = 2.0
FEWEST: Final = 50
MOST_ROWS: Final = 60_000
NO_EVENT: Final = -2.0
GONE: Final = "power gone"
FAST_HZ: Final = 20.0
AT_ONCE_S, FULL_SHARE = 0.3, 0.8
"""So soon after volts that were nearly the usual ones: no pack runs empty so fast."""
SLOW_SURE: Final = 0.85


def jump_when_moved(seen: PackSeen) -> Saw | Blind:
    """Steps of the volts that the current does not explain."""
    blind = why_not(seen.answer, EventKind.VOLT_STEP)
    if blind is not None:
        return blind
    gone_s = _gone_at_s(seen)
    steps = [each for each in events_of(seen.answer, EventKind.VOLT_STEP, seen.looked.ended_s - SPARE_S)
             if not _runs_empty(seen, each.start_s)
             and (gone_s is None or each.start_s < gone_s - AT_ONCE_S)]  # fmt: skip
    if not steps:
        return Saw(NO_EVENT, "volt steps", channels=seen.channels)
    most = max(steps, key=lambda each: abs(each.values["step_v"]))
    values = {"step_v": most.values["step_v"], "limit_v": most.values["limit_v"], "times": float(len(steps))}
    beyond = 2.0 * abs(most.values["step_v"]) / most.values["limit_v"] - 1.0
    return Saw(max(beyond, 0.1), "volt steps", values, steps[0].start_s, steps[-1].end_s, most.channels)


def _runs_empty(seen: PackSeen, at_s: float) -> bool:
    """Tell whether the volts were low already: those of an empty pack fall off by themselves."""
    if seen.empty_at is not None and at_s >= seen.t_s[seen.empty_at] - STEP_S:
        return True
    before = seen.unit_v[(seen.t_s >= at_s - 2.0) & (seen.t_s < at_s)]
    return bool(seen.cells) and before.size > 0 and float(np.median(before)) < seen.limits.land_by_loaded_v


def vanish_in_flight(seen: PackSeen) -> Saw | Blind:
    """Whether the volts fall away from one moment to the next in flight, for good: an empty pack takes seconds."""
    if seen.volts is None:
        return needs(Quantity.PACK_VOLTS)
    spans = seen.answer.flown.aloft()
    if not spans:
        return Blind(WhyNot.NOT_ALOFT)
    fast = seen.volts.rate_hz >= FAST_HZ
    gone_s = _gone_at_s(seen)
    if gone_s is None or gone_s > spans[-1][1] + max(AT_ONCE_S, 2.5 / seen.volts.rate_hz):  # or unplugged after landing
        if not fast and (ends_aloft_event(seen.looked) is not None or why_not(seen.answer, EventKind.ENDS_ALOFT)):
            return Blind(WhyNot.TOO_SLOW, seen.volts.channels)  # what was between the last two rows is not known
        return Saw(NO_EVENT, GONE, channels=seen.volts.channels)
    if any(each.end_s > gone_s - BEFORE_S for each in events_of(seen.answer, EventKind.IMPACT, gone_s + 0.02)):
        return Blind(WhyNot.TOO_SHORT, seen.volts.channels)  # a blow tears a pack out
    values = {"usual_v": _usual_v(seen), "last_v": float(seen.volts.volts[-1])}
    return Saw(3.0, GONE, values, gone_s, float(seen.volts.t_s[-1]), seen.volts.channels, 0.98 if fast else SLOW_SURE)


def _usual_v(seen: PackSeen) -> float:
    """Return the median of the pack's volts while it flew."""
    if seen.volts is None:
        return 0.0
    spans = seen.answer.flown.aloft()
    flown = [seen.volts.volts[rows_between(seen.volts.t_s, *span)] for span in spans]
    every = np.concatenate(flown) if flown else np.empty(0)
    return float(np.median(every)) if every.size else 0.0


def _gone_at_s(seen: PackSeen) -> float | None:
    """Return when the volts fell below `VANISHED` of the usual ones for good, at once; None where they did not."""
    usual_v = _usual_v(seen)
    if seen.volts is None or not usual_v > 0.0 or seen.volts.volts[-1] >= VANISHED.value * usual_v:
        return None
    volts, t_s = seen.volts.volts, seen.volts.t_s
    there = np.flatnonzero(volts >= VANISHED.value * usual_v)
    full = np.flatnonzero(volts > FULL_SHARE * usual_v)
    if not full.size or there[-1] + 1 >= t_s.size:
        return None
    at_s = float(t_s[there[-1] + 1])
    return at_s if at_s - float(t_s[full[-1]]) <= max(AT_ONCE_S, 2.5 / seen.volts.rate_hz) else None


def steady_until_end(seen: PackSeen) -> Saw | Blind:
    """In a record that ends aloft: how far the volts went down in its last two seconds, at the same load.

    A radio's own record goes on after the volts vanished: then up to there.
    """
    if seen.volts is None:
        return needs(Quantity.PACK_VOLTS)
    gone = vanish_in_flight(seen)
    went = gone.start_s if isinstance(gone, Saw) and gone.beyond > 0.0 else None
    blind = why_not(seen.answer, EventKind.ENDS_ALOFT)
    if blind is not None and went is None:
        return blind
    ends = ends_aloft_event(seen.looked)
    end_s = float(seen.volts.t_s[-1]) if ends is not None or went is None else went
    if ends is None and went is None:
        return Saw(-3.0, "volts at the end", channels=seen.volts.channels)
    if ends_in_return(seen.looked):
        return Blind(WhyNot.TOO_SHORT)
    # a contact that opens takes the volts away within the last rows, if it leaves any: they do not count as decline
    until_s = end_s - max(GONE_S, 1.5 / seen.volts.rate_hz)
    before = seen.volts.volts[rows_between(seen.volts.t_s, end_s - END_S - 0.5, end_s - END_S + 0.5)]
    last = seen.volts.volts[rows_between(seen.volts.t_s, until_s - max(MOMENT_S, 1.5 / seen.volts.rate_hz), until_s)]
    if not before.size or not last.size or (ends is not None and end_s < ends.start_s - END_S):
        return Blind(WhyNot.TOO_SHORT)
    was_v, now_v = float(np.median(before)), float(np.median(last))
    share = (was_v - now_v) / max(was_v, 1e-3)
    if seen.ohm is not None and seen.t_s.size > END_S * 10.0:
        more = float(seen.load_amount[-1] - np.interp(end_s - END_S, seen.t_s, seen.load_amount))
        share -= seen.ohm.ohm * max(more, 0.0) / max(was_v / (seen.cells or 1), 1e-3)
    values = {"fell_share": share, "limit_share": STEADY_DROP.value, "last_v": now_v}
    return Saw((STEADY_DROP.value - share) / 0.02, "volts at the end", values, end_s - END_S, end_s,
               seen.volts.channels)  # fmt: skip


def collapse_before_restart(seen: PackSeen) -> Saw | Blind:
    """How far the board's volts, or the pack's, fell just before it began anew."""
    record = seen.answer.flown.record
    series = [each for each in (record.get(Quantity.SUPPLY_VOLTS), record.get(Quantity.PACK_VOLTS)) if each is not None]
    if not series:
        return needs(Quantity.SUPPLY_VOLTS, Quantity.PACK_VOLTS)
    blind = why_not(seen.answer, EventKind.RESTART)
    if blind is not None:
        return blind
    restarts = events_of(seen.answer, EventKind.RESTART, seen.looked.ended_s + 1.0)
    channels = tuple(each.channel for each in series)
    if not restarts:
        return Saw(NO_EVENT, "restart", channels=channels)
    at_s = restarts[0].start_s
    shares = [each for each in (_falls_to(one, at_s) for one in series) if each is not None]
    if not shares:
        return Blind(WhyNot.TOO_SLOW, channels)
    values = {"share": min(shares), "limit_share": COLLAPSES_TO.value}
    # the last rows may not have been written: that nothing is seen is not sure
    return Saw((COLLAPSES_TO.value - min(shares)) / 0.05, "restart", values, at_s - BEFORE_S, at_s, channels, 0.9)


def _falls_to(series: Series, at_s: float) -> float | None:
    """Return the least of the last moment over what was usual before."""
    last = series.values[rows_between(series.t_s, at_s - BEFORE_S, at_s + 1e-6)]
    usual = series.values[rows_between(series.t_s, at_s - USUAL_S, at_s - BEFORE_S)]
    if last.size < 2 or usual.size < 2:
        return None
    return float(np.min(last)) / max(float(np.median(usual)), 1e-3)


def supply_ripple(seen: PackSeen) -> Saw | Blind:
    """How far volts go to and fro from reading to reading while much is drawn, and whether less so at a small load."""
    record = seen.answer.flown.record
    found: list[Saw] = []
    fast = False
    for quantity in (Quantity.SUPPLY_VOLTS, Quantity.PACK_VOLTS):
        series = record.get(quantity)
        if series is None or series.t_s.size < FEWEST:
            continue
        if min(series.rate_hz, series.fresh_hz or series.rate_hz) < 0.9 * RIPPLE_HZ.value:
            continue
        fast = True
        said = _ripple(seen, series)
        found += [] if said is None else [said]
    if found:
        return max(found, key=lambda each: each.beyond)
    if record.get(Quantity.SUPPLY_VOLTS) is None and record.get(Quantity.PACK_VOLTS) is None:
        return needs(Quantity.SUPPLY_VOLTS)
    return Blind(WhyNot.NOT_ALOFT if fast else WhyNot.TOO_SLOW, (Channel(Quantity.SUPPLY_VOLTS),))


def _ripple(seen: PackSeen, series: Series) -> Saw | None:
    """Return the ripple of one channel of volts; None of too few rows."""
    end = int(np.searchsorted(series.t_s, seen.looked.ended_s))
    stride = max(1, round(series.rate_hz / max(series.fresh_hz, 1e-3))) if series.fresh_hz else 1
    t_s, volts = series.t_s[:end:stride], series.values[:end:stride].astype(np.float64)
    if t_s.size < FEWEST:
        return None
    # second differences leave out slow sag: a flat spectrum's are larger by the square root of six
    rough = _second(volts)
    at_s = t_s[1:-1]
    spans = seen.answer.flown.aloft()
    aloft = np.zeros(at_s.size, np.bool_)
    for start_s, stop_s in spans:
        aloft[rows_between(at_s, start_s + 1.0, stop_s - 0.5)] = True
    if np.count_nonzero(aloft) < FEWEST:
        return None
    rough = rough - _of_load(seen.answer.flown.record, t_s, rough, aloft)
    usual_v = max(float(np.median(volts)), 1e-3)
    high = aloft
    grows: float | None = None
    if seen.load is not None:
        drawn = held_at(seen.load.t_s, seen.load.amount, at_s)
        middle = float(np.median(drawn[aloft]))
        high = aloft & (drawn >= middle)
        low = (~aloft & (drawn < 0.3 * middle)) if np.count_nonzero(~aloft) >= FEWEST else aloft & (drawn < middle)
        if np.count_nonzero(low) >= FEWEST:
            grows = log(max(_size(rough[high]), 1e-9) / max(_size(rough[low]), 1e-9) / GROWS) / 0.25
    share = _size(rough[high]) / usual_v
    values = {"ripple_share": share, "limit_share": RIPPLE_SHARE.value}
    beyond = log(max(share, 1e-6) / RIPPLE_SHARE.value) / 0.25
    if grows is None:
        return Saw(beyond, "supply", values, channels=(series.channel,), most=0.98 if beyond < 0.0 else 0.6)
    return Saw(min(beyond, grows), "supply", values, channels=(series.channel,))


def _second(values: np.ndarray) -> np.ndarray:
    return np.asarray((values[2:] - 2.0 * values[1:-1] + values[:-2]) / np.sqrt(6.0), np.float64)


def _of_load(record: FlightRecord, t_s: np.ndarray, rough: np.ndarray, aloft: np.ndarray) -> np.ndarray | float:
    """Return what of it goes with the current, at the pack's resistance: motors that swing are no noise of a supply."""
    current = record.get(Quantity.CURRENT)
    if current is None or current.t_s.size < FEWEST or (current.fresh_hz or current.rate_hz) < 0.9 * RIPPLE_HZ.value:
        return 0.0
    drawn = _second(held_at(current.t_s, current.values.astype(np.float64), t_s))
    ohm = -float(np.dot(drawn[aloft], rough[aloft])) / max(float(np.dot(drawn[aloft], drawn[aloft])), 1e-9)
    return np.asarray(-max(ohm, 0.0) * drawn, np.float64)


def _size(values: np.ndarray) -> float:
    """Typical size by the median: bursts of throttle bend volts for moments, ripple is always there."""
    return 1.4826 * float(np.median(np.abs(values))) if values.size else 0.0
