"""Both ways of the link side by side, and whether the power of one of them falls in flight."""

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
from turnback.records.debrief import Looked
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import APART_DB, NO_LEVEL, STRONG_LEVEL

SIGN: Final = "power-falls-in-flight"
GROUP: Final = "link power"
LEVELS: Final = (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK)
NEAR_LOST_S: Final = 1.5
NO_LEVEL_DBM: Final = -1.0
FELL_DB: Final = 2.0
SURELY: Final = 1.0


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


def tell_power(looked: Looked, apart: Apart | None, teller: Teller) -> None:
    """Tell whether a transmitter's power fell in flight: by what is recorded of it, else between both ways.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
    teller : Teller
    """
    found = power_falls(looked, apart)
    if found is not None:
        teller.by(SIGN, found[0], GROUP, most=0.95, channels=found[2], values=found[1])
    elif apart is None:
        teller.cannot(SIGN, WhyNot.NO_CHANNEL, Quantity.TRANSMIT_POWER)
    else:
        teller.cannot(SIGN, WhyNot.TOO_SHORT)


def power_falls(looked: Looked, apart: Apart | None) -> tuple[float, dict[str, float], tuple[Quantity, ...]] | None:
    """Return how surely the power of one end fell in flight, in uncertainties; None where nothing tells.

    What lies in the path falls both ways alike. Between both only a transmitter's power, or a receiver, changes.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
    """
    fell_db = _recorded_fall_db(looked)
    if fell_db is not None and fell_db > FELL_DB:
        return (fell_db - 1.5) / 0.7, {"power_drop_db": fell_db}, (Quantity.TRANSMIT_POWER,)
    if apart is None or apart.t_s[-1] - apart.t_s[0] < 15.0:
        return None
    third = apart.db.size // 3
    first, last = apart.db[:third], apart.db[-max(10, third // 2) :]
    change = float(np.median(last) - np.median(first))
    # one that comes and goes is no transmitter that warms up
    loose = 0.5 * float(np.percentile(last, 84.0) - np.percentile(last, 16.0))
    return (abs(change) - APART_DB.value) / max(0.8, loose), {"apart_db": change}, LEVELS


def power_fell(looked: Looked) -> bool:
    """Tell whether the power of one end surely fell in flight: then levels say nothing of the path.

    Parameters
    ----------
    looked : Looked
    """
    found = power_falls(looked, apart_of(looked))
    return found is not None and found[0] > SURELY


def _recorded_fall_db(looked: Looked) -> float | None:
    """Return by how much the recorded power fell; None where none is recorded, or it is saved at a strong level."""
    power = looked.answer.flown.record.get(Quantity.TRANSMIT_POWER)
    if power is None or power.t_s.size <= FEWEST:
        return None
    t_s, watts = thinned(power, 5.0)
    counts = (t_s <= looked.ended_s) & (watts > 0.0)
    t_s, seen = t_s[counts], watts[counts]
    if seen.size <= 10:
        return None
    before = float(np.median(seen[: seen.size // 4]))
    fell_db = 10.0 * float(np.log10(before / np.median(seen[-max(3, seen.size // 8) :])))
    level = looked.answer.flown.record.get(Quantity.LINK_LEVEL)
    if fell_db > FELL_DB and level is not None and level.t_s.size:
        low_dbm = held_at(level.t_s, level.values, t_s[seen < 0.7 * before])
        if float(np.percentile(low_dbm, 5.0)) > STRONG_LEVEL.value:
            return None  # some radios send less where less is enough
    return fell_db
