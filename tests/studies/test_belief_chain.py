"""The chain of answers: steps, answers told again, taking back, and its round trip."""

from __future__ import annotations

import json

import pytest
from studies.belief_deleted.chain import Chain, chain_from_json
from tests.assess.belief_books import made_book, made_observations

from turnback.assess.belief import believe
from turnback.base.errors import InputError
from turnback.knowledge.book import Check, CheckKind
from turnback.records.belief import Observation, Told

LOOK = Check("look", "", CheckKind.LOOK, 1.0, ("s4", "s5"))


def long_chain() -> Chain:
    book = made_book(1)
    first = made_observations(2, book, count=3)
    return (
        Chain().observed(*first).observed(Observation("s7", False, 0.8, "é", Told.RECORD)).answered(LOOK, (True, False))
    )


def test_an_answer_is_one_group_of_certain_observations() -> None:
    step = Chain().answered(LOOK, (True, False)).steps[0]
    assert step.answers == "look"
    assert step.observations == (
        Observation("s4", True, 1.0, "look", Told.CHECK),
        Observation("s5", False, 1.0, "look", Told.CHECK),
    )


def test_taking_back_returns_to_what_was_believed_and_keeps_what_was_said() -> None:
    book, chain = made_book(1), long_chain()
    back = chain.taken_back(2)
    assert back.steps == chain.steps[:1]
    assert back.back == (chain.steps[2], chain.steps[1])
    assert believe(book, back.observations) == believe(
        book, Chain().observed(*chain.steps[0].observations).observations
    )
    assert chain.taken_back(0) == chain
    with pytest.raises(InputError):
        chain.taken_back(4)
    with pytest.raises(InputError):
        chain.taken_back(-1)


def test_an_answer_told_again_takes_the_earlier_one_back() -> None:
    chain = long_chain().answered(LOOK, (False, False))
    assert [step.answers for step in chain.steps] == ["", "", "look"]
    assert chain.steps[-1].observations[0].seen is False
    assert chain.back[0].observations[0].seen is True


def test_order_of_steps_does_not_matter_for_belief() -> None:
    book, chain = made_book(1), long_chain()
    other = Chain().answered(LOOK, (True, False)).observed(*chain.steps[1].observations, *chain.steps[0].observations)
    assert believe(book, chain.observations).causes == believe(book, other.observations).causes


def test_nothing_observed_is_no_step_and_results_fit_the_signs() -> None:
    assert Chain().observed() == Chain()
    with pytest.raises(InputError, match="1 results for 2 signs"):
        Chain().answered(LOOK, (True,))


def test_the_round_trip_gives_the_same_chain_and_bytes() -> None:
    chain = long_chain().taken_back(1)
    text = chain.to_json()
    assert chain_from_json(text) == chain
    assert chain_from_json(text).to_json() == text
    assert json.loads(text)["steps"][0]["answers"] == ""


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"steps": [{}], "taken_back": []}', '{"steps": 3, "taken_back": []}',
     long_chain().to_json().replace("true", '"yes"'), long_chain().to_json().replace('"record"', '"rumour"'),
     long_chain().to_json().replace('"sure": 0.8', '"sure": 3'), "[" * 100_000],
)  # fmt: skip
def test_a_text_that_is_no_chain_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        chain_from_json(text)
