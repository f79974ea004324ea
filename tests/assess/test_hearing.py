"""A made-up book of five signs, and what a pilot's sentences tell of it."""

from __future__ import annotations

import numpy as np
import pytest

from turnback.assess.hearing import hear, observations_of
from turnback.assess.hearing_numbers import quantities
from turnback.knowledge.book import Basis, Book, Channel, Sign
from turnback.records.belief import Told
from turnback.rules.hearing import SURE_LEAST, SURE_MOST

PHRASES = {
    "tips": ("it tips over", "it flips on take-off"),
    "burnt": ("it smells burnt",),
    "silent": ("no warning at all", "it never warned me"),
    "hot": ("one motor gets hot",),
    "deaf": ("it does not answer the sticks",),
}
BOOK = Book(
    (),
    tuple(Sign(key, key, Channel.SAID, 0.05, Basis.GUESS, phrases) for key, phrases in PHRASES.items()),
    (),
    (),
    np.zeros((0, len(PHRASES))),
)


def told(text: str) -> dict[str, bool]:
    return {one.sign: one.seen for one in hear(text, BOOK)}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("it tips over", {"tips": True}),
        ("My DRONE flipped on takeoff!", {"tips": True}),  # forms and words of one meaning
        ("the quad somersaults at launch", {"tips": True}),
        ("it smels burnt", {"burnt": True}),  # a slip of the pen
        ("it smels brunt", {"burnt": True}),
        ("one motr gtes hto", {"hot": True}),
        ("it did not flip on take-off", {"tips": False}),
        ("it didn’t flip on take-off", {"tips": False}),
        ("it never flips on take-off, but it smells burnt", {"tips": False, "burnt": True}),
        ("no warning at all", {"silent": True}),  # the phrase itself denies
        ("there was no warning", {"silent": True}),
        ("a warning did not come", {"silent": True}),
        ("the warning came", {"silent": False}),
        ("it no longer answers the sticks", {"deaf": True}),
        ("it answers the sticks fine", {"deaf": False}),
        ("it stopped flipping on take-off", {"tips": False}),
        ("it will not stop flipping on take-off", {"tips": True}),  # two denials lift each other
        ("not only does it flip on take-off", {"tips": True}),
        ("one motor gets hot and it smells burnt", {"hot": True, "burnt": True}),
        ("one motor gets hot without any burnt smell", {"hot": True, "burnt": False}),
        ("I would like to learn how it flips on take-off", {}),  # a wish
        ("should it flip on take-off?", {}),  # a question
        ("when I turn on the radio I answer the phone", {}),
        ("what a nice day", {}),
        ("", {}),
        ("...!?", {}),
    ],
)  # fmt: skip
def test_a_sentence_tells_its_signs(text: str, wanted: dict[str, bool]) -> None:
    assert told(text) == wanted


def test_what_was_heard_says_where_and_how_surely() -> None:
    text = "Hello. One motor gets hot, and I had no warning at all."
    hot, silent = hear(text, BOOK)
    assert text[hot.start : hot.end] == "One motor gets hot"
    assert "warning" in text[silent.start : silent.end]
    assert (hot.sentence, silent.sentence) == (1, 1)
    assert hot.phrase == "one motor gets hot"
    assert hot.sure == pytest.approx(SURE_MOST.value)


def test_doubt_makes_it_less_sure() -> None:
    (plain,) = hear("it smells burnt", BOOK)
    (doubted,) = hear("maybe it smells burnt", BOOK)
    assert 0.5 < doubted.sure < plain.sure <= SURE_MOST.value < 1.0
    assert doubted.seen
    assert SURE_LEAST.value > 0.5


def test_other_words_are_another_group_and_repeating_adds_nothing() -> None:
    heard = hear("It smells burnt and one motor gets hot. It smells burnt! It smells burnt!", BOOK)
    seen = observations_of(heard)
    assert [(one.sign, one.group) for one in seen] == [("burnt", "words-2"), ("hot", "words-1")]
    assert {one.told for one in seen} == {Told.WORDS}


def test_numbers_keep_their_units() -> None:
    found = quantities(
        "It showed 14.2 V at 50 m with -95 dBm, then 3,4 volts after 2 minutes; I have 3 quads and m4 screws"
    )
    assert [(one.value, one.unit) for one in found] == [(14.2, "V"), (50, "m"), (-95, "dBm"), (3.4, "V"), (2, "min")]
