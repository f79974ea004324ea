"""Both ways of the link side by side: which end is weak, and whether the power of one changes in flight."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signals import held_at
from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_link_power import LEVELS, Apart, apart_of, power_falls
from turnback.assess.signs_link_view import FEWEST, smoothed_while_flown
from turnback.records.channel import Quantity
from turnback.records.debrief import Compare, Looked
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import ONE_WAY_DB, ONE_WAY_QUALITY, USUAL_BACK_DB

GROUP: Final = "link both ways"
QUALITIES: Final = (Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK)
SIGNS: Final = ("one-direction-only-weak", "commands-weaker-than-way-back", "way-back-weaker-than-commands")
BEFORE_PERCENT: Final = 15.0


def tell_ways(looked: Looked, apart: Apart | None, teller: Teller) -> None:
    """Tell which end is weak.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
    teller : Teller
    """
    if apart is None:
        _tell_by_packets(looked, teller)
        return
    # where one end's power falls in flight, what was weak all along shows before it fell
    fell = power_falls(looked, apart)
    middle = float(np.percentile(apart.db, BEFORE_PERCENT)) if fell and fell[0] > 0.0 else float(np.median(apart.db))
    usual, unsure = _usual_db(looked)
    off_db = middle - usual
    scale = max(1.5, unsure)
    values = {"back_less_there_db": middle}
    beyond = (abs(off_db) - ONE_WAY_DB.value) / scale
    teller.by(SIGNS[0], beyond, GROUP, channels=LEVELS, values=values)
    teller.by(SIGNS[1], (off_db - ONE_WAY_DB.value) / scale, GROUP, channels=LEVELS, values=values)
    teller.by(SIGNS[2], (-off_db - ONE_WAY_DB.value) / scale, GROUP, channels=LEVELS, values=values)


def _usual_db(looked: Looked) -> tuple[float, float]:
    """Return how far both levels usually lie apart, and what that is uncertain by: earlier flights, plan, practice."""
    before = []
    for one in looked.earlier:
        phases = one.flown.phases
        found = apart_of(Looked(one, phases[-1].end_s if phases else 0.0))
        if found is not None:
            before.append(float(np.median(found.db)))
    if before:
        return float(np.median(before)), 1.5
    compared = {} if looked.against is None else {each.what: each for each in looked.against.compared}
    if Compare.LEVEL in compared and Compare.LEVEL_BACK in compared:
        there, back = compared[Compare.LEVEL], compared[Compare.LEVEL_BACK]
        planned = back.predicted - there.predicted
        planned = planned[np.isfinite(planned)]
        if planned.size:
            # a plan knows powers, and no receiver's error: half way to what is usual
            return 0.5 * (float(np.median(planned)) + USUAL_BACK_DB.value), 1.8
    return USUAL_BACK_DB.value, 1.8


def _tell_by_packets(looked: Looked, teller: Teller) -> None:
    """Tell by packets where not both levels are recorded: the end that loses far more of them."""
    record = looked.answer.flown.record
    up, back = (record.get(each) for each in QUALITIES)
    if up is None or back is None or min(up.t_s.size, back.t_s.size) < FEWEST:
        for sign in SIGNS:
            teller.cannot(sign, WhyNot.NO_CHANNEL, *LEVELS)
        return
    t_s, there = smoothed_while_flown(up, looked)
    back_s, here = smoothed_while_flown(back, looked)
    if min(t_s.size, back_s.size) < FEWEST:
        for sign in SIGNS:
            teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    less = float(np.percentile(there - held_at(back_s, here, t_s), 92.0))
    more = float(np.percentile(held_at(back_s, here, t_s) - there, 92.0))
    for sign, size in zip(SIGNS, (max(less, more), more, less), strict=True):
        teller.by(sign, (size - ONE_WAY_QUALITY.value) / 0.06, GROUP, most=0.8, channels=QUALITIES, share=size)
