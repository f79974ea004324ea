"""The bench from first to last: what was seen goes in, what it may be and what to look at next comes out."""

from __future__ import annotations

import pytest

from turnback.flows.bench import bench
from turnback.readers.bench_said import seen_from
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchCheck, Gains, MendStep, Saw, Slip


def test_a_whole_talk_ends_at_the_motor_that_turns_the_wrong_way() -> None:
    saw = ["flips-at-once=front-left"]
    answer = bench(seen_from(saw, []), Rotation.CLOCKWISE)
    assert {each.slip for found in answer.survivors for each in found.slips} >= {
        Slip.PROPELLER_DIRECTION, Slip.MOTOR_DIRECTION,
    }  # fmt: skip
    assert answer.next_checks[0].check is BenchCheck.PROPELLER_DIRECTION
    looked = ["propeller-direction=right", "propeller-face=up", "board-arrow=forward"]
    answer = bench(seen_from(saw, looked), Rotation.CLOCKWISE)
    assert answer.next_checks[0].check is BenchCheck.MOTOR_DIRECTION
    assert answer.next_checks[0].powered
    answer = bench(seen_from(saw, [*looked, "motor-direction.front-left=wrong"]), Rotation.CLOCKWISE)
    (only,) = answer.survivors
    assert [(each.slip, each.at) for each in only.slips] == [(Slip.MOTOR_DIRECTION, (At.FRONT_LEFT,))]
    assert only.chance > 0.8
    assert answer.mends[0].slip is Slip.MOTOR_DIRECTION
    assert MendStep.CHANGE_PROPELLER_TOO in answer.mends[0].steps
    assert not answer.surprised


@pytest.mark.parametrize("front_left", list(Rotation))
def test_a_motor_seen_turning_is_held_against_the_declared_scheme(front_left: Rotation) -> None:
    answer = bench(seen_from(["motor-turns=front-left:clockwise"], []), front_left)
    wrong = [each.chance for each in answer.slips if (each.slip, each.at) == (Slip.MOTOR_DIRECTION, (At.FRONT_LEFT,))]
    assert (wrong[:1] > [0.05]) is (front_left is Rotation.ANTICLOCKWISE)
    assert not answer.scheme_assumed


def test_where_nothing_is_declared_the_scheme_is_assumed_and_said() -> None:
    answer = bench(())
    assert answer.scheme_assumed
    assert answer.front_left is Rotation.CLOCKWISE
    assert answer.right == pytest.approx(answer.sets[0].chance)
    assert answer.sets[0].slips == ()
    assert answer.wind_up is None


def test_what_is_taken_back_is_as_if_it_was_never_said() -> None:
    seen = seen_from(["flips-at-once=front-left", "spins"], ["propeller-direction.front-left=wrong"])
    answer = bench(seen, taken_back=(seen[0],))
    without = bench(seen[1:])
    assert (answer.sets, answer.slips, answer.next_checks) == (without.sets, without.slips, without.next_checks)
    assert answer.seen == seen[1:]
    assert answer.taken_back == (seen[0],)
    twice = bench((*seen, seen[0]), taken_back=(seen[0],))
    assert twice.seen == seen  # each takes back the last that is like it


def test_motors_that_run_up_without_propellers_are_normal_and_told_with_their_time() -> None:
    answer = bench(seen_from(["runs-up-without-propellers"], []), gains=Gains(0.1, 6.0, 0.4, 2.0))
    assert answer.seen[0].what is Saw.RUNS_UP_WITHOUT_PROPELLERS
    assert answer.wind_up is not None
    assert answer.wind_up.seconds == pytest.approx(19.1, rel=0.03)  # models.md
    assert answer.right == pytest.approx(bench(()).right)


def test_the_same_said_twice_gives_the_same_answer_but_for_the_chain() -> None:
    once, again = bench(seen_from(["spins"], [])), bench(seen_from(["spins", "spins"], []))
    assert once.sets == again.sets
    assert len(again.seen) == 2
    assert bench(seen_from(["spins"], [])) == once
