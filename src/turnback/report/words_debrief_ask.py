"""The one question that decides most: the check's own words, its caution, and how to answer it."""

from __future__ import annotations

from dataclasses import dataclass

from turnback.knowledge.book import Book, CheckKind
from turnback.records.debrief import DebriefAnswer
from turnback.report.language import text
from turnback.report.words_belief import CHECK_KINDS
from turnback.report.words_bench_checks import minutes_words
from turnback.report.words_debrief_safe import Typed
from turnback.report.words_debrief_signs import sign_names


@dataclass(frozen=True, slots=True)
class AskSaid:
    """A question as people read it."""

    key: str
    name: str
    how: str
    minutes: str
    caution: str
    answers: tuple[Typed, ...]
    signs: tuple[str, ...]
    """What can be told, where it is a question to the pilot; else empty."""
    several: str
    """How more than one is answered; empty where there is one sign."""


def ask_said(answer: DebriefAnswer, book: Book) -> AskSaid | None:
    """Return the question that decides most; None where none helps."""
    asked = next((each for each in book.checks if each.key == answer.question), None)
    if asked is None:
        return None
    names = sign_names(book)
    lone = len(asked.signs) == 1
    answers = [
        Typed(text("If {sign}:", sign=names[key]), f"--answer {asked.key}={'yes' if lone else key}")
        for key in asked.signs
    ]
    answers.append(Typed(text("If not:") if lone else text("If nothing of it:"), _none(asked.key, lone=lone)))
    return AskSaid(
        key=asked.key,
        name=text(asked.name),
        how=text(CHECK_KINDS[asked.kind]) if asked.kind is not CheckKind.ASK else "",
        minutes=text("It takes {minutes}.", minutes=minutes_words(asked.minutes)),
        caution=text(asked.caution) if asked.caution else "",
        answers=tuple(answers),
        signs=tuple(names[key] for key in asked.signs) if asked.kind is CheckKind.ASK else (),
        several="" if lone else text("If several are so: all of them in one answer, with commas between."),
    )


def _none(key: str, *, lone: bool) -> str:
    return f"--answer {key}={'no' if lone else 'none'}"
