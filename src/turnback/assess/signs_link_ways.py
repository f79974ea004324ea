"""Both ways of the link side by side: which end is weak, and whether the power of one changes in flight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import inside, odd_width, thinned
from turnback.assess.signals import held_at
from turnback.assess.signs_link_parts import Teller, lost_links
from turnback.assess.signs_link_view import FEWEST, Floats, smoothed_while_flown
from turnback.records.channel import Quantity
from turnback.records.debrief import Compare, Looked
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import APART_DB, NO_LEVEL, ONE_WAY_DB, ONE_WAY_QUALITY, USUAL_BACK_DB

GROUP: Final = "link both ways"
LEVELS: Final = (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK)
QUALITIES: Final = (Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK)
SIGNS: Final = ("one-direction-only-weak", "commands-weaker-than-way-back", "way-back-weaker-than-commands")
BEFORE_PERCENT: Final = 15.0
NEAR_LOST_S: Final = 1.5
NO_LEVEL_DBM: Final = -1.0


@dataclass(frozen=True, slots=True, eq=False)
class Apart:
    """The way back less the way there.

    Parameters
    ----------
    t_s, db : ndarray, shape (n,)
        Levels, smoothed over a second.
    """

    t_s: Floats
    db: Floats


def apart_of(looked: Looked) -> Apart | None:
    """Return how far both levels lie apart while it flew; None where not both are recorded long enough.

    Parameters
    ----------
    looked : Looked
    """
    record = looked.answer.flown.record
    up, back = (record.get(each) for each in LEVELS)
    if up is None or back is None or min(up.t_s.size, back.t_s.size) < FEWEST:
        return None
    t_s, there = smoothed_while_flown(up, looked, 0.5)
    back_s, here = smoothed_while_flown(back, looked, 0.5)
    if min(t_s.size, back_s.size) < FEWEST:
        return None
    db = held_at(back_s, here, t_s) - there
    lost = [(each.start_s - NEAR_LOST_S, each.end_s) for each in lost_links(looked)]
    keep = ~inside(t_s, lost) & (there < NO_LEVEL_DBM) & (there > NO_LEVEL.value)
    if np.count_nonzero(keep) < FEWEST:
        return None
    t_s, db = t_s[keep], db[keep]
    return Apart(t_s, running_median(db, odd_width(t_s, 1.0, 3)))


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


def power_falls(looked: Looked, apart: Apart | None) -> tuple[float, dict[str, float], tuple[Quantity, ...]] | None:
    """Return how surely the power of one end fell in flight, in uncertainties; None where nothing tells.

    What lies in the path falls both ways alike. Between both only a transmitter's power, or a receiver, changes.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
    """
    power = looked.answer.flown.record.get(Quantity.TRANSMIT_POWER)
    if power is not None and power.t_s.size > FEWEST:
        t_s, watts = thinned(power, 5.0)
        seen = watts[(t_s <= looked.ended_s) & (watts > 0.0)]
        if seen.size > 10:
            ends = np.median(seen[: seen.size // 4]), np.median(seen[-max(3, seen.size // 8) :])
            fell_db = float(10.0 * np.log10(ends[0] / ends[1]))
            if fell_db > 2.0:
                return (fell_db - 1.5) / 0.7, {"power_drop_db": fell_db}, (Quantity.TRANSMIT_POWER,)
    if apart is None or apart.t_s[-1] - apart.t_s[0] < 15.0:
        return None
    third = apart.db.size // 3
    first, last = apart.db[:third], apart.db[-max(10, third // 2) :]
    change = float(np.median(last) - np.median(first))
    # one that comes and goes is no transmitter that warms up
    loose = 0.5 * float(np.percentile(last, 84.0) - np.percentile(last, 16.0))
    return (abs(change) - APART_DB.value) / max(0.8, loose), {"apart_db": change}, LEVELS
