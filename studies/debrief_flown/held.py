"""How often the likeliest cause was true, by the chance said of it: a rising curve, from flights not counted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.optimize import isotonic_regression
from studies.debrief_flown.score import prior_weights
from studies.debrief_flown.told import Scored

from turnback.knowledge.book import Book
from turnback.knowledge.from_study import Curve

EACH: Final = 60
"""Flights that one knot is the mean of, at least."""
MOST_KNOTS: Final = 16
BELIEVED: Final = 4.0
"""Flights that the chance itself counts as, at each knot."""


def curve_of(cases: Sequence[Scored], weights: Sequence[float]) -> Curve:
    """Return knots of chance said and share true; rising, from 0 to 1.

    Least squares under the order that a higher chance is not less often true (Barlow and others, Statistical Inference
    under Order Restrictions, 1972), of means of as many flights each.

    Parameters
    ----------
    cases : sequence of Scored
        Of flights with a cause; not held to any curve, and not counted in the numbers that they were scored with.
    weights : sequence of float
        Of each case.
    """
    if len(cases) < 2 * EACH:
        return ()
    order = sorted(range(len(cases)), key=lambda place: (cases[place].raw, cases[place].case.seed))
    share = np.array(weights)[order] * len(cases) / sum(weights)
    rows = np.array([(cases[place].raw, float(cases[place].first)) for place in order])
    said, seen, weight = [], [], []
    for group in np.array_split(np.arange(len(rows)), min(len(rows) // EACH, MOST_KNOTS)):
        held = share[group]
        said.append(float(held @ rows[group, 0] / held.sum()))
        seen.append(float((held @ rows[group, 1] + BELIEVED * said[-1]) / (held.sum() + BELIEVED)))
        weight.append(float(held.sum()))
    true = isotonic_regression(seen, weights=weight).x.tolist()
    knots = [(0.0, 0.0), *zip(said, true, strict=True), (1.0, true[-1])]
    return tuple((round(x, 4), round(y, 4)) for x, y in knots)


def half_and_half(book: Book, cases: Sequence[Scored]) -> Sequence[float]:
    """Return weights between flights counted alike and causes as common as in the book: nobody knows what is sent in.

    Parameters
    ----------
    book : Book
    cases : sequence of Scored
        Of flights with a cause.
    """
    by_prior = prior_weights(book, cases)
    return [0.5 / len(cases) + 0.5 * one / sum(by_prior) for one in by_prior]
