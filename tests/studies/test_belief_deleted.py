"""The study of deleted causes, small: what it counts, and that its promise holds."""

from __future__ import annotations

from pathlib import Path

import pytest
from studies.belief_deleted.cases import FEWEST, MOST, answered, case, without
from studies.belief_deleted.figures import calibration, leader, silent, wilson
from studies.belief_deleted.run import BEGIN, END, PAGE, ended, write

from turnback.knowledge.reading import read_book

PROMISED = 0.80
CASES = 60


def test_with_its_true_causes_deleted_a_case_names_nobody_in_four_of_five() -> None:
    rows = ended(read_book(), seed=77, count=CASES)
    assert silent(rows) / CASES >= PROMISED
    assert all(not set(row.causes) & {one.cause for one in row.deleted.causes} for row in rows)
    # Naming nobody ever would pass the line above: the whole book must know most of these cases.
    assert sum(leader(row.whole) in row.causes for row in rows) / CASES > 0.5


def test_cases_are_what_they_say_and_the_same_every_time() -> None:
    book = read_book()
    made = [case(book, 5, number) for number in range(30)]
    assert made == [case(book, 5, number) for number in range(30)]
    assert all(FEWEST <= len(one.observations) <= MOST for one in made)
    assert {len(one.causes) for one in made} == {1, 2}
    assert any(not told.seen for one in made for told in one.observations)


def test_a_case_that_asks_does_what_is_offered() -> None:
    book = read_book()
    made, belief = answered(book, 5, 1, deleted=True)
    assert belief.observations == made.observations
    assert {one.group for one in made.observations} <= {"words"} | {one.key for one in book.checks}
    assert without(book, made.causes).strength.shape[0] == len(book.causes) - len(made.causes)


def test_intervals_and_calibration_are_those_of_the_books() -> None:
    # Wilson's interval of 81 in 263: 0.255 to 0.366 (Newcombe, Statistics in Medicine 17, 1998, table I, method 3).
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    import numpy as np

    error, rows = calibration(np.array([0.05, 0.05, 0.95, 0.95]), np.array([0.0, 0.0, 1.0, 0.0]))
    assert error == pytest.approx(0.5 * 0.05 + 0.5 * 0.45)
    assert [row[-1] for row in rows] == [2, 2]


def test_figures_go_between_the_marks_of_the_page(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text(f"before\n{BEGIN}\nold\n{END}\nafter\n", encoding="utf-8")
    write(page, "new")
    assert page.read_text(encoding="utf-8") == f"before\n{BEGIN}\n\nnew\n\n{END}\nafter\n"
    page.write_text("no marks", encoding="utf-8")
    with pytest.raises(ValueError, match="marks"):
        write(page, "new")
    assert PAGE.read_text(encoding="utf-8").count(BEGIN) == 1
