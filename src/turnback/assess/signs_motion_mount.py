"""Whether it shakes strongly, and whether that is one rotor alone or all of them through a hard mounting."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_lines import some_of
from turnback.assess.signs_motion_shake import ALL_SPEEDS, BROAD, GLITCH
from turnback.assess.signs_outputs_flight import STEADY, Seen
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_motion import ALL_SHAKE, BEATS, EVEN_BEATS, EVEN_SHAKE

SIGN: Final = "vibration-strong-from-all-rotors"
EVEN: Final = "vibration-even"
GROUP: Final = "vibration"
FAST_HZ: Final = 100.0  # means over one over that are taken away
LEAST_HZ: Final = 240.0
BLOCK_S: Final = 1.0
LEAST_BLOCKS: Final = 4
EDGE_S: Final = 0.2
BESIDE: Final = (BROAD, ALL_SPEEDS, GLITCH)
MASKED_SURE: Final = 0.6


def of_mounting(seen: Seen, tell: Telling) -> None:
    """Tell how strongly it shakes in flight, and whether that is one rotor or all.

    Notes
    -----
    Shaking by one rotor alone turns roll and pitch round at an even size. Several rotors of nearly one speed beat: of
    four alike the mean square of the power is 1.75 times the square of its mean (of a sum of many, twice).
    """
    axes = [seen.axes[name].rate for name in ("roll", "pitch") if name in seen.axes]
    if len(axes) < 2 or axes[0].t_s is not axes[1].t_s:
        tell.missed(WhyNot.NO_CHANNEL, SIGN, EVEN, needs=needing(Quantity.ROLL_RATE, Quantity.PITCH_RATE))
        return
    if min(each.fresh_hz or each.rate_hz for each in axes) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, SIGN, EVEN)
        return
    size = round(BLOCK_S * axes[0].rate_hz)
    width = max(2, round(axes[0].rate_hz / FAST_HZ))
    powers: list[NDArray[np.float32]] = []
    for start_s, end_s in some_of(seen.steady(*STEADY)):
        rows = rows_between(axes[0].t_s, start_s + EDGE_S, end_s - EDGE_S)
        count = (rows.stop - rows.start - width) // size
        if count > 0:
            fast = [_fast(each.values[rows], width, count * size) for each in axes]
            powers.append(np.sum(fast, axis=0).reshape(count, size))
    power = np.concatenate(powers) if powers else np.empty((0, size))
    if len(power) < LEAST_BLOCKS:
        tell.missed(WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT, SIGN, EVEN)
        return
    mean = power.mean(axis=1)
    level = float(np.sqrt(np.median(mean)))
    beats = float(np.median(np.square(power).mean(axis=1) / np.maximum(mean, 1e-12) ** 2)) - 1.0
    channels = tuple(each.channel for each in axes)
    score = level / ALL_SHAKE.value
    # a build that shakes little shakes little on its frame too: below the limit is a weaker word than above it
    score = min(score**2, (max(beats, 0.0) / BEATS.value) ** 2 + 0.05) if score >= 1.0 else score**0.6
    strong = tell.scored(
        SIGN, GROUP, score, most=0.95, channels=channels,
        values={"level_rad_s": level, "beats_share": beats, "limit_rad_s": ALL_SHAKE.value},
    )  # fmt: skip
    if strong:
        _masked(tell)
    alone = (EVEN_BEATS.value / max(beats, 1e-3)) ** 1.5
    tell.scored(
        EVEN, GROUP, min(level / EVEN_SHAKE.value, alone), most=0.95, channels=channels,
        values={"level_rad_s": level, "beats_share": beats, "limit_rad_s": EVEN_SHAKE.value},
    )  # fmt: skip


def _masked(tell: Telling) -> None:
    """Take sureness from what is not seen beside strong shaking.

    A board that is pressed on the frame carries the rotors' lines; one that rattles lifts the floor and strikes its
    sensor. Beside strong lines the limit on single values rises, and what lies between the lines is hard to read.
    """
    for sign in BESIDE:
        told = tell.signs.get(sign)
        if told is not None and not told.seen:
            tell.signs[sign] = replace(told, sure=min(told.sure, MASKED_SURE))


def _fast(values: NDArray[np.float32], width: int, count: int) -> NDArray[np.float32]:
    """Return the square of what is faster than means over `width` rows, shape (count,)."""
    sums = np.cumsum(np.concatenate([[0.0], values]), dtype=np.float64)
    means = (sums[width:] - sums[:-width]) / width
    off = values[width // 2 : width // 2 + count] - means[:count]
    return np.asarray(np.square(off), np.float32)
