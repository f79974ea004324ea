"""Why volts were not judged, in words."""

from __future__ import annotations

from turnback.records.happened import EventKind, NotTold, WhyNot
from turnback.report.words_record_gaps import why_words


def test_cells_that_were_told_and_cannot_be_are_not_asked_for_as_unknown() -> None:
    told = why_words(NotTold(EventKind.BELOW_DAMAGE, WhyNot.CELLS_UNKNOWN, (), {"told_cells": 4.0}))
    assert told.startswith("The number of cells (4) does not go with the volts of the record")
    assert why_words(NotTold(EventKind.BELOW_DAMAGE, WhyNot.CELLS_UNKNOWN)).startswith("It is not known how many cells")


def test_a_steady_load_is_not_called_too_little_of_the_record() -> None:
    for kind in (EventKind.SAG, EventKind.BELOW_LAND_BY):
        said = why_words(NotTold(kind, WhyNot.LOAD_TOO_STEADY, (), {"needed_s": 20.0}))
        assert said.startswith("The load changed too little")
        assert why_words(NotTold(kind, WhyNot.TOO_SHORT)).startswith("There is too little of the record")
