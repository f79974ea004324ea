"""The chain of a debrief, kept in its output folder until there is a desk: read from strangers, so with limits."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.kept_file import AGAIN, is_marked, kept_json, mark_of
from turnback.readers.said import said
from turnback.records.debrief import Answered, DebriefAnswer, RecordSign, SignsTold

CHAIN_NAME: Final = "chain.json"
MARK: Final = "turnback_debrief_chain"
MOST: Final = 500
LONGEST_TEXT: Final = 20_000
WHAT: Final = "debrief"


@dataclass(frozen=True, slots=True)
class KeptDebrief:
    """What a kept chain holds.

    Parameters
    ----------
    on : date
    words : tuple of str
    answers, taken_back : tuple of Answered
    record, plan : str
        Paths as they were given; empty where there was none.
    earlier : tuple of str
    facts : tuple of tuple of str and float or str
        What was said beside the record: cells, chemistry, blades, rate_hz.
    signs : tuple of RecordSign
        What the record showed.
    marks : tuple of tuple of str and str
        By path: size and digest of what was read (`kept_file.mark_of`).
    kind : str
        Of the record: a value of `knowledge.from_study.Kind`; empty without a record.
    """

    on: date
    words: tuple[str, ...] = ()
    answers: tuple[Answered, ...] = ()
    taken_back: tuple[Answered, ...] = ()
    record: str = ""
    plan: str = ""
    earlier: tuple[str, ...] = ()
    facts: tuple[tuple[str, float | str], ...] = ()
    signs: tuple[RecordSign, ...] = ()
    kind: str = ""
    marks: tuple[tuple[str, str], ...] = ()

    def same(self, path: str) -> Path | None:
        """Return a path that was given, where what was read then is still there; else None."""
        return Path(path) if path and is_marked(Path(path), dict(self.marks).get(path, "")) else None


def debrief_chain_text(
    answer: DebriefAnswer, *, record: Path | None = None, plan: Path | None = None, earlier: Sequence[Path] = ()
) -> str:
    """Return the chain of an answer as JSON; `read_debrief_chain` reads it back."""
    flight = answer.record.flown.record.facts if answer.record is not None else None
    facts = {} if flight is None else {
        "cells": flight.cells, "chemistry": flight.chemistry, "blades": flight.blades, "rate_hz": flight.rate_hz,
    }  # fmt: skip
    given = [str(path.absolute()) for path in (record, plan, *earlier) if path is not None]
    whole = {
        MARK: 1,
        "on": answer.on.isoformat(),
        "words": list(answer.words),
        "answers": [{each.check: each.result} for each in answer.answers],
        "taken_back": [{each.check: each.result} for each in answer.taken_back],
        "record": "" if record is None else str(record.absolute()),
        "plan": "" if plan is None else str(plan.absolute()),
        "earlier": [str(path.absolute()) for path in earlier],
        "marks": {path: mark_of(Path(path)) for path in given},
        "facts": {key: value for key, value in facts.items() if value is not None},
        "kind": answer.kind,
        # after an injury nothing that leads to a cause is left lying about: the record itself tells it anew
        "signs": [] if answer.held_back and record is not None else [_plain(each) for each in answer.signs.signs],
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def read_debrief_chain(path: Path) -> KeptDebrief:
    """Read a chain that was kept.

    Parameters
    ----------
    path : Path
        The file, or the folder that holds it as ``chain.json``.

    Raises
    ------
    InputError
        If it is not there, is too large, or is no chain of a debrief.
    """
    file = path / CHAIN_NAME if path.is_dir() else path
    found = kept_json(file, MARK, WHAT)
    try:
        return KeptDebrief(
            on=date.fromisoformat(_text(found.get("on"))),
            words=tuple(_text(each) for each in _list(found.get("words"))),
            answers=tuple(_answered(each) for each in _list(found.get("answers"))),
            taken_back=tuple(_answered(each) for each in _list(found.get("taken_back"))),
            record=_text(found.get("record")),
            plan=_text(found.get("plan")),
            earlier=tuple(_text(each) for each in _list(found.get("earlier"))),
            facts=tuple(_facts(found.get("facts"))),
            signs=tuple(_sign(each) for each in _list(found.get("signs"))),
            kind=_text(found.get("kind", "")),
            marks=tuple((_text(key), _text(mark)) for key, mark in _table(found.get("marks", {}))),
        )
    except ValueError as error:
        raise bad_input(str(file), f"is no chain of a {WHAT}: {error}", AGAIN) from None


def signs_told(kept: KeptDebrief) -> SignsTold:
    """Return what the record of a kept chain showed."""
    return SignsTold(kept.signs)


def known_signs_only(kept: KeptDebrief, known: frozenset[str], where: str) -> None:
    """Make sure that the book has every sign that a chain names.

    Raises
    ------
    InputError
        With one sentence for each that it has not.
    """
    faults = [
        Fault(where, f"{said(each.sign)} is no sign of the book", AGAIN)
        for each in kept.signs
        if each.sign not in known
    ]
    if faults:
        raise InputError(*faults[:5])


def _plain(sign: RecordSign) -> dict[str, Any]:
    return {
        "sign": sign.sign, "seen": sign.seen, "sure": sign.sure, "group": sign.group, "start_s": sign.start_s,
        "end_s": sign.end_s,
        "values": {key: value for key, value in sign.values.items() if math.isfinite(value)},
    }  # fmt: skip


def _sign(row: object) -> RecordSign:
    if not isinstance(row, dict) or not isinstance(row.get("seen"), bool):
        raise ValueError(f"{said(row)} is no sign")
    values = row.get("values")
    if not isinstance(values, dict) or len(values) > MOST:
        raise ValueError(f"{said(values)} are no values")
    return RecordSign(
        sign=_text(row.get("sign")),
        seen=row["seen"],
        sure=_number(row.get("sure"), 0.5, 1.0),
        group=_text(row.get("group")),
        start_s=None if row.get("start_s") is None else _number(row["start_s"], -1e9, 1e9),
        end_s=None if row.get("end_s") is None else _number(row["end_s"], -1e9, 1e9),
        values={_text(key): _number(value, -1e15, 1e15) for key, value in values.items()},
    )


def _answered(row: object) -> Answered:
    pair = next(iter(row.items())) if isinstance(row, dict) and len(row) == 1 else None
    if pair is None:
        raise ValueError(f"{said(row)} is no answer")
    return Answered(_text(pair[0]), _text(pair[1]))


def _facts(given: object) -> list[tuple[str, float | str]]:
    if not isinstance(given, dict):
        raise ValueError(f"{said(given)} are no facts")
    found: list[tuple[str, float | str]] = []
    for key in ("cells", "blades", "rate_hz"):
        if key in given:
            found.append((key, _number(given[key], 0.0, 1e6)))
    if "chemistry" in given:
        found.append(("chemistry", _text(given["chemistry"])))
    return found


def _table(given: object) -> list[tuple[Any, Any]]:
    if not isinstance(given, dict) or len(given) > MOST:
        raise ValueError(f"{said(given)} is no table of at most {MOST}")
    return list(given.items())


def _list(given: object) -> list[Any]:
    if not isinstance(given, list) or len(given) > MOST:
        raise ValueError(f"{said(given)} is no list of at most {MOST}")
    return given


def _text(given: object) -> str:
    if not isinstance(given, str) or len(given) > LONGEST_TEXT:
        raise ValueError(f"{said(given)} is no text")
    return given


def _number(given: object, low: float, high: float) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float) or not low <= given <= high:
        raise ValueError(f"{said(given)} is no number from {low:g} to {high:g}")
    return float(given)
