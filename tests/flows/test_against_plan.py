"""A made flight beside its plan, and what it teaches on the way into the next brief."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.assess.against_made import LAUNCH, Made, answer_of, event, t_of
from tests.assess.cases import case_of, plain

from turnback.assess.learn_lessons import lessons
from turnback.assess.world import fill
from turnback.flows.against_plan import against_plan
from turnback.flows.debrief_learned import entries_of
from turnback.readers.learned import append_learned
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, Compare, Compared
from turnback.records.happened import EventKind
from turnback.records.world import Origin

CASE: dict[str, Any] = {
    "site__latitude_deg": LAUNCH[0], "site__longitude_deg": LAUNCH[1],
    "pack__id": "p", "aircraft__id": "a", "site__id": "s",
    "pack__temperature_c": 25, "weather__temperature_c": 25, "weather__wind_mps": {"value": 0.5, "low": 0.1, "high": 1},
    "answers__rest_v_per_cell": 4.19,
}  # fmt: skip


def case(**changes: Any) -> Case:
    """Return a plan over flat ground."""
    return case_of(plain(), **{**CASE, **changes})


def one(found: AgainstPlan, what: Compare) -> Compared:
    """Return one comparison."""
    return next(each for each in found.compared if each.what is what)


@pytest.fixture(scope="module")
def beside() -> AgainstPlan:
    """A flight whose link went at 100 s, with levels at both ends."""
    t_s = t_of(Made())
    levels: dict[str, Any] = {
        "link_level": (t_s, np.full(t_s.size, -60.0)),
        "link_level_back": (t_s, np.full(t_s.size, -64.0)),
    }
    return against_plan(answer_of(Made(events=[event(EventKind.LINK_LOST, 100.0)]), **levels), case())


def test_every_channel_that_is_there_is_held_against_the_plan(beside: AgainstPlan) -> None:
    """Volts, power, both levels and the way home; all along one clock of at most 400 stations."""
    assert [each.what for each in beside.compared] == [
        Compare.VOLTS, Compare.LOADED_VOLTS, Compare.POWER, Compare.LEVEL, Compare.LEVEL_BACK, Compare.RETURN_LINE,
    ]  # fmt: skip
    for each in beside.compared:
        assert each.t_s.size <= 400
        known = np.isfinite(each.predicted)
        assert (each.low[known] <= each.predicted[known]).all()
        assert (each.predicted[known] <= each.high[known]).all()
    assert (beside.cells, beside.chemistry) == (6, "LiPo")
    assert beside.at_loss is not None
    assert beside.at_loss.t_s == 100.0


def test_the_volts_are_those_of_a_pack_that_is_as_planned(beside: AgainstPlan) -> None:
    """The made pack has 1.25 Ah for a label of 1.3 and 6 milliohms for 5: within the plan's own bands at rest.

    Outside value: rest volts by the charge that left it, on the trade's table (common practice).
    """
    volts = one(beside, Compare.VOLTS)
    assert abs(volts.residual.mid) < 0.03
    end = int(np.flatnonzero(np.isfinite(volts.recorded) & (volts.t_s < 360.0))[-1])
    used_ah = 350.0 * 145.0 / (6 * 3.8) / 3600.0
    by_hand_v = np.interp(0.99 - used_ah / 1.25, (0.3, 0.5, 0.7, 0.9, 1.0), (3.77, 3.84, 3.95, 4.11, 4.2))
    assert volts.predicted[end] == pytest.approx(by_hand_v, abs=0.05)


def test_the_way_home_over_flat_open_ground_is_its_grass(beside: AgainstPlan) -> None:
    """Forty metres up, nothing stands in the way."""
    home = one(beside, Compare.RETURN_LINE)
    assert home.residual.mid == pytest.approx(40.0, abs=1.0)
    assert beside.expected["home_height_m"].high < 1.0


def test_what_is_expected_is_named_as_it_is_agreed(beside: AgainstPlan) -> None:
    """Every name of the contract, each a band in order."""
    assert set(beside.expected) == {
        "hover_output_fraction", "hover_current_a", "cruise_current_a", "resistance_mohm_per_cell", "capacity_ah",
        "rated_current_a", "margin_db", "level_offset_db", "wind_mps", "temperature_c", "density_kg_m3",
        "land_by_rest_v", "home_height_m",
    }  # fmt: skip
    assert all(each.low <= each.mid <= each.high for each in beside.expected.values())
    assert beside.expected["rated_current_a"].mid == pytest.approx(100.0 * beside.expected["capacity_ah"].mid)


@pytest.mark.parametrize(("gone", "left"), [
    ((Quantity.CURRENT,), {Compare.LOADED_VOLTS, Compare.RETURN_LINE}),
    ((Quantity.PACK_VOLTS,), {Compare.RETURN_LINE}),
    ((Quantity.LATITUDE, Quantity.LONGITUDE), {Compare.VOLTS, Compare.LOADED_VOLTS, Compare.POWER}),
    ((Quantity.HEIGHT_LAUNCH, Quantity.CLIMB_RATE), {Compare.VOLTS, Compare.LOADED_VOLTS, Compare.POWER}),
])  # fmt: skip
def test_a_channel_that_is_missing_leaves_only_its_own_comparisons_out(
    gone: tuple[Quantity, ...], left: set[Compare]
) -> None:
    """Nothing is made up, and nothing fails."""
    found = against_plan(answer_of(Made(), without=gone), case())
    assert {each.what for each in found.compared} == left
    assert found.at_loss is None


def test_a_record_of_nothing_is_quiet() -> None:
    """Only the plan's own numbers are left."""
    everything = tuple(each for each in Quantity if each is not Quantity.CLIMB_RATE)
    found = against_plan(answer_of(Made(), without=everything), case())
    assert found.compared == ()
    assert "resistance_mohm_per_cell" in found.expected


def test_the_next_brief_uses_what_was_learned_and_says_so(tmp_path: Path) -> None:
    """Through the file; a guess of the plan gives way, a measured value does not."""
    plan = case(
        pack__resistance_mohm_per_cell={"value": 9, "how": "guess"},
        aircraft__drag_area_cm2={"value": 170, "how": "measured"},
    )
    answer = answer_of(Made(steady=False))
    found = lessons(answer, against_plan(answer, plan), plan)
    entries = entries_of(found, plan, date(2026, 5, 1), "a made flight")
    later = replace(plan, learned=append_learned(tmp_path / "learned.toml", entries))
    before, after = fill(plan), fill(later)
    assert before.pack.resistance_ohm.origin is Origin.ASSUMED
    assert after.pack.resistance_ohm.origin is Origin.LEARNED
    assert after.pack.resistance_ohm.low < 0.006 < after.pack.resistance_ohm.high
    assert after.aircraft.hover_current_a is not None
    assert after.aircraft.hover_current_a.origin is Origin.LEARNED
    assert after.aircraft.drag_area_m2.origin is Origin.MEASURED
