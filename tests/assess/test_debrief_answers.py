"""What was answered, and in which order an answer is given."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnback.assess.belief import believe
from turnback.assess.debrief_answers import (
    answer_from,
    answers_outlived,
    answers_settled,
    observations_of_answers,
    safety_of,
)
from turnback.assess.debrief_steps import first_question, steps_of
from turnback.base.errors import InputError
from turnback.knowledge.book import CheckKind
from turnback.knowledge.reading import read_book
from turnback.records.belief import Judged, NextCheck, Observation, Told
from turnback.records.debrief import Answered, Hurt, PackState, Step, ToldInWords, Whereabouts

BOOK = read_book()
OTHERS = next(check for check in BOOK.checks if check.key == "ask-others")
ALONE = next(check for check in BOOK.checks if len(check.signs) == 1)


def _seen(text: str) -> dict[str, bool]:
    answers, _ = answers_settled([answer_from(text)], (), BOOK)
    return {each.sign: each.seen for each in observations_of_answers(answers, BOOK)}


def test_an_answer_is_read_as_it_is_typed() -> None:
    assert answer_from(" Hurt = NO ") == Answered("hurt", "no")
    for bad in ("hurt", "=yes", "hurt=", ""):
        with pytest.raises(InputError, match="is not CHECK=RESULT"):
            answer_from(bad)


def test_a_check_of_several_signs_says_of_each_whether_it_was_seen() -> None:
    first, second = OTHERS.signs[:2]
    assert _seen(f"ask-others={first}, {second}") == {sign: sign in {first, second} for sign in OTHERS.signs}
    assert _seen("ask-others=none") == dict.fromkeys(OTHERS.signs, False)
    assert _seen("ask-others=all") == dict.fromkeys(OTHERS.signs, True)


def test_a_check_of_one_sign_and_a_sign_itself_take_yes_and_no() -> None:
    assert _seen(f"{ALONE.key}=yes") == {ALONE.signs[0]: True}
    assert _seen(f"{ALONE.key}=no") == {ALONE.signs[0]: False}
    assert _seen("said-control-lost=yes") == {"said-control-lost": True}


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("ask-others=yes", "is nothing that it tells"),
        ("ask-others=plug-hot-or-dark", "write none, all, or those that were seen"),
        ("ask-otters=none", "write ask-others"),
        ("hurt=maybe", "write yes or no"),
        ("whereabouts=tree", "write lost or found"),
        ("zzzz=yes", "bench --list"),
    ],
)
def test_what_is_not_understood_is_told_with_what_to_do(text: str, what: str) -> None:
    with pytest.raises(InputError) as caught:
        answers_settled([answer_from(text)], (), BOOK)
    assert what in str(caught.value)


def test_the_last_answer_to_a_check_stands_and_the_earlier_is_kept_as_taken_back() -> None:
    first, last = Answered("hurt", "no"), Answered("hurt", "yes")
    other = Answered("pack", "fine")
    assert answers_settled([first, other, last], (), BOOK) == ((other, last), (first,))


def test_answers_on_people_pack_and_aircraft_win_over_words() -> None:
    told = ToldInWords(hurt=Hurt.YES, pack=PackState.NOT_TOLD, whereabouts=Whereabouts.NOT_TOLD)
    after = safety_of(told, [Answered("hurt", "no"), Answered("pack", "damaged")])
    assert (after.hurt, after.pack, after.whereabouts) == (Hurt.NO, PackState.DAMAGED, Whereabouts.NOT_TOLD)
    assert observations_of_answers([Answered("hurt", "no")], BOOK) == ()


def test_people_come_first_then_the_pack_the_aircraft_the_question_and_the_causes() -> None:
    unknown = ToldInWords(whereabouts=Whereabouts.LOST)
    assert steps_of(unknown, "ask-story", True, held_back=False) == (
        Step.ASK_HURT, Step.ASK_PACK, Step.SEARCH, Step.ASK_ONE, Step.CAUSES,
    )  # fmt: skip
    fine = ToldInWords(hurt=Hurt.NO, pack=PackState.FINE)
    assert steps_of(fine, "ask-story", False, held_back=False) == (Step.ASK_ONE, Step.CAUSES)
    dented = ToldInWords(hurt=Hurt.NO, pack=PackState.DAMAGED)
    assert steps_of(dented, None, False, held_back=False)[0] is Step.PACK


def test_after_an_injury_there_are_no_causes_and_no_question() -> None:
    hurt = ToldInWords(hurt=Hurt.YES)
    assert steps_of(hurt, None, True, held_back=True) == (Step.HURT, Step.ASK_PACK, Step.SEARCH)


def test_the_first_question_is_the_best_that_was_not_answered() -> None:
    belief = believe(BOOK, [Observation("said-control-lost", True, 0.9, "s", Told.WORDS)])
    best, second = belief.next_checks[0].check, belief.next_checks[1].check
    assert first_question(belief, ()) == best
    assert first_question(belief, [Answered(best, "none")]) == second


def test_a_harm_told_later_outlives_what_was_answered_and_words_take_no_harm_back() -> None:
    no, fine, lost = Answered("hurt", "no"), Answered("pack", "fine"), Answered("whereabouts", "lost")
    given = (no, fine, lost, Answered("ask-others", "none"))
    assert answers_outlived(given, ("the child he hit is in hospital",)) == (no,)
    assert answers_outlived(given, ("the pack is swollen now", "found it in a tree")) == (fine, lost)
    assert answers_outlived((Answered("hurt", "yes"), Answered("pack", "damaged")), ("nobody hurt, pack fine",)) == ()


@pytest.mark.parametrize(
    ("told", "forbidden"),
    [
        (ToldInWords(pack=PackState.DAMAGED), {CheckKind.POWERED, CheckKind.FLIGHT}),
        (ToldInWords(), {CheckKind.POWERED, CheckKind.FLIGHT}),
        (ToldInWords(whereabouts=Whereabouts.LOST), {CheckKind.POWERED, CheckKind.FLIGHT, CheckKind.METER}),
    ],
)
def test_nothing_is_asked_that_pack_or_aircraft_forbid(told: ToldInWords, forbidden: set[CheckKind]) -> None:
    belief = believe(BOOK, [Observation("said-control-lost", True, 0.9, "s", Told.WORDS)], checks=0)
    kinds = {check.key: check.kind for check in BOOK.checks}
    charging = {"count-what-the-charger-puts-back", "meter-full-pack"}
    touching = {"tug-pack-and-plug", "meter-cells", "look-at-plug"} if told.pack is PackState.DAMAGED else set()
    for check in BOOK.checks:  # as if it were the one that decides most
        offered = replace(belief, judged=Judged.SEVERAL, next_checks=(NextCheck(check.key, 1.0, 1.0, ()),))
        asked = first_question(offered, (), BOOK, told)
        assert asked is None or (kinds[asked] not in forbidden and asked not in charging | touching)
