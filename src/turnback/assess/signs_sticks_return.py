"""Automatic return: whether it was active, and what the pilot did in it."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_action import modes_that_act
from turnback.assess.link_events_parts import Floats, thinned, value_at
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller, lost_links, sure_of
from turnback.records.channel import STICKS, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import Series
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_sticks import (
    MOVED_IN_RETURN,
    RETURN_NEAR_M,
    THROTTLE_UP,
)

GROUP: Final = "modes"
AT_END_S: Final = 1.0
RETURN: Final = (Quantity.RETURN_ACTIVE, Quantity.MODE)
Span = tuple[float, float]


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


def ends_in_return(looked: Looked) -> bool:
    """Tell whether the record ends while it returns by itself: it may only have been stopped, or full, then.

    Parameters
    ----------
    looked : Looked
    """
    every = looked.answer.flown.record.series.values()
    end_s = max((float(each.t_s[-1]) for each in every if each.t_s.size), default=0.0)
    return any(start_s < end_s - AT_END_S and last_s > end_s - AT_END_S for start_s, last_s in returns_of(looked) or [])


def tell_return(looked: Looked, teller: Teller) -> None:
    """Tell the signs of automatic return.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
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
