"""Sticks that stand exactly still: for moments with the link there, and after it is lost."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between, inside, spans_looked_at
from turnback.assess.signals import held_at
from turnback.assess.signs_link_parts import Teller, events_of, first_upset_s, lost_links
from turnback.records.channel import STICKS, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_sticks import (
    FREEZE_S,
    FREEZES,
    KEPT_S,
)

GROUP: Final = "sticks"
CENTRED: Final = STICKS[:3]
LINK: Final = (Quantity.LINK_QUALITY, Quantity.LINK_LEVEL, Quantity.LINK_LOSS)
ACTIONS: Final = ("motors-stop", "automatic-return", "descends-in-place")
SOUND_SHARE: Final = 0.8
STILL_HZ: Final = 24.0
ALONE_S: Final = 2.5
OFF_MIDDLE: Final = 0.004
"""A stick that is let go comes back to within half a hundredth of its middle."""
SAYS_LOST_S: Final = 0.3


def tell_freezes(looked: Looked, sticks: list[Series], teller: Teller) -> None:
    """Tell whether all sticks stand exactly still for moments, off their middle, with the link there."""
    sign, record = "sticks-freeze-for-moments", looked.answer.flown.record
    if len(sticks) < 2 or sticks[0].rate_hz < STILL_HZ:
        teller.cannot(sign, WhyNot.TOO_SLOW if len(sticks) > 1 else WhyNot.NO_CHANNEL, *STICKS)
        return
    if not any(record.get(each) for each in LINK):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK)
        return
    lost = [(each.start_s - 1.0, each.end_s + 0.5) for each in lost_links(looked)]
    stills = [each for each in _stills(looked, sticks) if not inside(np.array([each[0], each[1]]), lost).any()]
    told = [(each.start_s, each.end_s) for each in events_of(looked, EventKind.CHANNELS_FROZEN)
            if each.words.get("what") == "sticks"]  # fmt: skip
    told = [one for one in told if not any(a < one[1] and one[0] < b for a, b in lost)]
    stills += [each for each in told if not any(abs(each[0] - one[0]) < 0.2 for one in stills)]
    stills = [each for each in stills if each[1] - each[0] < 10.0 and not acts_itself(looked, each[0])]
    upset_s = first_upset_s(looked)
    stills = [each for each in stills if each[0] < upset_s and _link_there(record, each) and _armed(record, each)]
    total_s = sum(end - start for start, end in stills)
    count = float(len(stills))
    # one alone, unless long: a hand that holds on while somebody makes up their mind does the same
    beyond = max((count - FREEZES.value + 0.5) / 0.7, (total_s - ALONE_S) / 0.5) if stills else -1.6
    if any(_says_lost(looked, each) for each in stills):
        beyond = max(beyond, 1.5)  # packets come, and the board says that none do: what is between them breaks
    span = (min(stills)[0], max(stills)[1]) if stills else None
    teller.by(sign, beyond, GROUP, span=span, channels=tuple(each.channel for each in sticks), times=count,
              held_s=total_s)  # fmt: skip


def _link_there(record: FlightRecord, span: tuple[float, float]) -> bool:
    """Tell whether packets came all along a moment: a link that wears thin freezes sticks too."""
    quality = record.get(Quantity.LINK_QUALITY)
    if quality is None:
        return True
    seen = between(quality, span[0] - 0.5, span[1] + 0.5)
    return seen.size == 0 or float(seen.min()) > SOUND_SHARE


def _says_lost(looked: Looked, span: tuple[float, float]) -> bool:
    """Tell whether a flag says that the link is lost in a moment in which packets came."""
    if looked.answer.flown.record.get(Quantity.LINK_QUALITY) is None:
        return False
    true = lost_links(looked)
    flags = [each for each in events_of(looked, EventKind.LINK_LOST) if each not in true]
    return any(min(each.end_s, span[1]) - max(each.start_s, span[0]) > SAYS_LOST_S for each in flags)


def _armed(record: FlightRecord, span: tuple[float, float]) -> bool:
    armed = record.get(Quantity.ARMED)
    return armed is None or bool(held_at(armed.t_s, armed.values, np.array([span[0] + 0.05]))[0] > 0.5)


def acts_itself(looked: Looked, at_s: float) -> bool:
    """Tell whether the board flies by itself: in automatic return nobody needs to hold the sticks."""
    active = looked.answer.flown.record.get(Quantity.RETURN_ACTIVE)
    return active is not None and bool(held_at(active.t_s, active.values, np.array([at_s]))[0] > 0.5)


def _stills(looked: Looked, sticks: list[Series]) -> list[tuple[float, float]]:
    """Return moments in which no stick changes, far longer than usual in this record, and not let go."""
    base = min(sticks, key=lambda each: each.rate_hz)
    t_s = base.t_s
    changed = np.zeros(t_s.size, np.bool_)
    for each in sticks:
        values = each.values if each.t_s is t_s else held_at(each.t_s, each.values, t_s)
        changed[1:] |= values[1:] != values[:-1]
    aloft = inside(t_s, spans_looked_at(looked.answer.flown)) & (t_s <= looked.ended_s - 0.2)
    at = np.flatnonzero(changed)
    looked_at = np.concatenate([[0], np.cumsum(aloft)])
    whole = looked_at[at[1:] + 1] - looked_at[at[:-1]] == np.diff(at) + 1  # what nobody looked at is no freeze
    if np.count_nonzero(whole) < 40:
        return []
    held_s = np.diff(t_s[at])
    usual_s = float(np.percentile(held_s[whole], 95.0))
    long = np.flatnonzero(whole & (held_s >= max(FREEZE_S.value, 5.0 * usual_s)) & (np.diff(at) > 3))
    centred = [each for each in sticks if each.channel.quantity in CENTRED]
    found = []
    for row in long[:200]:
        start_s, end_s = float(t_s[at[row]]), float(t_s[at[row + 1]])
        held = [abs(float(held_at(each.t_s, each.values, np.array([start_s + 1e-6]))[0])) for each in centred]
        # let go, or at a stop, sticks may well stand still
        if any(OFF_MIDDLE < value < 0.98 for value in held):
            found.append((start_s, end_s))
    return found


def tell_kept(looked: Looked, teller: Teller) -> None:
    """Tell whether sticks stand exactly still after the link went, and it is flown by them."""
    sign, record = "sticks-constant-after-link-loss", looked.answer.flown.record
    if not any(record.get(each) for each in LINK):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK)
        return
    lost = [each for each in lost_links(looked) if each.end_s - each.start_s >= 0.5]
    if not lost:
        teller.say(sign, False, 0.97, GROUP)
        return
    acts = [each for each in looked.answer.events if each.kind is EventKind.RADIO_LOSS_ACTION]
    if any(each.words.get("action") in ACTIONS for each in acts):
        # many receivers hold their last channels until the board acts by itself: that it acts is what counts
        # last sticks may let it sink as well
        sinks = all(each.words.get("action") == "descends-in-place" for each in acts)
        teller.say(sign, False, 0.65 if sinks else 0.85, GROUP, channels=acts[0].channels)
        return
    kept = [each for each in looked.answer.events if each.kind is EventKind.CHANNELS_FROZEN
            and each.words.get("what") == "sticks" and each.values.get("with_loss", 0.0) > 0.5]  # fmt: skip
    held_s = max((each.values.get("held_s", 0.0) for each in kept), default=0.0)
    longest = max(lost, key=lambda each: each.end_s - each.start_s)
    if held_s == 0.0 and longest.end_s - longest.start_s < KEPT_S.value + 0.5:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    if acts and all(each.words.get("action") == "none-seen" for each in acts):
        # a radio writes what it sends; what the aircraft kept it cannot show
        if held_s < KEPT_S.value:
            teller.cannot(sign, WhyNot.NO_CHANNEL, *STICKS)
            return
        held_s = min(held_s, KEPT_S.value + 0.2)
    span = (longest.start_s, longest.end_s)
    teller.by(sign, (held_s - KEPT_S.value) / 0.5, f"link lost {longest.start_s:.0f} s", span=span,
              channels=kept[0].channels if kept else longest.channels, held_s=held_s)  # fmt: skip
