"""What the tellers of signs on link and sticks share: telling, how sure, what went wrong first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import tanh
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between
from turnback.assess.signals import held_at
from turnback.assess.signs_motion_whirl import whirls_on_s
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked, RecordSign, SignNotLookedFor, SignsTold
from turnback.records.happened import Event, EventKind, WhyNot

SUREST: Final = 0.98
MASTERED_S: Final = 4.0
AFTER_S: Final = 0.5
CATCHES_UP_S: Final = 1.0
SILENT_QUALITY: Final = 0.05
SILENT_S: Final = 0.3
GONE_S: Final = 1.0
OPEN: Final = 0.15
FEW_ROWS: Final = 20
SOUND_QUALITY: Final = 0.6
"""Packets come, so that the link is there, whatever a flag says."""
UPSETS: Final = frozenset({
    EventKind.SPEED_COLLAPSE, EventKind.SPEED_EXCESS, EventKind.RATE_RUN_AWAY, EventKind.RESTART, EventKind.IMPACT,
    EventKind.FREE_FALL, EventKind.IMBALANCE_STEP, EventKind.VOLT_STEP, EventKind.ARM_SWITCH_OFF_ALOFT,
    EventKind.OPPOSITE_RESPONSE,
})  # fmt: skip
"""What makes hands and link do what they would not do otherwise."""


def sure_of(beyond: float, most: float = SUREST) -> float:
    """Return how sure one is of a sign that lies so many of its own uncertainties beyond the limit, on either side.

    Parameters
    ----------
    beyond : float
        Distance from the threshold over what the measure is uncertain by; its sign does not count.
    most : float
        What is never exceeded.

    Returns
    -------
    float
        0.5 at the threshold, 0.87 of the way up at one uncertainty, towards `most` beyond.
    """
    return 0.5 + (most - 0.5) * tanh(abs(beyond))


@dataclass(slots=True)
class Teller:
    """Collects what is told of each sign; a sign is told once."""

    signs: dict[str, RecordSign] = field(default_factory=dict)
    missing: dict[str, SignNotLookedFor] = field(default_factory=dict)

    def say(
        self,
        sign: str,
        seen: bool,
        sure: float,
        group: str,
        *,
        span: tuple[float, float] | None = None,
        channels: Iterable[Channel | Quantity] = (),
        values: Mapping[str, float] | None = None,
        **more: float,
    ) -> None:
        """Tell that a sign is seen or not seen."""
        start_s, end_s = span or (None, None)
        known = tuple(Channel(each) if isinstance(each, Quantity) else each for each in channels)
        numbers = {name: float(value) for name, value in {**(values or {}), **more}.items()}
        self.signs[sign] = RecordSign(sign, bool(seen), float(sure), group, start_s, end_s, numbers, known)

    def by(
        self,
        sign: str,
        beyond: float,
        group: str,
        *,
        span: tuple[float, float] | None = None,
        most: float = SUREST,
        channels: Iterable[Channel | Quantity] = (),
        values: Mapping[str, float] | None = None,
        **more: float,
    ) -> None:
        """Tell a sign by how far a measure lies beyond its limit, in uncertainties; below nought it is not seen."""
        seen = beyond > 0.0
        self.say(
            sign,
            seen,
            sure_of(beyond, most),
            group,
            span=span if seen else None,
            channels=channels,
            values=values,
            **more,
        )

    def cannot(self, sign: str, why: WhyNot, *needs: Quantity) -> None:
        """Tell that a sign cannot be told, and what would tell."""
        self.missing[sign] = SignNotLookedFor(sign, why, tuple(map(Channel, needs)))

    def told(self) -> SignsTold:
        """Return all of it; what is told is not also missing."""
        missing = tuple(each for sign, each in self.missing.items() if sign not in self.signs)
        return SignsTold(tuple(self.signs.values()), missing)


def events_of(looked: Looked, *kinds: EventKind) -> list[Event]:
    """Return the events of some kinds that begin before the flight had ended."""
    return [each for each in looked.answer.events if each.kind in kinds and each.start_s <= looked.ended_s]


def position_jumps_of(looked: Looked) -> list[Event]:
    """Return jumps of the position itself: where a record heard nothing for a while, the place only catches up.

    Parameters
    ----------
    looked : Looked
    """
    silent = [each for each in looked.answer.events if each.kind in (EventKind.LINK_LOST, EventKind.CHANNELS_FROZEN)]
    return [
        jump
        for jump in events_of(looked, EventKind.POSITION_JUMP)
        if not any(each.start_s <= jump.start_s <= each.end_s + CATCHES_UP_S for each in silent)
    ]


def lost_links(looked: Looked, least_s: float = 0.0) -> list[Event]:
    """Return the losses of the link itself: packets fail, not only what comes out of the receiver.

    Parameters
    ----------
    looked : Looked
    least_s : float
        Shorter ones are left out.
    """
    quality = looked.answer.flown.record.get(Quantity.LINK_QUALITY)
    found = []
    for each in events_of(looked, EventKind.LINK_LOST) or gone_silent(looked):
        if each.end_s - each.start_s < least_s:
            continue
        if quality is not None:
            seen = between(quality, each.start_s, each.end_s + 1e-6)
            if seen.size > 2 and float(np.percentile(seen, 25.0)) > SOUND_QUALITY:
                continue
        found.append(each)
    return found


def gone_silent(looked: Looked) -> list[Event]:
    """Return where packets stop for good, armed, the throttle open: a fall may have been taken for a landing.

    Parameters
    ----------
    looked : Looked
    """
    record = looked.answer.flown.record
    series = [record.get(each) for each in (Quantity.LINK_QUALITY, Quantity.ARMED, Quantity.THROTTLE)]
    quality, armed, throttle = series
    if quality is None or armed is None or throttle is None or quality.t_s.size < FEW_ROWS:
        return []
    heard = np.flatnonzero(quality.values > SILENT_QUALITY)
    if not heard.size or heard[-1] + 1 >= quality.t_s.size:
        return []
    start_s, end_s = float(quality.t_s[heard[-1] + 1]), float(quality.t_s[-1])
    at_s = np.array([start_s - SILENT_S])
    flies = held_at(armed.t_s, armed.values, at_s)[0] > 0.5 and held_at(throttle.t_s, throttle.values, at_s)[0] > OPEN
    if not flies or start_s > looked.ended_s or end_s - start_s < GONE_S:
        return []
    return [Event(EventKind.LINK_LOST, start_s, end_s, (quality.channel,), "", {}, (), {"seen_by": "quality"})]


def first_upset_s(looked: Looked, but: frozenset[EventKind] = frozenset()) -> float:
    """Return when what brought the flight down began to go wrong; infinity where nothing did.

    An upset after which it flew on for seconds was mastered: only the last chain of them, up to the end, counts. What
    whirls from lift-off to its end was upset all along, also where a few headings a second are all that tells it.

    Parameters
    ----------
    looked : Looked
    but : frozenset of EventKind
        Kinds that do not count.
    """
    spans = [(each.start_s, each.end_s) for each in looked.answer.events if each.kind in UPSETS - but]
    first_s = float("inf")
    limit_s = looked.ended_s
    for start_s, end_s in sorted(spans, key=lambda each: -each[0]):
        if start_s > looked.ended_s + AFTER_S:
            continue
        if max(start_s, min(end_s, limit_s)) < limit_s - MASTERED_S:
            break
        first_s, limit_s = min(first_s, start_s), min(limit_s, start_s)
    return min(first_s, whirls_on_s(looked))
