"""``turnback plan``: write a plan by asking, verify one, print the schema."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import Final

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.printing import safe

OPTION_OF: Final = "answer_"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add one option for each question of a new plan."""
    group = parser.add_argument_group("answers")
    for question in api.QUESTIONS:
        allowed = f" ({'; '.join(question.choices)})" if question.choices else ""
        group.add_argument(
            question.flag,
            dest=OPTION_OF + question.key,
            metavar="ANSWER",
            help=f"{question.prompt}{allowed}".replace("%", "%%"),
        )


def run_new(given: argparse.Namespace) -> Outcome:
    """Write a plan from options and answers."""
    with api.speaking(given.language):
        return _new(given)


def _new(given: argparse.Namespace) -> Outcome:
    answers = api.answers_from(
        {
            question.key: typed
            for question in api.QUESTIONS
            if (typed := getattr(given, OPTION_OF + question.key)) is not None
        }
    )
    if not given.no_questions:
        answers = _asked(answers)
    text = api.new_plan_text(answers)
    if given.to is None:
        return Outcome(text)
    return Outcome(f"{api.write_new_plan(given.to, text)}\n")


def run_verify(given: argparse.Namespace) -> Outcome:
    """Say that a plan can be used; its faults come as an error."""
    case = api.verify_plan(given.plan, learned=given.learned, now=given.now)
    return Outcome(safe(f"{given.plan}: no faults found. Ground heights: {case.terrain.source}.") + "\n")


def run_schema(given: argparse.Namespace) -> Outcome:
    """Print the JSON Schema of a plan, of the answer to one, or of its map."""
    schemas: dict[str, Callable[[], str]] = {
        "plan": api.plan_schema,
        "brief": api.brief_schema,
        "map": api.map_schema,
        "record": api.record_schema_json,
        "debrief": api.debrief_schema_json,
    }
    return Outcome(schemas[given.of]())


class _Typist:
    """The person at the keyboard, or a file of answers, one a line."""

    def __init__(self) -> None:
        self.typed: dict[str, str] = {}
        self.doubted: str | None = None

    def __call__(self, question: api.Question, fault: str | None) -> str:
        """Ask one question on standard error and return what was typed."""
        self.doubted = question.key if fault else None
        if sys.stdin.isatty():
            self._show(question, fault)
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        self.typed[question.key] = line.strip()
        return self.typed[question.key]

    @staticmethod
    def _show(question: api.Question, fault: str | None) -> None:
        lines = [fault] if fault else []
        lines += [f"  {place}  {choice}" for place, choice in enumerate(question.choices, 1)]
        open_default = "" if question.needed else " [don't know]"
        default = open_default if question.default is None else f" [{question.default}]"
        sys.stderr.write("\n".join([*lines, f"{question.asked}{default} "]))
        sys.stderr.flush()

    def until_it_left(self) -> dict[str, api.Value]:
        """Return the answers given before the end of the input."""
        by_key = {question.key: question for question in api.QUESTIONS}
        return {key: api.answer_of(by_key[key], typed) for key, typed in self.typed.items() if key != self.doubted}


def _asked(answers: dict[str, api.Value]) -> dict[str, api.Value]:
    """Ask what the options left open; where the input ends, the rest keeps its default."""
    typist = _Typist()
    try:
        return api.ask_all(typist, answers)
    except EOFError:
        return {**answers, **typist.until_it_left()}
