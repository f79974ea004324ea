"""What a record cannot tell apart is named together, until words or a check part it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnback.assess.look_alikes import beside_look_alikes, left_open
from turnback.knowledge.look_alikes import Kit, look_alike_table, look_alikes
from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief, Believed, Judged, Observation, Told, Weight
from turnback.rules.belief import ALIKE_SHARE
from turnback.rules.record_debrief import ALIKE_MOST

BOOK = read_book()
PROPELLER, MOTOR = "propeller-direction-wrong-at-one-corner", "motor-direction-wrong-at-one-corner"
SIGN = "blade-edges-wrong-at-one-corner"


def _belief(*chances: tuple[str, float], told: tuple[Observation, ...] = (), decibans: float = 0.0) -> Belief:
    first = chances[0][0]
    causes = tuple(
        Believed(key, chance, (Weight(SIGN, True, decibans if key == first else 0.0),)) for key, chance in chances
    )
    return Belief(Judged.CAUSE, (first,), causes, 0.0, (), told)


def test_a_wrong_propeller_and_a_wrong_motor_are_named_together_by_any_record() -> None:
    """Both push down at that corner (models of assembly: thrust sign is the match of both directions)."""
    belief = beside_look_alikes(BOOK, _belief((PROPELLER, 0.9), (MOTOR, 0.05)), Kit.FULL, has_plan=True)
    assert belief.judged is Judged.SEVERAL
    assert belief.survivors[:2] == (PROPELLER, MOTOR)


def test_a_check_of_the_blades_parts_them() -> None:
    seen = (Observation(SIGN, True, 1.0, "look-at-blades", Told.CHECK),)
    belief = _belief((PROPELLER, 0.9), (MOTOR, 0.02), told=seen, decibans=15.0)
    assert beside_look_alikes(BOOK, belief, Kit.FULL, has_plan=True) == belief
    faint = _belief((PROPELLER, 0.9), (MOTOR, 0.02), told=seen, decibans=5.0)
    assert beside_look_alikes(BOOK, faint, Kit.FULL, has_plan=True).judged is Judged.SEVERAL
    by_record = (Observation(SIGN, True, 0.9, "motion", Told.RECORD),)
    recorded = _belief((PROPELLER, 0.9), (MOTOR, 0.02), told=by_record, decibans=15.0)
    assert beside_look_alikes(BOOK, recorded, Kit.FULL, has_plan=True).judged is Judged.SEVERAL


def test_one_that_the_channels_part_from_all_others_stays_alone() -> None:
    alone = _belief(("plug-opens-in-flight", 0.9), (MOTOR, 0.02))
    assert beside_look_alikes(BOOK, alone, Kit.FULL, has_plan=True) == alone


def test_a_pilots_mistake_is_no_look_alike_unless_the_aircraft_followed() -> None:
    errors = {cause.key for cause in BOOK.causes if cause.pilot_error}
    rows = {key: look_alikes(key, Kit.RADIO, has_plan=True) for key in look_alike_table()}
    mixed = next(key for key, row in rows.items() if key not in errors and errors & set(row))
    chances = ((mixed, 0.9), *((key, 0.02) for key in rows[mixed] if key != mixed))
    bare = beside_look_alikes(BOOK, _belief(*chances), Kit.RADIO, has_plan=True)
    assert not errors & set(bare.survivors)
    follows = (Observation("follows-its-pilot-to-the-end", True, 0.95, "motion", Told.RECORD),)
    shown = beside_look_alikes(BOOK, _belief(*chances, told=follows), Kit.RADIO, has_plan=True)
    assert errors & set(shown.survivors)


def test_nothing_is_added_where_nothing_is_named() -> None:
    belief = Belief(Judged.CANNOT_SAY, (), (Believed(PROPELLER, 0.4, ()),), 0.0, (), ())
    assert beside_look_alikes(BOOK, belief, Kit.FULL, has_plan=True) == belief


def test_no_record_alone_is_surer_of_a_cause_than_one_that_others_look_like_can_be() -> None:
    chances = ((PROPELLER, 0.95), ("pack-worn", 0.2), (MOTOR, 0.05))
    belief = beside_look_alikes(BOOK, _belief(*chances), Kit.FULL, has_plan=True)
    held = [(each.cause, each.chance) for each in belief.causes]
    assert held == [(PROPELLER, ALIKE_MOST.value), ("pack-worn", 0.2), (MOTOR, 0.2)]  # no further than the order allows
    belief = beside_look_alikes(BOOK, _belief((PROPELLER, 0.95), (MOTOR, 0.05)), Kit.FULL, has_plan=True)
    assert belief.causes[1].chance == pytest.approx(0.05 + 0.95 - ALIKE_MOST.value)
    less = beside_look_alikes(BOOK, _belief((PROPELLER, 0.5), (MOTOR, 0.2)), Kit.FULL, has_plan=True)
    assert [each.chance for each in less.causes] == pytest.approx(
        [0.5 * ALIKE_SHARE.value, 0.7 - 0.5 * ALIKE_SHARE.value]
    )
    # what is there beside it stays: the leader still leads
    both = beside_look_alikes(
        BOOK, _belief((PROPELLER, 0.95), ("pack-worn", 0.8), (MOTOR, 0.05)), Kit.FULL, has_plan=True
    )
    assert [(each.cause, each.chance) for each in both.causes[:2]] == [(PROPELLER, 0.8), ("pack-worn", 0.8)]
    # where no single name may be said, chances are held all the same; a check that parts them lifts that
    unsure = replace(_belief(*chances), judged=Judged.CANNOT_SAY, survivors=())
    assert beside_look_alikes(BOOK, unsure, Kit.FULL, has_plan=True).causes[0].chance == ALIKE_MOST.value
    seen = (Observation(SIGN, True, 1.0, "look-at-blades", Told.CHECK),)
    parted = _belief(*chances, told=seen, decibans=15.0)
    assert beside_look_alikes(BOOK, parted, Kit.FULL, has_plan=True).causes == parted.causes


@pytest.mark.parametrize("kit", list(Kit))
def test_the_table_names_causes_of_the_book_and_each_is_its_own_look_alike(kit: Kit) -> None:
    known = {cause.key for cause in BOOK.causes}
    for cause in look_alike_table():
        row = look_alikes(cause, kit, has_plan=False)
        assert set(row) <= known
        assert not row or cause in row


def test_a_cause_that_is_only_in_others_rows_has_those_beside_it() -> None:
    assert look_alikes("propeller-hub-cracked", Kit.FULL, has_plan=True)[0] == "propeller-hub-cracked"
    assert "propeller-loose" in look_alikes("propeller-hub-cracked", Kit.FULL, has_plan=True)
    assert look_alikes("video-channels-differ", Kit.FULL, has_plan=True) == ()


def test_a_second_cause_beside_a_sure_one_is_no_rival_of_it() -> None:
    """Lost behind a hill, and its motors stopped as they are set to: both are there, neither instead of the other."""
    both = Belief(
        Judged.SEVERAL, ("plug-opens-in-flight", "pack-worn"),
        (Believed("plug-opens-in-flight", 0.99, ()), Believed("pack-worn", 0.3, ())), 0.0, (), (),
    )  # fmt: skip
    found = beside_look_alikes(BOOK, both, Kit.FULL, has_plan=True)
    assert (found.judged, found.survivors) == (Judged.CAUSE, ("plug-opens-in-flight",))
    torn = Belief(
        Judged.SEVERAL, ("plug-opens-in-flight", "pack-worn"),
        (Believed("plug-opens-in-flight", 0.6, ()), Believed("pack-worn", 0.35, ())), 0.0, (), (),
    )  # fmt: skip
    assert beside_look_alikes(BOOK, torn, Kit.FULL, has_plan=True).survivors == ("plug-opens-in-flight", "pack-worn")


def test_the_answer_leaves_open_what_it_names_the_likeliest_and_their_look_alikes() -> None:
    belief = _belief((PROPELLER, 0.4), ("pack-worn", 0.3), (MOTOR, 0.01))
    left = left_open(BOOK, belief, Kit.FULL, has_plan=True)
    assert left[:2] == (PROPELLER, "pack-worn")
    for key in (PROPELLER, "pack-worn"):
        known = {each.cause for each in belief.causes}
        assert {*look_alikes(key, Kit.FULL, has_plan=True)} & known <= set(left)
    assert len(set(left)) == len(left)


def test_where_little_is_said_more_is_left_open_than_where_one_cause_holds_nearly_all() -> None:
    """The set is grown until it holds a share of all chances, as prediction sets are: long where little is known."""
    keys = tuple(key for key, rows in look_alike_table().items() if rows["full"] == [key])[:16]
    assert len(keys) == 16

    def left(chances: tuple[float, ...]) -> tuple[str, ...]:
        found = replace(_belief(*zip(keys, chances, strict=True)), survivors=(), judged=Judged.CANNOT_SAY)
        return left_open(BOOK, found, Kit.FULL, has_plan=True)

    assert left((0.05,) * 16) == keys[:12]
    assert left((0.9, *[0.001] * 15)) == keys[:5]
    assert left((*[0.1] * 8, *[0.001] * 8)) == keys[:8]
    assert left((*[0.1] * 3, *[0.001] * 13)) == keys[:5]


def test_a_check_that_parts_two_takes_the_other_off_and_what_has_no_chance_left() -> None:
    seen = (Observation(SIGN, True, 1.0, "look-at-blades", Told.CHECK),)
    parted = _belief((PROPELLER, 0.9), ("pack-worn", 0.2), ("supply-noisy", 0.2), ("balance-off", 0.2),
                     ("gains-too-low", 0.009), (MOTOR, 0.002), told=seen, decibans=15.0)  # fmt: skip
    left = left_open(BOOK, parted, Kit.FULL, has_plan=True)
    assert MOTOR not in left
    assert "gains-too-low" not in left
    assert "balance-off" in left


def test_a_slip_is_left_open_though_nothing_shows_that_the_aircraft_followed_and_is_never_named() -> None:
    slip = _belief(("pack-worn", 0.4), ("wrong-reaction", 0.3))
    assert "wrong-reaction" in left_open(BOOK, slip, Kit.FULL, has_plan=True)
    assert "wrong-reaction" not in beside_look_alikes(BOOK, slip, Kit.FULL, has_plan=True).survivors


def test_something_else_is_no_cause_that_is_left_open() -> None:
    belief = _belief(("something-else", 0.6), ("pack-worn", 0.3))
    assert "something-else" not in left_open(BOOK, replace(belief, survivors=()), Kit.FULL, has_plan=True)
