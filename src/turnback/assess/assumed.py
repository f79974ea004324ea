"""What was filled in, and what knowing each value would change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.records.result import Assumption

Array = NDArray[np.float64]

LEAST_SHARE = 0.03  # of 250 draws, chance alone gives a share of 0.004 on average and 0.015 in one of twenty


@dataclass(frozen=True, slots=True)
class Shares:
    """Share of each figure's variance over what is not known, by figure and by band key, 0 to 1."""

    by_figure: Mapping[str, Mapping[str, float]]

    def greatest(self, figure: str) -> str | None:
        """Return the value that moves a figure most; None where none moves it."""
        shares = self.by_figure.get(figure, {})
        return max(shares, key=lambda key: shares[key]) if shares else None

    def of(self, key: str) -> tuple[str, float]:
        """Return the figure that a gap moves most, and by how much; an empty name where it moves none."""
        moved = {figure: shares[key] for figure, shares in self.by_figure.items() if key in shares}
        if not moved:
            return "", 0.0
        most = max(moved, key=lambda figure: moved[figure])
        return most, moved[most]


def shares_of(draws: DrawSet, figures: Mapping[str, Array]) -> Shares:
    """Return what each uncertain value moves, filled gaps and entered values with a band alike.

    The share is the squared rank correlation (Spearman) between the value's draws and the figure: values are drawn
    independently and move a figure one way, so shares are comparable and add up to about one.

    Parameters
    ----------
    figures : mapping of str to ndarray, shape (j,)
        One value per draw of the unknowns.
    """
    gaps = [band.key for band in draws.world.bands() if band.high > band.low]
    ranks = {key: _ranks(draws[key]) for key in gaps}
    by_figure: dict[str, dict[str, float]] = {}
    for name, values in figures.items():
        moved = _ranks(values)
        shares = {key: _squared_correlation(ranks[key], moved) for key in gaps}
        by_figure[name] = {key: share for key, share in shares.items() if share >= LEAST_SHARE}
    return Shares(by_figure)


def assumptions(draws: DrawSet, shares: Shares) -> tuple[Assumption, ...]:
    """Return every gap that was filled, the one that matters most first."""
    rows = []
    for band in draws.world.bands():
        if band.known:
            continue
        figure, share = shares.of(band.key)
        rows.append(
            Assumption(band.key, band.value, band.low, band.high, band.unit, band.origin, band.source, share, figure)
        )
    return tuple(sorted(rows, key=lambda row: (-row.share_fraction, row.key)))


def _ranks(values: Array) -> Array:
    """Return ranks with ties shared: equal values (a flat pack in many worlds) must not look like an order."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    return np.asarray((last - (count - 1) / 2.0)[place], dtype=np.float64)


def _squared_correlation(one: Array, other: Array) -> float:
    if one.std() == 0.0 or other.std() == 0.0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1] ** 2)
