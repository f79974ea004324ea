"""Weights fitted together, held against another library's softmax."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sklearn.linear_model import LogisticRegression
from studies.debrief_flown.fit_together import RIDGE, fit_together, softmax_weights
from studies.debrief_flown.told import ToldCase, ToldSign

from turnback.knowledge.together import NOTHING_WRONG


def test_the_weights_are_those_of_another_library() -> None:
    """scikit-learn's multinomial logistic regression, C = 1 / (cases x ridge), without constants."""
    rng = np.random.default_rng(4)
    seen = rng.uniform(-1.0, 1.0, (300, 5))
    true = np.argmax(seen @ rng.normal(0.0, 2.0, (5, 3)) + rng.gumbel(size=(300, 3)), axis=1)
    counts = rng.integers(1, 4, 300).astype(float)
    peer = LogisticRegression(C=1.0 / (300 * RIDGE), fit_intercept=False, tol=1e-9, max_iter=5_000).fit(
        seen, true, counts
    )
    own = softmax_weights(seen, true, 3, counts)
    assert own == pytest.approx(peer.coef_.T, abs=0.02)
    assert own.sum(axis=1) == pytest.approx(np.zeros(5), abs=1e-6)


def flown(cause: str | None, *signs: ToldSign, group: tuple[str, ...] = ("x",)) -> ToldCase:
    return ToldCase("own", 1, cause, "full", group if cause else (), "", signs)


def test_two_names_of_one_sign_share_what_they_say_and_a_fault_without_a_trace_teaches_nothing() -> None:

    def yes(sign: str) -> ToldSign:
        return ToldSign(sign, True, 0.95, "g")

    def no(sign: str) -> ToldSign:
        return ToldSign(sign, False, 0.95, "g")

    alone = [flown("a", yes("s")), flown("b", no("s"))] * 30
    twice = [flown("a", yes("s"), yes("t")), flown("b", no("s"), no("t"))] * 30
    of_one, of_two = fit_together(alone), fit_together(twice)
    assert of_one is not None
    assert of_two is not None
    each = of_two.decibans[:, 0]
    assert each[0] == pytest.approx(each[1], abs=0.1)
    assert each[0] < 0.7 * of_one.decibans[0, 0]
    traceless = [flown("b", yes("s"), group=())] * 200
    again = fit_together([*alone, *traceless])
    assert again is not None
    assert np.array_equal(again.decibans, of_one.decibans)


def test_healthy_flights_have_a_column_and_one_cause_alone_gives_no_weights() -> None:
    seen = ToldSign("s", True, 0.9, "g")
    assert fit_together([flown("a", seen), flown(None, seen)]) is None
    found = fit_together([flown("a", seen), flown("b"), flown(None, replace(seen, seen=False))] * 5)
    assert found is not None
    assert found.causes == ("a", "b", NOTHING_WRONG)
    assert found.decibans[0, 0] > 0.0 > found.decibans[0, 2]
