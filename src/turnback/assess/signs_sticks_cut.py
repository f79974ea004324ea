"""A throttle that is closed aloft for about a second, and then opened fully."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import inside, spans_looked_at
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_link_parts import Teller, first_upset_s
from turnback.assess.signs_sticks_still import acts_itself
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import Series
from turnback.records.happened import ALOFT, EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import CARRIES, CLOSED, CLOSED_S, FLEW_ON_LONG, OPENED, OPENED_WITHIN_S

GROUP: Final = "sticks"
FLYING: Final = ALOFT - {PhaseKind.FALL}
SAME_MOMENT_S: Final = 0.6
AGAIN_S: Final = 0.8
FLIES_DOWN_S: Final = 4.0
CARRIED_S, BEFORE_S = 1.5, 0.3
CALM_RAD: Final = 0.4
FEWEST: Final = 3
SURE_MOST: Final = 0.97
GOT_AWAY_SURE: Final = 0.6


def tell_cut(looked: Looked, teller: Teller) -> float:
    """Tell whether the throttle was closed aloft for about a second and then opened fully: what comes first counts.

    Parameters
    ----------
    looked : Looked
    teller : Teller

    Returns
    -------
    float
        When it was opened again, in seconds of the record; infinity where none is seen.
    """
    sign = "throttle-cut-then-full"
    throttle = looked.answer.flown.record.get(Quantity.THROTTLE)
    if throttle is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.THROTTLE)
        return float("inf")
    upset_s = first_upset_s(looked, frozenset({EventKind.FREE_FALL, EventKind.IMPACT, EventKind.VOLT_STEP}))
    limit_s = min(looked.ended_s, upset_s) + SAME_MOMENT_S  # the fall that it makes is told from a moment before
    looked_at = spans_looked_at(looked.answer.flown)
    t_s, values = throttle.t_s, throttle.values
    best, span, told, hit_first = -2.0, None, {"cut_s": 0.0, "full": 0.0}, False
    blows_s = [each.start_s for each in looked.answer.events if each.kind is EventKind.IMPACT]
    for first, after in spans_where(values <= CLOSED.value, t_s, least_s=0.2, bridge_s=0.05):
        start_s = float(t_s[first])
        aloft = bool(inside(np.array([start_s, start_s - SAME_MOMENT_S]), looked_at).any())
        late = start_s > limit_s and not (_flown_again(looked, start_s) or _still_carried(looked, throttle, start_s))
        if late or not aloft or acts_itself(looked, start_s):
            continue
        end_s = float(t_s[min(int(after), t_s.size - 1)])
        if any(start_s + CLOSED_S.value < each < end_s for each in blows_s) and _calm(looked, start_s):
            hit_first = True  # who closes it in a tumble has given up
        if after >= t_s.size:
            continue
        rows = slice(int(after), int(np.searchsorted(t_s, end_s + OPENED_WITHIN_S.value)) + 1)
        full = float(values[rows].max())
        beyond = min((end_s - start_s - CLOSED_S.value) / 0.2, (full - OPENED.value) / 0.03)
        if beyond > best:
            best, span, told = beyond, (start_s, end_s), {"cut_s": end_s - start_s, "full": full}
    if best <= 0.0 and hit_first:  # the ground came before it could be opened again
        teller.cannot(sign, WhyNot.TOO_SHORT, Quantity.THROTTLE)
        return float("inf")
    most = GOT_AWAY_SURE if best > 0.0 and span is not None and _got_away(looked, span[1]) else SURE_MOST
    teller.by(sign, best, GROUP, span=span, most=most, channels=(throttle.channel,), values=told)
    return span[1] if span is not None and best > 0.0 else float("inf")


def _got_away(looked: Looked, at_s: float) -> bool:
    """Tell whether it flew on for long afterwards: the worst cut of a flight has then ended nothing."""
    return max((each.end_s for each in looked.answer.flown.phases if each.kind in FLYING), default=at_s) > (
        at_s + FLEW_ON_LONG.value
    )


def _flown_again(looked: Looked, at_s: float) -> bool:
    """Tell whether it was in the air, and not falling, for a while up to a time after what was taken for its end."""
    return any(each.kind in FLYING and each.end_s >= at_s - SAME_MOMENT_S and each.start_s <= at_s - AGAIN_S
               and each.start_s >= looked.ended_s - SAME_MOMENT_S
               and at_s <= looked.ended_s + FLIES_DOWN_S for each in looked.answer.flown.phases)  # fmt: skip


def _still_carried(looked: Looked, throttle: Series, at_s: float) -> bool:
    """Tell whether what was taken for a fall was flown: throttle well open for a second, turning at nobody's will.

    A fast way down with little throttle looks like a fall; what falls broken tumbles, or hits the ground soon.
    """
    falls = any(each.kind is PhaseKind.FALL and each.start_s < at_s - CARRIED_S and each.end_s > at_s
                and each.start_s >= looked.ended_s - FLIES_DOWN_S for each in looked.answer.flown.phases)  # fmt: skip
    before = throttle.values[rows_between(throttle.t_s, at_s - CARRIED_S, at_s - BEFORE_S)]
    if not falls or before.size < FEWEST or float(np.min(before)) < CARRIES.value:
        return False
    return _calm(looked, at_s)


def _calm(looked: Looked, at_s: float) -> bool:
    """Tell whether it hardly turned in the moment before."""
    for quantity in (Quantity.ROLL, Quantity.PITCH):
        angle = looked.answer.flown.record.get(quantity)
        if angle is None:
            return False
        part = angle.values[rows_between(angle.t_s, at_s - CARRIED_S, at_s)]
        if part.size < FEWEST or float(np.ptp(part)) > CALM_RAD:
            return False
    return True
