"""What somebody would notice of our own generator's flights, where it is known beforehand."""

from __future__ import annotations

import numpy as np
import pytest
from studies.debrief_flown import own
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.noticed import TRIES, Trouble
from studies.debrief_flown.own_flights import Draft
from studies.debrief_flown.own_noticed import troubles
from studies.record_flown import columns as at

SEED = 9_000_001


@pytest.fixture(scope="module")
def sound() -> tuple[Draft, np.ndarray]:
    d = own.draft(SEED, None, "plain")
    return d, own.flown(d, SEED)


def test_a_plain_flight_has_no_trouble(sound: tuple[Draft, np.ndarray]) -> None:
    assert troubles(*sound) == ()


@pytest.mark.parametrize(
    ("trouble", "column", "value"),
    [
        (Trouble.LINK, at.QUALITY, 0.3),
        (Trouble.WEAK, to.CELL, 3.1),
        (Trouble.READS, to.ERR, 30.0),
        (Trouble.DISOBEYS, at.RATE + 2, 2.0),
        (Trouble.AWAY, to.BOARD_ON, 0.0),
    ],
)
def test_a_second_of_trouble_in_flight_is_named(
    sound: tuple[Draft, np.ndarray], trouble: Trouble, column: int, value: float
) -> None:
    d, log = sound
    changed = log.copy()
    middle = round(1000 * d.times["far"])
    changed[middle : middle + 1500, column] = value
    assert trouble.value in troubles(d, changed)


def test_a_shaking_of_some_turns_a_second_is_named_and_a_slow_turn_is_not(sound: tuple[Draft, np.ndarray]) -> None:
    d, log = sound
    t_s = np.arange(len(log)) / 1000.0
    rows = slice(round(1000 * d.times["out"]), round(1000 * d.times["home"]))
    for hz, named in ((20.0, True), (0.3, False)):
        changed = log.copy()
        changed[rows, at.RATE] += np.radians(40.0) * np.sin(2.0 * np.pi * hz * t_s[rows])
        assert (Trouble.SHAKES.value in troubles(d, changed)) is named


def test_a_fault_that_shows_nothing_is_drawn_again_and_the_first_draw_stays_as_it_was() -> None:
    d, log, found, tries = own._noticed(SEED, "air-too-thin")
    assert found
    assert 1 <= tries <= TRIES
    again = own.draft(SEED, "air-too-thin", again=tries - 1)
    assert again.world.air == d.world.air
    assert own.draft(SEED, "air-too-thin").plan == own.draft(SEED, "air-too-thin", again=0).plan
    assert own.draft(SEED, "air-too-thin", again=1).plan != own.draft(SEED, "air-too-thin").plan
    assert log.shape[1] == to.WIDE


def test_every_kit_of_a_flight_has_the_same_troubles() -> None:
    full, track = (own.fly_cause(SEED, "stick-reversed", kit).facts["true"] for kit in ("full", "track"))
    assert full["troubles"] == track["troubles"]
    assert Trouble.DOWN.value in full["troubles"]
