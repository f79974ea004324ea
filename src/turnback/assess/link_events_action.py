"""What the aircraft did when its control link was lost."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import (
    Floats,
    no_channel,
    odd_width,
    spans_looked_at,
    thinned,
    value_at,
    within,
)
from turnback.assess.link_events_rest import fell, moving_mps
from turnback.assess.signals import spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened, PhaseKind
from turnback.rules.record_link import (
    ACTION_LEAST_S,
    ACTION_WITHIN_S,
    DESCENDS_MPS,
    FROZEN_S,
    IN_PLACE_MPS,
    MOTORS_STOPPED,
)
from turnback.rules.rule import Threshold

STOPPED_LEAST_S: Final = 0.15
DESCENDS_LEAST_S: Final = 4.0
MODE_WORDS: Final = (
    ("motors-stop", ("stopp", "disarm"), frozenset({"stop", "stopped", "off", "aus", "kill", "cut", "drop"})),
    ("automatic-return", ("return", "home", "heim", "rückkehr", "rueckkehr"), frozenset({"rückflug"})),
    ("descends-in-place", ("descen", "sink", "landing", "landung"), frozenset({"land", "lands", "landen"})),
)
"""Parts of the names of modes, and whole words, that say an action: in the languages that records are met in."""
AGAIN_S: Final = 2.0
TOGETHER_S: Final = 0.3
SLOWS_S: Final = 5.0
SLOWED_S: Final = 10.0
TELLS: Final = (Quantity.OUTPUT, Quantity.ARMED, Quantity.MODE, Quantity.RETURN_ACTIVE, Quantity.CLIMB_RATE)

_Action = tuple[float, str, tuple[Channel, ...], Threshold]


def find_actions(flown: Flown, lost: tuple[Event, ...], frozen: tuple[Event, ...]) -> Happened:
    """Find what followed each loss of the control link aloft.

    Parameters
    ----------
    flown : Flown
    lost, frozen : tuple of Event
        As `find_lost` and `find_frozen` found them.

    Returns
    -------
    Happened
        One event for each loss that lasted; its word ``action`` is ``motors-stop``, ``automatic-return``,
        ``descends-in-place``, ``keeps-last-sticks`` or ``none-seen``.
    """
    record = flown.record
    if not lost:
        missing = any(
            record.get(quantity) for quantity in (Quantity.LINK_LOSS, Quantity.LINK_QUALITY, Quantity.LINK_LEVEL)
        )
        return Happened((), () if missing else (no_channel(EventKind.RADIO_LOSS_ACTION, Quantity.LINK_LOSS),))
    if not _outputs(record) and not any(record.get(quantity) for quantity in TELLS):
        return Happened((), (no_channel(EventKind.RADIO_LOSS_ACTION, *TELLS),))
    events = []
    for loss in _lasting(lost):
        span = within(loss.start_s, spans_looked_at(flown))
        until_s = min(loss.end_s + 1.0, loss.start_s + ACTION_WITHIN_S.value)
        if span is None or loss.end_s - loss.start_s < ACTION_LEAST_S.value or _acts_already(record, loss.start_s):
            continue
        seen = _first(flown, loss, until_s, frozen)
        start_s, action, channels, rule = seen or (loss.start_s, "none-seen", loss.channels, ACTION_LEAST_S)
        values = {"lost_s": loss.end_s - loss.start_s}
        if seen:
            values["delay_s"] = max(0.0, start_s - loss.start_s)
        end_s = max(loss.end_s, start_s)
        events.append(
            Event(EventKind.RADIO_LOSS_ACTION, start_s, end_s, channels, rule.key, values, words={"action": action})
        )
    return Happened(tuple(events))


def _lasting(lost: tuple[Event, ...]) -> list[Event]:
    """Return losses, those with a packet or two between them as one: what acts does not begin anew."""
    joined: list[Event] = []
    for loss in lost:
        if joined and loss.start_s - joined[-1].end_s <= AGAIN_S:
            joined[-1] = replace(joined[-1], end_s=max(loss.end_s, joined[-1].end_s))
        else:
            joined.append(loss)
    return joined


def _acts_already(record: FlightRecord, at_s: float) -> bool:
    """Tell whether a return or a landing had begun before a loss."""
    mode = record.get(Quantity.MODE)
    places = [] if mode is None else [place for _, every in modes_that_act(mode) for place in every]
    active = value_at(record, Quantity.RETURN_ACTIVE, at_s - 0.1) or 0.0
    return active > 0.5 or (bool(places) and value_at(record, Quantity.MODE, at_s - 0.1) in places)


def _first(flown: Flown, loss: Event, until_s: float, frozen: tuple[Event, ...]) -> _Action | None:
    """Return the earliest sign of an action; sticks kept only where there is no other.

    Motors that stop let it sink and may change the mode: of signs at about the same time they count. Sinking counts
    where the record itself says nothing of an action.
    """
    record = flown.record
    said = _modes(record, loss.start_s, until_s)
    found = [
        seen
        for seen in (
            _motors_stop(record, loss.start_s, until_s),
            *said,
            _returns(flown, loss.start_s, until_s),
            None if said else _descends(record, loss.start_s, until_s),
        )
        if seen is not None
    ]
    if not found:
        return _keeps(record, loss, until_s, frozen)
    first_s = min(seen[0] for seen in found)
    return next(seen for seen in found if seen[0] <= first_s + TOGETHER_S)


def modes_that_act(mode: Series) -> list[tuple[str, list[int]]]:
    """Return the places of the mode names that say an action, by action."""
    out = []
    for action, parts, wholes in MODE_WORDS:
        places = [
            place for place, label in enumerate(mode.labels)
            if any(part in label.lower() for part in parts) or wholes & set(re.findall(r"[^\W\d_]+", label.lower()))
        ]  # fmt: skip
        out.append((action, places))
    return out


def _modes(record: FlightRecord, start_s: float, until_s: float) -> list[_Action]:
    """Return when a mode whose name says an action was first taken."""
    mode = record.get(Quantity.MODE)
    if mode is None or not mode.labels:
        return []
    rows = slice(*np.searchsorted(mode.t_s, [start_s - 0.1, until_s]))
    before = value_at(record, Quantity.MODE, start_s - 0.1)
    found: list[_Action] = []
    for action, places in modes_that_act(mode):
        on = np.flatnonzero(np.isin(mode.values[rows], places))
        if on.size and before not in places:
            found.append((float(mode.t_s[rows][on[0]]), action, (mode.channel,), ACTION_WITHIN_S))
    return found


def _outputs(record: FlightRecord) -> tuple[Series, ...]:
    """Return the outputs there are, else the rotor speeds."""
    return record.all_of(Quantity.OUTPUT) or record.all_of(Quantity.ROTOR_SPEED)


def _mean_output(record: FlightRecord, start_s: float, end_s: float) -> tuple[Floats, Floats, Series] | None:
    """Return times and mean of all outputs in a span; rotor speeds as a share of their usual one."""
    every = _outputs(record)
    if not every:
        return None
    first = every[0]
    rows = slice(*np.searchsorted(first.t_s, [start_s, end_s]))
    t_s = first.t_s[rows]
    if t_s.size < 2:
        return None
    total = np.zeros(t_s.size)
    for each in every:
        values = each.values[rows] if each.t_s is first.t_s else np.interp(t_s, each.t_s, each.values)
        usual = 1.0 if each.channel.quantity is Quantity.OUTPUT else max(float(np.percentile(each.values, 90.0)), 1.0)
        total += values / usual
    return t_s, total / len(every), first


def _motors_stop(record: FlightRecord, start_s: float, until_s: float) -> _Action | None:
    """Return when the motors stopped: outputs at nothing that were on before, or no longer armed."""
    found: list[_Action] = []
    armed = record.get(Quantity.ARMED)
    if armed is not None:
        rows = slice(*np.searchsorted(armed.t_s, [start_s - 0.1, until_s]))
        off = np.flatnonzero(armed.values[rows] < 0.5)
        if off.size and (value_at(record, Quantity.ARMED, start_s - 0.1) or 0.0) > 0.5:
            found.append((float(armed.t_s[rows][off[0]]), "motors-stop", (armed.channel,), MOTORS_STOPPED))
    seen = _mean_output(record, start_s - 2.0, until_s)
    if seen is not None:
        t_s, share, first = seen
        before = share[t_s < start_s]
        if before.size and float(np.median(before)) > 3.0 * MOTORS_STOPPED.value:
            stopped = (share <= MOTORS_STOPPED.value) & (t_s >= start_s - 0.1)
            spans = spans_where(stopped, t_s, least_s=STOPPED_LEAST_S)
            if len(spans):
                found.append((float(t_s[spans[0, 0]]), "motors-stop", (first.channel,), MOTORS_STOPPED))
    found = [each for each in found if fell(record, each[0]) is not False]  # off after a landing is no action
    return min(found, key=lambda each: each[0]) if found else None


def _returns(flown: Flown, start_s: float, until_s: float) -> _Action | None:
    """Return when automatic return began: said by a channel, or told as a phase."""
    record = flown.record
    active = record.get(Quantity.RETURN_ACTIVE)
    if active is not None and (value_at(record, Quantity.RETURN_ACTIVE, start_s - 0.1) or 0.0) < 0.5:
        rows = slice(*np.searchsorted(active.t_s, [start_s - 0.1, until_s]))
        on = np.flatnonzero(active.values[rows] > 0.5)
        if on.size:
            return float(active.t_s[rows][on[0]]), "automatic-return", (active.channel,), ACTION_WITHIN_S
    for phase in flown.phases:
        if phase.kind is PhaseKind.RETURN and start_s - 0.1 <= phase.start_s <= until_s:
            return phase.start_s, "automatic-return", (), ACTION_WITHIN_S
    return None


def _descends(record: FlightRecord, start_s: float, until_s: float) -> _Action | None:
    """Return when it began to sink steadily, and stayed where it was once it had slowed down."""
    seen = _climb(record, start_s, until_s + DESCENDS_LEAST_S)
    if seen is None:
        return None
    t_s, climb_mps, channel = seen
    before = climb_mps[t_s < start_s]
    sank_before = before.size > 0 and float(np.median(before)) < -DESCENDS_MPS.value
    sinks = (running_median(climb_mps, odd_width(t_s, 0.5, 3)) < -DESCENDS_MPS.value) & (t_s >= start_s - 0.1)
    spans = spans_where(sinks, t_s, least_s=DESCENDS_LEAST_S, bridge_s=0.5)
    if not len(spans) or sank_before:
        return None
    at_s, end_s = float(t_s[spans[0, 0]]), float(t_s[min(spans[0, 1], t_s.size - 1)])
    moving = moving_mps(record, max(0.5 * (at_s + end_s), end_s - SLOWED_S), end_s)
    if moving is None or moving[0] > IN_PLACE_MPS.value:
        return None
    flew = moving_mps(record, start_s + SLOWS_S, at_s) if at_s > start_s + SLOWS_S else None
    if flew is not None and flew[0] > IN_PLACE_MPS.value:
        return None  # it went elsewhere first
    return at_s, "descends-in-place", (channel, *moving[1]), DESCENDS_MPS


def _climb(record: FlightRecord, start_s: float, end_s: float) -> tuple[Floats, Floats, Channel] | None:
    """Return vertical speed from two seconds before: as recorded, or from height over a second."""
    for quantity, sign in (
        (Quantity.CLIMB_RATE, 1.0), (Quantity.VELOCITY_DOWN, -1.0), (Quantity.HEIGHT_LAUNCH, 0.0),
        (Quantity.HEIGHT_SEA_LEVEL, 0.0),
    ):  # fmt: skip
        series = record.get(quantity)
        if series is None:
            continue
        t_s, values = thinned(series, 20.0)
        rows = slice(*np.searchsorted(t_s, [start_s - 2.5, end_s + 0.5]))
        t_s, values = t_s[rows], values[rows]
        if t_s.size < 5:
            continue
        if not sign:
            back = max(1, odd_width(t_s, 1.0, 3) // 2)
            values = (values[2 * back :] - values[: -2 * back]) / (t_s[2 * back :] - t_s[: -2 * back])
            t_s = t_s[back:-back]
        return (t_s, sign * values if sign else values, series.channel) if t_s.size >= 3 else None
    return None


def _keeps(record: FlightRecord, loss: Event, until_s: float, frozen: tuple[Event, ...]) -> _Action | None:
    """Return since when it flew on with the sticks as they were."""
    for still in frozen:
        if still.words.get("what") != "sticks" or not (still.start_s < loss.end_s and loss.start_s < still.end_s):
            continue
        if still.start_s > loss.start_s + 1.0:
            continue
        seen = _mean_output(record, loss.start_s, until_s)
        if seen is None or float(np.median(seen[1])) <= 2.0 * MOTORS_STOPPED.value:
            return None
        return max(still.start_s, loss.start_s), "keeps-last-sticks", still.channels, FROZEN_S
    return None
