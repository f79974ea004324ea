"""A link that goes from one moment to the next while its level is high: no path takes that much."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between
from turnback.assess.signs_link_parts import Teller, first_upset_s, lost_links
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import BEFORE_S, LOST_S, NO_LEVEL, STRONG_LEVEL

SIGN: Final = "lost-from-a-high-level"
GROUP: Final = "link lost"
LEVELS: Final = (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK)
LOOKS_S: Final = (2.5, 0.6)
"""Before the loss: a level that fell with it, told late, does not count."""
NO_LEVEL_DBM: Final = -1.0
FEW_ROWS: Final = 3


def tell_from_high(looked: Looked, teller: Teller) -> None:
    """Tell whether the level was high until the link went.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    series = next((each for each in map(looked.answer.flown.record.get, LEVELS) if each is not None), None)
    if series is None:
        teller.cannot(SIGN, WhyNot.NO_CHANNEL, LEVELS[0])
        return
    lost = lost_links(looked, LOST_S.value)
    if not lost:
        teller.say(SIGN, False, 0.95, GROUP, channels=(series.channel,))
        return
    first = max(lost, key=lambda each: each.end_s - each.start_s)
    if first_upset_s(looked) < first.start_s - BEFORE_S.value:
        teller.cannot(SIGN, WhyNot.TOO_SHORT)  # what went wrong before may have taken the link with it
        return
    seen = between(series, first.start_s - LOOKS_S[0], first.start_s - LOOKS_S[1])
    seen = seen[(seen < NO_LEVEL_DBM) & (seen > NO_LEVEL.value)]
    if seen.size < FEW_ROWS:
        teller.cannot(SIGN, WhyNot.TOO_SHORT)
        return
    level_dbm = float(np.percentile(seen, 70.0))
    beyond = (level_dbm - STRONG_LEVEL.value) / 4.0
    # a radio that is switched off far out goes from a low level too
    teller.by(SIGN, beyond, GROUP, most=0.95 if beyond > 0.0 else 0.8, span=(first.start_s, first.end_s),
              channels=(series.channel,), level_dbm=level_dbm)  # fmt: skip
