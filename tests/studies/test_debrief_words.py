"""The words-only cases fit the book and no table shares a case with another."""

from __future__ import annotations

from studies.debrief_words.cases import CASES, FOURTH, FRESH, THIRD, cases, tuning
from studies.debrief_words.score import LONG, mark, trivial

from turnback.knowledge.reading import read_book
from turnback.knowledge.said import read_said
from turnback.knowledge.ways import read_ways
from turnback.records.debrief import Hurt, PackState, Reading, Whereabouts


def test_the_tables_are_as_large_and_wide_as_they_say() -> None:
    assert [len(cases(path)) for path in (CASES, FRESH, THIRD, FOURTH)] == [120, 100, 100, 100]
    assert min(len({each.cause for each in rows}) for rows in map(cases, (CASES, FRESH, THIRD, FOURTH))) >= 60
    assert len({each.said for each in (*tuning(), *cases(FOURTH))}) == 420


def test_no_sentence_of_a_case_is_a_phrase_of_the_ear() -> None:
    said = read_said()
    phrases = {row.casefold() for rows in (*said.phrases.values(), *said.denials.values()) for row in rows}
    assert len(phrases) > 300
    whole = [each.said.casefold().strip(".!? ") for each in (*tuning(), *cases(FOURTH))]
    assert [each for each in whole if each in phrases] == []


def test_every_case_is_told_in_terms_of_the_book() -> None:
    known = {each.key for each in read_book().causes}
    for case in (*tuning(), *cases(FOURTH)):
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


def test_no_example_of_four_words_stands_in_a_case() -> None:
    whole = [each.said.casefold() for each in (*tuning(), *cases(FOURTH))]
    examples = [text.casefold() for rows in read_ways().values() for text in rows if len(text.split()) >= 4]
    assert len(examples) > 1000
    assert [text for text in examples if any(text in case for case in whole)] == []
