"""How sure a belief is, as people say it: "about 3 in 4", and how strongly one sign speaks."""

from __future__ import annotations

import math
from typing import Final

from turnback.report import numbers
from turnback.report.language import mark, text

LEAST_TOLD: Final = 1.0 / 1000.0
MOST_ONE_IN: Final = 0.27
"""Up to here a chance is said as 1 in so many; above, as the nearest of `SHARES`."""
SHARES: Final = (
    (3, 10), (1, 3), (2, 5), (1, 2), (3, 5), (2, 3), (7, 10), (3, 4), (4, 5), (9, 10), (19, 20), (49, 50), (99, 100),
)  # fmt: skip
MORE_THAN_99: Final = 0.9945
SURENESS: Final = (
    (0.95, mark("Nearly sure")),
    (0.75, mark("Likely")),
    (0.5, mark("More likely than not")),
    (0.25, mark("A good guess, not more")),
    (0.0, mark("Only a first guess")),
)
"""From which chance on."""
LEAST_DECIBANS: Final = 1.0
"""What weighs less is not told: nobody feels odds of 5 to 4."""
FOR: Final = (
    (20.0, mark("speaks very strongly for it")),
    (10.0, mark("speaks strongly for it")),
    (5.0, mark("speaks clearly for it")),
    (LEAST_DECIBANS, mark("speaks a little for it")),
)
"""From how many decibans on; the steps of 5, 10 and 20 are Jeffreys' (Theory of Probability, 1961, appendix B)."""
AGAINST: Final = (
    (20.0, mark("speaks very strongly against it")),
    (10.0, mark("speaks strongly against it")),
    (5.0, mark("speaks clearly against it")),
    (LEAST_DECIBANS, mark("speaks a little against it")),
)


def odds(chance: float) -> str:
    """Say a chance as people do: "about 1 in 20", "about 3 in 4"; never that it is certain.

    Parameters
    ----------
    chance : float
        0 to 1.
    """
    if not math.isfinite(chance):
        return text(numbers.NOT_KNOWN)
    if chance < LEAST_TOLD:
        return text("less than 1 in 1,000")
    if chance > MORE_THAN_99:
        return text("more than 99 in 100")
    if chance <= MOST_ONE_IN:
        return text("about 1 in {many}", many=f"{_round_count(1.0 / chance):,}")
    some, many = min(SHARES, key=lambda share: abs(chance - share[0] / share[1]))
    return text("about {some} in {many}", some=some, many=many)


def sureness(chance: float) -> str:
    """Say in two or three words how sure that is."""
    return next(text(said) for least, said in SURENESS if chance >= least or least == 0.0)


def speaks(decibans: float) -> str:
    """Say how strongly a sign speaks for a cause (positive) or against it; empty where it hardly does.

    Parameters
    ----------
    decibans : float
        10 is ten to one.
    """
    steps = FOR if decibans > 0.0 else AGAINST
    return next((text(said) for least, said in steps if abs(decibans) >= least), "")


def capital(said: str) -> str:
    """Return a clause with a capital letter, for the head of a line."""
    return said[:1].upper() + said[1:]


def _round_count(many: float) -> int:
    """Round N of "1 in N" to what a person can hold: 7, 12, 35, 180."""
    step = next((step for most, step in ((20.0, 1), (100.0, 5), (200.0, 10), (1000.0, 50)) if many < most), 100)
    return int(numbers.rounded(many, step))
