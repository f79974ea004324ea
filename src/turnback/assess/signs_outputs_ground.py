"""What the outputs do on the ground, armed and before the run-up: a board that believes it leans pushes one side."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signals import rows_between
from turnback.assess.signs_outputs_flight import CORNERS, Seen, most_asked
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_ground import GROUND_HALVES, GROUND_STICK

SIGN: Final = "halves-differ-before-lift"
GROUP: Final = "outputs on the ground"
TURNS: Final = 0.02
BEFORE_S: Final = 0.1
MOST_S: Final = 2.0
LEAST_S: Final = 0.2
UNNAMED_SURE: Final = 0.8
NO_STICKS_SURE: Final = 0.85


def on_the_ground(seen: Seen, tell: Telling) -> None:
    """Tell whether one half gives more than the other while it stands armed, with the sticks centred.

    Notes
    -----
    A board that levels by itself pushes up the side that it believes to be low. Standing on its head it believes that
    by half a turn; a level that is some degrees off gives a few hundredths.
    """
    outputs = seen.outputs
    if outputs is None or len(outputs.channels) != CORNERS:
        why = WhyNot.NO_CHANNEL if outputs is None else WhyNot.CORNERS_UNKNOWN
        tell.missed(why, SIGN, needs=needing(Quantity.OUTPUT))
        return
    if seen.lift is None:
        tell.missed(WhyNot.TOO_SHORT, SIGN)
        return
    end_s = seen.lift.up_s - BEFORE_S
    rows = rows_between(outputs.t_s, end_s - MOST_S, end_s)
    out = np.stack([np.asarray(values[rows], np.float64) for values in outputs.values])
    on = out.max(axis=0) > TURNS if out.size else np.zeros(0, bool)
    if on.sum() * (end_s - float(outputs.t_s[rows.start])) < LEAST_S * max(on.size, 1):
        tell.missed(WhyNot.TOO_SHORT, SIGN)
        return
    named = outputs.corners_known()
    parts = [abs(float(np.median(each @ out[:, on]))) / 2.0 for key, each in PARTS.items()
             if key != "diagonal" or not named]  # fmt: skip
    apart = max(parts)
    asked = most_asked(seen, ("roll", "pitch"), end_s - MOST_S, end_s)
    score = apart / GROUND_HALVES.value
    if asked is not None and score > 1.0:
        score = min(score, GROUND_STICK.value / max(asked, 1e-3))
    most = UNNAMED_SURE if not named else NO_STICKS_SURE if asked is None else 0.97
    tell.scored(
        SIGN, GROUP, max(score, 0.05), most=most, span=(float(outputs.t_s[rows.start]), end_s),
        channels=outputs.channels, values={"apart_share": apart, "limit_share": GROUND_HALVES.value},
    )  # fmt: skip
