"""The bench for scripts: what was seen and what it leaves, in a fixed order, the same bytes for the same answer.

The shape of what is written is declared here as records; ``bench_schema.py`` makes the JSON Schema from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from turnback.knowledge.book import Book
from turnback.records.aircraft import Rotation
from turnback.records.belief import Belief
from turnback.records.bench import At, BenchAnswer, BenchNext, Mend, Seen, SlipFound, SlipSet, WindUp
from turnback.records.common import SCHEMA
from turnback.records.heard import Heard
from turnback.report.bench_portraits import State, corner_state
from turnback.report.brief_json import json_text, plain
from turnback.report.words_belief import belief_said
from turnback.report.words_belief_chance import capital
from turnback.report.words_bench import set_key, standing
from turnback.report.words_bench_checks import check_said
from turnback.report.words_bench_first import first_lines
from turnback.report.words_bench_seen import seen_words
from turnback.report.words_bench_slips import declared, set_name
from turnback.report.words_bench_told import assumed_lines, bench_cautions

SCHEMA_NAME: Final = "bench.schema.json"
"""The schema's file, beside ``bench.json``."""


@dataclass(frozen=True, slots=True)
class SeenData:
    """One thing that was seen or checked."""

    seen: Seen
    words: str


@dataclass(frozen=True, slots=True)
class WayData:
    """One way in which it may be put together: errors that are there together, and no other."""

    set: SlipSet
    words: str
    alike: bool
    """One of several that the signs do not separate."""


@dataclass(frozen=True, slots=True)
class CheckData:
    """A check worth doing next."""

    next: BenchNext
    words: str
    how: str
    caution: str


@dataclass(frozen=True, slots=True)
class CornerData:
    """One corner: how motor and propeller should turn, seen from above, and what is believed of it."""

    at: At
    turns: Rotation
    state: State


@dataclass(frozen=True, slots=True)
class BenchData:
    """The answer of the bench: how an aircraft may be put together, and what to look at next."""

    schema: int
    """Version of this shape."""
    front_left: Rotation
    """Declared scheme: how the front-left motor should turn, seen from above."""
    scheme_assumed: bool
    said: tuple[str, ...]
    """The five plain lines."""
    surprised: bool
    right: float
    """Chance that it is put together right."""
    slips: tuple[SlipFound, ...]
    """Each error with its chance, alone or beside others, most likely first."""
    ways: tuple[WayData, ...]
    """Most likely first."""
    corners: tuple[CornerData, ...]
    seen: tuple[SeenData, ...]
    taken_back: tuple[SeenData, ...]
    next_checks: tuple[CheckData, ...]
    mends: tuple[Mend, ...]
    wind_up: WindUp | None
    belief: Belief | None
    """Over the whole book; null where nothing of the book was told."""
    heard: tuple[Heard, ...]
    """Signs in the pilot's words; before they are confirmed they count for less."""
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


def bench_json(
    answer: BenchAnswer,
    *,
    heard: Sequence[Heard] = (),
    belief: Belief | None = None,
    book: Book | None = None,
    words: bool = False,
) -> str:
    """Return the answer as JSON text, one object, ending in a line feed."""
    return json_text(bench_data(answer, heard=heard, belief=belief, book=book, words=words))


def bench_data(
    answer: BenchAnswer,
    *,
    heard: Sequence[Heard] = (),
    belief: Belief | None = None,
    book: Book | None = None,
    words: bool = False,
) -> dict[str, Any]:
    """Return the answer as plain data, of the shape of `BenchData`."""
    alike = {set_key(each) for each in standing(answer)} if len(standing(answer)) > 1 else set()
    known = {set_key(each): each for each in (*answer.sets, *answer.survivors)}
    told = None if belief is None or book is None else belief_said(belief, book)
    data = BenchData(
        schema=SCHEMA,
        front_left=answer.front_left,
        scheme_assumed=answer.scheme_assumed,
        said=tuple(line.text for line in first_lines(answer, told, belief, heard=bool(heard), words=words)),
        surprised=answer.surprised,
        right=answer.right,
        slips=answer.slips,
        ways=tuple(
            WayData(each, capital(set_name(each)), key in alike)
            for key, each in sorted(known.items(), key=lambda item: -item[1].chance)
        ),
        corners=tuple(CornerData(at, declared(answer.front_left, at), corner_state(answer, at)[0]) for at in At),
        seen=tuple(SeenData(each, seen_words(each)) for each in answer.seen),
        taken_back=tuple(SeenData(each, seen_words(each)) for each in answer.taken_back),
        next_checks=tuple(_check(each) for each in answer.next_checks),
        mends=answer.mends,
        wind_up=answer.wind_up,
        belief=belief,
        heard=tuple(heard),
        assumed=assumed_lines(answer),
        cautions=bench_cautions(),
    )
    return {"$schema": SCHEMA_NAME, **plain(data)}


def _check(following: BenchNext) -> CheckData:
    said = check_said(following)
    return CheckData(following, said.name, said.how, said.caution)
