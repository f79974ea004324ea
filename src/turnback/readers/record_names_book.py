"""The book of names: which words are known, what they mean, and how each quantity is named."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

from turnback.readers.record_names_short import by_first_letter, short_for
from turnback.records.channel import Quantity

COMMON: Final = 0.015  # how often a column that is none of ours has one given meaning in its name
MOSTLY: Final = 0.9  # a slot that is filled so often belongs to the whole name
Meaning = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """How one quantity is named."""

    slots: tuple[dict[str, float], ...]
    beside: frozenset[str]
    often: float
    """Share of all columns."""
    fits: tuple[dict[str, float], ...]
    """For each slot, the log of how much more often it is filled so than by chance."""
    empty: tuple[float, ...]
    """For each slot, the log of how often it stays empty."""
    needed: tuple[bool, ...]
    """Whether each slot belongs to a whole name."""


@cache
def _book() -> dict[str, Any]:
    return tomllib.loads(files("turnback.readers").joinpath("record_names.toml").read_text(encoding="utf-8"))


@cache
def patterns() -> dict[Quantity, Pattern]:
    """Return how each quantity is named."""
    return {Quantity(key): _pattern(row) for key, row in _book()["quantity"].items()}


def _pattern(row: dict[str, Any]) -> Pattern:
    slots = tuple(row["slots"])
    sums = [sum(slot.values()) for slot in slots]
    return Pattern(
        slots, frozenset(row["with"].split()), row["often"] / 100,
        tuple({part: math.log(share / COMMON) for part, share in slot.items()} for slot in slots),
        tuple(math.log(max(1.0 - total, 1e-3)) for total in sums), tuple(total >= MOSTLY for total in sums),
    )  # fmt: skip


@cache
def words() -> dict[str, tuple[tuple[Meaning, float], ...]]:
    """Return what each known word may mean."""
    found: dict[str, tuple[tuple[Meaning, float], ...]] = {}
    for meaning, listed in _book()["words"].items():
        for word in listed.split():
            found[word] = (*found.get(word, ()), ((meaning,), 1.0))
    for word, rows in _book()["symbols"].items():
        fused = tuple((tuple(row[0].split()), float(row[1])) for row in rows)
        found[word] = (*fused, *found.get(word, ()))
    return found


@cache
def phrases() -> dict[tuple[str, ...], tuple[tuple[Meaning, float], ...]]:
    """Return what two words mean together."""
    return {
        tuple(key.split("_")): tuple((tuple(means.split()), 1.0) for means in listed.split("|"))
        for key, listed in _book()["phrases"].items()
    }


@cache
def _first_letters() -> dict[str, list[tuple[str, str]]]:
    return by_first_letter(words())


@cache
def meanings_of(word: str) -> tuple[tuple[Meaning, float], ...]:
    """Return what a word may mean, cut short or not; nothing where it is like none that is known."""
    known = words().get(word)
    return short_for(word, words(), _first_letters()) if known is None else known


@cache
def corner_words() -> dict[str, dict[str, None]]:
    """Return the words and letters of front, rear, left and right."""
    return {side: dict.fromkeys(listed.split()) for side, listed in _book()["corners"].items()}
