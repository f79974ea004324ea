"""What makes a book inconsistent as a whole, when each row of it is well-formed: every fault, all at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

from turnback.base.errors import Fault
from turnback.knowledge.book import Cause, Check, Likelihood, Sign

SAME_CHANCE: Final = 1e-9


@dataclass(slots=True)
class Pages:
    """What was read so far, by key, with the place of each row.

    Attributes
    ----------
    causes, signs, deciders : dict
        Row by key; a `Check` is called a decider here.
    likelihoods : list of Likelihood
    alike : dict
        Causes that a cause declares itself not separable from.
    places : dict
        File and table by (kind, key).
    """

    causes: dict[str, Cause] = field(default_factory=dict)
    signs: dict[str, Sign] = field(default_factory=dict)
    deciders: dict[str, Check] = field(default_factory=dict)
    likelihoods: list[Likelihood] = field(default_factory=list)
    alike: dict[str, tuple[str, ...]] = field(default_factory=dict)
    places: dict[tuple[str, str], str] = field(default_factory=dict)


def inconsistencies(pages: Pages) -> tuple[Fault, ...]:
    """Return all that keeps well-formed rows from being one book."""
    return (
        *_unknown(pages),
        *_left_over(pages),
        *_same_names(pages),
        *_same_phrases(pages),
        *_same_columns(pages),
    )


def _unknown(pages: Pages) -> Iterator[Fault]:
    """Tell names that stand for nothing."""
    for likelihood in pages.likelihoods:
        if likelihood.sign not in pages.signs:
            where = f"{pages.places['cause', likelihood.cause]}.shows.{likelihood.sign[:60]}"
            yield Fault(where, "there is no such sign", "correct the name, or add the sign to a signs file")
    for key, decider in pages.deciders.items():
        for sign in decider.signs:
            if sign not in pages.signs:
                where = f"{pages.places['check', key]}.signs"
                yield Fault(where, f"there is no sign {sign[:60]!r}", "correct the name, or add the sign")
    for key, others in pages.alike.items():
        for other in others:
            if other not in pages.causes or other == key:
                where = f"{pages.places['cause', key]}.alike"
                yield Fault(where, f"there is no other cause {other[:60]!r}", "correct the name, or leave it out")


def _left_over(pages: Pages) -> Iterator[Fault]:
    """Tell rows that nothing reaches."""
    shown = {likelihood.sign for likelihood in pages.likelihoods}
    told = {sign for decider in pages.deciders.values() for sign in decider.signs}
    for key in pages.signs:
        if key not in shown:
            yield Fault(pages.places["sign", key], "no cause shows it", "add it to a cause, or leave it out")
    for key in pages.causes:
        shows = {likelihood.sign for likelihood in pages.likelihoods if likelihood.cause == key}
        if not shows & pages.signs.keys():
            yield Fault(pages.places["cause", key], "it shows no sign", "say under shows how it is noticed")
        elif not shows & told:
            yield Fault(
                pages.places["cause", key], "nothing that can be done tells it", "add one check of a sign that it shows"
            )


def _same_names(pages: Pages) -> Iterator[Fault]:
    """Tell two rows of one kind with one name."""
    kinds: tuple[tuple[str, Iterable[Cause | Sign | Check]], ...] = (
        ("cause", pages.causes.values()),
        ("sign", pages.signs.values()),
        ("check", pages.deciders.values()),
    )
    for kind, rows in kinds:
        first: dict[str, str] = {}
        for row in rows:
            name = _plain(row.name)
            if name and first.setdefault(name, row.key) != row.key:
                where = f"{pages.places[kind, row.key]}.name"
                yield Fault(where, f"{first[name]} has the same name", "give one of them another name, or join them")


def _same_phrases(pages: Pages) -> Iterator[Fault]:
    """Tell words of pilots that would mean two signs."""
    first: dict[str, str] = {}
    for sign in pages.signs.values():
        for phrase in sign.phrases:
            owner = first.setdefault(_plain(phrase), sign.key)
            if owner != sign.key:
                where = f"{pages.places['sign', sign.key]}.phrases"
                yield Fault(where, f"{phrase[:60]!r} is a phrase of {owner} too", "keep it at the sign that it means")


def _same_columns(pages: Pages) -> Iterator[Fault]:
    """Tell causes that show the same signs with the same chances, unless one declares itself alike."""
    columns: dict[tuple[tuple[str, int], ...], list[str]] = {}
    for key in pages.causes:
        shows = [one for one in pages.likelihoods if one.cause == key and one.chance == one.chance]
        column = tuple(sorted((one.sign, round(one.chance / SAME_CHANCE)) for one in shows))
        for other in columns.get(column, ()) if column else ():
            if other not in pages.alike.get(key, ()) and key not in pages.alike.get(other, ()):
                what = f"it shows the same signs with the same chances as {other}"
                do = "add a sign that separates them, or declare them alike"
                yield Fault(f"{pages.places['cause', key]}.shows", what, do)
        columns.setdefault(column, []).append(key)


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())
