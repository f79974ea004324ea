"""A new plan, written with comments: from a few answers to a file that reads back to the same values."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from pydantic import ValidationError

from turnback.base.errors import Fault, InputError
from turnback.readers.consistency import Sections, plan_faults, sound_sections
from turnback.readers.fault_words import faults_of
from turnback.readers.known_keys import Place, field_at
from turnback.records.common import DONT_KNOW, SCHEMA
from turnback.records.plan import PlanFile
from turnback.report.allowed import allowed_words
from turnback.report.cautions import CAUTIONS
from turnback.report.language import mark, text
from turnback.report.new_plan_questions import QUESTIONS, Question, QuestionKind, Value, answer_of, steps_up_to

WIDTH: Final = 110
NEVER_A_GO: Final = frozenset(
    ["on_radio_loss", "observer", "limits_looked_up", "propellers_verified_today", "rest_v_per_cell",
     "who_can_be_underneath"]
)  # fmt: skip
"""Questions that, left open, never end in a go."""

HEAD: Final = (
    mark("A plan for Turnback: one flight, asked about before it is flown."),
    *CAUTIONS,
    mark(
        '"{dont_know}" may stand in place of any value. The answer then uses a wide typical range, names it as '
        "assumed, and says what knowing the value would change."
    ),
    mark(
        'A value that you measured may carry its band: {{ value = 5.2, low = 4.6, high = 6.0, how = "measured" }}. '
        "Low and high hold 90 % of what you believe possible."
    ),
    mark(
        'Lines such as #key = "{dont_know}" are further values that narrow the answer: take the # away and write what '
        "you know."
    ),
)
"""What stands at the top; the places are filled, so a brace of the plan's own is written twice."""
TABLES: Final = (
    ("aircraft", mark("The aircraft.")),
    ("pack", mark("The pack.")),
    ("radio.control", mark("The control link.")),
    ("radio.video", mark("The video link.")),
    (
        "site",
        mark("Where the launch point is. With no terrain file the ground is taken as flat, and the answer says so."),
    ),
    (
        "site.local_limits",
        mark("The limits of this place. This does not know your local law: look it up and enter it."),
    ),
    ("weather", mark("Wind and air. With no wind, the largest wind that still comes home is told.")),
    ("pilot", mark("The pilot.")),
    ("route", mark("Straight out and back.")),
    ("answers", mark('The five questions an instructor asks. "{dont_know}" is an honest answer to each.')),
)
MORE: Final = (
    "aircraft.id", "aircraft.mass_g", "aircraft.cruise_mps", "aircraft.hover_current_a", "aircraft.cruise_current_a",
    "pack.id", "pack.resistance_mohm_per_cell", "pack.mass_g", "pack.cycles", "pack.temperature_c",
    "radio.control.ground_power_mw", "radio.control.interference_dbm", "radio.video.aircraft_power_mw",
    "site.antenna_height_m", "site.canopy", "site.canopy_height_m", "site.people_areas",
    "site.local_limits.height_m", "site.local_limits.distance_m", "site.local_limits.in_sight",
    "weather.gust_mps", "weather.wind_from_deg", "weather.temperature_c", "weather.metar",
    "pilot.packs_flown", "pilot.simulator_hours", "route.speed_mps", "route.hover_s",
)  # fmt: skip
"""Further values, written as comments: each stays open until somebody knows it."""
MEANING: Final = {
    "id": mark("a name in small letters: what is learned from records is kept under it"),
    "canopy": mark("what stands on the ground that a grid of heights does not show"),
    "metar": mark("a pasted weather report; leave wind_mps open then"),
}
"""Of keys that their record does not describe."""

PAIRS: Final = (("latitude_deg", "longitude_deg"), ("last_flight_minutes", "last_flight_charger_mah"))
"""Where the second stays open, the first says nothing."""

Written = Mapping[tuple[str, ...], Value | tuple[str, ...]]
BY_KEY: Final = {question.key: question for question in QUESTIONS}
SHOWN: Final = ("pilot", "shown")
BY_PLACE: Final = {question.place: question for question in QUESTIONS}


def ask_all(ask: Callable[[Question, str | None], str], given: Mapping[str, Value]) -> dict[str, Value]:
    """Return the answers to every question, asking those not given.

    Parameters
    ----------
    ask : callable
        Shows a question, with what was wrong with the last answer to it (None at first); returns what was typed.
    given : mapping
        Answers that are known already, by key: these are not asked.
    """
    answers = dict(given)
    for question in QUESTIONS:
        if question.key in answers:
            continue
        says_nothing = question.beside and answers.get(question.beside) is None
        answers[question.key] = question.default if says_nothing else _asked(ask, question, answers)
    for first, second in PAIRS:
        if answers[second] is None and first not in given:
            answers[first] = None
    return answers


def new_plan_text(answers: Mapping[str, Value]) -> str:
    """Return the commented text of a plan that reads back to the same values.

    Parameters
    ----------
    answers : mapping
        By key of `QUESTIONS`; one left out means its default.

    Raises
    ------
    InputError
        With every fault at once, each with its question's key.
    """
    full = {question.key: answers.get(question.key, question.default) for question in QUESTIONS}
    _raise_any([Fault(key[:60], "no question has this key", "correct it") for key in answers if key not in BY_KEY])
    lacking = [question for question in QUESTIONS if question.needed and full[question.key] in (None, "")]
    faults = [
        Fault(question.key, "a plan cannot be written without it", f'answer "{question.prompt}"')
        for question in lacking
    ]
    told = {question.key for question in lacking}
    written = _written(full)
    _raise_any([*faults, *(fault for fault in _faults(written) if fault.where not in told)])
    return "\n".join([*_head(), *_root(written), *_tables(written)]) + "\n"


def _asked(ask: Callable[[Question, str | None], str], question: Question, known: Mapping[str, Value]) -> Value:
    """Ask until the answer can be used beside those known already."""
    fault = None
    while True:
        try:
            answer = answer_of(question, ask(question, fault))
            if answer is not None:
                _raise_any(
                    [
                        found
                        for found in _faults(_written({**known, question.key: answer}))
                        if found.where == question.key
                    ]
                )
        except InputError as error:
            fault = error.faults[0].sentence()
        else:
            return answer


def _written(answers: Mapping[str, Value]) -> Written:
    """Return the answers by their place in the plan, as the plan writes them."""
    known = {
        BY_KEY[key].place: DONT_KNOW if value is None else value for key, value in answers.items() if key in BY_KEY
    }
    return {place: steps_up_to(value) if place == SHOWN else value for place, value in known.items()}


def _table(written: Written) -> dict[str, Any]:
    """Return the plan's table, nested, as a TOML reader would give it."""
    table: dict[str, Any] = {"schema": SCHEMA}
    for place, value in written.items():
        *path, key = place
        inner = table
        for step in path:
            inner = inner.setdefault(step, {})
        inner[key] = list(value) if isinstance(value, tuple) else value
    flight = table.get("answers", {}).get("last_flight")
    if flight:
        known = {key: value for key, value in flight.items() if value != DONT_KNOW}
        table["answers"]["last_flight"] = known or DONT_KNOW
    return table


def _faults(written: Written) -> list[Fault]:
    """Return what a reader of this plan would tell, by the question's key."""
    table = _table(written)

    def where(place: Place) -> str:
        steps = tuple(str(step) for step in place)
        return BY_PLACE[steps].key if steps in BY_PLACE else ".".join(steps)

    try:
        plan = PlanFile.model_validate(table)
    except ValidationError as error:
        found = faults_of(error, PlanFile, table, where)
        found += plan_faults(sound_sections(table, {str(row["loc"][0]) for row in error.errors()}), where)
    else:
        found = plan_faults(Sections.of(plan), where)
    return found


def _head() -> list[str]:
    lines: list[str] = []
    for message in HEAD:
        lines += [*_comment(text(message, dont_know=DONT_KNOW)), "#"]
    return lines[:-1]


def _root(written: Written) -> list[str]:
    lines = [f"schema = {SCHEMA}"]
    for place, value in written.items():
        if len(place) == 1:
            lines += ["", *_asked_line(BY_PLACE[place], value)]
    return lines


def _tables(written: Written) -> Iterator[str]:
    for name, message in TABLES:
        here = tuple(name.split("."))
        yield from ["", *_comment(text(message, dont_know=DONT_KNOW)), f"[{name}]"]
        for place, value in written.items():
            if place[:-1] == here:
                yield from _asked_line(BY_PLACE[place], value)
        if name == "answers":
            yield from _last_flight(written)
        if name == "aircraft" and written["aircraft", "on_radio_loss"] == "automatic return":
            settings = f'{{ height_m = "{DONT_KNOW}", speed_mps = "{DONT_KNOW}" }}'
            as_set = text("as set on the aircraft: above the launch point, over ground")
            yield f"#automatic_return = {settings}  # {_one_line(as_set)}"
        for place in (tuple(more.split(".")) for more in MORE):
            if place[:-1] == here:
                yield from _open_line(place)


def _last_flight(written: Written) -> list[str]:
    minutes, charge = written["answers", "last_flight", "minutes"], written["answers", "last_flight", "charger_mah"]
    known = f"{{ minutes = {_toml(minutes)}, charger_mah = {_toml(charge)} }}"
    asked = text(
        "How many minutes was the last flight on this pack, and how many mAh did the charger put back after it? As in "
        "{example}.",
        example="{ minutes = 4.5, charger_mah = 910, rest_v_after_per_cell = 3.72 }",
    )
    return [
        *_comment(asked),
        f"last_flight = {_toml(DONT_KNOW) if minutes == DONT_KNOW else known}",
    ]


def _asked_line(question: Question, value: Value | tuple[str, ...]) -> list[str]:
    """Return a question as a comment, with what may be answered, and its answer."""
    key, info = question.place[-1], field_at(PlanFile, question.place)
    allowed = allowed_words(key, info)
    comment = f"{question.asked} {allowed[:1].upper()}{allowed[1:]}".strip()
    comment += "" if comment.endswith(("?", ")")) else "."
    if question.key in NEVER_A_GO:
        comment = " ".join([comment, text("Left open, it is never a go.")])
    return [*_comment(comment), f"{key} = {_toml(value)}"]


def _open_line(place: tuple[str, ...]) -> list[str]:
    """Return a further value as a comment, left open."""
    key, info = place[-1], field_at(PlanFile, place)
    described = text((info.description if info else None) or MEANING.get(key, ""))
    meaning = "; ".join(part for part in (described.rstrip("?"), allowed_words(key, info)) if part)
    line = f'#{key} = "{DONT_KNOW}"'
    if len(line) + len(meaning) < WIDTH:
        return [f"{line}  # {_one_line(meaning)}"]
    return [*_comment(meaning), line]


def _comment(said: str) -> list[str]:
    return textwrap.wrap(said, WIDTH, initial_indent="# ", subsequent_indent="# ", break_on_hyphens=False)


def _one_line(said: str) -> str:
    return " ".join(said.split())


def _toml(value: Value | tuple[str, ...]) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return '"' + "".join(_letter(letter) for letter in escaped) + '"'
    number = float(value or 0.0)
    return f"{number:.0f}" if number.is_integer() and abs(number) < 1e15 else repr(number)


def _letter(letter: str) -> str:
    return f"\\u{ord(letter):04x}" if ord(letter) < 0x20 or ord(letter) == 0x7F else letter


def _raise_any(faults: list[Fault]) -> None:
    if faults:
        raise InputError(*dict.fromkeys(faults))


__all__ = ["QUESTIONS", "Question", "QuestionKind", "Value", "answer_of", "ask_all", "new_plan_text"]
