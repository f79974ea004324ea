"""What made flights teach of their site's control link, one after the other."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, Final

import numpy as np
import pytest
from scipy import linalg
from tests.assess.against_made import LAUNCH, Made, answer_of, event, t_of
from tests.assess.cases import case_of, plain

from turnback.assess.learn_lessons import lessons
from turnback.assess.learn_link import KEYS, together
from turnback.assess.walk_fit_carry import CarriedOver
from turnback.flows.against_plan import against_plan
from turnback.flows.debrief_learned import entries_of
from turnback.records.case import Case
from turnback.records.debrief import AgainstPlan, Compare, LearnedNumber, Lessons, NotLearned
from turnback.records.finding import Spread
from turnback.records.happened import EventKind
from turnback.records.learned import Learned
from turnback.rules.record_learn import LINK_PATTERN, SAME_GROUND

CASE: dict[str, Any] = {
    "site__latitude_deg": LAUNCH[0], "site__longitude_deg": LAUNCH[1],
    "pack__id": "p", "aircraft__id": "a", "site__id": "s",
}  # fmt: skip
T_S: Final = t_of(Made())


def level_dbm(lower_db: float) -> Any:
    """Return a level that lies so much below the plan's, and swings by two decibels within seconds."""
    flat = answer_of(Made(), link_level=(T_S, np.full(T_S.size, -70.0)))
    level = next(each for each in against_plan(flat, case_of(plain(), **CASE)).compared if each.what is Compare.LEVEL)
    known = np.isfinite(level.predicted)
    rough = np.convolve(np.random.default_rng(3).normal(size=T_S.size), np.ones(20) / np.sqrt(20.0), "same")
    return np.interp(T_S, level.t_s[known], level.predicted[known]) - lower_db + 2.0 * rough


def taught(case: Case, level: Any, **made: Any) -> Lessons:
    """Return what a flight with a level teaches."""
    return lessons(answer_of(Made(**made), link_level=(T_S, level)), AgainstPlan(), case)


def offset(found: Lessons) -> LearnedNumber:
    """Return the loss beyond the model."""
    return next(each for each in found.numbers if each.quantity == KEYS[0])


def kept(low: float, mid: float, high: float) -> CarriedOver:
    """Return a made lesson."""
    return CarriedOver(Spread(mid, low, high), Spread(0.1, -0.1, 0.3), Spread(1.0, 0.8, 1.25), 200.0, 380.0)


def test_ten_decibels_lower_is_ten_decibels_more_loss() -> None:
    """All five are learned together, and the band is never below what the pattern of antennas may be off."""
    case = case_of(plain(), **CASE)
    first, second = (taught(case, level_dbm(lower)) for lower in (0.0, 10.0))
    assert {each.quantity for each in second.numbers} >= set(KEYS)
    assert offset(second).value - offset(first).value == pytest.approx(10.0, abs=0.6)  # what was thought holds it back
    assert offset(first).high - offset(first).low > 2.0 * LINK_PATTERN.value
    assert offset(first).low < offset(first).value < offset(first).high


def test_a_second_flight_over_the_same_hills_hardly_narrows_it() -> None:
    """The very same readings again are no second witness: at most what a twentieth of the variance is."""
    case = case_of(plain(), **CASE)
    first = taught(case, level_dbm(3.0))
    after = replace(case, learned=Learned(entries_of(first, case, date(2026, 5, 1), "one")))
    second = offset(taught(after, level_dbm(3.0)))
    once, twice = (row.high - row.low for row in (offset(first), second))
    assert second.before is not None
    assert second.value == pytest.approx(offset(first).value, abs=0.1)
    assert 0.97 * once <= twice <= 1.001 * once


def test_two_alike_are_the_best_estimate_of_two_correlated_values() -> None:
    """Outside value: 1 / (1' S^-1 1) by scipy.linalg (Aitken 1935)."""
    found = together(kept(-1.0, 1.0, 3.0), kept(0.0, 2.0, 4.0)).offset_db
    shared = SAME_GROUND.value * 4.0
    total = float(np.ones(2) @ linalg.inv(np.array([[4.0, shared], [shared, 4.0]])) @ np.ones(2))
    assert found.mid == pytest.approx(1.5)
    assert 0.5 * (found.high - found.low) == pytest.approx(np.sqrt(1.0 / total))


def test_the_narrower_is_not_chosen_but_a_far_poorer_one_is_left() -> None:
    """A little narrower is chance: both orders say the same; twice the variance is another kind of flight."""
    one, other = kept(-1.0, 1.0, 3.0), kept(0.6, 3.0, 5.4)
    there, back = together(one, other).offset_db, together(other, one).offset_db
    assert (there.mid, there.low, there.high) == pytest.approx((back.mid, back.low, back.high))
    assert 1.0 < there.mid < 3.0
    assert there.high - there.low > 4.0
    poor = kept(-8.0, 1.0, 10.0)
    assert together(one, poor) is one
    assert together(poor, one) is one


def test_what_tells_nothing_says_why() -> None:
    """No level, another place, a link that went before it flew out."""
    case = case_of(plain(), **CASE)
    for found, why in (
        (lessons(answer_of(Made()), AgainstPlan(), case), NotLearned.NO_CHANNEL),
        (taught(case, level_dbm(0.0), launch=(LAUNCH[0] + 1.0, LAUNCH[1])), NotLearned.NO_SUCH_SEGMENT),
        (taught(case, level_dbm(0.0), events=[event(EventKind.LINK_LOST, 11.0)]), NotLearned.FAULTY_FLIGHT),
    ):
        assert dict(found.not_learned)[KEYS[0]] is why
