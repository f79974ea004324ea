"""Chances over all draws at one place, compiled: quick forms of what a brief works out exactly.

Quantiles are found among whole numbers (`KEYS` to one), by counting: whole numbers are counted many at a time.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

Single = NDArray[np.float32]
Keys = NDArray[np.int32]

KEYS: Final = 65536.0
"""Whole numbers in one: of a chance, of a score, of a decibel."""
MOST_KEY: Final = 2_000_000_000
CLOSE: Final = 24
"""Order statistics closer than this many keys are not told apart: 0.0004."""
HELD: Final = np.float32(30_000.0)
FACTOR: Final = np.float32(KEYS)
ONE: Final = np.float32(1.0)
HALF: Final = np.float32(0.5)
NOUGHT: Final = np.float32(0.0)
FAR: Final = np.float32(5.0)
SURE: Final = np.float32(4.0)
"""Beyond this score, either way, a link surely holds or fails (3e-5)."""
ROOT_HALF: Final = np.float32(math.sqrt(0.5))
A1, A2, A3 = np.float32(0.0705230784), np.float32(0.0422820123), np.float32(0.0092705272)
A4, A5, A6 = np.float32(0.0001520143), np.float32(0.0002765672), np.float32(0.0000430638)


@kernel
def normal_kernel(score: np.float32) -> np.float32:  # pragma: no cover - compiled
    """Return Phi(score) within 1e-6: Abramowitz and Stegun 7.1.28, erf = 1 - (1 + a1 x + ... + a6 x^6)^-16."""
    x = abs(score) * ROOT_HALF
    p = ONE + x * (A1 + x * (A2 + x * (A3 + x * (A4 + x * (A5 + x * A6)))))
    p = p * p
    p = p * p
    p = p * p
    p = p * p
    tail = HALF / p
    return ONE - tail if score > NOUGHT else tail


@kernel
def hold_kernel(least: Single, rescue: np.float32, home: Single) -> None:  # pragma: no cover - compiled
    """Multiply each draw's chance of home by that of one link holding, or of being brought back where it does not."""
    for j in range(home.size):
        score = least[j]
        x = (score if score > NOUGHT else -score) * ROOT_HALF
        x = x if x < FAR else FAR  # so that no tail is too small a number to be quick
        p = ONE + x * (A1 + x * (A2 + x * (A3 + x * (A4 + x * (A5 + x * A6)))))
        p = p * p
        p = p * p
        p = p * p
        p = p * p
        tail = HALF / p
        holds = ONE - tail if score > NOUGHT else tail
        home[j] = home[j] * (holds + (ONE - holds) * rescue)


@kernel
def keys_kernel(values: Single, keys: Keys) -> None:  # pragma: no cover - compiled
    """Fill the whole numbers of some values, held at 30,000 either way."""
    for j in range(values.size):
        held = min(max(values[j], -HELD), HELD)
        keys[j] = np.int32(held * FACTOR)


@kernel
def greatest_kernel(keys: Keys) -> int:  # pragma: no cover - compiled
    """Return the greatest of some keys."""
    most = keys[0]
    for j in range(keys.size):
        most = max(most, keys[j])
    return int(most)


@kernel
def count_kernel(keys: Keys, most: int) -> int:  # pragma: no cover - compiled
    """Return how many keys are no greater than one."""
    least = np.int32(most)
    found = 0
    for j in range(keys.size):
        found += 1 if keys[j] <= least else 0
    return found


@kernel
def quantile_kernel(keys: Keys, at: float, guess: float, step: float) -> float:  # pragma: no cover - compiled
    """Return a quantile as `numpy.quantile` has it, within 0.0004.

    Sought around `guess`, first as far as `step`: a good guess only saves time.
    """
    place = (keys.size - 1) * at
    k = min(int(place), keys.size - 2)
    low = max(min(int(guess * KEYS), MOST_KEY), -MOST_KEY)
    high = low
    wide = max(int(step * KEYS), CLOSE)
    up_to_low = up_to_high = count_kernel(keys, low)
    while up_to_low > k:
        high, up_to_high = low, up_to_low
        low = max(low - wide, -MOST_KEY)
        up_to_low = count_kernel(keys, low) if low > -MOST_KEY else 0
        wide *= 4
    while up_to_high <= k:
        low, up_to_low = high, up_to_high
        high = min(high + wide, MOST_KEY)
        up_to_high = count_kernel(keys, high)
        wide *= 4
    halve = False
    while high - low > CLOSE and up_to_high != k + 1:
        share = 0.5 if halve else (k + 1 - up_to_low) / (up_to_high - up_to_low)
        halve = not halve
        middle = min(max(low + int((high - low) * share), low + 1), high - 1)
        count = count_kernel(keys, middle)
        if count > k:
            high, up_to_high = middle, count
        else:
            low, up_to_low = middle, count
    return ends_kernel(keys, place - k, high, up_to_high > k + 1)


@kernel
def ends_kernel(keys: Keys, share: float, high: int, both: bool) -> float:  # pragma: no cover - compiled
    """Return the quantile between the greatest key up to `high` and the next; that one alone for `both`."""
    top = np.int32(high)
    here = np.int32(-MOST_KEY)
    for j in range(keys.size):
        key = keys[j] if keys[j] <= top else np.int32(-MOST_KEY)
        here = max(here, key)
    if both:
        return here / KEYS
    after = np.int32(MOST_KEY)
    for j in range(keys.size):
        key = keys[j] if keys[j] > top else np.int32(MOST_KEY)
        after = min(after, key)
    return ((1.0 - share) * here + share * after) / KEYS
