"""What was learned, in words: every quantity has a name, and a link is told in one sentence."""

from __future__ import annotations

import pytest

from turnback.assess.learn_lessons import OF_AIRCRAFT, OF_PACK
from turnback.assess.learn_link import KEYS, METHOD
from turnback.records.debrief import LearnedNumber, Lessons
from turnback.records.finding import Spread
from turnback.records.learned import LearnedAbout
from turnback.report.numbers import Units
from turnback.report.words_debrief_learned import METHODS, QUANTITIES, learned_line, learned_lines, learned_said


def of_site(key: str, value: float, low: float, high: float, before: Spread | None = None) -> LearnedNumber:
    """Return one number of the site."""
    return LearnedNumber(LearnedAbout.SITE, key, value, low, high, before, METHOD)


def link(sign: float, before: Spread | None) -> Lessons:
    """Return all that is learned of a link."""
    rows = ((sign * 2.0, sign * 2.0 - 3.0, sign * 2.0 + 3.0), (sign * 0.2, -0.3, 0.4), (0.82, 0.7, 1.1))
    exact = ((212.3, 212.3, 212.3), (388.0, 388.0, 388.0))
    return Lessons(tuple(
        of_site(key, *row, before if key == KEYS[0] else None) for key, row in zip(KEYS, rows + exact, strict=True)
    ))  # fmt: skip


def test_every_quantity_that_is_learned_has_a_name_and_its_method_words() -> None:
    """No key of the file reaches a reader."""
    assert {*OF_PACK, *OF_AIRCRAFT, *KEYS} <= set(QUANTITIES)
    assert METHOD in METHODS
    for each in link(1.0, None).numbers:
        assert "_" not in learned_line(each, Units.METRIC)


@pytest.mark.parametrize(("sign", "said"), [
    (1.0, "2.0 dB more is lost than the model says (from 1.0 dB less to 5.0 dB more); "
          "ten times as far away, another 2.0 dB more"),
    (-1.0, "2.0 dB less is lost than the model says (from 5.0 dB less to 1.0 dB more); "
           "ten times as far away, another 2.0 dB less"),
])  # fmt: skip
def test_a_link_is_told_in_one_sentence(sign: float, said: str) -> None:
    """Five numbers, one row; how far it was measured is never said farther than it was."""
    lines = learned_lines(link(sign, None), Units.METRIC)
    assert len(lines) == 1
    assert said in lines[0]
    assert "0.82 times" in lines[0]
    away_m = float(lines[0].split("measured out to ")[1].split(" ")[0])
    assert 350.0 < away_m <= 388.0


def test_what_was_thought_of_a_link_before_is_told() -> None:
    """With its band, by the same words."""
    (said,) = learned_said(link(1.0, Spread(-1.0, -4.0, 2.0)), Units.METRIC)
    assert said.before == "1.0 dB less (from 4.0 dB less to 2.0 dB more)"
    assert said.method == METHODS[METHOD]


def test_a_link_of_which_not_all_is_there_is_told_number_by_number() -> None:
    """A record of another kind may hold the loss alone."""
    lines = learned_lines(Lessons((of_site(KEYS[0], 4.0, 1.5, 6.2),)), Units.METRIC)
    name = "Loss of the control link beyond the model at this site"
    assert lines == (f"{name}: 4.0 dB (1.5 dB to 6.2 dB); the plan said nothing of it.",)
