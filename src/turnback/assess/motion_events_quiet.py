"""Which channel was the first to leave what was usual for it, before the trouble at the end of a flight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis
from turnback.assess.output_columns import Columns, aloft_rows, columns_of
from turnback.assess.output_events_ends import at_ends
from turnback.assess.signals import rows_between, spans_where
from turnback.records.channel import ACCELERATIONS, Channel, Quantity
from turnback.records.flight_record import FlightRecord, Times
from turnback.records.happened import Event, EventKind, Flown, PhaseKind
from turnback.rules.record_motion import IMPACT, QUIET_LEAST, QUIET_MARGIN, TROUBLE_LAST

REGION_S: Final = 3.0  # searched before the trouble
REFERENCE_S: Final = 9.0  # before that: what is usual
AFTER_S: Final = 0.3
LEAST_ROWS: Final = 3
LEAST_S: Final = 0.008
BRIDGE_S: Final = 0.1
BACK_S: Final = 1.0  # a channel that was quiet again for this long had another reason
SATURATED_S: Final = 0.3
MOST_NAMED: Final = 5
NEAR_END_S: Final = 0.5
LOW_SHARE, HIGH_SHARE = 0.01, 0.99
TIE_S: Final = 0.002
SURE_S: Final = 0.02
LEAST_BAND: Final = {
    "turning-rate": 0.1, "tracking-error": 0.1, "output": 0.02, "rotor-speed": 0.02, "acceleration": 3.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Signal:
    """One thing watched: a channel, or what it is beside its demand or its siblings."""

    name: str
    channel: Channel
    t_s: Times
    values: NDArray[Any]


@dataclass(frozen=True, slots=True)
class _Left:
    """A signal that left its band: when, and how many band widths it lay outside a moment later."""

    signal: _Signal
    onset_s: float
    widths: float


def trouble(flown: Flown, run_aways: list[Event]) -> float | None:
    """Return when the trouble that ended the last flight of a record became plain; None where it ended in peace."""
    spans = flown.aloft()
    if not spans:
        return None
    start_s, end_s = spans[-1]
    earliest_s = max(start_s, end_s - TROUBLE_LAST.value)
    signs = [event.start_s for event in run_aways]
    signs += [phase.start_s for phase in flown.phases if phase.kind is PhaseKind.FALL]
    outputs = columns_of(flown.record, Quantity.OUTPUT)
    if outputs is not None:
        signs += [
            event.start_s
            for event in at_ends(outputs, aloft_rows(flown, outputs.t_s))
            if event.words["corners"] == "some" and event.values["duration_s"] >= SATURATED_S
        ]
    blow_s = _blow(flown.record, end_s)
    if blow_s is not None:
        signs.append(blow_s)
    return min((sign_s for sign_s in signs if earliest_s <= sign_s <= end_s + NEAR_END_S), default=None)


def _blow(record: FlightRecord, end_s: float) -> float | None:
    """Return when the flight's end is a blow."""
    series = [each for each in map(record.get, ACCELERATIONS) if each is not None]
    first: list[float] = []
    for each in series:
        rows = rows_between(each.t_s, end_s - NEAR_END_S, end_s + NEAR_END_S)
        part = each.values[rows]
        if part.size < LEAST_ROWS:
            continue
        hit = np.flatnonzero(np.abs(part - np.median(part)) > IMPACT.value)
        if hit.size:
            first.append(float(each.t_s[rows][hit[0]]))
    return min(first, default=None)


def first_out(flown: Flown, axes: tuple[Axis, ...], trouble_s: float) -> Event | None:
    """Return the channels in the order in which they left their quiet bands before a trouble.

    Parameters
    ----------
    flown : Flown
    axes : tuple of Axis
    trouble_s : float

    Returns
    -------
    Event or None
        None where no channel left its band, or what is usual cannot be seen.

    Notes
    -----
    Of what the pilot may command the part beside the command is watched: tracking errors where demands are recorded,
    outputs and rotor speeds beside the median of the corners.
    """
    start_s = next((span[0] for span in flown.aloft() if span[0] <= trouble_s <= span[1] + NEAR_END_S), trouble_s)
    region_s = min(REGION_S, 0.5 * (trouble_s - start_s))
    if region_s < QUIET_LEAST.value:
        return None
    from_s = trouble_s - region_s
    usual = (max(start_s, from_s - REFERENCE_S), from_s)
    left = [_leaves(signal, usual, from_s, trouble_s) for signal in _signals(flown.record, axes)]
    out = sorted((each for each in left if each is not None), key=lambda each: each.onset_s)
    if not out or out[0].onset_s > trouble_s + TIE_S:
        return None
    tied = [each for each in out if each.onset_s - out[0].onset_s <= TIE_S]
    tied.sort(key=lambda each: -each.widths)
    named = [*tied, *out[len(tied) :]][:MOST_NAMED]
    values = {f"onset_{place}_s": each.onset_s for place, each in enumerate(named, 1)}
    values |= {"trouble_s": trouble_s, "lead_s": max(0.0, trouble_s - out[0].onset_s)}
    at = named[0].signal.channel.at
    return Event(
        EventKind.LEAVES_QUIET, out[0].onset_s, max(trouble_s, out[0].onset_s),
        tuple(each.signal.channel for each in named),
        QUIET_MARGIN.key, values, () if at is None else (at,),
        {f"signal_{place}": each.signal.name for place, each in enumerate(named, 1)},
    )  # fmt: skip


def _signals(record: FlightRecord, axes: tuple[Axis, ...]) -> list[_Signal]:
    """Return everything that is watched."""
    found = []
    for axis in axes:
        if axis.demand is not None and axis.same_way:
            found.append(_Signal("tracking-error", axis.rate.channel, axis.t_s, axis.rate.values - axis.demand))
        else:
            found.append(_Signal("turning-rate", axis.rate.channel, axis.t_s, axis.rate.values))
    for name, quantity in (("output", Quantity.OUTPUT), ("rotor-speed", Quantity.ROTOR_SPEED)):
        columns = columns_of(record, quantity)
        if columns is not None and len(columns.channels) > 1:
            found += _beside(name, columns)
    for series in map(record.get, ACCELERATIONS):
        if series is not None:
            found.append(_Signal("acceleration", series.channel, series.t_s, series.values))
    return found


def _beside(name: str, columns: Columns) -> list[_Signal]:
    """Return channels of corners beside the median of all; rotor speeds as a share of it."""
    last = rows_between(columns.t_s, float(columns.t_s[-1]) - TROUBLE_LAST.value - 2 * REFERENCE_S, np.inf)
    t_s = columns.t_s[last]
    parts = [values[last] for values in columns.values]
    middle = np.median(parts, axis=0)
    scale = np.maximum(middle, 1e-6) if name == "rotor-speed" else 1.0
    return [
        _Signal(name, channel, t_s, (part - middle) / scale)
        for channel, part in zip(columns.channels, parts, strict=True)
    ]


def _leaves(signal: _Signal, usual: tuple[float, float], from_s: float, trouble_s: float) -> _Left | None:
    """Return when a signal leaves its band between two times and does not come back before the trouble."""
    quiet = signal.values[rows_between(signal.t_s, *usual)]
    rows = rows_between(signal.t_s, from_s, trouble_s + AFTER_S)
    part, t_s = signal.values[rows], signal.t_s[rows]
    if quiet.size < LEAST_ROWS * LEAST_ROWS or part.size < LEAST_ROWS:
        return None
    low, high = np.quantile(quiet, [LOW_SHARE, HIGH_SHARE])
    margin = max(QUIET_MARGIN.value * float(high - low), LEAST_BAND[signal.name])
    outside = (part < low - margin) | (part > high + margin)
    step_s = float(t_s[-1] - t_s[0]) / max(t_s.size - 1, 1)
    spans = spans_where(outside, t_s, bridge_s=BRIDGE_S)
    long = [
        (int(a), int(b)) for a, b in spans
        if outside[a:b].sum() >= LEAST_ROWS and t_s[min(b, t_s.size - 1)] - t_s[a] >= min(LEAST_S, 3.0 * step_s)
    ]  # fmt: skip
    onset: int | None = None
    back_at_s = trouble_s + AFTER_S
    for first, after in reversed(long):
        if back_at_s - float(t_s[min(after, t_s.size - 1)]) > BACK_S:
            break
        onset, back_at_s = first, float(t_s[first])
    if onset is None:
        return None
    soon = rows_between(t_s, float(t_s[onset]), float(t_s[onset]) + SURE_S + step_s)
    middle, half = 0.5 * (low + high), 0.5 * (high - low) + margin
    return _Left(signal, float(t_s[onset]), float(np.max(np.abs(part[soon] - middle)) / half))
