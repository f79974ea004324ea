"""What was asked as a corner gave way, and whether its rotor ran up while it did."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between
from turnback.assess.signs_outputs_flight import CORNERS, STEADY, Seen
from turnback.assess.signs_outputs_speed import BLOCK_S, HIGH, JUMP, LEAST_OUTPUT
from turnback.assess.signs_outputs_tell import Telling
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_outputs import (
    GIVES_HARD,
    GIVES_OPENS,
    MEAN_BARELY,
    SPEED_HIGH,
    SPEED_JUMP,
)

OPENS, HARD = "corner-gives-way-as-throttle-opens", "corner-gives-way-under-hard-throttle"
CLOSED_S: Final = 0.9
RISE_S: Final = 0.35
MOST: Final = 0.95
LAG_S: Final = 0.08  # a rotor has followed its output nearly by then
LEAST_S: Final = 0.05
LEAST_BLOCKS: Final = 8
POWER: Final = 0.7
GROUP: Final = "rotor speeds"


def asked_before(seen: Seen, at_s: float, group: str, tell: Telling) -> None:
    """Tell whether a corner gave way at a closed throttle or as that opened, or at a burst of throttle.

    Parameters
    ----------
    seen : Seen
    at_s : float
        When the corner's output came to its end or far up, or stepped.
    group : str
    tell : Telling
    """
    outputs = seen.outputs
    if outputs is None:
        return
    mean = np.mean([each[rows_between(outputs.t_s, at_s - CLOSED_S, at_s)] for each in outputs.values], axis=0)
    parts = np.stack([each[rows_between(outputs.t_s, at_s - RISE_S, at_s)] for each in outputs.values])
    late = parts.mean(axis=0)
    if late.size < 3:
        tell.missed(WhyNot.TOO_SHORT, OPENS, HARD)
        return
    rise = float(np.max(late - np.minimum.accumulate(late)))
    low = max(float(mean.min()) - seen.idle, 0.0)
    values = {"rise_share": rise, "low_share": low}
    span = (at_s - CLOSED_S, at_s)
    closed = MEAN_BARELY.value / max(low, 0.01)
    others = float(np.sort(parts[:, -3:], axis=0)[:-1].mean()) - seen.idle
    opens = max(rise / GIVES_OPENS.value, MEAN_BARELY.value / max(others, 0.01))  # it is closed still, or it opened
    tell.scored(
        OPENS, group, min(closed, opens), most=MOST, span=span, values=values,
        channels=outputs.channels,
    )  # fmt: skip
    tell.scored(
        HARD, group, min(1.0 / closed, rise / GIVES_HARD.value), most=MOST, span=span, values=values,
        channels=outputs.channels,
    )  # fmt: skip


def spins_up(seen: Seen, place: int, span: tuple[float, float], tell: Telling) -> None:
    """Tell that a rotor turns faster than its output ever made it while its corner gives way: nothing holds it.

    Parameters
    ----------
    seen : Seen
    place : int
        Of the output of that corner.
    span : tuple
        When the output is at its end.
    tell : Telling

    Notes
    -----
    What speed an output makes is taken from half seconds of steady flight of all rotors. A rotor that does not run up
    says nothing here: it may stand.
    """
    outputs, speeds = seen.outputs, seen.speeds
    if outputs is None or speeds is None or len(speeds.values) != CORNERS or span[1] - span[0] < LAG_S + LEAST_S:
        return
    channel = outputs.channels[place]
    own = next((k for k, each in enumerate(speeds.channels)
                if (each.at, each.number) == (channel.at, channel.number)), None)  # fmt: skip
    usual = _usual(outputs, speeds, seen.steady(*STEADY, until_s=min(seen.failed_s, span[0] - BLOCK_S)))
    rows = rows_between(speeds.t_s, span[0] + LAG_S, span[1])
    asked = outputs.values[place][rows_between(outputs.t_s, *span)]
    if own is None or usual is None or rows.stop - rows.start < 3 or not asked.size:
        return
    expected = np.exp(usual[0] + usual[1] * np.log(float(asked.max())))
    ratio = float(np.median(speeds.values[own][rows])) / float(expected)
    if ratio < SPEED_JUMP.value:
        return
    for sign, limit in ((JUMP, SPEED_JUMP.value), (HIGH, 1.0 + SPEED_HIGH.value)):
        told = tell.signs.get(sign)
        if told is None or not told.seen:
            tell.scored(
                sign, GROUP, (ratio - 1.0) / (limit - 1.0), most=MOST, span=span, channels=(speeds.channels[own],),
                values={"siblings_ratio": ratio, "limit_ratio": limit},
            )  # fmt: skip


def _usual(outputs: Columns, speeds: Columns, spans: list[tuple[float, float]]) -> tuple[float, float] | None:
    """Return level and power of the rotors' speed over output, in logarithms; None where there is too little."""
    x, y = [], []
    for start_s, end_s in spans:
        for at_s in np.arange(start_s, end_s - BLOCK_S, BLOCK_S):
            asked = outputs.values[0][rows_between(outputs.t_s, at_s, at_s + BLOCK_S)]
            if not asked.size:
                continue
            mean = float(np.mean([np.mean(v[rows_between(outputs.t_s, at_s, at_s + BLOCK_S)]) for v in outputs.values]))
            turns = float(np.mean([np.mean(v[rows_between(speeds.t_s, at_s, at_s + BLOCK_S)]) for v in speeds.values]))
            if mean > LEAST_OUTPUT and turns > 1.0:
                x.append(np.log(mean))
                y.append(np.log(turns))
    if len(x) < LEAST_BLOCKS:
        return None
    spread = float(np.std(x))
    power = float(np.clip(np.polyfit(x, y, 1)[0], 0.4, 1.0)) if spread > 0.08 else POWER
    return float(np.median(np.asarray(y) - power * np.asarray(x))), power
