"""Modes: rate mode, a change just before the trouble, automatic return and what the pilot did in it; restarts."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from turnback.assess.link_events_action import modes_that_act
from turnback.assess.link_events_parts import Floats, inside, spans_looked_at, thinned, value_at
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller, events_of, first_upset_s, lost_links, sure_of
from turnback.records.channel import STICKS, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import (
    BANK_DEG,
    JUST_BEFORE_S,
    LET_GO,
    LET_GO_S,
    MOVED_IN_RETURN,
    RATE_SHARE,
    RETURN_NEAR_M,
    THROTTLE_UP,
)

GROUP: Final = "modes"
FRAME_HZ: Final = 20.0
LET_GO_FROM: Final = 0.25
RATE_WORDS: Final = frozenset({"rate", "rates", "manual", "drehrate", "drehraten", "manuell", "manuel", "tasa"})
LEVEL_PARTS: Final = ("level", "ausgleich", "stabil", "angle", "neigung", "winkel")
RETURN: Final = (Quantity.RETURN_ACTIVE, Quantity.MODE)
PAIRS: Final = (
    (Quantity.ROLL_STICK, Quantity.ROLL_RATE_DEMAND, Quantity.ROLL_RATE, Quantity.ROLL_DEMAND, Quantity.ROLL),
    (Quantity.PITCH_STICK, Quantity.PITCH_RATE_DEMAND, Quantity.PITCH_RATE, Quantity.PITCH_DEMAND, Quantity.PITCH),
)
Span = tuple[float, float]


def tell_modes(looked: Looked, teller: Teller) -> None:
    """Tell the signs of modes.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    _tell_restart(looked, teller)
    _tell_rate_mode(looked, teller)
    _tell_bank(looked, teller)
    _tell_change(looked, teller)
    _tell_return(looked, teller)
    teller.cannot("mode-differs-from-said", WhyNot.NO_CHANNEL)


def _tell_restart(looked: Looked, teller: Teller) -> None:
    sign = "restart-in-record"
    missing = next((each for each in looked.answer.not_told if each.kind is EventKind.RESTART), None)
    restarts = [each for each in looked.answer.events if each.kind is EventKind.RESTART
                and each.start_s <= looked.ended_s + 0.3]  # fmt: skip
    if restarts:
        how = restarts[0].words.get("how", "")
        sure = 0.97 if "began-again" in how or "," in how else 0.88
        teller.say(sign, True, sure, "restart", span=(restarts[0].start_s, restarts[0].end_s),
                   channels=restarts[0].channels)  # fmt: skip
    elif missing is not None:
        teller.cannot(sign, missing.why, *(each.quantity for each in missing.needs))
    else:
        teller.say(sign, False, 0.9, "restart")


def _named(mode: Series | None) -> tuple[list[int], list[int]]:
    """Return the places of mode names that say rate mode, and that say a self-level one."""
    labels = () if mode is None else mode.labels
    rate = [place for place, label in enumerate(labels) if RATE_WORDS & set(re.findall(r"[^\W\d_]+", label.lower()))]
    level = [place for place, label in enumerate(labels) if any(part in label.lower() for part in LEVEL_PARTS)]
    return rate, [each for each in level if each not in rate]


def _tell_rate_mode(looked: Looked, teller: Teller) -> None:
    """Tell whether sticks set turning rates: by the name of the mode, or by what goes along with them."""
    sign, record = "rate-mode-flown", looked.answer.flown.record
    spans = spans_looked_at(looked.answer.flown)
    mode = record.get(Quantity.MODE)
    rate, level = _named(mode)
    if mode is not None and (rate or level):
        rows = inside(mode.t_s, spans) & (mode.t_s <= looked.ended_s)
        seen = mode.values[rows]
        if seen.size:
            last = seen[-max(1, round(3.0 * mode.rate_hz)) :]
            flown = max(float(np.isin(seen, rate).mean()), float(np.isin(last, rate).mean()))
            known = float(np.isin(seen, [*rate, *level]).mean())
            if rate and flown > 0.0:
                teller.by(sign, (flown - 0.15) / 0.1, GROUP, channels=(mode.channel,), share=flown)
                return
            if known > 0.8:
                teller.say(sign, False, 0.97, GROUP, channels=(mode.channel,))
                return
    marks = [each for each in (_goes_with_rate(record, pair, spans, looked.ended_s) for pair in PAIRS)
             if each is not None]  # fmt: skip
    if not marks:
        needs = (Quantity.MODE, Quantity.ROLL_STICK, Quantity.ROLL_RATE, Quantity.ROLL)
        teller.cannot(sign, WhyNot.NO_CHANNEL, *needs)
        return
    more = float(np.mean(marks))
    teller.by(sign, (more - RATE_SHARE.value * np.sign(more)) / 0.25 if abs(more) > RATE_SHARE.value else
              0.3 * np.sign(more), GROUP, most=0.95, more=more)  # fmt: skip


def _goes_with_rate(record: FlightRecord, names: tuple[Quantity, ...], spans: tuple[Span, ...],
                    until_s: float) -> float | None:  # fmt: skip
    """Return by how much more a stick goes along with turning than with tilt, as shares explained."""
    stick = record.get(names[0])
    rate = record.get(names[1]) or record.get(names[2])
    tilt = record.get(names[3]) or record.get(names[4])
    if stick is None or rate is None or tilt is None or min(stick.rate_hz, rate.rate_hz, tilt.rate_hz) < 5.0:
        return None
    t_s, moved = thinned(stick, 20.0)
    keep = inside(t_s, spans) & (t_s <= until_s)
    if np.count_nonzero(keep) < 60 or float(np.std(moved[keep])) < 1e-4:
        return None
    shares = []
    for series, late_s in ((rate, 0.04), (tilt, 0.1)):
        own_s, values = thinned(series, 20.0)
        seen = np.interp(t_s[keep] + late_s, own_s, values)
        shares.append(float(np.corrcoef(moved[keep], seen)[0, 1]) ** 2 if float(np.std(seen)) > 1e-6 else 0.0)
    return shares[0] - shares[1]


def _tell_bank(looked: Looked, teller: Teller) -> None:
    """Tell whether it stays banked when roll and pitch sticks are let go, further over than it flies else.

    Who flies in rate mode lets go with a bank all the time: only what leaves the flight's own usual tilt counts.
    """
    sign, record = "bank-stays-with-sticks-let-go", looked.answer.flown.record
    names = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.ROLL, Quantity.PITCH)
    series = [record.get(each) for each in names]
    known = [each for each in series if each is not None and each.t_s.size > 20]
    if len(known) < len(names):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *names)
        return
    if min(each.rate_hz for each in known) < 4.0:
        teller.cannot(sign, WhyNot.TOO_SLOW, *names[:2])
        return
    t_s, roll_stick = thinned(known[0], FRAME_HZ)
    pitch_stick, roll, pitch = (np.interp(t_s, *thinned(each, FRAME_HZ)) for each in known[1:])
    until_s = min(looked.ended_s, first_upset_s(looked, frozenset({EventKind.FREE_FALL, EventKind.IMPACT})))
    aloft = inside(t_s, spans_looked_at(looked.answer.flown)) & (t_s <= until_s)
    aloft &= ~inside(t_s, [(each.start_s - 1.0, each.end_s) for each in lost_links(looked)])
    aloft &= ~inside(t_s, returns_of(looked) or [])
    if np.count_nonzero(aloft) < 20:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    tilt_deg = np.degrees(np.arccos(np.clip(np.cos(roll) * np.cos(pitch), -1.0, 1.0)))
    free = aloft & (np.maximum(np.abs(roll_stick), np.abs(pitch_stick)) < LET_GO.value)
    usual_deg = float(np.percentile(tilt_deg[aloft], 75.0))
    held_s, span, least_deg = 0.0, None, 0.0
    for first, after in spans_where(free & (tilt_deg > max(BANK_DEG.value, 1.3 * usual_deg)), t_s, bridge_s=0.1):
        seen = tilt_deg[first:after]
        lasts_s = float(t_s[after - 1] - t_s[first])
        came = slice(max(0, int(first) - round(LET_GO_S.value * FRAME_HZ)), int(first) + 1)
        held = float(np.maximum(np.abs(roll_stick[came]), np.abs(pitch_stick[came])).max())
        # what comes upright by itself gets less by the moment; who cruises has let go long before
        if lasts_s > held_s and seen[-1] > 0.75 * seen[0] and held > LET_GO_FROM:
            held_s, span, least_deg = lasts_s, (float(t_s[first]), float(t_s[after - 1])), float(seen.min())
    beyond = (held_s - LET_GO_S.value) / 0.25
    mode = record.get(Quantity.MODE)
    level = _named(mode)[1]
    if beyond > 0.0 and span is not None and mode is not None and level:
        rows = slice(*np.searchsorted(mode.t_s, span))
        if rows.stop > rows.start and float(np.isin(mode.values[rows], level).mean()) > 0.5:
            beyond = -0.8  # in self-level a bank that stays is another fault
    teller.by(sign, beyond, "sticks", span=span, most=0.96, channels=names, held_s=held_s, tilt_deg=least_deg)


def _trouble_s(looked: Looked) -> float | None:
    """Return when the trouble began; None where the flight ended with a quiet landing."""
    upset_s = first_upset_s(looked)
    if upset_s <= looked.ended_s:
        return upset_s
    phases = looked.answer.flown.phases
    rests = [each for each in phases if each.kind in {PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND}
             and abs(each.start_s - looked.ended_s) < 1.0]  # fmt: skip
    blows = [each for each in looked.answer.events if each.kind in {EventKind.IMPACT, EventKind.FREE_FALL}
             and each.start_s <= looked.ended_s + 0.5]  # fmt: skip
    return None if rests and not blows else looked.ended_s


def _tell_change(looked: Looked, teller: Teller) -> None:
    sign = "mode-changes-just-before"
    mode = looked.answer.flown.record.get(Quantity.MODE)
    if mode is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.MODE)
        return
    trouble_s = _trouble_s(looked)
    acting = {mode.labels[place] for _, every in modes_that_act(mode) for place in every} if mode.labels else set()
    lost = [each.start_s for each in lost_links(looked)]
    changes = [
        each for each in events_of(looked, EventKind.MODE_CHANGE)
        if each.words.get("to") not in acting and not any(0.0 <= each.start_s - one < 20.0 for one in lost)
        and (trouble_s is None or each.start_s <= trouble_s - 0.03)
    ]  # fmt: skip
    if trouble_s is None or not changes:
        teller.say(sign, False, 0.93 if changes else 0.97, GROUP, channels=(mode.channel,))
        return
    last = changes[-1]
    before_s = trouble_s - last.start_s
    teller.by(sign, (JUST_BEFORE_S.value - before_s) / 1.5, GROUP, most=0.95, span=(last.start_s, trouble_s),
              channels=(mode.channel,), before_s=before_s)  # fmt: skip


def returns_of(looked: Looked) -> list[Span] | None:
    """Return the spans of automatic return up to the end of the flight; None where no channel tells.

    Parameters
    ----------
    looked : Looked
    """
    record = looked.answer.flown.record
    active, mode = record.get(Quantity.RETURN_ACTIVE), record.get(Quantity.MODE)
    if active is not None and active.t_s.size > 2:
        series, on = active, active.values > 0.5
    elif mode is not None and mode.labels:
        places = next(every for action, every in modes_that_act(mode) if action == "automatic-return")
        series, on = mode, np.isin(mode.values, places)
    else:
        return None
    last = series.t_s.size - 1
    spans = [(float(series.t_s[a]), float(series.t_s[min(b, last)])) for a, b in spans_where(on, series.t_s)]
    return [each for each in spans if each[0] <= looked.ended_s]


def _tell_return(looked: Looked, teller: Teller) -> None:
    record = looked.answer.flown.record
    signs = ("return-mode-active", "return-asked-and-not-entered", "return-ends-without-throttle",
             "sticks-without-effect-in-return")  # fmt: skip
    spans = returns_of(looked)
    if spans is None:
        for sign in signs:
            teller.cannot(sign, WhyNot.NO_CHANNEL, *RETURN)
        return
    channels = tuple(each for each in RETURN if record.get(each))
    lasting = [each for each in spans if each[1] - each[0] >= 1.0]
    whole_s = sum(end - start for start, end in lasting)
    teller.by(signs[0], (whole_s - 1.5) / 0.8 if spans else -2.5, GROUP, span=lasting[0] if lasting else None,
              channels=channels, active_s=whole_s)  # fmt: skip
    _tell_asked(looked, spans, lasting, teller)
    if not lasting:
        for sign in signs[2:]:
            teller.say(sign, False, 0.97, GROUP, channels=channels)
        return
    _tell_ends(looked, lasting, teller)
    _tell_without_effect(looked, lasting, teller)


def _tell_asked(looked: Looked, spans: list[Span], lasting: list[Span], teller: Teller) -> None:
    """Tell whether a return that was asked for did not begin: it shows for a moment and is gone again.

    That radio loss asks for it, no record says: an aircraft may be set to come down instead.
    """
    sign = "return-asked-and-not-entered"
    short = [each for each in spans if each[1] - each[0] < 1.0]
    if lasting:
        teller.say(sign, False, 0.93, GROUP)
    elif short:
        teller.say(sign, True, sure_of(0.5 * len(short), 0.85), GROUP, span=(short[0][0], short[-1][1]))
    elif any(each.end_s - each.start_s > 3.0 for each in lost_links(looked)):
        teller.cannot(sign, WhyNot.NO_CHANNEL)
    else:
        teller.say(sign, False, 0.8, GROUP)


def _tell_ends(looked: Looked, spans: list[Span], teller: Teller) -> None:
    """Tell whether the return ends over the launch point, in the air, and the throttle stays closed."""
    sign, record = "return-ends-without-throttle", looked.answer.flown.record
    throttle, distance = record.get(Quantity.THROTTLE), record.get(Quantity.DISTANCE_LAUNCH)
    if throttle is None or distance is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.THROTTLE, Quantity.DISTANCE_LAUNCH)
        return
    end_s = spans[-1][1]
    height_m = value_at(record, Quantity.HEIGHT_LAUNCH, end_s)
    goes_on = end_s < min(looked.ended_s + 0.5, float(throttle.t_s[-1]) - 0.2)
    if not goes_on or (height_m is not None and height_m < 2.0):
        teller.say(sign, False, 0.9, GROUP, channels=(throttle.channel,))
        return
    near_m = value_at(record, Quantity.DISTANCE_LAUNCH, end_s) or 0.0
    rows = slice(*np.searchsorted(throttle.t_s, [end_s, end_s + 2.0]))
    given = float(np.median(throttle.values[rows])) if rows.stop > rows.start else 1.0
    beyond = min((RETURN_NEAR_M.value - near_m) / 8.0, (THROTTLE_UP.value + 0.05 - given) / 0.03)
    teller.by(sign, beyond, GROUP, most=0.95, span=(end_s, end_s + 2.0), channels=(throttle.channel, distance.channel),
              distance_m=near_m, throttle=given)  # fmt: skip


def _tell_without_effect(looked: Looked, spans: list[Span], teller: Teller) -> None:
    """Tell whether the pilot moves the sticks in the return and it goes on all the same."""
    sign, record = "sticks-without-effect-in-return", looked.answer.flown.record
    sticks = [each for each in map(record.get, STICKS[:3]) if each is not None]
    if not sticks:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *STICKS[:3])
        return
    moved, at_s = 0.0, spans[0][0]
    for start_s, end_s in spans:
        for each in sticks:
            seen_s, values = _within(each, start_s + 0.5, min(end_s, looked.ended_s) - 1.0)
            if values.size < 5:
                continue
            away = np.abs(values - np.median(values))
            # held for a fifth of a second: a stick that lets go as the return begins is none
            far = float(np.percentile(away, 97.0))
            if far > moved:
                moved, at_s = far, float(seen_s[int(np.argmax(away))])
    teller.by(sign, (moved - MOVED_IN_RETURN.value) / 0.08, GROUP, most=0.96, span=(at_s, spans[-1][1]),
              channels=tuple(each.channel for each in sticks), moved=moved)  # fmt: skip


def _within(series: Series, start_s: float, end_s: float) -> tuple[Floats, Floats]:
    t_s, values = thinned(series, 25.0)
    rows = (t_s >= start_s) & (t_s <= end_s)
    return t_s[rows], values[rows]
