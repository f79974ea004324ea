"""Dips of a radio level that stand out of the record's own spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import (
    Floats,
    Span,
    inside,
    no_channel,
    odd_width,
    slow_trend,
    spans_looked_at,
    step_onset_s,
    thinned,
    too_slow,
    values_at,
)
from turnback.assess.signals import held_at, spans_where
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened
from turnback.rules.record_link import DIP_DB, DIP_HZ, DIP_LEAST_S, DIP_SPREADS, NEAR_LEVEL

MOST_HZ: Final = 20.0
LEAST_SAMPLES: Final = 5
NEAREST_M: Final = 10.0
"""Nearer than this the pattern of antennas and the launch point's error rule the level, not the distance."""
MOST_SLOPE_DB: Final = 40.0
"""Over flat ground far away the level falls by 40 dB in every tenfold of distance (two rays); never faster for long."""
SETTLES_S: Final = 5.0
"""In the first seconds aloft the distance grows tenfold: a fall of the level is then no dip."""
RENEWS_S: Final = 30.0
"""A level that has not come back for this long is the new usual one."""
SUDDEN_S: Final = 2.0
SUDDEN_SHARE: Final = 0.7
"""Where the distance is not recorded, flying off fast looks like a dip, only slower: so much must fall within 2 s."""
PATTERN_M, PATTERN_DB = 20.0, 20.0
"""Near the pilot a few steps take it through a null; no usual antenna's is deeper by more."""
TURNING_RATIO: Final = 1.5
"""Turning about takes an antenna's null past the pilot within a second: 10 to 15 dB, and slower than a wall does."""
BEFORE_S: Final = 3.0
"""The level just before is what it fell from: over ten seconds, flying about changes it by 6 dB and more."""
STEP_RATIO: Final = 1.25
"""The difference of two samples has a larger spread than one."""


@dataclass(frozen=True, slots=True)
class _Smooth:
    """A level while aloft and with link, smoothed; `level_db` has the fall with distance taken off."""

    t_s: Floats
    level_dbm: Floats
    level_db: Floats
    width_s: float


def find_dips(flown: Flown, lost: tuple[Event, ...]) -> Happened:
    """Find dips of the control link's level, both ways, and of the video link's.

    Parameters
    ----------
    flown : Flown
    lost : tuple of Event
        Spans without link: no level there counts.
    """
    record = flown.record
    up, back, video = map(record.get, (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK, Quantity.VIDEO_LEVEL))
    told = [] if up or back else [no_channel(EventKind.LEVEL_DIP, Quantity.LINK_LEVEL)]
    found: list[list[Event]] = []
    for series in (up, back, video):
        found.append([])
        if series is None or series.t_s.size < 2:
            continue
        if record.get(Quantity.DISTANCE_LAUNCH) is None and series.rate_hz < DIP_HZ.value:
            told.append(too_slow(EventKind.LEVEL_DIP, series.channel, series.rate_hz, DIP_HZ.value))
        else:
            found[-1] += _dips(flown, series, lost)
    return Happened((*_merged([*found[0], *found[1]]), *found[2]), tuple(told))


def _merged(dips: list[Event]) -> list[Event]:
    """Join dips that both ends of the link see at the same time: the deeper one speaks, the earlier one starts."""
    out: list[Event] = []
    for dip in sorted(dips, key=lambda each: each.start_s):
        if not out or dip.start_s >= out[-1].end_s or dip.channels[0] in out[-1].channels:
            out.append(dip)
            continue
        last = out[-1]
        deeper = max(last, dip, key=lambda each: each.values["depth_db"])
        channels = (*last.channels, *dip.channels)
        end_s = max(last.end_s, dip.end_s)
        out[-1] = Event(dip.kind, last.start_s, end_s, channels, dip.rule, deeper.values, words=dip.words)
    return out


def _dips(flown: Flown, series: Series, lost: tuple[Event, ...]) -> list[Event]:
    """Return the dips of one level."""
    looked = spans_looked_at(flown)
    smooth = _smoothed(flown.record, series, looked, lost)
    if smooth is None:
        return []
    t_s, level_db = smooth.t_s, smooth.level_db
    rest_db = level_db - slow_trend(t_s, level_db)
    spread_db = float(np.median(rest_db) - np.percentile(rest_db, 16.0))
    deep_db = max(DIP_DB.value, DIP_SPREADS.value * spread_db)
    back = max(1, odd_width(t_s, 1.0, LEAST_SAMPLES) - 1)
    fall_db = np.zeros_like(level_db)
    if level_db.size > back:
        fall_db[back:] = level_db[back:] - level_db[:-back]
        fall_db[back:][t_s[back:] - t_s[:-back] > 3.0 * (1.0 + smooth.width_s)] = 0.0  # over a gap nobody knows
    for start_s, _ in looked:
        fall_db[(t_s >= start_s) & (t_s < start_s + SETTLES_S)] = 0.0
    # what comes and goes slowly widens the spread of the level, not that of its changes within a second
    change_db = float(np.median(fall_db) - np.percentile(fall_db, 16.0))
    sudden_db = min(STEP_RATIO * deep_db, max(TURNING_RATIO * DIP_DB.value, DIP_SPREADS.value * change_db))
    deep = rest_db < -deep_db
    low = deep | (fall_db < -sudden_db)
    events: list[Event] = []
    for first, after in spans_where(low, t_s, bridge_s=2.0 * smooth.width_s):
        if events and t_s[first] < min(events[-1].end_s, events[-1].start_s + RENEWS_S):
            continue
        depth_db = deep_db if deep[first] else sudden_db / STEP_RATIO
        if not deep[first] and _within_pattern(flown.record, t_s[[first, after - 1]]):
            depth_db = max(depth_db, PATTERN_DB)
        event = _told(flown.record, series, smooth, int(first), int(after), looked, depth_db)
        if event is not None:
            events.append(event)
    return events


def _within_pattern(record: FlightRecord, at_s: Floats) -> bool:
    """Tell whether it was so near, at one of some moments, that the pattern of antennas rules the level."""
    distance = record.get(Quantity.DISTANCE_LAUNCH)
    return distance is not None and bool((held_at(distance.t_s, distance.values, at_s) < PATTERN_M).any())


def _smoothed(
    record: FlightRecord, series: Series, looked: tuple[Span, ...], lost: tuple[Event, ...]
) -> _Smooth | None:
    """Return the level where it counts, smoothed, the fall with distance taken off; None if there is too little."""
    t_s, level_dbm = thinned(series, MOST_HZ)
    keep = inside(t_s, looked) & ~inside(t_s, [(each.start_s, each.end_s) for each in lost])
    t_s, level_dbm = t_s[keep], level_dbm[keep]
    if t_s.size < 2 * LEAST_SAMPLES:
        return None
    fresh_s = 1.0 / series.fresh_hz if series.fresh_hz > 0.0 else 0.0
    width = odd_width(t_s, max(2.0 * DIP_LEAST_S.value - 1e-9, LEAST_SAMPLES * fresh_s), LEAST_SAMPLES)
    smooth_dbm = running_median(level_dbm, width)
    width_s = width * float(np.median(np.diff(t_s)))
    fall_db = _fall_with_distance_db(record, t_s, smooth_dbm)
    return _Smooth(t_s, smooth_dbm, running_median(level_dbm - fall_db, width), width_s)


def _fall_with_distance_db(record: FlightRecord, t_s: Floats, level_dbm: Floats) -> Floats:
    """Return how the level falls with distance in this very record: a line on the logarithm, dips left out."""
    distance = record.get(Quantity.DISTANCE_LAUNCH)
    if distance is None:
        return np.zeros_like(t_s)
    decades = np.log10(np.maximum(held_at(distance.t_s, distance.values, t_s), NEAREST_M) / NEAREST_M).astype(
        np.float64
    )
    keep = np.ones(t_s.size, np.bool_)
    fall_db = np.zeros_like(t_s)
    for _ in range(3):
        x, y = decades[keep], level_dbm[keep]
        spread = float(np.var(x)) if x.size else 0.0
        slope = 0.0 if spread < 1e-3 else float(np.mean((x - x.mean()) * (y - y.mean()))) / spread
        fall_db = np.clip(slope, -MOST_SLOPE_DB, 0.0) * decades
        rest = level_dbm - fall_db
        keep = rest > np.median(rest) - DIP_DB.value
    return fall_db


def _fall_db(smooth: _Smooth, onset_s: float) -> float:
    """Return the largest fall within two seconds, around an onset."""
    step_s = float(np.median(np.diff(smooth.t_s)))
    back = max(2, round(SUDDEN_S / step_s))
    near = np.flatnonzero(np.abs(smooth.t_s - onset_s) <= SUDDEN_S + step_s)
    level_db = smooth.level_db
    return float(np.max(level_db[np.maximum(near - back, 0)] - level_db[near], initial=0.0))


def _told(
    record: FlightRecord,
    series: Series,
    smooth: _Smooth,
    first: int,
    after: int,
    looked: tuple[Span, ...],
    depth_db: float,
) -> Event | None:
    """Return one dip: its exact onset, how deep, and whether it came back."""
    t_s, level_db = smooth.t_s, smooth.level_db
    reach_s = max(1.0, smooth.width_s)
    onset_s = step_onset_s(series.t_s, series.values, float(t_s[first]), reach_s)
    if not looked[0][0] <= onset_s:
        onset_s = float(t_s[first])
    before = (t_s >= onset_s - max(BEFORE_S, 3.0 * smooth.width_s)) & (t_s < onset_s - 0.5 * smooth.width_s)
    typical_db = float(np.median(level_db[before])) if np.count_nonzero(before) >= 3 else float(np.median(level_db))
    span_end = next((end for start, end in looked if start <= t_s[first] <= end), float(t_s[-1]))
    stop = int(np.searchsorted(t_s, span_end, side="right"))
    # back where it was about, or up again as suddenly as it fell
    back = max(1, odd_width(t_s, 1.0, LEAST_SAMPLES) - 1)
    half_db = 0.5 * max(depth_db, typical_db - float(np.median(level_db[first:after])))
    rise_db = level_db[after:stop] - level_db[np.maximum(np.arange(after, stop) - back, first)]
    up = (rise_db > half_db) & (level_db[after:stop] > typical_db - half_db)
    returned = np.flatnonzero((level_db[after:stop] > typical_db - 0.5 * depth_db) | up)
    came_back = returned.size > 0
    last = after + int(returned[0]) if came_back else stop - 1
    end_s = step_onset_s(series.t_s, series.values, float(t_s[last]), reach_s) if came_back else float(t_s[last])
    if end_s - onset_s < DIP_LEAST_S.value:
        end_s = float(t_s[last])
    rows = slice(first, max(last, first + 1))
    lowest = first + int(np.argmin(level_db[rows]))
    deep_db = typical_db - float(np.median(level_db[rows]))
    near = float(np.median(smooth.level_dbm[rows])) > NEAR_LEVEL.value
    slow = _fall_db(smooth, onset_s) < SUDDEN_SHARE * depth_db
    if record.get(Quantity.DISTANCE_LAUNCH) is None and (slow or near):
        return None
    if deep_db < 0.8 * depth_db or end_s - onset_s < DIP_LEAST_S.value:
        return None
    values = {
        "depth_db": deep_db,
        "least_dbm": float(smooth.level_dbm[lowest]),
        "typical_dbm": float(smooth.level_dbm[lowest] - level_db[lowest]) + typical_db,
        "back": float(came_back),
        "limit_db": depth_db,
        **values_at(
            record, float(t_s[lowest]), roll_rad=Quantity.ROLL, pitch_rad=Quantity.PITCH,
            heading_rad=Quantity.HEADING, distance_m=Quantity.DISTANCE_LAUNCH,
        ),
    }  # fmt: skip
    link = "video" if series.channel.quantity is Quantity.VIDEO_LEVEL else "control"
    return Event(EventKind.LEVEL_DIP, onset_s, end_s, (series.channel,), DIP_DB.key, values, words={"link": link})
