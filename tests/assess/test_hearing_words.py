"""The book's own words: keys that exist, held-out sentences kept out, what is reached on them, and hostile texts."""

from __future__ import annotations

import time
from collections.abc import Iterable

import pytest
from scipy.stats import binomtest
from studies.hearing.figures import interval, score
from studies.hearing.sentences import FRESH, FRESH_AGAIN, for_tuning, sentences

from turnback.assess.hearing import hear
from turnback.assess.hearing_numbers import quantities
from turnback.base.errors import InputError
from turnback.knowledge.reading import read_book
from turnback.knowledge.said import read_said
from turnback.rules.hearing import MOST_LETTERS

HELD = [sentence for sentence in sentences() if not for_tuning(sentence.text)]


def ear(text: str) -> Iterable[tuple[str, bool]]:
    return [(one.sign, one.seen) for one in hear(text, read_book())]


def test_every_sign_that_is_said_is_in_the_book() -> None:
    signs = {sign.key for sign in read_book().signs}
    said = read_said()
    assert set(said.phrases) | set(said.denials) <= signs
    told = [one for file in (None, FRESH, FRESH_AGAIN) for one in (sentences(file) if file else sentences())]
    assert {sign for one in told for row in one.told for sign in row.signs} <= signs


def test_no_held_out_sentence_lends_a_phrase() -> None:
    said = read_said()
    phrases = {row.casefold() for rows in (*said.phrases.values(), *said.denials.values()) for row in rows}
    kept_out = [*HELD, *sentences(FRESH_AGAIN)]
    assert len(phrases) > 300
    assert [one.text for one in kept_out if one.text.casefold().strip(".!?") in phrases] == []


def test_there_are_enough_sentences_and_they_are_split() -> None:
    every = sentences()
    assert len(every) >= 300
    assert len({one.text for one in every}) == len(every)
    assert 0.55 < sum(for_tuning(one.text) for one in every) / len(every) < 0.68


def test_held_out_sentences_are_heard() -> None:
    got, _ = score(HELD, ear)
    assert got.right / got.heard >= 0.85
    assert got.found / got.told >= 0.75
    assert got.turned / (got.right + got.turned) <= 0.02


def test_the_interval_is_that_of_wilson() -> None:
    for count, of in ((8, 10), (0, 20), (144, 152)):
        outside = binomtest(count, of).proportion_ci(method="wilson")
        assert interval(count, of) == pytest.approx((outside.low, outside.high), abs=1e-6)


def test_rare_words_alone_tell_a_sign_and_their_denial_turns_it() -> None:
    (denied,), (told,) = hear("no yaw spin anymore", read_book()), hear("yaw spin anymore", read_book())
    assert (denied.sign, denied.seen, denied.phrase) == ("said-spins", False, "")
    assert (told.sign, told.seen) == ("said-spins", True)


def test_the_same_text_gives_the_same_signs() -> None:
    text = "It wobbles, one motor gets hot, and then it fell like a stone at the far end. No warning!"
    assert hear(text, read_book()) == hear(text, read_book())
    assert len(hear(text, read_book())) >= 3


@pytest.mark.parametrize(
    "text",
    ["a" * 20_000, "flip" * 5_000, "\N{GRINNING FACE}" * 20_000, "\x00\x01\u202e\x7f" * 5_000, "not " * 5_000,
     "it flips " * 2_200, ".,;" * 6_600, "e" + "\u0301" * 19_000, "1," * 10_000, "1" * 20_000,
     " ".join(f"flpi{chr(97 + at % 26)}{chr(97 + at // 26 % 26)}" for at in range(2_500))],
    ids=lambda text: ascii(text[:8]),
)  # fmt: skip
def test_hostile_texts_take_no_long_time(text: str) -> None:
    hear("it flips", read_book())
    begin = time.perf_counter()
    heard = hear(text, read_book())
    quantities(text)
    assert time.perf_counter() - begin < 2.0  # about 0.2 s on an idle machine
    assert all(0 <= one.start < one.end <= len(text) for one in heard)


def test_a_file_pasted_by_mistake_is_refused() -> None:
    with pytest.raises(InputError, match="at most 20000 are read"):
        hear("x" * 100_000, read_book())
    assert MOST_LETTERS.value == 20_000
