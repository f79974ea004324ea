"""The book with the numbers that flown cases gave: how surely each cause shows each sign of a record, and the leaks.

``study_record.toml`` is written by ``python -m studies.debrief_flown.run``. A number in it stands instead of the
book's own, which was a guess; signs that no record shows, and causes that were not flown, keep theirs.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Final

import numpy as np

from turnback.knowledge.book import Basis, Book, Likelihood
from turnback.knowledge.look_alikes import Kit
from turnback.knowledge.together import Together, bundled_together

FILE: Final = Path(__file__).parent / "study_record.toml"


class Kind(Enum):
    """What kind of record it is; signs show in one that do not show in another."""

    FAST = "fast"  # a board's own: motion a hundred times a second or more
    SLOW = "slow"  # a radio's: link, volts, sticks, a few times a second
    TRACK = "track"  # places and little else


KIT_OF_KIND: Final = {Kind.FAST: Kit.FULL, Kind.SLOW: Kit.RADIO, Kind.TRACK: Kit.TRACK}
"""Whose look-alikes stand for causes that were not flown."""

Curve = tuple[tuple[float, float], ...]
"""Chance said of the likeliest cause, and share of such cases in which it was true; rising."""

LEAST, MOST = 0.01, 0.98
"""Our choice: no count of some hundred flights says more."""


@dataclass(frozen=True, slots=True)
class Study:
    """What flown cases gave.

    Parameters
    ----------
    shows : mapping of str to mapping of str to tuple
        By cause and sign: chance that the sign is seen where this cause alone is there, leak included, and how many
        flights it was counted in.
    leak : mapping of str to tuple
        By sign: chance without any of its causes, and how many flights it was counted in.
    power : float
        Log odds of `sure` are multiplied by it: signs of one record are less independent than belief takes them for.
    sure_most : float
        And no sign of a record counts as surer than this.
    unseen_power, unseen_most : float
        The same for what a record does not show: how strongly a fault shows differs more from aircraft to aircraft, and
        from generator to generator, than what it shows.
    kinds : mapping of Kind to Study
        Counted in records of one kind alone, near the numbers of all.
    curve : Curve
        Of the whole belief, held against flights in which nothing of it was counted; empty: not held.
    together : Together, optional
        What signs say together, fitted in the same flights.
    kind : Kind, optional
        Of the records that these numbers are for; None: of all.
    """

    shows: Mapping[str, Mapping[str, tuple[float, int]]] = field(default_factory=dict)
    leak: Mapping[str, tuple[float, int]] = field(default_factory=dict)
    power: float = 1.0
    sure_most: float = 0.99
    unseen_power: float = 1.0
    unseen_most: float = 0.99
    kinds: Mapping[Kind, Study] = field(default_factory=dict)
    curve: Curve = ()
    together: Together | None = None
    kind: Kind | None = None

    def of(self, kind: Kind | None) -> Study:
        """Return the numbers for one kind of record; those of all where there are none, or no record."""
        part = self.kinds.get(kind, self) if kind is not None else self
        return replace(self, shows=part.shows, leak=part.leak, kinds={}, kind=kind) if kind is not None else self

    def sure(self, sure: float, *, seen: bool) -> float:
        """Return how sure a sign of a record counts, from how sure its teller is; 0.5 to 1."""
        power, most = (self.power, self.sure_most) if seen else (self.unseen_power, self.unseen_most)
        held = min(max(sure, 0.5), 1.0 - 1e-9)
        odds = power * math.log(held / (1.0 - held))
        return min(1.0 / (1.0 + math.exp(-odds)), most)


def held_chance(curve: Curve, chance: float) -> float:
    """Return how often a cause was true of which this chance was said; between knots on a straight line.

    Parameters
    ----------
    curve : Curve
        Empty: the chance itself.
    chance : float
    """
    if not curve:
        return chance
    said, true = zip(*curve, strict=True)
    return float(np.interp(chance, said, true))


def read_study(text: str) -> Study:
    """Return the study that a TOML text holds.

    Parameters
    ----------
    text : str
        ``[cause.KEY]`` and ``[leak]`` with ``sign = [chance, flights]``; ``[sure]`` with ``power``, ``most``,
        ``unseen_power`` and ``unseen_most``; the same below the name of a kind: ``[fast.cause.KEY]``, ``[fast.leak]``;
        ``[curve]`` with ``said`` and ``true``.
    """
    table: dict[str, Any] = tomllib.loads(text)
    sure = {key: float(value) for key, value in table.get("sure", {}).items()}
    shows, leak = _numbers(table)
    kinds = {kind: Study(*_numbers(table[kind.value])) for kind in Kind if kind.value in table}
    curve = table.get("curve", {})
    knots = tuple(zip(map(float, curve.get("said", ())), map(float, curve.get("true", ())), strict=True))
    return Study(
        shows, leak, sure.get("power", 1.0), sure.get("most", 0.99), sure.get("unseen_power", 1.0),
        sure.get("unseen_most", 0.99), kinds, knots,
    )  # fmt: skip


def _numbers(table: dict[str, Any]) -> tuple[dict[str, dict[str, tuple[float, int]]], dict[str, tuple[float, int]]]:
    shows = {
        cause: {sign: (float(chance), int(flights)) for sign, (chance, flights) in row.items()}
        for cause, row in table.get("cause", {}).items()
    }
    leak = {sign: (float(chance), int(flights)) for sign, (chance, flights) in table.get("leak", {}).items()}
    return shows, leak


@cache
def bundled_study() -> Study:
    """Return the study beside this module; an empty one where none was made."""
    if not FILE.exists():
        return Study()
    return replace(read_study(FILE.read_text(encoding="utf-8")), together=bundled_together())


@lru_cache(maxsize=8)
def with_study(book: Book, kind: Kind | None = None) -> Book:
    """Return the book with the numbers of the study beside this module.

    Parameters
    ----------
    book : Book
        The one of this package: rows for causes or signs that it does not have are passed over.
    kind : Kind, optional
        Of the record; without one the book is returned as it is: words were not flown.
    """
    return book if kind is None else put_in(book, bundled_study().of(kind))


def put_in(book: Book, study: Study) -> Book:
    """Return the book with the numbers of a study.

    Where a leak fell below the book's own, causes that were not flown keep the chance to be seen with that sign that
    they had: the sign was fitted as usual rather than telling, and they have no flights to say otherwise.

    Parameters
    ----------
    book : Book
    study : Study
    """
    signs = tuple(
        replace(sign, leak=_held(study.leak[sign.key][0]), basis=Basis.STUDY) if sign.key in study.leak else sign
        for sign in book.signs
    )
    rows = {(one.cause, one.sign): one for one in book.likelihoods}
    known = {sign.key for sign in book.signs}
    leak_of = {sign.key: sign.leak for sign in book.signs}
    for cause in book.causes:
        counted = study.shows.get(cause.key)
        if counted is None:
            rows.update(_kept(book, cause.key, study, rows))
            continue
        for sign, (chance, _) in counted.items():
            if sign not in known:
                continue
            rows.pop((cause.key, sign), None)
            leak = _held(study.leak[sign][0]) if sign in study.leak else leak_of[sign]
            strength = strength_of(_held(chance), leak)
            if strength != 0.0:
                rows[cause.key, sign] = Likelihood(cause.key, sign, strength, Basis.STUDY)
    made = _book(book, signs, rows.values())
    if study.together is None or study.kind is None:
        return made
    return replace(made, together=study.together.of(KIT_OF_KIND[study.kind], [cause.key for cause in book.causes]))


def strength_of(chance: float, leak: float) -> float:
    """Return the noisy-OR strength under which a cause alone shows a sign with some chance; below 0 where it hides it.

    Parameters
    ----------
    chance, leak : float
        Below 1.
    """
    return 1.0 - (1.0 - chance) / (1.0 - leak)


def _held(chance: float) -> float:
    return min(max(chance, LEAST), MOST)


def _kept(
    book: Book, cause: str, study: Study, rows: Mapping[tuple[str, str], Likelihood]
) -> dict[tuple[str, str], Likelihood]:
    """Return the rows of a cause that was not flown, for signs whose leak fell."""
    found = {}
    for sign in book.signs:
        leak = _held(study.leak.get(sign.key, (sign.leak, 0))[0])
        if leak >= sign.leak:
            continue
        own = rows.get((cause, sign.key))
        hidden = (1.0 - sign.leak) * (1.0 - (0.0 if own is None else own.chance))
        chance = 1.0 - hidden / (1.0 - leak)
        if chance >= LEAST:
            basis = Basis.GUESS if own is None else own.basis
            found[cause, sign.key] = Likelihood(cause, sign.key, min(chance, MOST), basis)
    return found


def _book(book: Book, signs: tuple[Any, ...], rows: Iterable[Likelihood]) -> Book:
    of_cause = {cause.key: place for place, cause in enumerate(book.causes)}
    of_sign = {sign.key: place for place, sign in enumerate(signs)}
    ordered = tuple(sorted(rows, key=lambda one: (of_cause[one.cause], of_sign[one.sign])))
    strength = np.zeros((len(of_cause), len(of_sign)))
    for one in ordered:
        strength[of_cause[one.cause], of_sign[one.sign]] = one.chance
    strength.flags.writeable = False
    return Book(book.causes, signs, book.checks, ordered, strength)
