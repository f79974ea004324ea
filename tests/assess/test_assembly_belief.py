"""The belief over how an aircraft is put together: exact, and as one who mends aircraft would expect it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.assess.assembly_brute import brute

from turnback.assess.assembly_belief import believe, sets, slips, survivors
from turnback.assess.assembly_signs import likelihood
from turnback.assess.assembly_table import flown_table
from turnback.assess.assembly_ways import COUNT, ways
from turnback.readers.bench_said import seen_from
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, Seen, Slip, SlipSet

CLOCKWISE = Rotation.CLOCKWISE
CORNERS = [corner.value for corner in At]
OPPOSITE = {
    "front-left": "rear-right",
    "front-right": "rear-left",
    "rear-left": "front-right",
    "rear-right": "front-left",
}
STORIES = [
    ([], []),
    (["flips-at-once=front-left"], []),
    (["lifts-then-flips=left", "flips-at-once"], ["propeller-direction=right", "motor-direction.rear-left=wrong"]),
    (["hovers-well", "stays-down", "weak-and-loud=rear-right"], ["propeller-face.rear-right=down"]),
    (["spins", "motor-turns=front-left:anticlockwise", "wrong-corner-turns=front-left"],
     ["motor-order=front-left:rear-left", "board-arrow=left", "hand-tilt=wrong"]),
    (["tilt-shown-wrong", "weak-and-loud"], ["board-arrow=upside-down", "propeller-face=up", "motor-order=right"]),
]  # fmt: skip


def named(found: SlipSet) -> set[tuple[Slip, tuple[At, ...]]]:
    """Return a set of errors without its chances."""
    return {(each.slip, each.at) for each in found.slips}


@pytest.mark.parametrize(("saw", "looked"), STORIES)
@pytest.mark.parametrize("front_left", list(Rotation))
def test_every_way_has_the_chance_that_brute_enumeration_gives_it(
    saw: list[str], looked: list[str], front_left: Rotation
) -> None:
    seen, table = seen_from(saw, looked), flown_table()
    belief = believe(likelihood(seen, front_left))
    every = ways(np.arange(COUNT), front_left)
    chance, other = brute(seen, front_left, every, table.flown[table.row], table.share)
    assert np.abs(belief.way.ravel() - chance).max() < 1e-9
    assert belief.something_else == pytest.approx(other, abs=1e-9)
    assert belief.right == pytest.approx(chance[0], abs=1e-9)
    assert belief.turning.sum() + belief.something_else == pytest.approx(1.0, abs=1e-9)
    # one named error, by adding up its ways
    wrong = every.propeller != every.propeller[0]
    alone = chance[wrong[:, 0] & ~wrong[:, 1:].any(axis=1)].sum()
    listed = {(each.slip, each.at): each.chance for each in slips(belief)}
    assert listed.get((Slip.PROPELLER_DIRECTION, (At.FRONT_LEFT,)), alone) == pytest.approx(alone, abs=1e-9)


@pytest.mark.parametrize("corner", CORNERS)
def test_wrong_propeller_and_wrong_motor_at_the_corner_it_tips_to_both_survive_until_one_is_looked_at(
    corner: str,
) -> None:
    both = {(Slip.PROPELLER_DIRECTION, (At(corner),)), (Slip.MOTOR_DIRECTION, (At(corner),))}
    left = survivors(sets(believe(likelihood(seen_from([f"flips-at-once={corner}"], []), CLOCKWISE))))
    assert both <= {each for found in left for each in named(found)}
    assert {each for found in left[:2] for each in named(found)} == both
    looked = seen_from([f"flips-at-once={corner}"], [f"propeller-direction.{corner}=right"])
    left = survivors(sets(believe(likelihood(looked, CLOCKWISE))))
    assert named(left[0]) == {(Slip.MOTOR_DIRECTION, (At(corner),))}
    looked = seen_from([f"flips-at-once={corner}"], [f"propeller-direction.{corner}=wrong"])
    (only,) = survivors(sets(believe(likelihood(looked, CLOCKWISE))))
    assert named(only) == {(Slip.PROPELLER_DIRECTION, (At(corner),))}


# Common practice, and the facts of docs/models/assembly.md: what each sight is known for.
@pytest.mark.parametrize(
    ("saw", "slip", "at"),
    [
        ("flips-at-once=front", Slip.PROPELLER_DIRECTION, (At.FRONT_LEFT, At.FRONT_RIGHT)),
        ("stays-down", Slip.PROPELLER_DIRECTION, tuple(At)),
        ("spins", Slip.SCHEME, ()),
        ("weak-and-loud=rear-right", Slip.PROPELLER_UPSIDE_DOWN, (At.REAR_RIGHT,)),
    ],
)
def test_a_sight_is_known_for_an_error(saw: str, slip: Slip, at: tuple[At, ...]) -> None:
    likeliest = [each for each in sets(believe(likelihood(seen_from([saw], []), CLOCKWISE))) if each.slips]
    assert named(likeliest[0]) == {(slip, at)}


def test_what_lifts_and_then_flips_is_the_board_or_the_order() -> None:
    left = survivors(sets(believe(likelihood(seen_from(["lifts-then-flips"], []), CLOCKWISE))))
    kinds = {each.slip for found in left for each in found.slips}
    assert {Slip.BOARD_TURNED, Slip.ORDER} <= kinds


@pytest.mark.parametrize(
    "text",
    ["flips-at-once=front-left", "lifts-then-flips", "spins", "stays-down", "weak-and-loud=rear-left",
     "motor-turns=front-left:anticlockwise", "wrong-corner-turns", "tilt-shown-wrong", "hovers-well"],
)  # fmt: skip
def test_seeing_the_same_again_moves_nothing_and_saying_it_again_hardly_anything(text: str) -> None:
    once = believe(likelihood(seen_from([text], []), CLOCKWISE))
    again = believe(likelihood(seen_from([text, text, text], []), CLOCKWISE))
    assert np.array_equal(once.way, again.way)
    if "=" in text and "motor" not in text:  # said once with its place and once without: still the same sight
        vague = believe(likelihood(seen_from([text, text.split("=", maxsplit=1)[0]], []), CLOCKWISE))
        assert np.abs(once.way - vague.way).max() <= 0.02


def test_running_up_without_propellers_says_nothing_of_the_assembly() -> None:
    before = believe(likelihood((), CLOCKWISE))
    after = believe(likelihood(seen_from(["runs-up-without-propellers"], []), CLOCKWISE))
    assert np.array_equal(before.way, after.way)
    assert not after.surprised


@pytest.mark.parametrize(
    ("saw", "looked"),
    [
        (["hovers-well", "flips-at-once=front"], []),
        (["flips-at-once=front-left", "flips-at-once=rear-right"], []),
        ([], ["propeller-direction.front-left=wrong", "propeller-direction.front-left=right"]),
        (["flips-at-once=front-left"], ["propeller-direction=right", "motor-direction=right", "propeller-face=up",
                                        "board-arrow=forward", "motor-order=right", "hand-tilt=right"]),
    ],
)  # fmt: skip
def test_what_fits_no_way_surprises_and_raises_something_else(saw: list[str], looked: list[str]) -> None:
    belief = believe(likelihood(seen_from(saw, looked), CLOCKWISE))
    assert belief.surprised
    assert belief.something_else > believe(likelihood((), CLOCKWISE)).something_else


@pytest.mark.parametrize("story", STORIES[:3])
def test_what_fits_does_not_surprise(story: tuple[list[str], list[str]]) -> None:
    assert not believe(likelihood(seen_from(*story), CLOCKWISE)).surprised


@given(st.permutations(seen_from(*STORIES[4])))
@settings(max_examples=10, deadline=None)
def test_the_order_in_which_it_was_told_does_not_matter(told: list[Seen]) -> None:
    first = believe(likelihood(seen_from(*STORIES[4]), CLOCKWISE))
    assert np.allclose(believe(likelihood(told, CLOCKWISE)).way, first.way, rtol=0.0, atol=1e-12)


def test_all_four_propellers_and_all_four_motors_wrong_are_told_as_the_scheme_alone() -> None:
    belief = believe(likelihood(seen_from(["stays-down"], ["motor-direction.front-left=wrong"]), CLOCKWISE))
    chance = belief.way.sum(axis=(2, 3, 4))  # propellers by motors
    listed = {(each.slip, each.at): each.chance for each in slips(belief)}
    assert listed[Slip.SCHEME, ()] == pytest.approx(chance[15, 15])
    assert listed[Slip.MOTOR_DIRECTION, tuple(At)] == pytest.approx(chance[:15, 15].sum())
    assert listed.get((Slip.PROPELLER_DIRECTION, tuple(At)), 0.0) == pytest.approx(chance[15, :15].sum(), abs=0.005)
    assert chance[15, 15] > 0.005


def test_the_sets_are_the_likeliest_and_their_errors_stand_beside_others_too() -> None:
    belief = believe(likelihood(seen_from(["flips-at-once=front-left"], []), CLOCKWISE))
    likeliest = sets(belief)
    assert len(likeliest) == 10
    assert [each.chance for each in likeliest] == sorted((each.chance for each in likeliest), reverse=True)
    assert all(error.chance >= found.chance for found in likeliest for error in found.slips)
    assert sum(each.chance for each in likeliest) <= 1.0
