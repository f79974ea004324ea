"""Modes: rate mode, a change just before the trouble, automatic return and what the pilot did in it; restarts."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from turnback.assess.link_events_action import modes_that_act
from turnback.assess.link_events_parts import inside, spans_looked_at, thinned
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller, events_of, first_upset_s, lost_links
from turnback.assess.signs_sticks_return import returns_of, tell_return
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import (
    BANK_DEG,
    JUST_BEFORE_S,
    LET_GO,
    LET_GO_S,
    RATE_SHARE,
    WORSE_OVER_DEG,
)

GROUP: Final = "modes"
FRAME_HZ: Final = 20.0
LET_GO_FROM: Final = 0.25
LAY_OVER_S: Final = 1.0
BANK_LATE_S: Final = 4.0
RATE_WORDS: Final = frozenset({"rate", "rates", "manual", "drehrate", "drehraten", "manuell", "manuel", "tasa"})
LEVEL_PARTS: Final = ("level", "ausgleich", "stabil", "angle", "neigung", "winkel")
PAIRS: Final = (
    (Quantity.ROLL_STICK, Quantity.ROLL_RATE_DEMAND, Quantity.ROLL_RATE, Quantity.ROLL_DEMAND, Quantity.ROLL),
    (Quantity.PITCH_STICK, Quantity.PITCH_RATE_DEMAND, Quantity.PITCH_RATE, Quantity.PITCH_DEMAND, Quantity.PITCH),
)


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
    tell_return(looked, teller)
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


def _goes_with_rate(record: FlightRecord, names: tuple[Quantity, ...], spans: tuple[tuple[float, float], ...],
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
    trouble_s = _trouble_s(looked)
    usual_deg = float(np.percentile(tilt_deg[aloft], 75.0))
    held_s, span, least_deg = 0.0, None, 0.0
    for first, after in spans_where(free & (tilt_deg > max(BANK_DEG.value, 1.3 * usual_deg)), t_s, bridge_s=0.1):
        seen = tilt_deg[first:after]
        lasts_s = float(t_s[after - 1] - t_s[first])
        came = slice(max(0, int(first) - round(LET_GO_S.value * FRAME_HZ)), int(first) + 1)
        held = float(np.maximum(np.abs(roll_stick[came]), np.abs(pitch_stick[came])).max())
        if trouble_s is None or trouble_s - float(t_s[after - 1]) > BANK_LATE_S:
            continue
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
    return None if rests and not blows and not _lay_over(looked) else looked.ended_s


def _lay_over(looked: Looked) -> bool:
    """Tell whether it lay over a moment before it came to rest: nobody lands like that."""
    record = looked.answer.flown.record
    roll, pitch = record.get(Quantity.ROLL), record.get(Quantity.PITCH)
    if roll is None or pitch is None or min(roll.t_s.size, pitch.t_s.size) < 2:
        return False
    t_s = np.arange(looked.ended_s - LAY_OVER_S, looked.ended_s, 1.0 / FRAME_HZ)
    upright = np.cos(np.interp(t_s, roll.t_s, roll.values)) * np.cos(np.interp(t_s, pitch.t_s, pitch.values))
    return bool(upright.min() < np.cos(np.radians(WORSE_OVER_DEG.value)))


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
