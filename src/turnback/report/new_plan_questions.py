"""What a new plan asks: a few questions, each with its place in the plan, and what may be answered."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from enum import Enum
from typing import Final

from turnback.base.errors import InputError, bad_input
from turnback.readers.known_keys import field_at, words_of
from turnback.records.common import DONT_KNOW
from turnback.records.plan import PlanFile, Skill
from turnback.report.language import mark, text

Value = str | float | None
"""An answer; None is "don't know", or left out."""


class QuestionKind(Enum):
    """What an answer is."""

    CHOICE = "choice"
    NUMBER = "number"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Question:
    """One question of a new plan.

    Attributes
    ----------
    key : str
        Names the answer, such as ``distance_m``.
    place : tuple of str
        Where the answer stands in the plan.
    prompt : str
        One line in plain words.
    kind : QuestionKind
    choices : tuple of str
        The words of a choice, as a plan writes them.
    default : str, float or None
        What an empty answer means.
    needed : bool
        No plan can be written without it.
    beside : str
        The key of a question without whose answer this one says nothing: it is then not asked.
    """

    key: str
    place: tuple[str, ...]
    prompt: str
    kind: QuestionKind
    choices: tuple[str, ...] = ()
    default: Value = None
    needed: bool = False
    beside: str = ""

    @property
    def asked(self) -> str:
        """The prompt in the language spoken."""
        return text(self.prompt)

    @property
    def flag(self) -> str:
        """The option of the command line that answers it."""
        return "--" + self.key.replace("_", "-")


def _choice(key: str, place: str, prompt: str, *, needed: bool = False) -> Question:
    where = tuple(place.split("."))
    words = tuple(words_of(field_at(PlanFile, where)))
    default = DONT_KNOW if DONT_KNOW in words else None
    return Question(key, where, prompt, QuestionKind.CHOICE, words, default, needed)


def _number(key: str, place: str, prompt: str, *, needed: bool = False, beside: str = "") -> Question:
    return Question(key, tuple(place.split(".")), prompt, QuestionKind.NUMBER, needed=needed, beside=beside)


def _text(key: str, place: str, prompt: str, *, needed: bool = False, beside: str = "") -> Question:
    return Question(key, tuple(place.split(".")), prompt, QuestionKind.TEXT, needed=needed, beside=beside)


NOTHING_YET: Final = "nothing yet"


def steps_up_to(value: Value) -> tuple[str, ...] | Value:
    """Return the steps of the graded way up to one, as a plan lists them; what is no step as it is."""
    way = [skill.value for skill in Skill]
    if value == NOTHING_YET:
        return ()
    return tuple(way[: way.index(str(value)) + 1]) if value in way else value


QUESTIONS: Final = (
    _choice("aircraft_class", "aircraft.class", mark("Which class of aircraft is it?"), needed=True),
    _choice("on_radio_loss", "aircraft.on_radio_loss", mark("What does it do when it loses the control link?")),
    _text(
        "pack_label", "pack.label", mark('What does the label of the pack say, such as "4S 1500 mAh 95C"?'), needed=True
    ),
    _choice("control_class", "radio.control.class", mark("Which class is the control link?"), needed=True),
    _choice("video_class", "radio.video.class", mark("Which class is the video link?"), needed=True),
    _number("latitude_deg", "site.latitude_deg", mark("Latitude of the launch point, degrees, north positive?")),
    _number(
        "longitude_deg",
        "site.longitude_deg",
        mark("Longitude of the launch point, degrees, east positive? (The latitude says nothing without it.)"),
        beside="latitude_deg",
    ),
    _text(
        "terrain",
        "site.terrain",
        mark(
            "Which file holds the ground heights, seen from the plan's folder? (Without one the ground is taken as "
            "flat.)"
        ),
        beside="longitude_deg",
    ),
    _number("distance_m", "route.distance_m", mark("How far out, in metres?"), needed=True),
    _number(
        "bearing_deg",
        "route.bearing_deg",
        mark("Which way, in degrees: 0 north, 90 east, 180 south, 270 west?"),
        needed=True,
    ),
    _number("height_m", "route.height_m", mark("How high above the launch point, in metres?"), needed=True),
    _choice("mode", "route.mode", mark("In which mode is it flown?")),
    _number("wind_mps", "weather.wind_mps", mark("How strong is the wind now, in metres per second?")),
    Question(
        "pilot_shown",
        ("pilot", "shown"),
        mark(
            "Which is the last step that the pilot has shown to somebody, all before it too? (Left open, a flight "
            "beyond the first steps is never a go.)"
        ),
        QuestionKind.CHOICE,
        (*(skill.value for skill in Skill), NOTHING_YET, DONT_KNOW),
        DONT_KNOW,
    ),
    _choice("observer", "observer", mark("Will an observer stand beside the pilot?")),
    _choice(
        "limits_looked_up", "site.local_limits.looked_up", mark("Have you looked up the local limits of this place?")
    ),
    _choice("propellers_verified_today", "answers.propellers_verified_today", mark("Propellers verified today?")),
    _number("rest_v_per_cell", "answers.rest_v_per_cell", mark("Rest volts now, of one cell?")),
    _choice("who_can_be_underneath", "answers.who_can_be_underneath", mark("Who can be underneath?")),
    _choice(
        "return_tested_on_this_build",
        "answers.return_tested_on_this_build",
        mark("Was the automatic return tested on this build?"),
    ),
    _number(
        "last_flight_minutes", "answers.last_flight.minutes", mark("How many minutes was the last flight on this pack?")
    ),
    _number(
        "last_flight_charger_mah",
        "answers.last_flight.charger_mah",
        mark("How many mAh did the charger put back after it? (The minutes say nothing without it.)"),
        beside="last_flight_minutes",
    ),
)
"""In the order they are asked: what the flight is, then who and where, then the five an instructor asks."""

_OPEN: Final = (DONT_KNOW, "don’t know", "dont know", "do not know", "?")


def answer_of(question: Question, typed: str) -> Value:
    """Return what a typed answer means.

    Parameters
    ----------
    question : Question
    typed : str
        As typed. Nothing means the default; ``don't know`` and ``?`` leave a question open; a choice may be given by
        its word or by its number from 1; a decimal comma is a point.

    Raises
    ------
    InputError
        If it cannot be used, with the question's key as the place.
    """
    plain = " ".join(typed.split())
    if not plain and question.default is not None:
        return question.default
    if not plain or plain.lower() in _OPEN:
        if question.needed:
            raise bad_input(question.key, "a plan cannot be written without it", _wanted(question))
        return None
    if question.kind is QuestionKind.CHOICE:
        return _chosen(question, plain)
    return _typed_number(question, plain) if question.kind is QuestionKind.NUMBER else plain


def _wanted(question: Question) -> str:
    if question.kind is QuestionKind.CHOICE:
        return "answer one of " + ", ".join(f'"{word}"' for word in question.choices)
    return "answer with a number" if question.kind is QuestionKind.NUMBER else "answer in a few words"


def _chosen(question: Question, typed: str) -> str:
    folded = {word.lower(): word for word in question.choices}
    if typed.lower() in folded:
        return folded[typed.lower()]
    if typed.isascii() and typed.isdigit() and 1 <= int(typed[:4]) <= len(question.choices) and len(typed) < 4:
        return question.choices[int(typed) - 1]
    begun = [word for low, word in folded.items() if low.startswith(typed.lower())]
    if len(begun) == 1:
        return begun[0]
    raise _no_choice(question, typed, folded)


def _no_choice(question: Question, typed: str, folded: dict[str, str]) -> InputError:
    near = difflib.get_close_matches(typed.lower(), list(folded), n=1, cutoff=0.6)
    do = f'answer "{folded[near[0]]}" if that was meant' if near else _wanted(question)
    return bad_input(question.key, f"{typed[:60]!r} is none of the choices", do)


def _typed_number(question: Question, typed: str) -> float:
    try:
        return float(typed.replace(",", "."))
    except ValueError:
        do = "answer with a plain number, without a unit" + ("" if question.needed else ', or "don\'t know"')
        raise bad_input(question.key, f"{typed[:60]!r} is not a number", do) from None
