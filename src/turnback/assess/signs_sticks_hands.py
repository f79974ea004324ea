"""What hands did: to and fro, to the stops, one stick alone, a fright; and whether sticks froze."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, inside, odd_width, spans_looked_at, thinned
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller, events_of, first_upset_s, lost_links
from turnback.assess.signs_sticks_bank import began_s
from turnback.assess.signs_sticks_cut import tell_cut
from turnback.assess.signs_sticks_last import seen_last
from turnback.assess.signs_sticks_still import tell_freezes, tell_kept
from turnback.records.channel import RATE_DEMANDS, RATES, STICKS, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_sticks import (
    FULL,
    PULSE,
    PULSE_TIMES,
    REACTION_S,
    REACTION_STICK,
    STOPS_S,
    TO_AND_FRO_HZ,
    UPSET_TIMES,
)
from turnback.rules.record_sticks import STICK_HZ

GROUP: Final = "sticks"
CENTRED: Final = STICKS[:3]
FRAME_HZ: Final = 50.0
LEADS_S: Final = 8.0
"""A wrong reaction has brought it down, or upset it, so soon."""
AGAIN_S: Final = 2.5
"""A reaction that was too much asks for the next one."""
FULL_S: Final = 1.0
STRIKES_S: Final = 0.05
"""A blow may be told a little late."""


def tell_hands(looked: Looked, teller: Teller) -> None:
    """Tell the signs of the sticks.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    record = looked.answer.flown.record
    sticks = [each for each in map(record.get, STICKS) if each is not None and each.t_s.size > 20]
    names = (
        "sticks-freeze-for-moments", "sticks-go-to-and-fro", "sticks-held-at-their-stops",
        "demand-against-intention", "large-reaction-to-small-upset", "sticks-constant-after-link-loss",
    )  # fmt: skip
    if not sticks:
        for name in (*names, "throttle-cut-then-full"):
            teller.cannot(name, WhyNot.NO_CHANNEL, *STICKS)
    elif not spans_looked_at(looked.answer.flown):
        for name in (*names, "throttle-cut-then-full"):
            teller.cannot(name, WhyNot.NOT_ALOFT)
    else:
        tell_freezes(looked, sticks, teller)
        # who closed it aloft falls: what hands do then is about the fall
        looked = replace(looked, ended_s=min(looked.ended_s, tell_cut(looked, teller)))
        _tell_to_and_fro(looked, sticks, teller)
        _tell_stops(looked, sticks, teller)
        _tell_pulse(looked, sticks, teller)
        _tell_fright(looked, sticks, teller)
        tell_kept(looked, teller)


def _tell_to_and_fro(looked: Looked, sticks: list[Series], teller: Teller) -> None:
    sign = "sticks-go-to-and-fro"
    last = seen_last(looked)
    fast = [each for each in sticks if each.rate_hz >= STICK_HZ.value]
    if not fast and last is None:
        teller.cannot(sign, WhyNot.TOO_SLOW, *STICKS)
        return
    upset_s = min(first_upset_s(looked), looked.ended_s)
    events = [each for each in events_of(looked, EventKind.STICK_REVERSALS) if each.start_s < upset_s - 0.3]
    if last is not None and last.beyond > 0.0:
        teller.by(sign, last.beyond, GROUP, most=0.96, span=last.span, values=last.values,
                  channels=tuple(each.channel for each in sticks))  # fmt: skip
        return
    if not events:
        teller.say(sign, False, 0.93, GROUP, channels=tuple(each.channel for each in sticks))
        return
    best = max(events, key=lambda each: each.values.get("turns", 0.0))
    turns, rate_hz = best.values.get("turns", 5.0), best.values.get("rate_hz", 2.0)
    beyond = min((turns - 4.0) / 1.5, (rate_hz - TO_AND_FRO_HZ.value + 0.2) / 0.3)
    teller.by(sign, beyond, GROUP, most=0.96, span=(best.start_s, best.end_s), channels=best.channels, rate_hz=rate_hz,
              turns=turns)  # fmt: skip


def _tell_stops(looked: Looked, sticks: list[Series], teller: Teller) -> None:
    sign = "sticks-held-at-their-stops"
    upset_s = min(first_upset_s(looked), looked.ended_s)
    lost = [each.start_s for each in lost_links(looked)]
    centred = [each for each in sticks if each.channel.quantity in CENTRED]
    if not centred:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *CENTRED)
        return
    held_s, span = 0.0, None
    spans = spans_looked_at(looked.answer.flown)
    for each in centred:
        for side in (1.0, -1.0):
            for a, b in spans_where(each.values * each.values.dtype.type(side) >= 0.95, each.t_s, least_s=0.4,
                                    bridge_s=0.1):  # fmt: skip
                start_s, end_s = float(each.t_s[a]), float(each.t_s[min(b, each.t_s.size - 1)])
                begins = inside(np.array([start_s]), spans)[0] and start_s < upset_s - 0.1
                if begins and not any(one < end_s for one in lost) and min(end_s, upset_s) - start_s > held_s:
                    held_s, span = min(end_s, upset_s) - start_s, (start_s, end_s)
    teller.by(sign, (held_s - STOPS_S.value) / 0.4, GROUP, span=span, most=0.95,
              channels=tuple(each.channel for each in centred), held_s=held_s)  # fmt: skip


def _pulses(t_s: Floats, values: Floats) -> Floats:
    """Return how far a stick lies off what it is a second before and after, the nearer of both."""
    back = max(1, odd_width(t_s, 0.9, 3))
    before, after = np.roll(values, back), np.roll(values, -back)
    before[:back], after[-back:] = values[0], values[-1]
    away = np.minimum(np.abs(values - before), np.abs(values - after))
    return np.where((values - before) * (values - after) > 0.0, away, 0.0)


def _tell_pulse(looked: Looked, sticks: list[Series], teller: Teller) -> None:
    """Tell whether one stick alone leaves its way for a moment, as nowhere else in the flight, before the trouble.

    Hands that hold full throttle fight already, also where a record cannot tell against what: their push is an answer.
    """
    sign = "demand-against-intention"
    if sticks[0].rate_hz < STICK_HZ.value:
        teller.cannot(sign, WhyNot.TOO_SLOW, *STICKS)
        return
    until_s = min(first_upset_s(looked), looked.ended_s)
    best, told, span = -2.0, {"pulse": 0.0}, None
    heights = {}
    for each in sticks:
        t_s, values = thinned(each, FRAME_HZ)
        keep = inside(t_s, spans_looked_at(looked.answer.flown)) & (t_s <= until_s + 0.3)
        if np.count_nonzero(keep) > 100:
            heights[each.channel] = t_s[keep], _pulses(t_s[keep], values[keep])
    for channel, (t_s, size) in heights.items():
        late = t_s > until_s - 6.0
        if not late.any() or late.all() or channel.quantity is Quantity.THROTTLE:
            continue
        at = int(np.argmax(np.where(late, size, 0.0)))
        usual = max(0.05, float(size[~late].max()))
        others = [float(np.max(own[np.abs(t - t_s[at]) < 0.3], initial=0.0))
                  for other, (t, own) in heights.items() if other != channel]  # fmt: skip
        alone = float(size[at]) / max(max(others, default=0.0), 0.05)
        beyond = min((float(size[at]) - PULSE.value) / 0.12, (float(size[at]) / usual - PULSE_TIMES.value) / 0.5,
                     (alone - 2.0) / 0.5,
                     (0.5 - _full_share(looked.answer.flown.record, float(t_s[at]))) / 0.1)  # fmt: skip
        if beyond > best:
            best, told, span = beyond, {"pulse": float(size[at])}, (float(t_s[at]) - 0.5, float(t_s[at]) + 0.5)
    if looked.answer.flown.record.get(Quantity.LINK_LOSS) and any(
        each.start_s < until_s for each in lost_links(looked)
    ):
        best = min(best, -1.0)
    teller.by(sign, best, GROUP, span=span, most=0.85, channels=tuple(heights), values=told)


def _full_share(record: FlightRecord, at_s: float) -> float:
    """Return for how much of a second the throttle stood at its upper stop: such hands are in trouble already."""
    throttle = record.get(Quantity.THROTTLE)
    if throttle is None:
        return 0.0
    before = throttle.values[(throttle.t_s > at_s - FULL_S) & (throttle.t_s < at_s)]
    return float(np.mean(before > FULL.value)) if before.size else 0.0


def _unasked(record: FlightRecord, until_s: float) -> tuple[Floats, Floats] | None:
    """Return the turning that nobody asked for, at the frame's rate."""
    total: Floats | None = None
    t_s: Floats | None = None
    for of, asked in zip(RATES[:2], RATE_DEMANDS[:2], strict=True):
        rate, demand = record.get(of), record.get(asked)
        if rate is None:
            return None
        own_s, turned = thinned(rate, FRAME_HZ)
        if demand is not None:
            d_s, wanted = thinned(demand, FRAME_HZ)
            turned = turned - np.interp(own_s - 0.03, d_s, wanted)
        else:
            width = odd_width(own_s, 1.0, 3)
            turned = turned - np.convolve(np.pad(turned, width // 2, mode="edge"), np.ones(width) / width, mode="valid")
        t_s = own_s if t_s is None else t_s
        total = turned**2 if total is None else total + np.interp(t_s, own_s, turned) ** 2
    if t_s is None or total is None:
        return None
    rows = t_s <= until_s
    return t_s[rows], np.sqrt(total[rows])


def _tell_fright(looked: Looked, sticks: list[Series], teller: Teller) -> None:
    """Tell whether a stick goes to its stop, or arming is taken away, within moments after a small upset."""
    sign, record = "large-reaction-to-small-upset", looked.answer.flown.record
    found = _unasked(record, looked.ended_s)
    if found is None or sticks[0].rate_hz < STICK_HZ.value:
        needs = RATES[:2] if found is None else STICKS
        teller.cannot(sign, WhyNot.NO_CHANNEL if found is None else WhyNot.TOO_SLOW, *needs)
        return
    t_s, size = found
    aloft = inside(t_s, spans_looked_at(looked.answer.flown))
    if np.count_nonzero(aloft) < 100:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    usual = max(0.05, float(np.percentile(size[aloft], 90.0)))
    upset_s = first_upset_s(looked, frozenset({EventKind.ARM_SWITCH_OFF_ALOFT, EventKind.FREE_FALL, EventKind.IMPACT}))
    best, told, span = -2.0, {"upset_radps": 0.0}, None
    after = [each.start_s + REACTION_S.value for each in events_of(looked, EventKind.FREE_FALL)]
    after += [each.start_s - STRIKES_S for each in looked.answer.events if each.kind is EventKind.IMPACT]
    trouble_s = began_s(looked)
    times = np.array(_reactions(looked, sticks))
    for at_s in times:
        soon = trouble_s is not None and trouble_s - at_s < LEADS_S
        if not soon and np.count_nonzero((times > at_s) & (times < at_s + AGAIN_S)) < 1:
            continue  # one push, and it was flown on as if nothing had been
        if any(at_s > one for one in after):
            continue  # what hands do in a fall, or after a blow, is about that
        if at_s > min(looked.ended_s, upset_s + 0.05) + 0.1 or any(at_s > each.start_s for each in lost_links(looked)):
            continue
        before = (t_s >= at_s - REACTION_S.value) & (t_s < at_s)
        if not before.any():
            continue
        peak = float(size[before].max())
        beyond = (peak / usual - UPSET_TIMES.value) / 0.8
        if beyond > best:
            best, told, span = beyond, {"upset_radps": peak, "usual_radps": usual}, (at_s - REACTION_S.value, at_s)
    teller.by(
        sign, best, GROUP, span=span, most=0.93, channels=(*RATES[:2], *(each.channel for each in sticks)), values=told
    )


def _reactions(looked: Looked, sticks: list[Series]) -> list[float]:
    """Return when a stick went to its stop out of the middle, or arming ended aloft."""
    times = [each.start_s for each in events_of(looked, EventKind.ARM_SWITCH_OFF_ALOFT)]
    for each in sticks:
        t_s, values = thinned(each, FRAME_HZ, mean=False)
        ends = np.abs(values) >= REACTION_STICK.value
        if each.channel.quantity is Quantity.THROTTLE:  # full throttle is how one climbs
            continue
        spans = spans_where(ends, t_s, least_s=0.08, bridge_s=0.5)
        for first, _ in spans[:50]:
            start_s = float(t_s[first])
            if first > 50 and float(np.mean(ends[: first - 50])) > 0.03:
                break  # one who flies at the stops shows nothing by it
            came = values[np.searchsorted(t_s, start_s - 0.5) : first]
            if (
                came.size
                and float(np.abs(came).min()) < 0.6
                and inside(np.array([start_s]), spans_looked_at(looked.answer.flown))[0]
            ):
                # when it left its middle: the turn that follows is its own
                times.append(start_s - _since_middle_s(t_s, values, int(first)))
    return times


def _since_middle_s(t_s: Floats, values: Floats, at: int) -> float:
    """Return how long ago a stick was still within a third of its way."""
    before = np.flatnonzero(np.abs(values[max(0, at - 50) : at]) < 0.33)
    return float(t_s[at] - t_s[max(0, at - 50) + before[-1]]) if before.size else 0.0
