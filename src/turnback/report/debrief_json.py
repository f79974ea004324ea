"""A debrief for scripts: what was told, recorded, believed and learned, in SI numbers and in words.

The shape of what is written is declared here as records; ``debrief_schema.py`` makes the JSON Schema from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief
from turnback.records.common import SCHEMA
from turnback.records.debrief import (
    Answered,
    AtLoss,
    Compared,
    DebriefAnswer,
    Hurt,
    LearnedNumber,
    NotLearned,
    PackState,
    RecordSign,
    SearchArea,
    SignNotLookedFor,
    Step,
    TypedReading,
    Whereabouts,
)
from turnback.records.finding import Spread
from turnback.records.happened import WhyNot
from turnback.records.heard import Heard
from turnback.report.brief_json import json_text, plain
from turnback.report.debrief_redact import redacted_debrief
from turnback.report.debrief_said import DebriefSaid, Part, debrief_said
from turnback.report.five import Line
from turnback.report.numbers import Units
from turnback.report.record_json import RecordData, record_shape
from turnback.report.words_debrief_ask import AskSaid
from turnback.report.words_debrief_causes import CausesSaid
from turnback.report.words_debrief_learned import learned_line
from turnback.report.words_debrief_safe import Typed, kept_back
from turnback.report.words_debrief_signs import clause, sign_names
from turnback.report.words_debrief_told import ANSWERED

SCHEMA_NAME: Final = "debrief.schema.json"
"""The schema's file, beside ``debrief.json``."""
LEAST_DECIBANS: Final = 0.5
"""Weights that say less are not written."""
MOST_COMPARED: Final = 600
"""Moments of a comparison that are written."""


@dataclass(frozen=True, slots=True)
class StepData:
    """One step of the answer, in words."""

    step: Step
    title: str
    lines: tuple[str, ...]
    asks: tuple[Typed, ...]
    """How its question is answered."""
    ask: AskSaid | None
    causes: CausesSaid | None


@dataclass(frozen=True, slots=True)
class SignData:
    """One sign of the book that a record or a typed reading shows, or would have shown."""

    sign: str
    seen: bool
    sure: float
    group: str
    start_s: float | None
    end_s: float | None
    values: Mapping[str, float]
    channels: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class NotLookedData:
    """A sign that the record cannot tell of, and why."""

    sign: str
    why: WhyNot
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToldData:
    """What the pilot's words tell."""

    words: tuple[str, ...]
    heard: tuple[Heard, ...]
    readings: tuple[TypedReading, ...]
    hurt: Hurt
    pack: PackState
    whereabouts: Whereabouts
    signs: tuple[SignData, ...]


@dataclass(frozen=True, slots=True)
class AgainstData:
    """The plan's model beside the record."""

    compared: tuple[Compared, ...]
    """Each thinned to at most 600 moments."""
    at_loss: AtLoss | None
    expected: Mapping[str, Spread]
    cells: int | None
    chemistry: str | None
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LearnedData:
    """One number that the record taught."""

    number: LearnedNumber
    words: str


@dataclass(frozen=True, slots=True)
class NotLearnedData:
    """One number that it did not teach, and why."""

    quantity: str
    why: NotLearned


@dataclass(frozen=True, slots=True)
class DebriefData:
    """The answer of a debrief. What is not known is null; after an injury nothing in it is of causes."""

    schema: int
    """Version of this shape."""
    on: str | None
    """Date of the flight; null where it was taken out."""
    plan_title: str
    held_back: bool
    """Somebody is hurt: no causes, no letter, no look into the record."""
    said: tuple[Line, ...]
    """The five plain lines, metric."""
    steps: tuple[StepData, ...]
    """In the order in which they are taken."""
    letter: str | None
    """The reply to send; null after an injury."""
    story: tuple[str, ...]
    told: ToldData
    answers: tuple[Answered, ...]
    taken_back: tuple[Answered, ...]
    question: str | None
    """The check that decides most."""
    left_open: tuple[str, ...]
    """Causes that the answer does not rule out; empty without a record."""
    belief: Belief | None
    """Weights below half a deciban are left out."""
    signs: tuple[SignData, ...]
    """Of the record."""
    not_looked_for: tuple[NotLookedData, ...]
    search: SearchArea | None
    against: AgainstData | None
    learned: tuple[LearnedData, ...]
    not_learned: tuple[NotLearnedData, ...]
    earlier: tuple[str, ...]
    """Names of the records of healthy flights."""
    record: RecordData | None
    cautions: tuple[str, ...]


def debrief_json(answer: DebriefAnswer, *, places: bool = True, book: Book | None = None) -> str:
    """Return the answer as JSON text, one object, ending in a line feed.

    Parameters
    ----------
    answer : DebriefAnswer
    places : bool
        With positions, names, dates and the pilot's words; without, what was understood of them stays.
    book : Book, optional
        Where the names of causes, signs and checks stand; the book of this package if left out.
    """
    return json_text(debrief_data(answer, places=places, book=book))


def debrief_data(answer: DebriefAnswer, *, places: bool = True, book: Book | None = None) -> dict[str, Any]:
    """Return the answer as plain data, of the shape of `DebriefData`."""
    answer = answer if places else redacted_debrief(answer)
    book = book or read_book()
    back, names = kept_back(answer), sign_names(book)
    said = debrief_said(answer, book, Units.METRIC, places=places)
    data = DebriefData(
        schema=SCHEMA,
        on=said.on or None,
        plan_title=answer.plan_title,
        held_back=back,
        said=said.five,
        steps=tuple(_step(part) for part in said.parts),
        letter=said.letter,
        story=said.story,
        told=_told(answer, names, back=back),
        answers=_given(answer.answers, back=back),
        taken_back=_given(answer.taken_back, back=back),
        question=None if back else answer.question,
        left_open=() if back else answer.left_open,
        belief=None if back or answer.belief is None else _telling(answer.belief),
        signs=() if back else tuple(_sign(each, names) for each in answer.signs.signs),
        not_looked_for=() if back else tuple(_not_looked(each) for each in answer.signs.not_looked_for),
        search=answer.search,
        against=None if back else _against(answer, said),
        learned=() if back else _learned(answer),
        not_learned=() if back else tuple(NotLearnedData(*each) for each in answer.lessons.not_learned),
        earlier=answer.earlier,
        record=None if back or answer.record is None else record_shape(answer.record),
        cautions=said.cautions,
    )
    return {"$schema": SCHEMA_NAME, **plain(data)}


def _given(answers: tuple[Answered, ...], *, back: bool) -> tuple[Answered, ...]:
    return tuple(each for each in answers if not back or each.check in ANSWERED)


def _step(part: Part) -> StepData:
    return StepData(part.step, part.title, part.lines, part.asks, part.ask, part.causes)


def _told(answer: DebriefAnswer, names: Mapping[str, str], *, back: bool) -> ToldData:
    told = answer.told
    return ToldData(
        words=answer.words,
        heard=() if back else told.heard,
        readings=told.readings,
        hurt=told.hurt,
        pack=told.pack,
        whereabouts=told.whereabouts,
        signs=() if back else tuple(_sign(each, names) for each in told.signs),
    )


def _sign(sign: RecordSign, names: Mapping[str, str]) -> SignData:
    keys = tuple(each.key for each in sign.channels)
    words = clause(names.get(sign.sign, sign.sign), sign, Units.METRIC)
    return SignData(
        sign.sign, sign.seen, sign.sure, sign.group, sign.start_s, sign.end_s, sign.values, keys, words
    )  # fmt: skip


def _not_looked(each: SignNotLookedFor) -> NotLookedData:
    return NotLookedData(each.sign, each.why, tuple(need.key for need in each.needs))


def _against(answer: DebriefAnswer, said: DebriefSaid) -> AgainstData | None:
    against = answer.against
    if against is None:
        return None
    return AgainstData(
        tuple(map(_thinned, against.compared)), against.at_loss, against.expected, against.cells, against.chemistry,
        said.model,
    )  # fmt: skip


def _telling(belief: Belief) -> Belief:
    """Return a belief without the weights that say next to nothing: a thousand of them hide the rest."""
    causes = tuple(
        replace(each, weights=tuple(weight for weight in each.weights if abs(weight.decibans) >= LEAST_DECIBANS))
        for each in belief.causes
    )
    return replace(belief, causes=causes)


def _thinned(compared: Compared) -> Compared:
    kept = np.unique(np.linspace(0, compared.t_s.size - 1, min(compared.t_s.size, MOST_COMPARED)).astype(np.intp))
    return replace(
        compared,
        t_s=compared.t_s[kept],
        recorded=compared.recorded[kept],
        predicted=compared.predicted[kept],
        low=compared.low[kept],
        high=compared.high[kept],
    )


def _learned(answer: DebriefAnswer) -> tuple[LearnedData, ...]:
    return tuple(LearnedData(number, learned_line(number, Units.METRIC)) for number in answer.lessons.numbers)
