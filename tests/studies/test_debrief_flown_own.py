"""Flights with known causes: the table of look-alikes holds together, and faults do what they do in the air."""

from __future__ import annotations

import numpy as np
import pytest
from studies.debrief_flown import own
from studies.debrief_flown.cases import FlownCase
from studies.debrief_flown.kits import KITS, PLAN_ERRORS, group_of, separable
from studies.record_flown.sensors import Made

from turnback.knowledge.reading import read_book
from turnback.records.channel import Quantity


def test_table_covers_what_is_flown_and_nothing_that_the_book_lacks() -> None:
    book = {each.key for each in read_book().causes}
    table = separable()
    assert set(own.causes()) == set(table)
    assert len(table) >= 50
    for cause, row in table.items():
        assert cause in book
        assert row["reason"].endswith(".")
        for kit in [*KITS, *[key for key in row if key.startswith("no_plan_")]]:
            assert set(row[kit]) <= book
            assert not row[kit] or cause in row[kit], "a cause is one of its own look-alikes"


def test_at_least_forty_causes_stand_alone_in_the_full_kit() -> None:
    assert sum(len(row["full"]) == 1 for row in separable().values()) >= 40


@pytest.mark.parametrize("kit", list(KITS))
def test_look_alikes_are_mutual_among_those_flown(kit: str) -> None:
    table = separable()
    one_way = {("idle-too-low", "motor-out-of-step")}  # at a burst of throttle no rotor stands still at idle
    for cause, row in table.items():
        for other in row[kit]:
            if other in table and (cause, other) not in one_way:
                assert cause in table[other][kit], (cause, other)


def test_fewer_channels_never_tell_more() -> None:
    for cause, row in separable().items():
        if row["board"]:
            flown = {each for each in row["full"] if each in separable()}
            assert flown <= set(row["board"]), cause


def test_kits_hold_known_channels_at_whole_steps() -> None:
    known = {each.value for each in Quantity}
    for kit in KITS.values():
        assert set(kit.quantities) <= known
        assert all(1000 % rate == 0 for rate in kit.rates_hz)
    assert "rotor_speed" not in KITS["board"].quantities
    assert "latitude" not in KITS["board"].quantities


def test_terrain_is_a_look_alike_of_trees_only_without_a_plan() -> None:
    assert group_of("blocked-by-terrain", "full", True) == ("blocked-by-terrain",)
    assert set(group_of("blocked-by-terrain", "full", False)) == {"blocked-by-terrain", "blocked-by-trees-or-buildings"}
    assert group_of(None, "full", True) == ()


def _one(case: FlownCase, quantity: str, corner: int | None = None) -> Made:
    return next(each for each in case.seen.channels if each.quantity == quantity and each.corner == corner)


@pytest.mark.slow
def test_same_seed_gives_the_same_flight_and_kits_share_it() -> None:
    first, again = (own.fly_cause(4, "motor-wire-torn", "full") for _ in range(2))
    assert all(
        np.array_equal(a.values, b.values) for a, b in zip(first.seen.channels, again.seen.channels, strict=True)
    )
    radio = own.fly_cause(4, "motor-wire-torn", "radio")
    assert {each.quantity for each in radio.seen.channels} <= set(KITS["radio"].quantities)
    assert radio.facts["true"]["ended_s"] == first.facts["true"]["ended_s"]


@pytest.mark.slow
def test_torn_wire_stops_its_rotor_and_no_other_at_first() -> None:
    case = own.fly_cause(4, "motor-wire-torn", "full")
    true = case.facts["true"]
    row = int(np.searchsorted(case.seen.t_s, true["at_s"] + 0.15))
    before = int(np.searchsorted(case.seen.t_s, true["at_s"] - 0.05))
    for corner in range(4):
        turns = _one(case, "rotor_speed", corner).values
        assert (turns[row] < 0.3 * turns[before]) == (corner == true["corner"])


@pytest.mark.slow
def test_board_upside_down_feels_gravity_from_above_at_rest() -> None:
    case = own.fly_cause(7, "board-upside-down", "board")
    still = _one(case, "throttle").values < 0.01
    assert np.median(_one(case, "acceleration_z").values[still][:200]) == pytest.approx(9.80665, abs=0.5)


@pytest.mark.slow
def test_propellers_of_the_wrong_direction_never_leave_the_ground() -> None:
    case = own.fly_cause(3, "propeller-direction-wrong-at-every-corner", "full")
    assert _one(case, "throttle").values.max() > 0.95
    assert np.abs(_one(case, "height_launch").values).max() < 1.5


@pytest.mark.slow
def test_lead_resistance_lies_outside_the_cells() -> None:
    case = own.fly_cause(5, "plug-or-lead-resistance", "full")
    cells = sum(each.values for each in case.seen.channels if each.quantity == "cell_volts")
    missing, amps = cells - _one(case, "pack_volts").values, _one(case, "current").values
    assert np.polyfit(amps, missing, 1)[0] > 0.004  # ohm; nothing sound has that between cells and board


@pytest.mark.slow
def test_a_sound_flight_comes_home_and_a_plan_holds_its_errors() -> None:
    case = next(each for each in (own.fly_cause(seed, None, "full") for seed in (11, 12, 13)) if each.against)
    assert case.group == ()
    assert np.isnan(case.facts["true"]["crashed_s"]) or case.facts["true"]["healthy"] == "hard-landed"
    assert case.against is not None
    told = case.against.expected["temperature_c"]
    assert told.high - told.low == pytest.approx(2.0 * PLAN_ERRORS["temperature_c"][1])
