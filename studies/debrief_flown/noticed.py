"""A flight is in this study only where somebody would write about it: what those who stand by would notice.

A fault that stays small leaves nothing in any record and nothing to ask about. So each generator looks at the truth of
its flight, never at the record and never at what the product tells of it, and names the troubles that it holds. A
flight with a fault and without any trouble is drawn again, at most `TRIES` times; one that never shows any is counted
as leaving no trace. The limits were chosen before any such flight was told.
"""

from __future__ import annotations

from enum import Enum
from typing import Final


class Trouble(Enum):
    """What somebody would notice."""

    DOWN = "down"  # it strikes something, turns over, or comes down hard where or when nobody meant it to
    NEVER_UP = "never up"  # it does not arm, or does not leave the ground at full throttle
    AWAY = "away"  # it lands far off, flies away, or falls silent in the air
    LINK = "link"  # commands stay away, or most of them are lost
    SHAKES = "shakes"  # it shakes, buzzes or swings
    DISOBEYS = "disobeys"  # it does not lean, turn or hold as the thumbs mean
    WEAK = "weak"  # cells sink low under load, it flies shorter, or works much harder than it should
    READS = "reads"  # volts, heading or place on the screen are plainly wrong
    RETURN = "return"  # the return does not bring it home


TRIES: Final = 8
"""Draws for one flight, each with a generator of its own: ``[seed, try]``; the first try draws as before."""

HARD_MPS: Final = 3.0
"""DOWN: speed at which it meets ground or something else; legs and propellers break about there (our choice)."""
AWAY_M: Final = 25.0
"""AWAY: from where the pilot meant to land; a walk that one would mention (our choice)."""
SILENT_S: Final = 0.5
"""LINK: so long without any command; most boards act on less than that by now (common practice)."""
LOSES: Final = 0.4
LOSES_S: Final = 1.0
"""LINK: this share of the packets lost for this long; the warning comes long before (our choice)."""
SHAKES_DPS: Final = 20.0
"""SHAKES: root mean square of the true turning rates above 5 Hz, over a second; a camera shows a few (our choice)."""
SHAKES_TIMES: Final = 3.0
"""SHAKES: or so many times the felt vibration of the same aircraft when it is sound."""
OFF_DEG: Final = 12.0
OFF_S: Final = 0.7
"""DISOBEYS: it leans so far from what the thumbs mean for so long; a beginner sees ten degrees (our choice)."""
DRIFTS_MPS: Final = 1.5
"""DISOBEYS: or moves so fast over the ground with thumbs off, the wind's part taken out; a brisk walk."""
LOW_CELL_V: Final = 3.3
"""WEAK: the lowest cell under load; warnings are set there or higher (common practice)."""
SHORTER: Final = 0.75
"""WEAK: share of the time in the air that the same aircraft would have when it is sound."""
HARDER: Final = 1.25
"""WEAK: times its usual output in the hover."""
READS_CELL_V: Final = 0.15
READS_HEADING_DEG: Final = 20.0
READS_PLACE_M: Final = 12.0
"""READS: off by so much for a second or more; pilots compare with a meter, with the nose, and with the map."""
LATER_S: Final = (0.0, 0.05, 0.1, 0.15)
"""DISOBEYS: a sound board follows the thumbs so much later."""
THUMBS_OFF_S: Final = 2.0
"""DISOBEYS: so long a beginner leaves the thumbs off to see whether it stays (our choice)."""
SETTLED_S: Final = 2.0
"""From lift-off until its outputs are those of flight."""
STILL_COS: Final = 0.966
STILL_MPS: Final = 1.0
"""WEAK: outputs are those of a hover while it leans less than 15 degrees and hardly climbs or sinks."""
SAGS_S: Final = 0.1
"""WEAK: a warning looks at the volts some ten times a second (our choice)."""
HANGS_S: Final = 6.0
"""RETURN: so long over the launch point without coming down, and nobody waits any more (our choice)."""
BACK_LEAST_M: Final = 10.0
"""A return from nearer shows nothing."""
