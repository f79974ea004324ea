"""What a row of successes proves: the exact lower bound of a chance from successes counted."""

from __future__ import annotations

import math

from turnback.base.errors import bad_input

HALVINGS = 60  # of an interval of width 1: to the last bit of a double
MOST_TRIALS = 100_000
HALF = 0.5


def lower_bound_probability(successes: int, trials: int, confidence_probability: float = 0.95) -> float:
    """Return the least chance of success that a count of successes leaves standing, one-sided.

    Were the chance smaller than this, as many successes or more would happen less often than one minus the confidence.

    Parameters
    ----------
    successes : int
        0 to `trials`.
    trials : int
        All that were counted, 1 to 100,000; each independent, none left out.
    confidence_probability : float
        0.5 to 0.9999.

    Raises
    ------
    InputError
        If an argument lies outside its range.

    Notes
    -----
    Clopper and Pearson, Biometrika 26, 1934: the bound p solves P(X >= k; n, p) = 1 - confidence. For n of n it is
    (1 - confidence)^(1/n); otherwise the binomial tail, which rises with p, is halved down.
    """
    if not 1 <= trials <= MOST_TRIALS:
        raise bad_input("trials", f"{trials} is outside 1 to {MOST_TRIALS}", "count every trial once")
    if not 0 <= successes <= trials:
        raise bad_input("successes", f"{successes} is outside 0 to {trials}", "count the successes among the trials")
    if not HALF <= confidence_probability < 1.0:
        slip = "enter a share such as 0.95, not per cent"
        raise bad_input("confidence_probability", f"{confidence_probability:g} is outside 0.5 to 1", slip)
    left = 1.0 - confidence_probability
    if successes == 0:
        return 0.0
    if successes == trials:
        return float(left ** (1.0 / trials))
    low, high = 0.0, successes / trials
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _tail(successes, trials, middle) < left else (low, middle)
    return (low + high) / 2.0


def _tail(successes: int, trials: int, p: float) -> float:
    """Return P(X >= k; n, p), by the terms from k up: all of one sign, none cancels another."""
    if p <= 0.0:
        return 0.0
    start = math.lgamma(trials + 1) - math.lgamma(successes + 1) - math.lgamma(trials - successes + 1)
    term = math.exp(start + successes * math.log(p) + (trials - successes) * math.log1p(-p))
    odds, terms = p / (1.0 - p), [term]
    for i in range(successes, trials):
        term *= (trials - i) / (i + 1) * odds
        terms.append(term)
        if term < terms[0] * 1e-18:
            break
    return math.fsum(terms)
