"""Channels that repeat one value exactly while the record goes on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Span, between, no_channel, spans_looked_at, too_slow, within
from turnback.assess.link_events_rest import motors_stand
from turnback.assess.link_events_still import held_lengths_s, mark_changes, mark_gaps
from turnback.assess.signals import held_at
from turnback.records.channel import RATES, STICKS, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown, Happened
from turnback.rules.record_link import FROZEN_COARSE, FROZEN_OTHER_S, FROZEN_S, FROZEN_TIMES

SLOWEST_HZ: Final = 2.0
OFF_MIDDLE: Final = 0.03
NEAR: Final = 0.02
NEAR_LEAST_S: Final = 5.0
AT_STOP: Final = 0.98
COARSE_TIMES: Final = 3.0
LEAST_CHANGES: Final = 20
MOVES_MPS: Final = 2.0
PUT_DOWN: Final = 0.05
MOST_PICKS: Final = 50_000


@dataclass(frozen=True, slots=True)
class _Still:
    """A stretch in which nothing of a group of channels changes: rows and times."""

    first: int
    start_s: float
    end_s: float

    @property
    def held_s(self) -> float:
        return self.end_s - self.start_s


def find_frozen(flown: Flown, lost: tuple[Event, ...]) -> Happened:
    """Find sticks, rates, volts and positions that stand still as no person and no sensor holds them.

    Parameters
    ----------
    flown : Flown
    lost : tuple of Event
        Sticks that stand still while the link is lost need no other sign.
    """
    record = flown.record
    looked = spans_looked_at(flown)
    events = list(_others(record, looked))
    sticks = [each for each in (record.get(quantity) for quantity in STICKS) if each is not None and each.t_s.size > 2]
    if len(sticks) < 2:
        return Happened(tuple(events), (no_channel(EventKind.CHANNELS_FROZEN, *STICKS),))
    slowest = min(sticks, key=lambda each: each.rate_hz)
    if slowest.rate_hz < SLOWEST_HZ:
        slow = too_slow(EventKind.CHANNELS_FROZEN, slowest.channel, slowest.rate_hz, SLOWEST_HZ)
        return Happened(tuple(events), (slow,))
    events += _sticks(record, sticks, looked, lost)
    return Happened(tuple(sorted(events, key=lambda each: each.start_s)))


def _still(group: list[Series], looked: tuple[Span, ...]) -> tuple[list[_Still], NDArray[np.float64]]:
    """Return the stretches of 0.3 s and more between changes of any channel of a group, and the lengths of all."""
    t_s = group[0].t_s
    step_s = 1.0 / max(group[0].rate_hz, 1e-3)
    changed = np.zeros(t_s.size, np.bool_)
    mark_gaps(t_s, max(0.5, 5.0 * step_s), changed)
    for each in group:
        if each.t_s is t_s:
            mark_changes(each.values, changed)
        else:
            moved = each.t_s[1:][each.values[1:] != each.values[:-1]]
            changed[np.clip(np.searchsorted(t_s, moved), 0, t_s.size - 1)] = True
    at = np.flatnonzero(changed)
    held_s = held_lengths_s(t_s, at, step_s)
    keep = np.zeros(at.size, np.bool_)
    for start_s, end_s in looked:
        # from the stretch that is under way at the start to the last one that begins before the end
        begins, stops = np.searchsorted(at, np.searchsorted(t_s, [start_s, end_s]))
        keep[max(begins - 1, 0) : stops] = True
    long = np.flatnonzero(keep & (held_s >= 0.3))
    stills = [_Still(int(at[row]), float(t_s[at[row]]), float(t_s[at[row]] + held_s[row])) for row in long]
    return stills, held_s[keep]


def _sticks(
    record: FlightRecord, sticks: list[Series], looked: tuple[Span, ...], lost: tuple[Event, ...]
) -> list[Event]:
    """Return where all sticks stand still."""
    stills, held_s = _still(sticks, looked)
    if held_s.size < LEAST_CHANGES:
        return []
    usual_s = float(np.percentile(held_s[:: max(1, held_s.size // MOST_PICKS)], 90.0))
    coarse = min(_resolution(each) for each in sticks) > FROZEN_COARSE.value
    least_s = max(FROZEN_S.value * (COARSE_TIMES if coarse else 1.0), FROZEN_TIMES.value * usual_s)
    events = []
    for still in stills:
        with_loss = any(still.start_s < each.end_s and each.start_s < still.end_s for each in lost)
        enough_s = min(least_s, max(0.5 * FROZEN_S.value, 3.0 * usual_s)) if with_loss else least_s
        if still.held_s < enough_s or within(still.start_s, looked) is None:
            continue
        if not with_loss and (_let_go(sticks, still) or not _held_by_nobody(sticks, still, stills)):
            continue
        if motors_stand(record, still.start_s, still.end_s):
            continue  # down, or falling without motors: nothing answers to sticks
        values = {"held_s": still.held_s, "usual_s": usual_s, "limit_s": enough_s, "with_loss": float(with_loss)}
        channels = tuple(each.channel for each in sticks)
        events.append(
            Event(EventKind.CHANNELS_FROZEN, still.start_s, still.end_s, channels, FROZEN_S.key, values,
                  words={"what": "sticks"})
        )  # fmt: skip
    return events


def _let_go(sticks: list[Series], still: _Still) -> bool:
    """Tell whether sticks were put down: throttle at its lower stop, or untouched since the record began."""
    throttle = next((each for each in sticks if each.channel.quantity is Quantity.THROTTLE), None)
    if throttle is None:
        return still.first == 0
    held = between(throttle, still.start_s, still.end_s)
    return held.size > 0 and float(np.median(held)) < PUT_DOWN


def _resolution(series: Series) -> float:
    """Return the smallest step in which a stick is recorded."""
    moves = np.abs(np.diff(series.values[:MOST_PICKS].astype(np.float64)))
    moves = moves[moves > 1e-6]
    return float(np.percentile(moves, 1.0)) if moves.size else 1.0


def _held_by_nobody(sticks: list[Series], still: _Still, stills: list[_Still]) -> bool:
    """Tell whether sticks stand where a hand would tremble: off their middle, or where it did tremble before.

    Sticks with a dead band rest exactly at their middle while nobody touches them; at a stop they do not tremble.
    """
    centred = [each for each in sticks if each.channel.quantity is not Quantity.THROTTLE]
    middle_s = np.array([0.5 * (still.start_s + still.end_s)])
    held = {id(each): float(held_at(each.t_s, each.values, middle_s)[0]) for each in sticks}
    for each in centred:
        value = held[id(each)]
        middle = float(np.median(each.values[:: max(1, each.values.size // 20_000)]))
        if abs(value - middle) > OFF_MIDDLE and abs(value) < AT_STOP:
            return True
    # nearly at the middle: somebody's sticks were about there before, and trembled
    first = centred[0] if centred else sticks[0]
    stride = max(1, first.values.size // 20_000)
    t_s = first.t_s[::stride]
    near = np.ones(t_s.size, np.bool_)
    trembles = np.zeros(t_s.size, np.bool_)
    for each in centred:
        values = each.values[::stride] if each.t_s is first.t_s else np.interp(t_s, each.t_s, each.values)
        near &= np.abs(values - held[id(each)]) < NEAR
        trembles |= values != held[id(each)]
    near &= (t_s < still.start_s) | (t_s > still.end_s)
    step_s = float(np.median(np.diff(t_s)))
    others = [each.held_s for each in stills if each is not still and not _let_go(sticks, each)]
    longest_s = max(others, default=0.0)
    trembled = np.count_nonzero(near & trembles) > 0.5 * np.count_nonzero(near)  # a dead band does not
    return bool(trembled and np.count_nonzero(near) * step_s >= NEAR_LEAST_S and longest_s < still.held_s / 3.0)


def _others(record: FlightRecord, looked: tuple[Span, ...]) -> list[Event]:
    """Return where rates, volts under a changing current, or the position of a moving aircraft repeat exactly."""
    groups = (
        ("rates", [record.get(quantity) for quantity in RATES], None),
        ("volts", [record.get(Quantity.PACK_VOLTS)], record.get(Quantity.CURRENT)),
        (
            "position",
            [record.get(Quantity.LATITUDE), record.get(Quantity.LONGITUDE)],
            record.get(Quantity.GROUND_SPEED),
        ),
    )
    events: list[Event] = []
    for what, members, proof in groups:
        group = [each for each in members if each is not None]
        if len(group) < len(members) or group[0].t_s.size < LEAST_CHANGES or (what != "rates" and proof is None):
            continue
        stills, held_s = _still(group, looked)
        if held_s.size < LEAST_CHANGES:
            continue
        usual_s = float(np.percentile(held_s[:: max(1, held_s.size // MOST_PICKS)], 95.0))
        least_s = max(FROZEN_OTHER_S.value, FROZEN_TIMES.value * usual_s)
        for still in stills:
            if still.held_s < least_s or within(still.start_s, looked) is None or not _would_change(what, proof, still):
                continue
            if motors_stand(record, still.start_s, still.end_s):
                continue
            values = {"held_s": still.held_s, "usual_s": usual_s, "limit_s": least_s}
            channels = tuple(each.channel for each in group)
            events.append(Event(EventKind.CHANNELS_FROZEN, still.start_s, still.end_s, channels, FROZEN_OTHER_S.key,
                                values, words={"what": what}))  # fmt: skip
    return events


def _would_change(what: str, proof: Series | None, still: _Still) -> bool:
    """Tell whether another channel shows that this one should have changed."""
    if proof is None:
        return True  # rates are never twice the same
    values = between(proof, still.start_s, still.end_s)
    if values.size < 3:
        return False
    if what == "position":
        return float(np.median(values)) > MOVES_MPS
    whole = proof.values[:: max(1, proof.values.size // 20_000)]
    return float(np.ptp(values)) > 0.5 * float(np.std(whole)) and float(np.std(values)) > 0.0
