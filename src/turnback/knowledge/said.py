"""How pilots' words hang together: which mean the same, which deny, which doubt. Data of ``said.toml``, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final

OUTCOME: Final = ("signs", "words", "background", "of_aircraft", "undeniable")


@dataclass(frozen=True, slots=True)
class Said:
    """The tables of ``said.toml``.

    Parameters
    ----------
    alike : dict
        Name of a group of words or expressions with one meaning, and its members.
    short, spelling, irregular : dict
        Short forms written out ("dont"), other spellings, and forms that no ending explains ("fell").
    empty : frozenset of str
        Words that tell nothing by themselves.
    soft : frozenset of str
        Words that tell little by themselves, such as "off" and "only".
    plain : frozenset of str
        English words that are no slip of the pen of a word that matters.
    affirm : frozenset of str
        Words that tell that a thing did happen: "the warning came on time".
    deny, doubt, idioms, wishes : tuple of str
        Words and expressions: that deny what follows, that make it less sure, that only look like a denial, and that
        begin what is not told as having happened.
    phrases, denials : dict
        Sign key, and further ways to say that it is there, or that it is not.
    needs, bars : dict
        Sign key, and words of which one must be said near it, or none: what is "not full" beside "goggles" is no pack.
    outcome_signs, outcome_words, background : frozenset of str
        Signs that may be only how it ended, the meanings that tell no more than that, and signs without an end.
    of_aircraft, undeniable : frozenset of str
        Signs that only the aircraft itself can show, and signs of which a denial tells nothing.
    """

    alike: dict[str, tuple[str, ...]]
    short: dict[str, str]
    spelling: dict[str, str]
    irregular: dict[str, str]
    empty: frozenset[str]
    soft: frozenset[str]
    plain: frozenset[str]
    affirm: frozenset[str]
    deny: tuple[str, ...]
    doubt: tuple[str, ...]
    idioms: tuple[str, ...]
    wishes: tuple[str, ...]
    phrases: dict[str, tuple[str, ...]]
    denials: dict[str, tuple[str, ...]]
    needs: dict[str, frozenset[str]]
    bars: dict[str, frozenset[str]]
    outcome_signs: frozenset[str]
    outcome_words: frozenset[str]
    background: frozenset[str]
    of_aircraft: frozenset[str]
    undeniable: frozenset[str]


def said_from(text: str) -> Said:
    """Return the tables of a TOML text."""
    table = tomllib.loads(text)
    words: dict[str, Any] = table["words"]
    return Said(
        _lists(table["alike"]),
        dict(table["short"]),
        dict(table["spelling"]),
        {form: base for base, forms in table["irregular"].items() for form in forms.split()},
        frozenset(" ".join(words["empty"]).split()),
        frozenset(" ".join(words["soft"]).split()),
        frozenset(" ".join(words["plain"]).split()),
        frozenset(words["affirm"]),
        tuple(words["deny"]),
        tuple(words["doubt"]),
        tuple(words["idioms"]),
        tuple(words["wishes"]),
        _lists(table["phrases"]),
        _lists(table["denials"]),
        _sets(table["needs"]),
        _sets(table["bars"]),
        *(frozenset(table["outcome"][key].split()) for key in OUTCOME),
    )


@cache
def read_said() -> Said:
    """Return the tables that come with this package."""
    return said_from(resources.files("turnback.knowledge").joinpath("said.toml").read_text(encoding="utf-8"))


def _lists(table: dict[str, list[str]]) -> dict[str, tuple[str, ...]]:
    return {key: tuple(rows) for key, rows in table.items()}


def _sets(table: dict[str, str]) -> dict[str, frozenset[str]]:
    return {key: frozenset(words.split()) for key, words in table.items()}
