"""What hands and switches did: sticks to and fro, sticks at a stop, throttle cut then full, disarmed aloft, modes."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.impact_events import find_impacts
from turnback.assess.link_events_parts import (
    Floats,
    Span,
    between,
    inside,
    no_channel,
    spans_looked_at,
    thinned,
    too_slow,
    value_at,
    within,
)
from turnback.assess.link_events_rest import fell
from turnback.assess.link_events_restart import find_restarts
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.stick_turns import turning_rows
from turnback.records.channel import STICKS, Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_sticks import (
    AT_STOP,
    AT_STOP_S,
    CUT,
    CUT_FULL,
    CUT_LEAST_S,
    CUT_RISE_S,
    FULL_THROTTLE_S,
    MODE_CHANGES,
    OFF_ALOFT,
    OFF_HEIGHT_M,
    REVERSAL_HZ,
    REVERSAL_LEAST,
    REVERSAL_SWING,
    STICK_HZ,
)

KINDS: Final = (
    EventKind.STICK_REVERSALS, EventKind.STICK_AT_STOP, EventKind.THROTTLE_CUT, EventKind.ARM_SWITCH_OFF_ALOFT,
    EventKind.MODE_CHANGE,
)  # fmt: skip
OF_STICKS: Final = KINDS[:3]
MOST_HZ: Final = 100.0
MOST_EVENTS: Final = 100
SLOWEST_SWING: Final = 1.4
STOP_BRIDGE_S: Final = 0.1
STARTS_SHARE: Final = 0.15
"""The first swing began where it had gone this much of its way."""
MOVES_MPS: Final = 3.0
AFTER_S: Final = 0.3
AFTER_LEAST_S: Final = 0.6
CRASHED_S: Final = 5.0
FALLS_BEFORE_S: Final = 1.0


def find_sticks(flown: Flown) -> Happened:
    """Tell what the pilot's sticks and switches did while it flew.

    Parameters
    ----------
    flown : Flown

    Returns
    -------
    Happened
        Events of the kinds `KINDS`, by onset within each kind.
    """
    record = flown.record
    looked = spans_looked_at(flown)
    if not looked:
        return Happened((), tuple(NotTold(kind, WhyNot.NOT_ALOFT) for kind in KINDS))
    events: list[Event] = []
    told: list[NotTold] = []
    sticks = [each for each in map(record.get, STICKS) if each is not None and each.t_s.size > 2]
    if not sticks:
        told += [no_channel(kind, *STICKS) for kind in OF_STICKS]
    for each in sticks:
        if each.rate_hz < STICK_HZ.value:
            told.append(too_slow(EventKind.STICK_REVERSALS, each.channel, each.rate_hz, STICK_HZ.value))
        else:
            events += _reversals(each, looked)
        events += _at_stop(each, looked)
    throttle = record.get(Quantity.THROTTLE)
    if throttle is not None:
        events += _cut(throttle, looked)
    elif sticks:
        told.append(no_channel(EventKind.THROTTLE_CUT, Quantity.THROTTLE))
    for kind, quantity, finder in (
        (EventKind.ARM_SWITCH_OFF_ALOFT, Quantity.ARMED, _disarmed), (EventKind.MODE_CHANGE, Quantity.MODE, _modes),
    ):  # fmt: skip
        series = record.get(quantity)
        if series is None or series.t_s.size < 2:
            told.append(no_channel(kind, quantity))
        else:
            events += finder(flown, series, looked)
    return Happened(tuple(events), tuple(told))


def _reversals(series: Series, looked: tuple[Span, ...]) -> list[Event]:
    """Return where one stick goes to and fro faster than a steady hand."""
    t_s, values = thinned(series, MOST_HZ)
    turns = turning_rows(values, REVERSAL_SWING.value)
    turns = turns[inside(t_s[turns], looked)]
    if turns.size < REVERSAL_LEAST.value:
        return []
    swing_s = np.diff(t_s[turns])
    # one swing is timed badly: the rate is that of as many as it takes, none of them far slower, and not by a short one
    count = int(REVERSAL_LEAST.value) - 1
    every_s = np.lib.stride_tricks.sliding_window_view(swing_s, count)
    means_s = (every_s.sum(axis=1) - every_s.min(axis=1)) / (count - 1)
    held = np.convolve(means_s < 0.5 / REVERSAL_HZ.value, np.ones(count), mode="full") > 0.5
    fast = np.append(held & (swing_s < SLOWEST_SWING * 0.5 / REVERSAL_HZ.value), False)
    events = []
    # turns whose next one follows fast, so that a span of rows is one train of turns
    for first, after in spans_where(fast, t_s[turns]):
        train = turns[first : after + 1]
        if train.size < REVERSAL_LEAST.value:
            continue
        lasts_s = float(t_s[train[-1]] - t_s[train[0]])
        swings = np.abs(np.diff(values[train]))
        start_s = _first_swing_s(series, t_s, values, train)
        event_values = {
            "rate_hz": 0.5 * (train.size - 1) / lasts_s,
            "amplitude": 0.5 * float(np.median(swings)),
            "turns": float(train.size),
        }
        end_s = float(t_s[train[-1]])
        events.append(
            Event(EventKind.STICK_REVERSALS, start_s, end_s, (series.channel,), REVERSAL_HZ.key, event_values)
        )
    return events[:MOST_EVENTS]


def _first_swing_s(series: Series, t_s: Floats, values: Floats, train: NDArray[np.intp]) -> float:
    """Return when the first swing began, at the full rate: on the way to the first turn, or after a still stretch."""
    turn_s, next_s = float(t_s[train[0]]), float(t_s[train[1]])
    turn = float(values[train[0]])
    # the first swing, from the middle, takes no longer than the next ones from stop to stop
    usual_s = float(np.median(np.diff(t_s[train])))
    reach_s = min(0.5 / REVERSAL_HZ.value, usual_s) + 2.0 / max(series.rate_hz, 1.0)
    before = rows_between(series.t_s, turn_s - reach_s, turn_s + 1e-9)
    came_from = between(series, turn_s - reach_s, turn_s)
    moved = came_from.size > 0 and abs(float(came_from[0]) - turn) >= 0.5 * REVERSAL_SWING.value
    rows = before if moved else rows_between(series.t_s, turn_s, next_s + 1e-9)
    seen = series.values[rows].astype(np.float64)
    if seen.size < 3:
        return turn_s
    still = np.flatnonzero(np.abs(seen - seen[0]) <= STARTS_SHARE * max(float(np.ptp(seen)), REVERSAL_SWING.value))
    return float(series.t_s[rows][min(int(still[-1]) + 1, seen.size - 1)])


def _at_stop(series: Series, looked: tuple[Span, ...]) -> list[Event]:
    """Return where a stick is held at its stop for long; throttle at its lower one is not meant."""
    throttle = series.channel.quantity is Quantity.THROTTLE
    least = FULL_THROTTLE_S if throttle else AT_STOP_S
    events = []
    for side in (1.0,) if throttle else (1.0, -1.0):
        at_stop = series.values * series.values.dtype.type(side) >= AT_STOP.value
        for first, after in spans_where(at_stop, series.t_s, least_s=least.value, bridge_s=STOP_BRIDGE_S)[:MOST_EVENTS]:
            start_s, end_s = float(series.t_s[first]), float(series.t_s[min(after, series.t_s.size - 1)])
            if within(start_s, looked) is None:
                continue
            values = {"held_s": end_s - start_s, "side": side, "limit_s": least.value}
            events.append(Event(EventKind.STICK_AT_STOP, start_s, end_s, (series.channel,), least.key, values))
    return sorted(events, key=lambda event: event.start_s)


def _cut(throttle: Series, looked: tuple[Span, ...]) -> list[Event]:
    """Return where the throttle was let go aloft and then pushed full within moments."""
    t_s = throttle.t_s
    full = throttle.values >= CUT_FULL.value
    events = []
    for first, after in spans_where(throttle.values <= CUT.value, t_s, least_s=CUT_LEAST_S.value):
        if after >= t_s.size or within(float(t_s[first]), looked) is None:
            continue
        left_s = float(t_s[after - 1])
        rows = slice(after, int(np.searchsorted(t_s, left_s + CUT_RISE_S.value, side="right")))
        reached = np.flatnonzero(full[rows])
        if not reached.size:
            continue
        full_s = float(t_s[after + reached[0]])
        start_s = float(t_s[first])
        values = {"cut_s": left_s - start_s, "rise_s": full_s - left_s}
        events.append(Event(EventKind.THROTTLE_CUT, start_s, full_s, (throttle.channel,), CUT_RISE_S.key, values))
    return events[:MOST_EVENTS]


def _disarmed(flown: Flown, armed: Series, looked: tuple[Span, ...]) -> list[Event]:
    """Return where arming ended while something shows that it was in the air."""
    record = flown.record
    events = []
    on = armed.values > 0.5
    for row in np.flatnonzero(on[:-1] & ~on[1:])[:MOST_EVENTS] + 1:
        at_s = float(armed.t_s[row])
        before_s = float(armed.t_s[row - 1])
        # phases may end with arming: what counts is where it was just before
        if within(before_s, looked) is None and within(at_s - 0.2, looked) is None:
            continue
        shown, channels = _shown_aloft(flown, record, before_s, at_s)
        after = fell(record, at_s)
        if not shown or after is False or (after is None and armed.t_s[-1] - at_s < AFTER_LEAST_S):
            continue  # down already, or nothing is recorded of what followed
        if _was_down(flown, before_s, at_s):
            continue
        back = np.flatnonzero(on[row:])
        off_s = float(armed.t_s[row + back[0]]) - at_s if back.size else float(armed.t_s[-1]) - at_s
        values = {**shown, "off_s": off_s, "back": float(back.size > 0)}
        rule = (OFF_ALOFT if "throttle" in shown or "output" in shown else OFF_HEIGHT_M).key
        every = (armed.channel, *channels)
        events.append(Event(EventKind.ARM_SWITCH_OFF_ALOFT, at_s, at_s + off_s, every, rule, values))
    return events


def _was_down(flown: Flown, before_s: float, at_s: float) -> bool:
    """Tell whether arming ended on the ground or in a crash, or was taken by a board that began anew.

    A height within some metres of launch, a blow or a fall that had begun before: none of these is a switch thrown in
    the air, or it was not what brought the aircraft down.
    """
    height = value_at(flown.record, Quantity.HEIGHT_LAUNCH, before_s)
    if height is not None and abs(height) <= OFF_HEIGHT_M.value:
        return True
    falls = (phase for phase in flown.phases if phase.kind is PhaseKind.FALL)
    if any(phase.start_s < at_s - FALLS_BEFORE_S and phase.end_s > at_s - CRASHED_S for phase in falls):
        return True
    blows = (each.start_s for each in find_impacts(flown).events if each.kind is EventKind.IMPACT)
    if any(at_s - CRASHED_S <= start_s <= before_s for start_s in blows):
        return True
    again = find_restarts(flown).events
    return any(each.start_s - AFTER_S <= at_s <= each.end_s + AFTER_S for each in again)


def _shown_aloft(
    flown: Flown, record: FlightRecord, before_s: float, at_s: float
) -> tuple[dict[str, float], tuple[Channel, ...]]:
    """Return what shows that it flew when arming ended: throttle or outputs up, height, speed, or a fall after it."""
    shown: dict[str, float] = {}
    channels: list[Channel] = []
    for name, quantity, least in (
        ("throttle", Quantity.THROTTLE, OFF_ALOFT.value), ("height_m", Quantity.HEIGHT_LAUNCH, OFF_HEIGHT_M.value),
        ("speed_mps", Quantity.GROUND_SPEED, MOVES_MPS),
    ):  # fmt: skip
        value = value_at(record, quantity, before_s)
        if value is not None and value > least:
            shown[name] = value
            channels.append(Channel(quantity))
    outputs = record.all_of(Quantity.OUTPUT)
    means = [float(np.mean(seen)) for each in outputs if (seen := between(each, at_s - 0.3, at_s - 0.02)).size]
    if means and float(np.mean(means)) > OFF_ALOFT.value:
        shown["output"] = float(np.mean(means))
        channels += [each.channel for each in outputs]
    if any(phase.kind is PhaseKind.FALL and at_s - 0.2 <= phase.start_s <= at_s + 1.0 for phase in flown.phases):
        shown["falls"] = 1.0
    return shown, tuple(channels)


def _modes(_: Flown, mode: Series, looked: tuple[Span, ...]) -> list[Event]:
    """Return every change of mode aloft, with the record's own names."""
    changed = np.flatnonzero(mode.values[1:] != mode.values[:-1]) + 1
    events = []
    for row in changed[inside(mode.t_s[changed], _and_after(looked))][:MOST_EVENTS]:
        at_s = float(mode.t_s[row])
        words = {"from": _named(mode, float(mode.values[row - 1])), "to": _named(mode, float(mode.values[row]))}
        events.append(Event(EventKind.MODE_CHANGE, at_s, at_s, (mode.channel,), MODE_CHANGES.key, words=words))
    return events


def _and_after(looked: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return spans with a moment more: the phase aloft ends where motors stop, and the mode says so just after."""
    return tuple((start_s, end_s + AFTER_S) for start_s, end_s in looked)


def _named(mode: Series, value: float) -> str:
    """Return the record's word for a mode, or its number where it has none."""
    place = round(value)
    return mode.labels[place] if 0 <= place < len(mode.labels) else f"{value:g}"
