"""What would make it a go, in words: whole sentences, numbers on the careful side, nothing for a go."""

from __future__ import annotations

import re
from typing import Any

import pytest

from turnback.records.changes import Change, ChangeKind, ChangesResult, Unknown
from turnback.records.finding import Spread, Verdict
from turnback.report.numbers import Units
from turnback.report.words_changes import changes_lines, changes_table, unknown_line

HOME = Spread(0.98, 0.95, 0.999)
ROWS = {
    ChangeKind.DISTANCE: ("", 1500.0, 520.0, "m"),
    ChangeKind.HEIGHT: ("ground", 45.0, 80.0, "m"),
    ChangeKind.RETURN_HEIGHT: ("", 30.0, 60.0, "m"),
    ChangeKind.PACK_CHARGED: ("", 3.95, 4.2, "V"),
    ChangeKind.PACK_LARGER: ("", 1.3, 1.69, "Ah"),
    ChangeKind.PACK_WARM: ("", 5.0, 20.0, "°C"),
    ChangeKind.WIND: ("", 13.0, 10.0, "m/s"),
    ChangeKind.GROUND_ANTENNA_HEIGHT: ("", 1.7, 5.0, "m"),
    ChangeKind.GROUND_ANTENNA_GAIN: ("control", 2.0, 8.0, "dBi"),
    ChangeKind.MEASUREMENT: ("pack.resistance_ohm", None, 0.0052, "ohm"),
    ChangeKind.ANSWERS: ("", None, None, ""),
}


def change(kind: ChangeKind, verdict: Verdict = Verdict.GO_WITH_LIMITS, **other: Any) -> Change:
    """Return a change of a kind."""
    key, now, value, unit = ROWS[kind]
    given = {"kind": kind, "key": key, "now": now, "value": value, "unit": unit, "verdict": verdict, "home": HOME}
    return Change(**{**given, **other})


def told(*rows: Change, **other: Any) -> ChangesResult:
    """Return a result with those changes."""
    given: dict[str, Any] = {
        "verdict": Verdict.NO_GO, "open_answers": (), "answered": Verdict.NO_GO, "changes": rows, "beside": (),
        "costs_most": None, "tried": 9, "looked_at": (ChangeKind.DISTANCE,),
    }  # fmt: skip
    return ChangesResult(**{**given, **other})


def test_a_shorter_way_is_said_as_an_instructor_says_it() -> None:
    assert changes_lines(told(change(ChangeKind.DISTANCE))) == (
        "Turn back at 520 m instead of 1500 m. Then it is a go with limits.",
    )


@pytest.mark.parametrize("kind", ROWS, ids=lambda kind: kind.value)
@pytest.mark.parametrize("units", Units)
def test_every_kind_has_whole_sentences_with_its_numbers(kind: ChangeKind, units: Units) -> None:
    row = change(kind, Verdict.GO)
    lines = changes_lines(told(row, answered=Verdict.GO if kind is ChangeKind.ANSWERS else Verdict.NO_GO), units)
    cells = changes_table(told(row), units)[0]
    for said in (*lines, cells.change):
        assert said.endswith(".")
        assert not re.search(r"[{}]|not known|None", said)
    assert cells.verdict == "Go"
    if kind is ChangeKind.ANSWERS:
        assert lines == ()
    elif kind is ChangeKind.MEASUREMENT:
        assert lines[0].endswith("If it turns out as is assumed now, it is a go.")
    else:
        assert lines[0].startswith(cells.change)
        assert cells.after in cells.change
        assert cells.before in cells.change


def test_numbers_stay_on_the_careful_side_in_feet_and_miles() -> None:
    rows = (change(ChangeKind.DISTANCE), change(ChangeKind.WIND), change(ChangeKind.RETURN_HEIGHT))
    distance, wind, height = (row.after for row in changes_table(told(*rows), Units.IMPERIAL))
    # 520 m are 1706.04 ft, 10 m/s are 22.37 mph, 60 m are 196.85 ft (1 ft = 0.3048 m, 1 mile = 1609.344 m, exact)
    assert (distance, wind, height) == ("1700 ft", "22 mph", "197 ft")


def test_how_often_it_does_not_come_home_is_said_with_its_ends() -> None:
    assert "1 flight in 50" in changes_table(told(change(ChangeKind.DISTANCE)))[0].lost
    assert "1 flight in 20" in changes_table(told(change(ChangeKind.DISTANCE)))[0].lost


def test_nothing_is_said_of_a_go() -> None:
    go = told(verdict=Verdict.GO, answered=Verdict.GO, tried=0, looked_at=())
    assert changes_lines(go) == ()
    assert changes_table(go) == ()


def test_open_questions_come_first_and_say_what_they_would_make_of_it() -> None:
    rows = (change(ChangeKind.ANSWERS), change(ChangeKind.PACK_WARM, Verdict.GO))
    lines = changes_lines(
        told(*rows, verdict=Verdict.CANNOT_SAY, answered=Verdict.GO_WITH_LIMITS, open_answers=("propellers.unknown",))
    )
    assert lines[0] == "Still open: Propellers not looked at today."
    assert lines[1] == "With that answered well, it is a go with limits."
    assert lines[2] == "With that answered well, this helps further:"
    assert lines[3].startswith("Warm the pack to 20 °C")
    only = changes_lines(
        told(change(ChangeKind.ANSWERS, Verdict.GO), verdict=Verdict.CANNOT_SAY, answered=Verdict.GO,
             open_answers=("propellers.unknown",))
    )  # fmt: skip
    assert only == ("Still open: Propellers not looked at today.", "With that answered well, it is a go.")


def test_what_no_change_lifts_is_said() -> None:
    lines = changes_lines(told(beside=("people.others",), looked_at=()))
    assert lines[0] == "No other distance, height, pack, wind, antenna or measurement makes it better."
    assert lines[1] == "This stays, whichever of them you change: Other people can be underneath."
    assert "No single change that was tried makes it better." in changes_lines(told())[0]
    kept = changes_lines(told(change(ChangeKind.DISTANCE), beside=("terrain.assumed",)))
    assert "Flat ground is assumed" in kept[-1]
    assert len(changes_lines(told(change(ChangeKind.DISTANCE, Verdict.GO), beside=("terrain.assumed",)))) == 1


def test_the_unknown_that_costs_most_is_said_with_its_worth() -> None:
    halves = unknown_line(Unknown("pack.resistance_ohm", "energy", 0.5))
    assert halves.startswith("Let the charger measure the resistance")
    assert halves.endswith("It halves what is open in the pack's answer.")
    narrows = unknown_line(Unknown("video.ground_sensitivity_dbm", "video", 0.7))
    assert narrows.endswith("It takes 30 % off what is open in the video link's answer.")
    assert changes_lines(told(costs_most=Unknown("pack.resistance_ohm", "energy", 0.5)))[-1] == halves


def test_a_stronger_antenna_on_the_control_link_reminds_of_what_may_be_radiated() -> None:
    control = changes_lines(told(change(ChangeKind.GROUND_ANTENNA_GAIN)))[0]
    video = changes_lines(told(change(ChangeKind.GROUND_ANTENNA_GAIN, key="video")))[0]
    assert "how much you may radiate" in control
    assert "radiate" not in video
    assert "turned toward the aircraft" in video


def test_a_return_that_was_not_set_has_no_height_before() -> None:
    said = changes_lines(told(change(ChangeKind.RETURN_HEIGHT, now=None)))[0]
    assert said == "Set the automatic return to 60 m above launch. Then it is a go with limits."
