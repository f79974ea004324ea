"""Loss of the control link, and packets lost although the level is high."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import (
    Floats,
    Span,
    between,
    inside,
    no_channel,
    odd_width,
    spans_looked_at,
    thinned,
    values_at,
    within,
)
from turnback.assess.signals import held_at, spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened
from turnback.rules.record_link import (
    FLOOR_BELOW,
    FLOOR_LEAST_S,
    LEVEL_HIGH,
    LEVEL_MARGIN,
    LOST_LEAST_S,
    MISSING_S,
    QUALITY_GOOD,
    QUALITY_LOW,
    QUALITY_LOW_S,
    QUALITY_NONE,
)
from turnback.rules.rule import Threshold

WAYS: Final = (
    (Quantity.LINK_QUALITY, Quantity.LINK_LEVEL),
    (Quantity.LINK_QUALITY_BACK, Quantity.LINK_LEVEL_BACK),
)
LINK: Final = (Quantity.LINK_LOSS, Quantity.LINK_QUALITY, Quantity.LINK_LEVEL, Quantity.LINK_QUALITY_BACK,
               Quantity.LINK_LEVEL_BACK)  # fmt: skip
AVERAGED_S: Final = 1.5
"""Quality is often a mean over up to about this long, so that it slides to nothing."""
BRIDGE_S: Final = 0.5
MOST_PICKS: Final = 50_000
FLOOR_SAMPLES: Final = 5.0
"""One low reading is a fade."""
FLOOR_REACH_DB: Final = 15.0
NO_LEVEL_DBM: Final = -1.0
"""No receiver of a flying aircraft hears this much: a nought stands for no reading."""

_Seen = tuple[float, float, Channel, Threshold, str]


def find_lost(flown: Flown) -> Happened:
    """Find spans without control link: said so, no packets, the level at its floor, or no reading at all.

    Parameters
    ----------
    flown : Flown
    """
    record = flown.record
    if not any(record.get(quantity) for quantity in LINK):
        return Happened((), (no_channel(EventKind.LINK_LOST, *LINK[:3]),))
    looked = spans_looked_at(flown)
    seen: list[_Seen] = []
    loss = record.get(Quantity.LINK_LOSS)
    if loss is not None:
        spans = _spans(loss, loss.values > 0.5, 0.0)
        seen += [(start_s, end_s, loss.channel, LOST_LEAST_S, "flag") for start_s, end_s in spans]
    for quality, level in WAYS:
        seen += _no_packets(record.get(quality)) + _at_floor(record.get(level))
        for series in (record.get(quality), record.get(level)):
            seen += _missing(record, series)
    seen = sorted((one for one in seen if within(one[0], looked)), key=lambda one: one[0])
    return Happened(tuple(_told(flown, group, looked) for group in _groups(seen)))


def _spans(series: Series, holds: np.ndarray, least_s: float, bridge_s: float = BRIDGE_S) -> list[Span]:
    """Return the spans of time in which something holds of a channel."""
    last = series.t_s.size - 1
    rows = spans_where(np.ascontiguousarray(holds), series.t_s, least_s=least_s, bridge_s=bridge_s)
    return [(float(series.t_s[first]), float(series.t_s[min(after, last)])) for first, after in rows]


def _no_packets(series: Series | None) -> list[_Seen]:
    """Return the spans in which no packet came, from where quality began to slide."""
    if series is None or not (series.values > QUALITY_LOW.value).any():
        return []
    seen: list[_Seen] = []
    for start_s, end_s in _spans(series, series.values <= QUALITY_NONE.value, LOST_LEAST_S.value):
        first = int(np.searchsorted(series.t_s, start_s))
        earliest = int(np.searchsorted(series.t_s, start_s - AVERAGED_S))
        half = 0.5 * float(np.median(series.values[max(0, earliest - 200) : earliest + 1]))
        while first > earliest and series.values[first] <= series.values[first - 1] < half:
            first -= 1
        seen.append((float(series.t_s[first]), end_s, series.channel, QUALITY_NONE, "quality"))
    return seen


def _at_floor(series: Series | None) -> list[_Seen]:
    """Return the spans in which a level stands at its lowest number, or at a nought that is no level."""
    if series is None or series.values.size < 10:
        return []
    values = series.values
    nothing = values >= NO_LEVEL_DBM
    floor = float(values.min())
    if floor >= NO_LEVEL_DBM:
        return []
    at_floor = values <= floor + 1e-3
    picked = values[:: max(1, values.size // MOST_PICKS)]
    others = picked[(picked > floor + 1e-3) & (picked < NO_LEVEL_DBM)]
    apart = others.size and float(np.percentile(others, 5.0)) - floor >= FLOOR_BELOW.value
    apart = apart and floor <= LEVEL_HIGH.value - FLOOR_REACH_DB  # a link still works above that
    holds = (at_floor if apart else np.zeros_like(at_floor)) | nothing
    least_s = max(FLOOR_LEAST_S.value, FLOOR_SAMPLES / max(series.rate_hz, 1e-3))
    # exactly so, without a break: whole decibels come back to a lowest number now and then
    spans = _spans(series, holds, least_s, 0.0)
    return [(start_s, end_s, series.channel, FLOOR_LEAST_S, "level") for start_s, end_s in spans]


def _missing(record: FlightRecord, series: Series | None) -> list[_Seen]:
    """Return the spans in which a channel has no reading while the others have theirs."""
    links = {Channel(quantity) for quantity in LINK}
    others = [each for channel, each in record.series.items() if channel not in links]
    if series is None or series.t_s.size < 3 or any(each.t_s is series.t_s for each in others):
        return []  # row for row with another channel: none is missing
    steps_s = np.diff(series.t_s)
    step_s = 1.0 / max(series.rate_hz, 1e-3)
    least_s = max(MISSING_S.value, 5.0 * step_s)
    gaps = [(float(series.t_s[row]), float(series.t_s[row + 1])) for row in np.flatnonzero(steps_s > least_s)]
    end_s = record.clock.length_s
    if end_s - float(series.t_s[-1]) > least_s:
        gaps.append((float(series.t_s[-1]), end_s))
    out: list[_Seen] = []
    for start_s, end in gaps[:100]:
        # whatever has rows all through the gap shows that the record went on
        goes_on = any(
            (rows := between(each, start_s, end)).size >= 5 and rows.size >= 0.8 * (end - start_s) * each.rate_hz
            for each in others
        )
        if goes_on:
            after = start_s + step_s
            out.append((after, end, series.channel, MISSING_S, "missing"))
    return out


def _groups(seen: list[_Seen]) -> list[list[_Seen]]:
    """Put together what is seen at the same time."""
    groups: list[list[_Seen]] = []
    end_s = -np.inf
    for one in seen:
        if one[0] <= end_s + BRIDGE_S:
            groups[-1].append(one)
        else:
            groups.append([one])
            end_s = -np.inf
        end_s = max(end_s, one[1])
    return groups


def _told(flown: Flown, group: list[_Seen], looked: tuple[Span, ...]) -> Event:
    """Return one loss of the link."""
    record = flown.record
    start_s, end_s = group[0][0], max(one[1] for one in group)
    values = {"duration_s": end_s - start_s}
    span = within(start_s, looked)
    # still lost when it was down, or when the record ended
    values["back"] = float(span is not None and end_s < span[1] - 1e-9)
    for name, quantity in (
        ("level_before_dbm", Quantity.LINK_LEVEL), ("level_back_before_dbm", Quantity.LINK_LEVEL_BACK),
        ("quality_before", Quantity.LINK_QUALITY),
    ):  # fmt: skip
        series = record.get(quantity)
        before = np.empty(0) if series is None else between(series, start_s - 2.0, start_s)
        if before.size:
            values[name] = float(np.median(before))
    values |= values_at(
        record, start_s, distance_m=Quantity.DISTANCE_LAUNCH, height_m=Quantity.HEIGHT_LAUNCH,
        roll_rad=Quantity.ROLL, pitch_rad=Quantity.PITCH,
    )  # fmt: skip
    channels = tuple(dict.fromkeys(one[2] for one in group))
    seen_by = ",".join(dict.fromkeys(one[4] for one in group))
    return Event(EventKind.LINK_LOST, start_s, end_s, channels, group[0][3].key, values, words={"seen_by": seen_by})


def find_quality_low(flown: Flown, lost: tuple[Event, ...]) -> Happened:
    """Find packets lost although the level is high: above a stated level, or above what was enough in this record.

    Parameters
    ----------
    flown : Flown
    lost : tuple of Event
        A loss that begins and ends without low quality around it is told there alone.
    """
    record = flown.record
    events: list[Event] = []
    told = False
    for quality_of, level_of in WAYS:
        quality, level = record.get(quality_of), record.get(level_of)
        if quality is None or level is None:
            continue
        told = True
        events += _low_at_high(flown, quality, level, lost)
    needs = (Quantity.LINK_QUALITY, Quantity.LINK_LEVEL)
    missing = () if told else (no_channel(EventKind.QUALITY_LOW_LEVEL_HIGH, *needs),)
    return Happened(tuple(events), missing)


def _low_at_high(flown: Flown, quality: Series, level: Series, lost: tuple[Event, ...]) -> list[Event]:
    """Return the spans of low quality at a high level, of one direction of the link."""
    looked = spans_looked_at(flown)
    t_s, share = thinned(quality, 20.0)
    aloft = inside(t_s, looked)
    if np.count_nonzero(aloft) < 10:
        return []
    level_dbm = held_at(level.t_s, level.values, t_s).astype(np.float64)
    smooth = running_median(share, odd_width(t_s, 0.5, 3))
    out: list[Event] = []
    spans = spans_where((smooth < QUALITY_LOW.value) & aloft, t_s, least_s=QUALITY_LOW_S.value, bridge_s=BRIDGE_S)
    low = np.zeros(t_s.size, np.bool_)
    for first, after in spans:
        low[first:after] = True
    for first, after in spans:
        end_s = float(t_s[min(after, t_s.size - 1)])
        start_s = _onset_s(quality, float(t_s[first]))
        around = inside(t_s, [(start_s - 0.5, end_s + 0.5)]) & (level_dbm < NO_LEVEL_DBM)
        if not around.any():
            continue
        weakest_dbm = float(np.percentile(level_dbm[around], 10.0))
        told = _well_above(t_s, smooth, level_dbm, low | ~aloft, weakest_dbm)
        if told is None or _same_as_lost(start_s, end_s, lost):
            continue
        rule, values = told
        least = float(np.min(smooth[first:after]))
        values |= {"least_quality": least, "quality": float(np.mean(share[first:after])), "level_dbm": weakest_dbm,
                   "duration_s": end_s - start_s}  # fmt: skip
        out.append(Event(EventKind.QUALITY_LOW_LEVEL_HIGH, start_s, end_s, (quality.channel, level.channel), rule.key,
                         values))  # fmt: skip
    return out


def _well_above(
    t_s: Floats, share: Floats, level_dbm: Floats, leave_out: np.ndarray, weakest_dbm: float
) -> tuple[Threshold, dict[str, float]] | None:
    """Return the rule by which a level is high: stated, or learned from this record; None where it is not."""
    if weakest_dbm >= LEVEL_HIGH.value:
        return LEVEL_HIGH, {"limit_dbm": LEVEL_HIGH.value}
    weaker = ~leave_out & (level_dbm <= weakest_dbm - LEVEL_MARGIN.value)
    step_s = float(np.median(np.diff(t_s)))
    if np.count_nonzero(weaker) * step_s < 5.0 or float(np.percentile(share[weaker], 20.0)) < QUALITY_GOOD.value:
        return None
    return LEVEL_MARGIN, {"limit_dbm": float(np.percentile(level_dbm[weaker], 50.0))}


def _same_as_lost(start_s: float, end_s: float, lost: tuple[Event, ...]) -> bool:
    """Tell whether a span of low quality is no more than a loss of the link that is told already."""
    shared = sum(max(0.0, min(end_s, each.end_s) - max(start_s, each.start_s)) for each in lost)
    return end_s - start_s - shared < QUALITY_LOW_S.value


def _onset_s(quality: Series, near_s: float) -> float:
    """Return the time of the first row below the limit around the start of a span."""
    rows = slice(*np.searchsorted(quality.t_s, [near_s - 0.6, near_s + 0.6]))
    below = np.flatnonzero(quality.values[rows] < QUALITY_LOW.value)
    return float(quality.t_s[rows][below[0]]) if below.size else near_s
