"""Modes: rate mode, a change just before the trouble, automatic return and what the pilot did in it; restarts."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_action import modes_that_act
from turnback.assess.link_events_parts import inside, spans_looked_at, thinned
from turnback.assess.signs_link_parts import Teller, events_of, lost_links
from turnback.assess.signs_sticks_bank import began_s, named_modes, tell_bank
from turnback.assess.signs_sticks_return import tell_return
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_sticks import (
    JUST_BEFORE_S,
    RATE_SHARE,
)

GROUP: Final = "modes"
FRAME_HZ: Final = 20.0
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
    tell_bank(looked, teller)
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


def _tell_rate_mode(looked: Looked, teller: Teller) -> None:
    """Tell whether sticks set turning rates: by the name of the mode, or by what goes along with them."""
    sign, record = "rate-mode-flown", looked.answer.flown.record
    spans = spans_looked_at(looked.answer.flown)
    mode = record.get(Quantity.MODE)
    rate, level = named_modes(mode)
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


def _tell_change(looked: Looked, teller: Teller) -> None:
    sign = "mode-changes-just-before"
    mode = looked.answer.flown.record.get(Quantity.MODE)
    if mode is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.MODE)
        return
    trouble_s = began_s(looked)
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
