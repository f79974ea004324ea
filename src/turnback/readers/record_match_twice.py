"""One measurement written twice: raw and smoothed, in two units. The better column is kept, the other not asked."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_features import MOST_SAMPLED
from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_names import Named
from turnback.records.channel import Quantity
from turnback.records.record_read import RawTable
from turnback.rules import record_columns as rules

Floats = NDArray[np.float64]
LIKELY: Final = 0.3  # of both being the channel: below, there is nothing to decide
SPANS_ALIKE: Final = 0.2  # relative
EXACTLY: Final = 0.999  # correlation from which a second column is a copy, whatever it is called
SMOOTHED: Final = 0.3  # correlation that is enough where one says that it is raw or smoothed


def without_twins(
    table: RawTable, chances: Floats, channels: NDArray[np.intp], named: tuple[Named, ...]
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the chances with the worse of two columns of one measurement taken out of the race for its channel.

    Parameters
    ----------
    chances : ndarray, shape (columns, hypotheses + 1)
    channels : ndarray of int, shape (columns, hypotheses)
    named : tuple of Named

    Returns
    -------
    chances : ndarray, shape (columns, hypotheses + 1)
    copies : ndarray of bool, shape (columns,)
        Columns that are beyond doubt another one smoothed, raw, or once more.
    """
    copies = np.zeros(chances.shape[0], bool)
    best = np.argmax(chances[:, :-1], axis=1)
    rows = range(chances.shape[0])
    by_channel: dict[int, list[int]] = {}
    for row in rows:
        total = float(chances[row, :-1][channels[row] == channels[row, best[row]]].sum())
        if total > LIKELY:
            by_channel.setdefault(int(channels[row, best[row]]), []).append(int(row))
    chances = chances.copy()
    for channel, members in by_channel.items():
        members.sort(key=lambda row: (-_worth(table, row, named, hypotheses()[best[row]].quantity), row))
        for place, row in enumerate(members):
            kept = [other for other in members[:place] if chances[other, -1] < 1.0 - LIKELY]
            together = max((_same(table, row, other, best, named) for other in kept), default=0.0)
            if together > 0.0:
                copies[row] = together >= EXACTLY and named[row].numbers < 2  # of two numbers, which counts?
                mass = channels[row] == channel
                chances[row, -1] += chances[row, :-1][mass].sum()
                chances[row, :-1][mass] = 0.0
    return chances, copies


def _modifiers(named: Named) -> set[str]:
    return {part for meanings in named.meanings for meaning, _ in meanings[:1] for part in meaning} & {
        "raw",
        "filtered",
    }


def _worth(table: RawTable, row: int, named: tuple[Named, ...], quantity: Quantity) -> float:
    """Return how much rather this column: with many filled cells, fine steps, plainly named."""
    values = table.columns[row].values
    some = values[:: max(1, values.size // MOST_SAMPLED)]
    filled = some[np.isfinite(some)]
    if filled.size == 0:
        return 0.0
    fine = np.unique(filled).size / filled.size
    plain = 0.3 if not _modifiers(named[row]) else 0.0
    return float(filled.size / some.size + fine + plain + (0.2 if quantity is Quantity.TIME and fine > 0.99 else 0.0))


def _same(table: RawTable, row: int, other: int, best: NDArray[np.intp], named: tuple[Named, ...]) -> float:
    """Return how well two columns go together that hold one measurement; 0 where they do not hold one."""
    units = hypotheses()[best[row]].unit, hypotheses()[best[other]].unit
    first, second = (
        table.columns[place].values.astype(float) * unit.scale + unit.offset
        for place, unit in zip((row, other), units, strict=True)
    )
    clock = hypotheses()[best[row]].quantity is Quantity.TIME
    both = np.flatnonzero(np.isfinite(first) & np.isfinite(second))
    both = both[:: max(1, both.size // MOST_SAMPLED)]
    if both.size < 8:
        return 0.0
    first, second = first[both], second[both]
    spans = np.ptp(first), np.ptp(second)
    if max(spans) == 0.0:
        return float(np.isclose(first[0], second[0], rtol=0.02))
    if min(spans) == 0.0:
        return 0.0
    x, y = first - first.mean(), second - second.mean()
    together = float((x * y).sum() / np.sqrt((x * x).sum() * (y * y).sum()))
    if clock:
        return float(together > 0.999 and abs(spans[0] / spans[1] - 1.0) < 0.02)
    spread = np.std(first) / np.std(second)
    apart = abs(float(np.mean(first) - np.mean(second))) / max(float(np.std(first)), float(np.std(second)))
    if _modifiers(named[row]) != _modifiers(named[other]) and together > SMOOTHED and apart < 0.5:
        return float(0.3 < spread < 3.0)
    return together if together > rules.TWICE.value and abs(spread - 1.0) < SPANS_ALIKE and apart < 0.3 else 0.0
