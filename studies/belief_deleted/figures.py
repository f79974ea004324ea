"""Shares with their intervals, calibration, and the tables of the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.book import SOMETHING_ELSE
from turnback.records.belief import Belief, Judged

Floats = NDArray[np.float64]

SILENT: Final = (Judged.SOMETHING_ELSE, Judged.CANNOT_SAY)
BINS: Final = 10
Z95: Final = 1.959964


@dataclass(frozen=True)
class Ended:
    """How one case ended.

    Parameters
    ----------
    causes : tuple of str
        True ones.
    whole, deleted : Belief
        With the whole book, and with a book that does not know the true causes.
    """

    causes: tuple[str, ...]
    whole: Belief
    deleted: Belief


def wilson(hits: int, trials: int) -> tuple[float, float]:
    """Return the ends of a share's 95 % interval (Wilson, JASA 22, 1927)."""
    share, square = hits / trials, Z95**2
    middle = (share + square / (2 * trials)) / (1 + square / trials)
    half = Z95 / (1 + square / trials) * sqrt(share * (1 - share) / trials + square / (4 * trials**2))
    return middle - half, middle + half


def said(hits: int, trials: int) -> str:
    """Return a share with its interval and counts."""
    if trials == 0:
        return "none of 0"
    low, high = wilson(hits, trials)
    return f"{100 * hits / trials:.1f} % ({100 * low:.1f} to {100 * high:.1f}; {hits} of {trials})"


def leader(belief: Belief) -> str:
    """Return the most likely cause of the book."""
    return next(one.cause for one in belief.causes if one.cause != SOMETHING_ELSE)


def silent(rows: Sequence[Ended]) -> int:
    """Count the cases with a deleted cause that end naming nobody."""
    return sum(row.deleted.judged in SILENT for row in rows)


def pairs(rows: Sequence[Ended]) -> tuple[Floats, Floats]:
    """Return (said, true) of every cause of the book in every case, the whole book known."""
    told, true = [], []
    for row in rows:
        for one in row.whole.causes:
            if one.cause != SOMETHING_ELSE:
                told.append(one.chance)
                true.append(float(one.cause in row.causes))
    return np.array(told), np.array(true)


def calibration(told: Floats, true: Floats) -> tuple[float, list[tuple[float, float, float, float, int]]]:
    """Return the expected calibration error and, for each tenth, (low, high, mean said, share true, n)."""
    rows, error = [], 0.0
    for low in np.arange(BINS) / BINS:
        inside = (told >= low) & ((told < low + 1.0 / BINS) | ((low == 1.0 - 1.0 / BINS) & (told <= 1.0)))
        if inside.any():
            mean, share = float(told[inside].mean()), float(true[inside].mean())
            rows.append((float(low), float(low) + 1.0 / BINS, mean, share, int(inside.sum())))
            error += abs(mean - share) * inside.mean()
    return float(error), rows


def page(rows: Sequence[Ended], seed: int) -> str:
    """Return the tables."""
    count = len(rows)
    one = [row for row in rows if len(row.causes) == 1]
    named = [row for row in rows if row.whole.judged in {Judged.CAUSE, Judged.SEVERAL}]
    alone = [row for row in rows if row.whole.judged is Judged.CAUSE]
    held = [row for row in named if set(row.causes) & set(row.whole.survivors)]
    leads = sum(leader(row.whole) in row.causes for row in rows)
    every_told, every_true = pairs(rows)
    first_told = np.array([max(o.chance for o in row.whole.causes if o.cause != SOMETHING_ELSE) for row in rows])
    first_true = np.array([float(leader(row.whole) in row.causes) for row in rows])
    ends = [row.deleted.judged for row in rows]
    error_all, _ = calibration(every_told, every_true)
    error_first, tenths = calibration(first_told, first_true)
    lines = [
        f"{count} made-up cases (seed {seed}), {len(one)} of one cause and {count - len(one)} of two.",
        "",
        "| its true causes deleted from the book | share, with ends of 95 % |",
        "|---|---|",
        f"| ends \"something else\" or \"cannot say\" | {said(silent(rows), count)} |",
        *(f"| ends \"{sort.value}\" | {said(ends.count(sort), count)} |" for sort in Judged),
        f"| names the likeliest cause whatever the chances (for comparison) | {said(0, count)} |",
        "",
        "| the whole book | share, with ends of 95 % |",
        "|---|---|",
        f"| a true cause is the likeliest | {said(leads, count)} |",
        f"| names one or several | {said(len(named), count)} |",
        f"| where it names: a true cause is among them | {said(len(held), len(named))} |",
        f"| names one alone | {said(len(alone), count)} |",
        f"| where it names one alone: it is true | "
        f"{said(sum(row.whole.survivors[0] in row.causes for row in alone), len(alone))} |",
        f"| the commonest cause of the book every time (for comparison) | {said(commonest(rows), count)} |",
        "",
        f"Calibration: over all {every_told.size} chances the mean distance between what is said and what is true is "
        f"{100 * error_all:.2f} points; over the likeliest cause of each case {100 * error_first:.1f} points:",
        "",
        "| chance said of the likeliest cause | mean | true | cases |",
        "|---|---|---|---|",
        *(f"| {low:.1f} to {high:.1f} | {mean:.2f} | {share:.2f} | {n} |" for low, high, mean, share, n in tenths),
    ]  # fmt: skip
    return "\n".join(lines)


def commonest(rows: Sequence[Ended]) -> int:
    """Count the cases in which the cause that is true most often is true."""
    counts: dict[str, int] = {}
    for row in rows:
        for cause in row.causes:
            counts[cause] = counts.get(cause, 0) + 1
    return max(counts.values())
