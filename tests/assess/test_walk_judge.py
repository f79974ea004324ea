"""What a walk points to: never "as predicted" where hardly anything was read."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.flows.test_range_walk_flow import answer

from turnback.assess.walk_judge import cause_of
from turnback.records.finding import Spread
from turnback.records.walk import WalkFit
from turnback.records.walk_answer import WalkCause


def fit(readings: int, censored: int, offset_db: float = 0.0) -> WalkFit:
    """Return a fit that on its numbers alone lies as predicted."""
    band = Spread(offset_db, offset_db - 2.0, offset_db + 2.0)
    return replace(
        answer(8.0).fit, offset_db=band, readings=readings, censored=censored, power_or_antenna=0.1, falls_too_fast=0.1
    )


def test_many_readings_near_the_model_are_as_predicted() -> None:
    assert cause_of(fit(20, 0)) is WalkCause.AS_PREDICTED
    assert cause_of(fit(16, 8)) is WalkCause.AS_PREDICTED


@pytest.mark.parametrize("offset_db", [0.0, -8.0], ids=["as predicted", "stronger"])
@pytest.mark.parametrize(("readings", "censored"), [(3, 1), (7, 0), (6, 6), (40, 40), (40, 25)])
def test_few_readings_or_most_at_the_floor_are_never_good_news(readings: int, censored: int, offset_db: float) -> None:
    assert cause_of(fit(readings, censored, offset_db)) is WalkCause.UNSURE
