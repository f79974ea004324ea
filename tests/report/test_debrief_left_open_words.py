"""What is not ruled out is said: of the aircraft, and apart from it what the pilot may have done."""

from __future__ import annotations

from dataclasses import replace

from tests.report import debrief_made as made

from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief, Observation, Told
from turnback.report.debrief_letter import letter_of
from turnback.report.debrief_text import debrief_text
from turnback.report.numbers import Units
from turnback.report.words_debrief_causes import cause_name, causes_said

FOLLOWS = Observation("follows-its-pilot-to-the-end", True, 0.95, "motion", Told.RECORD)


def _said(belief: Belief, left: tuple[str, ...]) -> str:
    said = causes_said(replace(made.cannot_say(), belief=belief, left_open=left), read_book(), Units.METRIC)
    assert said is not None
    return said.left_open


def test_a_mistake_of_the_pilot_stands_apart_until_the_aircraft_is_shown_to_have_followed() -> None:
    belief = made.cannot_say().belief
    assert belief is not None
    slip, noisy = (cause_name(key, read_book()) for key in ("wrong-reaction", "supply-noisy"))
    unproven = _said(belief, ("supply-noisy", "wrong-reaction"))
    assert unproven == (
        f"Not ruled out either: {noisy}. Nothing shows that the aircraft followed its pilot to the end, "
        f"so no mistake of the pilot's is named; nor is one ruled out: {slip}."
    )
    shown = replace(belief, observations=(*belief.observations, FOLLOWS))
    assert _said(shown, ("supply-noisy", "wrong-reaction")) == f"Not ruled out either: {noisy}; {slip}."
    assert _said(belief, ("wrong-reaction",)).startswith("Nothing shows that the aircraft followed")


def test_nothing_is_said_where_all_that_is_left_open_is_told_already_and_no_mistake_stands_in_the_letter() -> None:
    belief = made.cannot_say().belief
    assert belief is not None
    assert _said(belief, ()) == ""
    slip = cause_name("wrong-reaction", read_book())
    answer = replace(made.cannot_say(), left_open=("wrong-reaction",))
    letter = letter_of(answer)
    assert slip in " ".join(debrief_text(answer).split())
    assert letter is not None
    assert slip not in letter
