"""The words-only cases fit the book and are split by their fixed rule."""

from __future__ import annotations

from studies.debrief_words.cases import FRESH, cases, held_out, tuning
from studies.debrief_words.score import LONG, mark, trivial

from turnback.knowledge.reading import read_book
from turnback.records.debrief import Hurt, PackState, Reading, Whereabouts


def test_the_tables_are_as_large_and_wide_as_they_say() -> None:
    assert (len(tuning()), len(held_out()), len(cases(FRESH))) == (80, 40, 100)
    assert len({each.cause for each in cases()}) >= 60
    assert not {each.said for each in tuning()} & {each.said for each in (*held_out(), *cases(FRESH))}


def test_every_case_is_told_in_terms_of_the_book() -> None:
    known = {each.key for each in read_book().causes}
    for case in (*cases(), *cases(FRESH)):
        assert case.accepted <= known, case.said
        assert len(case.accepted) <= 6, case.said
        Hurt(case.hurt), PackState(case.pack), Whereabouts(case.where)
        for each in case.readings:
            Reading(LONG.get(each.of, each.of))


def test_a_case_that_says_it_outright_is_right_and_the_fixed_answer_is_not_always() -> None:
    book = read_book()
    case = next(each for each in tuning() if each.cause == "arm-cracked" or each.cause == "wrong-reaction")
    assert mark(case, book).cause_right
    by_cause, by_question, either = trivial(tuning()[:12], tuning()[:12], book)
    assert max(by_cause, by_question) <= either <= 12
