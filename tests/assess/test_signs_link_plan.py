"""The level beside the plan's where the link went: ground, distance, or what the plan does not know of."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import make_flown
from tests.assess.test_signs_link import FLIES, add, flight

from turnback.assess.signs_link import link_signs
from turnback.assess.signs_link_plan import plan_at_worst
from turnback.assess.signs_site import site_signs
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, Compare, Compared, Looked
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, RecordAnswer

BEHIND_S = 45.0
TAKEN_DB = 18.0


def looked(ground_db: float, other_db: float) -> Looked:
    """Out to 400 m; from 45 s something takes decibels that the plan's ground knows of, or does not; lost at 46 s."""
    t_s, made = flight()
    add(made, -32.0)
    behind = np.where((t_s > BEHIND_S) & (t_s < 55.0), 1.0, 0.0)
    every = slice(None, None, 25)
    open_dbm = made[Quantity.LINK_LEVEL][1][every] + 4.0  # a plan is off by some decibels
    predicted = open_dbm - ground_db * behind[every]
    add(made, -(ground_db + other_db) * behind)
    quality = np.where(behind > 0.0, 0.0, 0.99)
    made[Quantity.LINK_QUALITY] = (t_s, quality)
    recorded = made[Quantity.LINK_LEVEL][1][every]
    compared = Compared(Compare.LEVEL, "dBm", t_s[every], recorded, predicted, predicted - 8.0, predicted + 8.0,
                        Spread(-4.0, -12.0, 4.0))  # fmt: skip
    lost = Event(EventKind.LINK_LOST, BEHIND_S + 0.5, 55.0, (), "", {})
    return Looked(RecordAnswer(make_flown(made, *FLIES), (lost,), (), ()), 94.0, AgainstPlan((compared,)))


@pytest.mark.parametrize(
    ("ground_db", "other_db", "crosses", "by_distance"),
    [(TAKEN_DB, 0.0, True, False), (0.0, TAKEN_DB, False, False), (0.0, 0.0, False, True)],
)
def test_what_takes_the_level_where_the_link_went(
    ground_db: float, other_db: float, crosses: bool, by_distance: bool
) -> None:
    case = looked(ground_db, other_db)
    found = plan_at_worst(case)
    assert found is not None
    assert found.ground_db == pytest.approx(ground_db, abs=3.0)
    assert found.below_db == pytest.approx(other_db, abs=3.0)
    site = {each.sign: each for each in site_signs(case).signs}
    link = {each.sign: each for each in link_signs(case).signs}
    assert site["ground-crosses-the-ray"].seen is crosses
    assert site["ground-crosses-the-ray"].sure > 0.9
    assert link["level-falls-with-distance"].seen is by_distance


def test_without_a_plan_or_a_link_that_went_it_says_nothing() -> None:
    case = looked(0.0, 0.0)
    assert plan_at_worst(Looked(case.answer, 94.0, None)) is None
    flown = make_flown(flight()[1], *FLIES)
    assert plan_at_worst(Looked(RecordAnswer(flown, (), (), ()), 94.0, case.against)) is None
