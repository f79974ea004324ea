"""The table of weights fitted together: it survives its file, and unflown causes go with those like them."""

from __future__ import annotations

import numpy as np
import pytest
from studies.debrief_flown.fit_together import written_together

from turnback.knowledge.book import Book
from turnback.knowledge.from_study import Kind, with_study
from turnback.knowledge.look_alikes import Kit, look_alikes
from turnback.knowledge.reading import read_book
from turnback.knowledge.together import NOTHING_WRONG, Together, bundled_together, read_together

LOOSE, CRACKED, WORN = "propeller-loose", "propeller-hub-cracked", "pack-worn"


def weights() -> Together:
    return Together(("a", "b"), (LOOSE, WORN), np.array([[1.5, -1.5], [0.0, 20.3]]))


def test_it_survives_its_file() -> None:
    text = written_together(weights(), "a remark\nof two lines")
    again = read_together(text)
    assert text.startswith("# a remark\n# of two lines\nsign,propeller-loose,pack-worn\na,15,-15\n")
    assert (again.signs, again.causes) == (("a", "b"), (LOOSE, WORN))
    assert np.array_equal(again.decibans, weights().decibans)


def test_a_sign_counts_as_surely_as_it_was_told_and_one_that_is_not_in_the_table_not_at_all() -> None:
    found = weights().weighed({"a": -0.5, "c": 1.0, "b": 1.0}, [WORN, LOOSE])
    assert found == pytest.approx(np.array([[0.75, -0.75], [0.0, 0.0], [20.3, 0.0]]))


def test_a_cause_that_was_not_flown_goes_with_the_one_like_it() -> None:
    assert LOOSE in look_alikes(CRACKED, Kit.FULL, has_plan=True)
    ready = weights().of(Kit.FULL, [LOOSE, CRACKED, WORN, "left-unheard-of"])
    found = ready.weighed({"a": 1.0}, [LOOSE, CRACKED, WORN, "left-unheard-of"])
    assert found[0].tolist() == [1.5, 1.5, -1.5, 0.0]
    assert not weights().of(Kit.TRACK, [CRACKED]).like  # no such look-alike where it leaves no trace


def test_the_table_of_this_package_fits_the_book() -> None:
    book = read_book()
    bundled = bundled_together()
    assert bundled is not None
    assert set(bundled.signs) <= {sign.key for sign in book.signs}
    assert set(bundled.causes) - {NOTHING_WRONG} <= {cause.key for cause in book.causes}
    assert NOTHING_WRONG in bundled.causes
    assert len(bundled.causes) > 60
    assert np.abs(bundled.decibans).max() < 40.0
    assert bundled.decibans.any(axis=1).all()
    ready: Book = with_study(book, Kind.FAST)
    assert ready.together is not None
    assert ready.together.like
    assert with_study(book, None).together is None
