"""Weights of signs fitted together: a softmax over the causes flown, with every sign at once, held near nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import logsumexp
from studies.debrief_flown.told import ToldCase

from turnback.knowledge.together import NOTHING_WRONG, TENTHS, Together

Floats = NDArray[np.float64]

RIDGE: Final = 0.005
"""Of the mean log score per squared weight: what holds in one generator alone is worth little in the other. Chosen on
flights of seeds 22 and 23, where anything from 0.002 to 0.02 did as well within a point."""
STEPS: Final = 150
HEALTHY_COUNTS: Final = 4.0
"""One healthy flight counts as so many of a cause: nobody is to be sent to mend what works."""
DECIBANS: Final = 10.0 / np.log(10.0)


def fit_together(cases: Sequence[ToldCase]) -> Together | None:
    """Return the weights under which the true causes of flights are likeliest; None of too few causes.

    Multinomial logistic regression with a ridge (Hastie, Tibshirani and Friedman, The Elements of Statistical Learning,
    2009, section 18.3.2). Healthy flights are a class of their own. A fault without a trace teaches nothing.

    Parameters
    ----------
    cases : sequence of ToldCase
    """
    used = [case for case in cases if case.group or case.cause is None]
    signs = tuple(sorted({one.sign for case in used for one in case.signs}))
    causes = tuple(sorted({case.cause for case in used if case.cause is not None}))
    if len(causes) < 2 or not signs:
        return None
    column = {sign: place for place, sign in enumerate(signs)}
    columns = (*causes, NOTHING_WRONG)
    row_of: dict[str | None, int] = {None: len(causes)} | {cause: place for place, cause in enumerate(causes)}
    seen = np.zeros((len(used), len(signs)))
    for place, case in enumerate(used):
        for one in case.signs:
            seen[place, column[one.sign]] = (2.0 * one.sure - 1.0) * (1.0 if one.seen else -1.0)
    counts = np.array([HEALTHY_COUNTS if case.cause is None else 1.0 for case in used])
    weights = softmax_weights(seen, np.array([row_of[case.cause] for case in used]), len(columns), counts)
    tenths = np.rint(weights * DECIBANS * TENTHS) + 0.0  # no minus naught
    told = np.any(tenths != 0.0, axis=1)
    return Together(tuple(np.array(signs)[told].tolist()), columns, tenths[told] / TENTHS)


def softmax_weights(seen: Floats, true: NDArray[np.int64], classes: int, counts: Floats) -> Floats:
    """Return the ridge weights of a softmax without constants.

    Parameters
    ----------
    seen : ndarray
        Shape ``(cases, signs)``.
    true : ndarray
        Shape ``(cases,)``, 0 to `classes` - 1.
    classes : int
    counts : ndarray
        Shape ``(cases,)``: how many each stands for.

    Returns
    -------
    ndarray
        Shape ``(signs, classes)``, natural logarithms; each row sums to naught.
    """
    signs = seen.shape[1]
    share = counts / len(counts)
    one_hot = np.eye(classes)[true]

    def cost(flat: Floats) -> tuple[float, Floats]:
        weights = flat.reshape(signs, classes)
        logs = seen @ weights
        logs -= logsumexp(logs, axis=1, keepdims=True)
        value = -float(share @ logs[np.arange(len(true)), true]) + 0.5 * RIDGE * float((weights**2).sum())
        slope = seen.T @ (share[:, None] * (np.exp(logs) - one_hot)) + RIDGE * weights
        return value, slope.ravel()

    found = minimize(cost, np.zeros(signs * classes), jac=True, method="L-BFGS-B", options={"maxiter": STEPS})
    result: Floats = found.x.reshape(signs, classes)
    return result


def written_together(weights: Together, remark: str) -> str:
    """Return weights as a table that `knowledge.together.read_together` reads.

    Parameters
    ----------
    weights : Together
    remark : str
        Stands above it.
    """
    tenths = np.rint(weights.decibans * TENTHS).astype(int)
    rows = [",".join((sign, *map(str, row))) for sign, row in zip(weights.signs, tenths.tolist(), strict=True)]
    return (
        "\n".join([*(f"# {line}" for line in remark.splitlines()), ",".join(("sign", *weights.causes)), *rows]) + "\n"
    )
