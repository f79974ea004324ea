"""What is typed at the bench is read as it was meant, or refused in one sentence that helps."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.bench_said import gains_from, seen_from
from turnback.records.bench import At, BenchCheck, Gains, Saw, Seen, Toward


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ("flips-at-once=front-left", Seen(Saw.FLIPS_AT_ONCE, toward=Toward.FRONT_LEFT)),
        ("lifts-then-flips=left", Seen(Saw.LIFTS_THEN_FLIPS, toward=Toward.LEFT)),
        ("flips-at-once", Seen(Saw.FLIPS_AT_ONCE)),
        ("spins", Seen(Saw.SPINS)),
        ("motor-turns=front-left:clockwise", Seen(Saw.MOTOR_TURNS, At.FRONT_LEFT, result="clockwise")),
        ("weak-and-loud=rear-right", Seen(Saw.WEAK_LOUD, At.REAR_RIGHT)),
        ("weak-and-loud", Seen(Saw.WEAK_LOUD)),
        ("wrong-corner-turns=rear-left", Seen(Saw.WRONG_CORNER_TURNS, At.REAR_LEFT)),
    ],
)
def test_sights(text: str, seen: Seen) -> None:
    (found,) = seen_from([text], [])
    assert (found.what, found.at, found.toward, found.result, found.said) == (
        seen.what, seen.at, seen.toward, seen.result, text,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "what", "at", "result"),
    [
        ("propeller-direction.front-left=wrong", BenchCheck.PROPELLER_DIRECTION, At.FRONT_LEFT, "wrong"),
        ("propeller-direction=right", BenchCheck.PROPELLER_DIRECTION, None, "right"),
        ("propeller-face.rear-left=down", BenchCheck.PROPELLER_FACE, At.REAR_LEFT, "down"),
        ("propeller-face=up", BenchCheck.PROPELLER_FACE, None, "up"),
        ("motor-direction.rear-right = wrong", BenchCheck.MOTOR_DIRECTION, At.REAR_RIGHT, "wrong"),
        ("motor-order=rear-right:front-left", BenchCheck.MOTOR_ORDER, None, "front-left:rear-right"),
        ("motor-order=right", BenchCheck.MOTOR_ORDER, None, "right"),
        ("board-arrow=left", BenchCheck.BOARD_ARROW, None, "left"),
        ("hand-tilt=wrong", BenchCheck.HAND_TILT, None, "wrong"),
    ],
)
def test_results(text: str, what: BenchCheck, at: At | None, result: str) -> None:
    (found,) = seen_from([], [text])
    assert (found.what, found.at, found.result, found.said) == (what, at, result, text)


@pytest.mark.parametrize(
    ("saw", "checked", "helps"),
    [
        (["flip-at-once"], [], "write flips-at-once"),
        (["flips-at-once=front left"], [], "write front-left"),
        (["flips-at-once="], [], "write flips-at-once alone"),
        (["spins=left"], [], "write spins alone"),
        (["motor-turns=front-left"], [], "motor-turns=front-left:clockwise"),
        (["motor-turns=front-left:clockwize"], [], "write clockwise"),
        (["quux"], [], "allowed are hovers-well, flips-at-once, lifts-then-flips, spins, stays-down"),
        ([], ["propellor-direction.front-left=wrong"], "write propeller-direction"),
        ([], ["propeller-direction.front-left"], "allowed are right, wrong"),
        ([], ["propeller-direction=wrong"], "propeller-direction.front-left=wrong"),
        ([], ["hand-tilt.front-left=wrong"], "takes no corner"),
        ([], ["board-arrow=backward"], "allowed are forward, left, right, rear, upside-down"),
        ([], ["motor-order=front-left"], "two to four different corners"),
        ([], ["motor-order=front-left:front-left"], "two to four different corners"),
        ([], ["motor-order=crossed"], "allowed are right, front-left"),
    ],
)
def test_what_is_not_understood_is_refused_with_what_is_allowed_and_the_nearest(
    saw: list[str], checked: list[str], helps: str
) -> None:
    with pytest.raises(InputError) as raised:
        seen_from(saw, checked)
    (fault,) = raised.value.faults
    assert helps in fault.sentence()
    assert "\n" not in fault.sentence()


def test_all_faults_are_told_at_once_and_nothing_half_read_is_kept() -> None:
    with pytest.raises(InputError) as raised:
        seen_from(["spins", "flop", "flips-at-once=up"], ["hand-tilt=odd"])
    assert len(raised.value.faults) == 3


@given(st.lists(st.text(max_size=40), max_size=3), st.lists(st.text(max_size=40), max_size=3))
def test_no_text_ends_in_anything_but_an_input_error(saw: list[str], checked: list[str]) -> None:
    try:
        seen = seen_from(saw, checked)
    except InputError as error:
        assert all(fault.what and fault.do for fault in error.faults)
    else:
        assert len(seen) == len(saw) + len(checked)


def test_gains_outside_their_range_are_refused_together() -> None:
    assert gains_from(0.1, 6.0, 0.4, 2.0) == Gains(0.1, 6.0, 0.4, 2.0)
    with pytest.raises(InputError) as raised:
        gains_from(float("nan"), -1.0, 1.4, 2.0)
    assert [fault.where for fault in raised.value.faults] == ["the integral gain", "the attitude gain", "the limit"]
