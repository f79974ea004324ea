"""Whether it shakes strongly, and whether that is one rotor alone or all of them through a hard mounting."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from turnback.assess.signs_motion_beats import beats_of
from turnback.assess.signs_motion_shake import ALL_SPEEDS, BROAD, GLITCH
from turnback.assess.signs_motion_spun import spins_s
from turnback.assess.signs_outputs_flight import STEADY, Seen
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_motion import ALL_SHAKE, BEATS, EVEN_BEATS, EVEN_SHAKE, HARD, SOME_SHAKE, SURELY_SHAKE

SIGN: Final = "vibration-strong-from-all-rotors"
EVEN: Final = "vibration-even"
GROUP: Final = "vibration"
LEAST_HZ: Final = 240.0
LEAST_BLOCKS: Final = 4
LEAST_PARTED: Final = 3
RUN_SURE: Final = 0.9
UNPARTED_SURE: Final = 0.65  # rotors that turn together shake as evenly as one
BESIDE: Final = (BROAD, ALL_SPEEDS, GLITCH)
MASKED_SURE: Final = 0.6
BELOW, NEAR, BEYOND = 0.6, 0.25, 2.0  # powers of the level over its limit


def of_mounting(seen: Seen, tell: Telling) -> None:
    """Tell how strongly it shakes in flight, and whether that is one rotor or all.

    Notes
    -----
    Shaking by one rotor alone turns roll and pitch round at an even size. Several rotors of nearly one speed beat: of
    four alike the mean square of the power is 1.75 times the square of its mean (of a sum of many, twice). That is
    looked for in seconds in which they turn against one another; where they never do, an even shaking says little.
    Without steady flight everything from the first run-up on is read, with limits of rotors that give all they have.
    """
    axes = [seen.axes[name].rate for name in ("roll", "pitch") if name in seen.axes]
    if len(axes) < 2 or axes[0].t_s is not axes[1].t_s:
        tell.missed(WhyNot.NO_CHANNEL, SIGN, EVEN, needs=needing(Quantity.ROLL_RATE, Quantity.PITCH_RATE))
        return
    if min(each.fresh_hz or each.rate_hz for each in axes) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, SIGN, EVEN)
        return
    beats, hard, most = beats_of(seen, axes, seen.steady(*STEADY)), 1.0, 0.95
    if beats.power.size < LEAST_BLOCKS and seen.lift is not None:  # it never flew steadily, but its rotors turned
        end_s = min(seen.ended_s, spins_s(seen))
        beats, hard, most = beats_of(seen, axes, [(seen.lift.up_s, end_s)]), HARD.value, RUN_SURE
    if beats.power.size < LEAST_BLOCKS:
        tell.missed(WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT, SIGN, EVEN)
        return
    level = beats.level
    wander, known = beats.wander(LEAST_PARTED)
    channels = tuple(each.channel for each in axes)
    values = {"level_rad_s": level, "beats_share": wander}
    _masked(tell, level / hard)
    score = _strong(level / hard)
    score = min(score, (max(wander, 0.0) / BEATS.value) ** 2 + 0.05) if score >= 1.0 else score
    tell.scored(
        SIGN, GROUP, score, most=most, channels=channels, values=values | {"limit_rad_s": hard * ALL_SHAKE.value},
    )  # fmt: skip
    alone = (EVEN_BEATS.value / max(wander, 1e-3)) ** 2
    score = min(level / (hard * EVEN_SHAKE.value), alone)
    tell.scored(
        EVEN, GROUP, score, most=most if known or score < 1.0 else UNPARTED_SURE, channels=channels,
        values=values | {"limit_rad_s": hard * EVEN_SHAKE.value},
    )  # fmt: skip


def _strong(level: float) -> float:
    """Return how far beyond its limit a shaking is.

    The roughest of sound builds and the calmest of those that touch their frame shake alike: between the limit and what
    no sound build does it grows slowly, and a build that shakes little shakes little on its frame too.
    """
    score, sure = level / ALL_SHAKE.value, SURELY_SHAKE.value / ALL_SHAKE.value
    if score < 1.0:
        return math.pow(score, BELOW)
    return math.pow(min(score, sure), NEAR) * math.pow(max(score / sure, 1.0), BEYOND)


def _masked(tell: Telling, level: float) -> None:
    """Take sureness from what is not seen beside shaking, the more the stronger it is.

    A board that is pressed on the frame carries the rotors' lines; one that rattles lifts the floor and strikes its
    sensor. Beside strong lines the limit on single values rises, and what lies between the lines is hard to read.
    """
    hides = math.log(max(level, SOME_SHAKE.value) / SOME_SHAKE.value) / math.log(ALL_SHAKE.value / SOME_SHAKE.value)
    for sign in BESIDE:
        told = tell.signs.get(sign)
        if told is not None and not told.seen:
            sure = told.sure - min(hides, 1.0) * max(told.sure - MASKED_SURE, 0.0)
            tell.signs[sign] = replace(told, sure=sure)
