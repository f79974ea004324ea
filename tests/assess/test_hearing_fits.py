"""What a phrase tells must fit what stands around it: who did it, what must be near, and what came before."""

from __future__ import annotations

import pytest

from turnback.assess.hearing import hear
from turnback.knowledge.reading import read_book
from turnback.knowledge.said import read_said


def told(text: str) -> dict[str, bool]:
    return {one.sign: one.seen for one in hear(text, read_book())}


def test_the_tables_speak_of_signs_of_the_book() -> None:
    said, known = read_said(), {sign.key for sign in read_book().signs}
    named = (set(said.needs), set(said.bars), said.outcome_signs, said.background, said.of_aircraft, said.undeniable)
    assert [sorted(keys - known) for keys in named] == [[]] * 6


@pytest.mark.parametrize("device", ["goggles", "radio"])
def test_what_a_device_did_is_not_told_of_the_aircraft(device: str) -> None:
    assert "said-cut-out-by-itself" in told("it shut down mid flight")
    assert "said-cut-out-by-itself" not in told(f"my {device} shut down mid flight")


def test_a_fall_tells_nothing_after_what_it_may_follow_from() -> None:
    assert told("it just fell out of the sky") == {"said-cut-out-by-itself": True}
    assert "said-cut-out-by-itself" not in told("a propeller came off. it just fell out of the sky")
    assert "said-cut-out-by-itself" in told("it was gusty. it just fell out of the sky")  # weather is no event
    assert "said-cut-out-by-itself" in told("it just fell out of the sky. a propeller came off")  # the other order


def test_some_signs_need_a_word_near_them() -> None:
    assert told("we had a hard landing yesterday") == {"said-crashed-before": True}
    assert "said-crashed-before" not in told("a hard landing")
    assert "said-fell-when-link-went" not in told("it dropped like a rock")
    assert "said-fell-when-link-went" in told("the link was lost. it dropped like a rock")


def test_a_lost_link_is_no_link_that_was_never_there() -> None:
    assert "said-not-linked" not in told("the radio said link lost and it dropped, cannot find it")
    assert "said-not-linked" in told("the receiver does not bind to the radio")
    assert "high-or-hot-place" not in told("I flew over the ridge and lost the picture")
    assert "said-warning-ignored" not in told("I flew low along the river")


def test_a_denial_that_says_nothing_is_not_told() -> None:
    assert told("it never gave a low battery alarm").get("said-warning-ignored") is None
