"""Whether it comes home from one place, compiled: chances in every draw, their middle and ends, and what rules."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_chance import (
    CLOSE,
    KEYS,
    ONE,
    SURE,
    Keys,
    greatest_kernel,
    hold_kernel,
    keys_kernel,
    normal_kernel,
    quantile_kernel,
)
from turnback.assess.homing_energy import EnergyWay, between_kernel
from turnback.base.kernels import kernel
from turnback.records.home_map import LAYERS, Reason
from turnback.rules.chance import BAND_HIGH, BAND_LOW

Array = NDArray[np.float64]
Single = NDArray[np.float32]

HOME_LOW, HOME_MEAN, HOME_HIGH, REASON, LASTS, RULED, HOLDS = 0, 1, 2, 3, 4, 5, 6
"""Places in an answer: chance of home at its ends, what rules, chance that the pack lasts, whether the links allow none
from there on, and from the last on the chance that each link holds."""
ANSWERS: Final = 8
LOW_SCORE, LOW_LASTS, SCORES = 2, 4, 5
"""Places among the scores: each link's middle first, then each one's unfavourable end, then that of the pack's chance;
and how many places there are."""
HOME, CONTROL, VIDEO = int(Reason.HOME), int(Reason.CONTROL), int(Reason.VIDEO)
ENERGY, WIND, GROUND = int(Reason.ENERGY), int(Reason.WIND), int(Reason.GROUND)
LOW, MIDDLE, HIGH = BAND_LOW.value, 0.5, BAND_HIGH.value
CHANCE_SCALE: Final = LAYERS["home"][0]
HALF_WORLDS: Final = 0.5
NEAR: Final = 0.01  # from cell to cell a chance changes by about this
NEAR_SCORE: Final = 0.03
SURE_FAILS: Final = -int(SURE * KEYS)
NEVER: Final = 5e-5  # a chance below this is written as none


@kernel
def answer_kernel(
    way: EnergyWay,
    k: int,
    share: float,
    least: Single,
    rescue: float,
    met: bool,
    chance: float,
    home: Single,
    keys: Keys,
    scores: Array,
    answer: Array,
) -> None:  # pragma: no cover - compiled
    """Fill the answer of one place, ``share`` of the way from the distance ``k`` of the energy table to the next.

    ``least`` is the least score of each link on the way there in every draw, ``rescue`` the chance that an automatic
    return brings it home from there. ``answer`` and ``scores`` hold those of the place before: a guess.
    """
    lasts_low = 1.0
    if way.sure[k]:
        home[:] = ONE
        answer[LASTS] = 1.0
    else:
        part = np.float32(share)
        for j in range(home.size):
            home[j] = way.chance[k, j] + part * (way.chance[k + 1, j] - way.chance[k, j])
        keys_kernel(home, keys)
        answer[LASTS] = quantile_kernel(keys, MIDDLE, answer[LASTS], NEAR)
        lasts_low = quantile_kernel(keys, LOW, scores[LOW_LASTS], NEAR)
        scores[LOW_LASTS] = lasts_low
    links = least.shape[0]
    gone = met
    never = rescue == 0.0
    for f in range(links):
        keys_kernel(least[f], keys)
        fails = greatest_kernel(keys) < SURE_FAILS
        gone = gone or (fails and rescue == 0.0)
        answer[HOLDS + f] = 0.0
        if not fails:
            scores[f] = quantile_kernel(keys, MIDDLE, scores[f], NEAR_SCORE)
            answer[HOLDS + f] = normal_kernel(np.float32(scores[f]))
        never = never and answer[HOLDS + f] < NEVER
    if gone:  # in every world: no more need be asked
        answer[HOME_LOW] = answer[HOME_MEAN] = answer[HOME_HIGH] = 0.0
    else:
        for f in range(links):
            hold_kernel(least[f], np.float32(rescue), home)
        ends_of_home(home, keys, answer)
    never = never and answer[HOME_HIGH] < NEVER
    answer[RULED] = 1.0 if never else 0.0
    low = np.floor(answer[HOME_LOW] / CHANCE_SCALE + 0.5) * CHANCE_SCALE  # as the layer says it
    if met:
        answer[REASON] = GROUND
    elif low >= chance - 1e-9:
        answer[REASON] = HOME
    else:
        beaten = between_kernel(way.beaten_share[k], way.beaten_share[k + 1], share)
        answer[REASON] = weakest_kernel(least, rescue, lasts_low, beaten, keys, scores)


@kernel
def weakest_kernel(
    least: Single, rescue: float, lasts_low: float, beaten_share: float, keys: Keys, scores: Array
) -> int:  # pragma: no cover - compiled
    """Return what rules where it does not come home: the weakest of links and pack at the unfavourable end."""
    reason = CONTROL
    weakest = 2.0
    for f in range(least.shape[0]):
        holds = 0.0
        keys_kernel(least[f], keys)
        if greatest_kernel(keys) >= SURE_FAILS:
            scores[LOW_SCORE + f] = quantile_kernel(keys, LOW, scores[LOW_SCORE + f], NEAR_SCORE)
            holds = float(normal_kernel(np.float32(scores[LOW_SCORE + f])))
        saved = holds + (1.0 - holds) * rescue
        if saved < weakest:
            weakest = saved
            reason = CONTROL if f == 0 else VIDEO
    if lasts_low <= weakest:
        return WIND if beaten_share < HALF_WORLDS else ENERGY
    return reason


@kernel
def ends_of_home(home: Single, keys: Keys, answer: Array) -> None:  # pragma: no cover - compiled
    """Fill the mean and both ends of the chance of home, as `turnback.assess.spreads.expected` does."""
    keys_kernel(home, keys)
    least = keys[0]
    most = keys[0]
    for j in range(keys.size):
        least = min(least, keys[j])
        most = max(most, keys[j])
    if most - least <= CLOSE:
        both = 0.5 * (float(least) + float(most)) / KEYS
        answer[HOME_LOW] = answer[HOME_MEAN] = answer[HOME_HIGH] = both
        return
    mean = mean_kernel(home)
    answer[HOME_MEAN] = mean
    answer[HOME_LOW] = min(quantile_kernel(keys, LOW, answer[HOME_LOW], NEAR), mean)
    answer[HOME_HIGH] = max(quantile_kernel(keys, HIGH, answer[HOME_HIGH], NEAR), mean)


@kernel
def mean_kernel(values: Single) -> float:  # pragma: no cover - compiled
    """Return a mean by four sums side by side, joined in one order: quick, and the same bytes every time."""
    a = b = c = d = 0.0
    whole = values.size // 4 * 4
    for j in range(0, whole, 4):
        a += values[j]
        b += values[j + 1]
        c += values[j + 2]
        d += values[j + 3]
    for j in range(whole, values.size):
        a += values[j]
    mean: float = (a + b + (c + d)) / values.size
    return mean
