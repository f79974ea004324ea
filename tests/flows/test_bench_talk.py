"""What was told at the bench, both answers to it, and what is refused."""

from __future__ import annotations

import pytest

from turnback.base.errors import InputError
from turnback.flows.bench_talk import SIGHTS, bench_talk, seen_of
from turnback.knowledge.reading import read_book
from turnback.records.bench import At, BenchCheck, Saw, Toward
from turnback.records.bench_talk import Step, StepKind

TOLD = (
    Step(StepKind.CHECKED, "propeller-direction.rear-left=right"),
    Step(StepKind.SAW, "flips-at-once=front-left"),
    Step(StepKind.CHECKED, "propeller-direction.front-left=wrong"),
    Step(StepKind.SAW, "spins"),
)


def test_steps_keep_their_order() -> None:
    seen = seen_of(TOLD)
    assert [each.what for each in seen] == [
        BenchCheck.PROPELLER_DIRECTION, Saw.FLIPS_AT_ONCE, BenchCheck.PROPELLER_DIRECTION, Saw.SPINS,
    ]  # fmt: skip
    assert [each.at for each in seen] == [At.REAR_LEFT, None, At.FRONT_LEFT, None]
    assert seen[1].toward is Toward.FRONT_LEFT


def test_what_is_taken_back_is_as_if_it_was_never_told() -> None:
    book = read_book()
    without = bench_talk(TOLD[:3], book)
    back = bench_talk(TOLD[:3], book, taken_back=TOLD[3:])
    assert back.taken_back == TOLD[3:]
    assert back.answer.taken_back == seen_of(TOLD[3:])
    assert back.answer.seen == without.answer.seen
    assert back.answer.sets == without.answer.sets
    assert back.answer.right == without.answer.right


def test_a_sign_that_is_named_moves_the_book_and_one_that_is_heard_moves_it_less() -> None:
    book = read_book()
    sign = next(each for each in book.signs if each.phrases)
    cause = book.causes[int(book.strength[:, [each.key for each in book.signs].index(sign.key)].argmax())].key

    def chance(step: Step) -> float:
        belief = bench_talk((step,), book).belief
        assert belief is not None
        return next(each.chance for each in belief.causes if each.cause == cause)

    heard = bench_talk((Step(StepKind.SAID, sign.phrases[0]),), book).heard
    assert [each.sign for each in heard] == [sign.key]
    named, denied = chance(Step(StepKind.SIGN, sign.key)), chance(Step(StepKind.NO_SIGN, sign.key))
    told = chance(Step(StepKind.SAID, sign.phrases[0]))
    assert denied < told < named


def test_a_sign_that_was_confirmed_is_not_heard_a_second_time() -> None:
    book = read_book()
    sign = next(each for each in book.signs if each.phrases)
    words, named = Step(StepKind.SAID, sign.phrases[0]), Step(StepKind.SIGN, sign.key)
    both, alone = bench_talk((words, named), book), bench_talk((named,), book)
    assert both.heard == ()
    assert both.belief == alone.belief


def test_a_sign_that_is_a_sight_of_the_bench_counts_for_both() -> None:
    book = read_book()
    assert {each.key for each in book.signs} >= set(SIGHTS)
    talk = bench_talk((Step(StepKind.SIGN, "said-spins"),), book)
    alone = bench_talk((Step(StepKind.SAW, "spins"),), book)
    assert [each.what for each in talk.answer.seen] == [Saw.SPINS]
    assert talk.answer.sets == alone.answer.sets
    with_saw = bench_talk((Step(StepKind.SIGN, "said-shakes"), Step(StepKind.SAW, "spins")), book).belief
    both = bench_talk((Step(StepKind.SIGN, "said-shakes"), Step(StepKind.SIGN, "said-spins")), book).belief
    assert with_saw is not None
    assert both is not None
    assert with_saw.causes == both.causes


def test_the_last_answer_on_a_sign_stands() -> None:
    book = read_book()
    yes, no = Step(StepKind.SIGN, "said-spins"), Step(StepKind.NO_SIGN, "said-spins")
    assert bench_talk((yes, no), book) == bench_talk((no,), book)
    assert bench_talk((no, yes), book) == bench_talk((yes,), book)


def test_nothing_of_the_book_told_leaves_the_book_out() -> None:
    assert bench_talk(TOLD, read_book()).belief is None


def test_all_that_is_not_understood_is_told() -> None:
    with pytest.raises(InputError) as caught:
        bench_talk((Step(StepKind.SIGN, "no-such-sign"), Step(StepKind.NO_SIGN, "\x1b[31m")), read_book())
    assert "no-such-sign" in str(caught.value)
    assert "\x1b" not in str(caught.value)
    with pytest.raises(InputError, match="spin"):
        bench_talk((Step(StepKind.SAW, "spinss"),), read_book())
