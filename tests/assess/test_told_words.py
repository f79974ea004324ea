"""What a pilot's words tell: readings, people, pack, whereabouts, and signs of the book from typed volts."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnback.assess.told_readings import cells_said, typed_readings
from turnback.assess.told_safety import hurt_told, pack_told, whereabouts_told
from turnback.assess.told_signs import signs_of_readings
from turnback.assess.told_words import told_in_words
from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.records.debrief import Hurt, PackState, Reading, Whereabouts
from turnback.rules.told import LONGEST_FLIGHT, PACK_MOST


@cache
def book() -> Book:
    """Return the book."""
    return read_book()


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("1:40, 14.2 V, picture went", [(Reading.TIME, 100.0, None), (Reading.PACK_VOLTS, 14.2, 100.0)]),
        ("after 2 min it had 3,4 per cell", [(Reading.TIME, 120.0, None), (Reading.CELL_VOLTS, 3.4, 120.0)]),
        ("my 4s was at 15.1 V", [(Reading.PACK_VOLTS, 15.1, None)]),
        ("120 m out and 30 m high", [(Reading.DISTANCE, 120.0, None), (Reading.HEIGHT, 30.0, None)]),
        ("1.2 km away to the north-east", [(Reading.DISTANCE, 1200.0, None), (Reading.BEARING, 45.0, None)]),
        ("wind 36 km/h", [(Reading.WIND, 10.0, None)]),
        ("I flew at 36 km/h", [(Reading.SPEED, 10.0, None)]),
        ("wind from the west", []),
        ("LQ 40, -97 dBm", [(Reading.QUALITY, 0.4, None), (Reading.LEVEL, -97.0, None)]),
        ("it was minus 5 degrees outside", [(Reading.TEMPERATURE, -5.0, None)]),
        ("charger put back 1450 mAh", [(Reading.PUT_BACK, 1.45, None)]),
        ("a 1300 mAh pack", []),
        ("I searched 20 minutes", []),
        ("at 14:30 o'clock", []),
        ("my friend flies 2 km", []),
        ("trees 25 m high", []),
    ],
)
def test_readings_with_their_times(said: str, expected: list[tuple[Reading, float, float | None]]) -> None:
    found = [(each.of, round(each.value, 6), each.at_s) for each in typed_readings(said)]
    assert found == expected


def test_a_cell_count_is_no_time() -> None:
    assert cells_said("5 inch on 4S, flown 3 min") == 4
    assert cells_said("it fell after 4 s") is None
    assert cells_said("4s pack on a 6s quad") is None


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("the prop cut my finger", Hurt.YES),
        ("there was blood", Hurt.YES),
        ("it hit a woman on the path", Hurt.YES),
        ("it hit him on the head, he is in hospital", Hurt.YES),
        ("Nobody hurt. But my friend got hit by a prop", Hurt.YES),
        ("nobody was hurt", Hurt.NO),
        ("no injuries", Hurt.NO),
        ("it cut out over the field", Hurt.NOT_TOLD),
        ("motors cut, then it fell", Hurt.NOT_TOLD),
        ("my thumb slipped off the stick", Hurt.NOT_TOLD),
        ("it nearly hit a man", Hurt.NOT_TOLD),
        ("it hit my friend's car", Hurt.NOT_TOLD),
        ("a tree was hit", Hurt.NOT_TOLD),
        ("no one was hurt except me", Hurt.YES),
        ("nobody hurt but my dad got a cut", Hurt.YES),
        ("everyone is ok except my hand", Hurt.YES),
        ("nobody seriously hurt", Hurt.NOT_TOLD),
        ("not hurt badly", Hurt.NOT_TOLD),
        ("I hope nobody was hurt", Hurt.NOT_TOLD),
        ("nobody hurt. my thumb is sore", Hurt.YES),
        ("nobody hurt, the quad is broken", Hurt.NO),
        ("nobody hurt but the frame is gone", Hurt.NO),
        ("without warning it hit a woman", Hurt.YES),
        ("no signal and it hit a boy", Hurt.YES),
        ("I can't believe it hit a child", Hurt.YES),
        ("it missed my head but cut my ear", Hurt.YES),
        ("it came down on a little girl", Hurt.YES),
        ("just a scratch on my arm", Hurt.YES),
        ("a lady was knocked over", Hurt.YES),
        ("I was hit by it", Hurt.YES),
        ("the quad was hit by another quad", Hurt.NOT_TOLD),
        ("broke an arm and a prop", Hurt.NOT_TOLD),
        ("cut the throttle and hit a tree", Hurt.NOT_TOLD),
        ("hurt my ego only", Hurt.NOT_TOLD),
        ("nobody hurt but she broke her arm", Hurt.YES),
        ("a scratch on the frame", Hurt.NOT_TOLD),
    ],
)
def test_any_plain_mention_of_hurt_counts(said: str, expected: Hurt) -> None:
    assert hurt_told(said) is expected


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("the pack is puffed", PackState.DAMAGED),
        ("battery got hot", PackState.DAMAGED),
        ("it fell in the river", PackState.DAMAGED),
        ("smoke came out of it", PackState.DAMAGED),
        ("the battery has a dent", PackState.DAMAGED),
        ("the battery is fine", PackState.FINE),
        ("the battery is not puffed", PackState.NOT_TOLD),
        ("motors were hot", PackState.NOT_TOLD),
        ("the pack is not ok", PackState.DAMAGED),
        ("battery has a hole", PackState.DAMAGED),
        ("battery smokes in the kitchen", PackState.DAMAGED),
        ("is the pack ok?", PackState.NOT_TOLD),
        ("not sure if the battery is fine", PackState.NOT_TOLD),
        ("battery was at 14 V, motors were hot", PackState.NOT_TOLD),
    ],
)
def test_harm_to_the_pack(said: str, expected: PackState) -> None:
    assert pack_told(said, Whereabouts.NOT_TOLD) is expected


def test_the_pack_of_a_lost_aircraft_lies_about() -> None:
    assert pack_told("we searched until dark", Whereabouts.LOST) is PackState.DAMAGED


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("I can't find it", Whereabouts.LOST),
        ("it never came back", Whereabouts.LOST),
        ("lost my drone in the woods", Whereabouts.LOST),
        ("it flew away", Whereabouts.LOST),
        ("lost video", Whereabouts.NOT_TOLD),
        ("I lost orientation", Whereabouts.NOT_TOLD),
        ("the picture was gone", Whereabouts.NOT_TOLD),
        ("lost it behind the hill, found it after an hour", Whereabouts.FOUND),
        ("found it, then lost the video", Whereabouts.FOUND),
        ("we did not find it", Whereabouts.LOST),
    ],
)
def test_where_the_aircraft_is(said: str, expected: Whereabouts) -> None:
    assert whereabouts_told(said) is expected


def signs(said: str, cells: int | None = None) -> dict[str, bool]:
    """Return the signs that typed readings tell."""
    found = signs_of_readings(said, typed_readings(said), book(), cells=cells, chemistry_name=None)
    assert all(0.5 <= each.sure < 1.0 for each in found)
    return {each.sign: each.seen for each in found}


def test_volts_against_the_limits_of_the_chemistry() -> None:
    # 3.3 V loaded and 3.0 V are rows of rules/chemistry.toml (our choice; common practice).
    assert signs("3:30, 12.4 V, it sank", 4) == {"volts-below-land-by": True}  # 3.10 V a cell
    assert signs("3:30, 11.6 V, it sank", 4) == {"volts-below-land-by": True, "volts-below-damage": True}
    assert signs("1:40, 14.8 V, picture went", 4) == {"volts-below-land-by": False}  # 3.70 V
    assert signs("1:40, 14.8 V, picture went") == {}  # of how many cells?
    assert signs("it says 25 V", 4) == {"volts-do-not-fit-cells": True}


def test_other_numbers_that_tell_a_sign() -> None:
    assert signs("osd says 16.5 V, the meter 15.2 V")["meter-disagrees"]
    assert signs("it was 2 km away")["said-went-far"]
    assert not signs("it was 80 m away")["said-went-far"]
    assert signs("wind 12 m/s")["strong-wind"]
    assert signs("it was -3 degrees outside")["cold-day"]


def test_nothing_told_is_nothing_heard() -> None:
    told = told_in_words(("", "  "), book())
    assert not told.heard and not told.signs and told.hurt is Hurt.NOT_TOLD


def test_words_faintly_pointed_at_are_weaker_than_heard_ones_and_never_twice() -> None:
    told = told_in_words(("the compass went mad over the iron roof and the sun was there somehow",), book())
    names = [each.sign for each in told.signs] + [each.sign for each in told.heard]
    assert len(names) == len(set(names))


PIECES = st.sampled_from(
    ["1:40", "14.2 V", "3.3 per cell", "4s", "lost", "blood", "-", ":", "..", "9" * 30, "°", "’", "\u202e", "\x00",
     "km",
     "- 5 m", "1:2:3", "LQ", "%", "no", "my finger", "nobody", "\n", "?", "north", "NE", "after", "two min", "puffed"]
)  # fmt: skip
HOSTILE = st.one_of(st.text(max_size=200), st.lists(PIECES, max_size=30).map(" ".join), st.lists(PIECES).map("".join))


@pytest.mark.slow
@settings(max_examples=2000, deadline=None)
@given(HOSTILE)
def test_hostile_words_break_nothing(said: str) -> None:
    for each in typed_readings(said):
        assert 0 <= each.start < each.end <= len(said)
        assert each.of is not Reading.TIME or 0.0 <= each.value <= LONGEST_FLIGHT.value
        assert each.of is not Reading.PACK_VOLTS or 0.0 < each.value <= PACK_MOST.value
        assert each.of is not Reading.QUALITY or 0.0 <= each.value <= 1.0
    assert isinstance(hurt_told(said), Hurt)
    assert isinstance(pack_told(said, whereabouts_told(said)), PackState)
    signs_of_readings(said, typed_readings(said), book(), cells=4, chemistry_name="no such")


@settings(max_examples=60, deadline=None)
@given(HOSTILE)
def test_hostile_words_go_through_the_whole(said: str) -> None:
    told = told_in_words((said,), book(), cells=None)
    assert all(0.5 <= each.sure <= 1.0 for each in told.signs)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("at 1m40 it beeped, 14v2", [(Reading.TIME, 100.0, None), (Reading.PACK_VOLTS, 14.2, 100.0)]),
        ("half a minute in, lost it at 250", [(Reading.TIME, 30.0, None), (Reading.DISTANCE, 250.0, 30.0)]),
        ("it came down from 40 straight into the corn", [(Reading.HEIGHT, 40.0, None)]),
        ("minus 5 and snow", [(Reading.TEMPERATURE, -5.0, None)]),
        ("was 120 m out at 60 m", [(Reading.DISTANCE, 120.0, None), (Reading.HEIGHT, 60.0, None)]),
        ("lq went 90, 40", [(Reading.QUALITY, 0.9, None), (Reading.QUALITY, 0.4, None)]),
        ("at 2 min 14.9 V", [(Reading.TIME, 120.0, None), (Reading.PACK_VOLTS, 14.9, 120.0)]),
        ("the 5v rail died", []),
        ("waiting 10 minutes on the ground", []),
        ("it fell 90 m short", [(Reading.DISTANCE, 90.0, None)]),
        ("two hundred flights, lost at 25 mW", []),
    ],
)
def test_readings_in_short_and_careless_words(said: str, expected: list[tuple[Reading, float, float | None]]) -> None:
    found = [(each.of, round(each.value, 6), each.at_s) for each in typed_readings(said)]
    assert found == expected
