"""What made flights with a known pack teach of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import linalg, signal
from tests.assess.against_made import Made, answer_of, columns, event
from tests.assess.cases import case_of, plain

from turnback.assess.learn_lessons import lessons
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, LearnedNumber, NotLearned
from turnback.records.happened import EventKind

IDS: dict[str, Any] = {"pack__id": "p", "aircraft__id": "a", "site__id": "s"}
WARM_C = {"value": 25, "low": 24, "high": 26}


def case(**changes: Any) -> Case:
    """Return a plan that knows its pack by the label alone; the cells are at the reference temperature."""
    given = {"pack__resistance_mohm_per_cell": None, "pack__temperature_c": WARM_C, "weather__temperature_c": 25, **IDS}
    return case_of(plain(), **{**given, **changes})


def learned(made: Made, quantity: str, at: Case | None = None, **told: Any) -> LearnedNumber | NotLearned:
    """Return one lesson."""
    without = told.pop("without", ())
    found = lessons(answer_of(made, without=without), AgainstPlan(), at or case(), told.get("put_back_ah"))
    both = {each.quantity: each for each in found.numbers} | dict(found.not_learned)
    return both[quantity]


def number(found: LearnedNumber | NotLearned) -> LearnedNumber:
    """Return a number that was learned."""
    assert isinstance(found, LearnedNumber)
    return found


@pytest.mark.parametrize("ohm", [0.0055, 0.009])
def test_resistance_is_that_of_an_independent_least_squares(ohm: float) -> None:
    """Outside value: scipy's least squares on the very shape the pack was made of (models.md: 15 % claimed)."""
    found = number(learned(Made(cell_ohm=ohm), "resistance_mohm_per_cell"))
    made = columns(Made(cell_ohm=ohm))
    volts, amperes = (np.asarray(made[key][1])[100:3700] for key in (Quantity.PACK_VOLTS, Quantity.CURRENT))
    lag = [signal.lfilter([k], [1.0, k - 1.0], amperes) for k in (1 - np.exp(-0.1 / 3.0), 1 - np.exp(-0.1 / 40.0))]
    used = np.cumsum(amperes) / amperes.sum()
    table = np.column_stack([amperes, *lag, *(used**k for k in range(7))])
    oracle_mohm = -linalg.lstsq(table, volts)[0][0] / 6.0 * 1e3
    assert oracle_mohm == pytest.approx(ohm * 1e3, rel=0.05)
    assert found.value == pytest.approx(oracle_mohm, rel=0.15)
    assert found.low < ohm * 1e3 < found.high
    assert found.before is not None
    assert found.high - found.low < 0.6 * (found.before.high - found.before.low)


def test_a_cold_cell_is_carried_to_the_reference_temperature() -> None:
    """Doubled at 0 °C (models.md, from memory): what is kept is what the cell has when warm."""
    cold: dict[str, Any] = {"pack__temperature_c": {"value": 0, "low": -1, "high": 1}, "weather__temperature_c": 0}
    ratio = number(learned(Made(cell_ohm=0.012), "resistance_mohm_per_cell", case(**cold))).value / 12.0
    assert 0.45 < ratio < 0.75  # it warms itself on the way


def test_a_steady_load_teaches_nothing() -> None:
    """All but one and the same power: no resistance."""
    made = Made(steady=True, cruise_w=131.0)
    assert learned(made, "resistance_mohm_per_cell") is NotLearned.TOO_STEADY


def test_what_came_before_a_fault_still_teaches() -> None:
    """A contact gave way late: the pack's own resistance is learned from before, its capacity is not."""
    made = Made(step_at_s=250.0, events=[event(EventKind.VOLT_STEP, 250.0, step_v=-0.6)])
    found = number(learned(made, "resistance_mohm_per_cell"))
    assert found.low < 6.0 < found.high
    assert learned(made, "capacity_mah") is NotLearned.FAULTY_FLIGHT
    early = Made(step_at_s=20.0, events=[event(EventKind.VOLT_STEP, 20.0, step_v=-0.6)])
    assert learned(early, "resistance_mohm_per_cell") is NotLearned.FAULTY_FLIGHT


def test_capacity_needs_a_full_start_and_a_rested_end() -> None:
    """Each missing says so."""
    found = number(learned(Made(capacity_ah=1.1), "capacity_mah"))
    assert found.low < 1100.0 < found.high
    assert found.before is not None
    assert found.high - found.low < found.before.high - found.before.low
    assert learned(Made(rest_s=10.0), "capacity_mah") is NotLearned.NO_REST_AT_END
    assert learned(Made(start_soc=0.8), "capacity_mah") is NotLearned.NOT_FULL_AT_START
    assert learned(Made(), "capacity_mah", without=(Quantity.CURRENT,)) is NotLearned.NO_CHANNEL


def test_the_charger_stands_for_a_sensor_that_is_off() -> None:
    """A sensor that reads +10 % moves capacity by +9 % (models.md), unless the charger's charge is told."""
    made = Made(capacity_ah=1.1, sensor_ratio=1.1)
    used_ah = float(np.sum(columns(Made(capacity_ah=1.1))[Quantity.CURRENT][1])) / 10.0 / 3600.0
    alone = number(learned(made, "capacity_mah"))
    told = number(learned(made, "capacity_mah", put_back_ah=used_ah / 0.98))
    assert abs(told.value - 1100.0) < abs(alone.value - 1100.0)
    assert told.high - told.low < alone.high - alone.low
    assert (alone.method, told.method) == ("capacity-counted", "capacity-charger")


def test_without_an_id_or_a_plan_nothing_is_kept() -> None:
    """And every quantity says why."""
    bare = case(pack__id=None, aircraft__id=None, site__id=None)
    found = lessons(answer_of(Made()), AgainstPlan(), bare)
    assert not found.numbers
    assert {why for _, why in found.not_learned} == {NotLearned.NO_ID}
    assert {why for _, why in lessons(answer_of(Made()), None, None).not_learned} == {NotLearned.NO_PLAN}
