"""Blows and free falls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.impact_events_fall import find_free_falls
from turnback.assess.impact_events_stop import find_stops
from turnback.assess.signals import NEARLY, Times, rows_between, spans_where
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import ACCELERATIONS, Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import ALOFT, Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_place import (
    CLIPS,
    IMPACT_APART,
    IMPACT_FORCE,
    IMPACT_NEAR,
    IMPACT_NOISE,
    IMPACT_RATE,
)

NEEDS = tuple(Channel(each) for each in ACCELERATIONS)
_JUST_BEFORE_S = 0.05
_SHAKE_S = 0.4
_CLIPPED_ROWS = 3
_FEWEST = 20
_AFTER_S = 0.2
_SENSOR_ENDS_G = (4.0, 8.0, 16.0, 32.0)
_WHOLE_SHARE = 0.003


def find_impacts(flown: Flown) -> Happened:
    """Return blows and free falls.

    Parameters
    ----------
    flown : Flown

    Returns
    -------
    Happened
        IMPACT: `values` ``peak_mps2`` (size of specific force), ``rise_mps2`` (over the twentieth of a second before),
        ``at_least`` 1 where the sensor was at its end, ``before_mps`` and ``after_mps`` where a speed is known
        (``speed_mps`` is the one before). A landing and a stop from flight differ in these. Of a track alone:
        ``deceleration_mps2``, at least that much. FREE_FALL: see `impact_events_fall`.
    """
    force = _forces(flown.record)
    if force is None:
        stops = find_stops(flown)
        return Happened(stops.events, (*stops.not_told, NotTold(EventKind.FREE_FALL, WhyNot.NO_CHANNEL, NEEDS)))
    falls = find_free_falls(flown, force)
    rate_hz = force[0].rate_hz
    if rate_hz < NEARLY * IMPACT_RATE.value:
        why = {"rate_hz": rate_hz, "needed_hz": IMPACT_RATE.value}
        stops = find_stops(flown)
        told = stops.not_told if not stops.not_told else (NotTold(EventKind.IMPACT, WhyNot.TOO_SLOW, NEEDS, why),)
        return Happened((*stops.events, *falls.events), (*told, *falls.not_told))
    spans = _searched(flown)
    if not spans:
        return Happened(falls.events, (NotTold(EventKind.IMPACT, WhyNot.NOT_ALOFT), *falls.not_told))
    events = [event for start_s, end_s in spans for event in _blows(flown, force, start_s, end_s)]
    return Happened((*events, *falls.events), falls.not_told)


def _forces(record: FlightRecord) -> tuple[Series, Series, Series] | None:
    found = [record.get(each) for each in ACCELERATIONS]
    if any(each is None or each.t_s.size < 2 for each in found):
        return None
    return tuple(each for each in found if each is not None)  # type: ignore[return-value]


def _searched(flown: Flown) -> list[tuple[float, float]]:
    """Return flights with what comes right after, and what no channel tells."""
    spans: list[tuple[float, float]] = []
    for phase in flown.phases:
        if phase.kind not in ALOFT and phase.kind is not PhaseKind.UNKNOWN:
            continue
        end_s = phase.end_s + IMPACT_NEAR.value
        if spans and phase.start_s <= spans[-1][1]:
            spans[-1] = (spans[-1][0], end_s)
        else:
            spans.append((phase.start_s, end_s))
    return spans


def size_of(force: tuple[Series, Series, Series], start_s: float, end_s: float) -> tuple[Times, NDArray[np.floating]]:
    """Return the size of specific force and its times between two times."""
    rows = rows_between(force[0].t_s, start_s, end_s)
    t_s = force[0].t_s[rows]
    square: NDArray[np.floating] = np.zeros(t_s.size, np.float32)
    for each in force:
        values = each.values[rows] if each.t_s is force[0].t_s else np.interp(t_s, each.t_s, each.values)
        square = square + values * values
    return t_s, np.sqrt(square)


def _blows(flown: Flown, force: tuple[Series, Series, Series], start_s: float, end_s: float) -> list[Event]:
    t_s, size = size_of(force, start_s, end_s)
    if t_s.size < 3:
        return []
    # few rows are this large: only they are looked at closely
    events: list[Event] = []
    for first, after in spans_where(size > IMPACT_FORCE.value, t_s, bridge_s=IMPACT_APART.value):
        onset = int(first)
        before = size[rows_between(t_s, t_s[onset] - _SHAKE_S, t_s[onset] - _JUST_BEFORE_S / 2.0)]
        just = size[rows_between(t_s, t_s[onset] - _JUST_BEFORE_S, t_s[onset])]
        level = float(np.median(just)) if just.size else float(np.median(before)) if before.size else 9.8
        around = before if before.size > _FEWEST else size[:: max(1, size.size // 2000)]
        shake = float(np.std(around))
        peak = float(size[first:after].max())
        if peak - level < max(IMPACT_FORCE.value, IMPACT_NOISE.value * shake):
            continue
        while onset > 0 and size[onset - 1] > level + 0.15 * (peak - level) and onset > first - 50:
            onset -= 1
        values = {"peak_mps2": peak, "rise_mps2": peak - level}
        values["at_least"] = float(_clipped(force, float(t_s[first]), float(t_s[after - 1])))
        values |= _speeds(flown.record, float(t_s[onset]), float(t_s[after - 1]))
        channels = tuple(each.channel for each in force)
        stop_s = float(t_s[min(after, t_s.size - 1)])
        events.append(Event(EventKind.IMPACT, float(t_s[onset]), stop_s, channels, IMPACT_FORCE.key, values))
    return events


def _clipped(force: tuple[Series, Series, Series], start_s: float, end_s: float) -> bool:
    """True where an axis stood at the largest value it ever shows for several rows, or at a sensor's usual end."""
    for each in force:
        most = max(float(each.values.max()), -float(each.values.min()))
        rows = rows_between(each.t_s, start_s, end_s + 1e-9)
        at_end = int((np.abs(each.values[rows]) >= CLIPS.value * most).sum())
        whole = any(abs(most / (span * GRAVITY_MPS2) - 1.0) < _WHOLE_SHARE for span in _SENSOR_ENDS_G)
        if at_end >= _CLIPPED_ROWS or (at_end > 0 and whole):
            return True
    return False


def _speeds(record: FlightRecord, start_s: float, end_s: float) -> dict[str, float]:
    """Speed over ground and downward just before and after, where channels tell."""
    speed, climb = record.get(Quantity.GROUND_SPEED), record.get(Quantity.CLIMB_RATE)
    made: dict[str, float] = {}
    if speed is None or not speed.t_s.size:
        return made
    size = np.abs(speed.values.astype(np.float64))
    if climb is not None and climb.t_s.size:
        size = np.hypot(size, np.interp(speed.t_s, climb.t_s, climb.values))
    row = int(np.searchsorted(speed.t_s, start_s, side="left"))
    # of the last two rows: one may already hold part of the blow
    made["before_mps"] = float(size[max(0, row - 2) : max(1, row)].max())
    after = int(np.searchsorted(speed.t_s, end_s + _AFTER_S, side="right"))
    made["after_mps"] = float(size[min(after, size.size - 1)])
    made["speed_mps"] = made["before_mps"]
    return made
