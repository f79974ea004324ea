"""What counts of what was learned: the newest value of each quantity, by kind and id."""

from __future__ import annotations

import random
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from turnback.records.learned import NOTHING_LEARNED, Learned, LearnedAbout, LearnedEntry


def entry(**changes: Any) -> LearnedEntry:
    table: dict[str, Any] = {
        "of": "pack", "id": "a", "on": date(2025, 6, 1), "quantity": "capacity_mah", "value": 1200.0,
        "from_record": "invented",
    }  # fmt: skip
    return LearnedEntry.model_validate(table | changes)


def test_the_newest_value_counts_whatever_the_order_of_the_file() -> None:
    entries = [entry(on=date(2025, month, 1), value=1000.0 + month) for month in range(1, 10)]
    random.Random(3).shuffle(entries)
    assert Learned(tuple(entries)).of("pack", "a")["capacity_mah"].value == 1009.0


def test_of_two_on_one_day_the_later_in_the_file_counts() -> None:
    learned = Learned((entry(value=1.0), entry(value=2.0)))
    assert learned.of(LearnedAbout.PACK, "a")["capacity_mah"].value == 2.0


def test_other_ids_kinds_and_quantities_are_kept_apart() -> None:
    learned = Learned(
        (entry(), entry(id="b", value=900.0), entry(of="aircraft", quantity="mass_g", value=460.0),
         entry(quantity="resistance_mohm_per_cell", value=4.6, low=4.0, high=5.0))
    )  # fmt: skip
    assert {key: reading.value for key, reading in learned.of("pack", "a").items()} == {
        "capacity_mah": 1200.0,
        "resistance_mohm_per_cell": 4.6,
    }
    assert learned.of("aircraft", "a")["mass_g"].value == 460.0
    band = learned.of("pack", "a")["resistance_mohm_per_cell"]
    assert (band.low, band.high) == (4.0, 5.0)


def test_nothing_is_known_of_what_has_no_id() -> None:
    assert dict(Learned((entry(),)).of("pack", None)) == {}
    assert dict(NOTHING_LEARNED.of("pack", "a")) == {}


@pytest.mark.parametrize(
    "changes",
    [{"low": 1300.0}, {"high": 1100.0}, {"value": float("inf")}, {"id": "A B"}, {"from_record": ""}, {"of": "sky"},
     {"quantity": "x" * 61}, {"colour": 3}, {"value": "1200"}],
)  # fmt: skip
def test_entries_that_make_no_sense_are_refused(changes: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        entry(**changes)


@given(st.lists(st.tuples(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.floats(0.0, 1e4)), min_size=1, max_size=20))
def test_no_older_value_ever_counts(rows: list[tuple[date, float]]) -> None:
    learned = Learned(tuple(entry(on=on, value=value) for on, value in rows))
    newest = max(on for on, _ in rows)
    assert learned.of("pack", "a")["capacity_mah"].value in [value for on, value in rows if on == newest]
