"""One row of the book, read with all of its faults collected: a faulty field gets a stand-in, so reading goes on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, Final, TypeVar

from turnback.base.errors import Fault
from turnback.knowledge.book import (
    SOMETHING_ELSE,
    Basis,
    Cause,
    CauseGroup,
    Channel,
    Check,
    CheckKind,
    Likelihood,
    Sign,
)

LONGEST_TEXT: Final = 600  # our choice: three short sentences; longer ones are not read on a phone
LONGEST_KEY: Final = 60  # our choice
PRIOR: Final = (1e-4, 0.2)
LEAK: Final = (0.001, 0.5)
CHANCE: Final = (0.01, 0.99)  # our choice: nothing shows always, and what shows less often is not worth a row
MINUTES: Final = (0.2, 60.0)
MOST_SIGNS: Final = 4

KEY: Final = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
CAUSE_FIELDS: Final = ("group", "name", "prior", "basis", "fix", "prevention", "caution", "shows")
CAUSE_MAY: Final = ("pilot_error", "alike")
SIGN_FIELDS: Final = ("name", "channel", "leak", "basis")
SIGN_MAY: Final = ("phrases",)
DECIDER_FIELDS: Final = ("name", "kind", "minutes", "signs")
DECIDER_MAY: Final = ("caution",)

Table = dict[str, Any]
Choice = TypeVar("Choice", bound=Enum)


@dataclass(frozen=True, slots=True)
class Row:
    """One table of a file.

    Parameters
    ----------
    where : str
        File and table, for faults: ``causes_build.toml: cause.loose-propeller``.
    key : str
    table : dict
    faults : list of Fault
        Shared by all rows of a book; reading appends to it.
    """

    where: str
    key: str
    table: Table
    faults: list[Fault] = field(repr=False)

    def fault(self, name: str, what: str, do: str) -> None:
        """Note one fault of a field."""
        self.faults.append(Fault(f"{self.where}.{name}" if name else self.where, what, do))

    def verify_fields(self, needed: Iterable[str], may: Iterable[str]) -> None:
        """Note a bad key, fields that are missing, and fields that no row has."""
        if len(self.key) > LONGEST_KEY or not KEY.fullmatch(self.key):
            self.fault("", "the key is not lower-case words joined by hyphens", "write it like loose-propeller")
        if self.key == SOMETHING_ELSE:
            self.fault("", "this key is kept for what the book does not know", "choose another key")
        for name in needed:
            if name not in self.table:
                self.fault(name, "is missing", "add it")
        for name in sorted(set(self.table) - {*needed, *may}):
            self.fault(name[:LONGEST_KEY], "is no field of this table", f"use one of {', '.join((*needed, *may))}")

    def words(self, name: str, sentence: bool) -> str:
        """Return a text: whole sentences, or a clause without a full stop."""
        value = self.table.get(name, "")
        if name in self.table:
            self._verify_words(name, value, sentence)
        return value if isinstance(value, str) else ""

    def _verify_words(self, name: str, value: object, sentence: bool) -> None:
        if not isinstance(value, str) or not value.strip():
            self.fault(name, f"{str(value)[:40]!r} says nothing", "write a text in quotes")
        elif len(value) > LONGEST_TEXT:
            self.fault(name, f"has {len(value)} letters, more than {LONGEST_TEXT}", "say it in short sentences")
        elif "{" in value or "}" in value or value != " ".join(value.split()):
            self.fault(name, "has a brace, a line break or double spaces", "write plain words on one line")
        elif value.endswith((".", "?")) != sentence:
            do = "end the sentence with a full stop" if sentence else "leave the full stop out"
            self.fault(name, f"{value[-30:]!r} ends wrong", do)

    def number(self, name: str, limits: tuple[float, float]) -> float:
        """Return a number inside limits, or not-a-number."""
        return self.hold(name, self.table.get(name), limits) if name in self.table else float("nan")

    def hold(self, name: str, value: object, limits: tuple[float, float]) -> float:
        """Return a value as a number inside limits, or not-a-number."""
        low, high = limits
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            self.fault(name, f"{str(value)[:40]!r} is not a number from {low:g} to {high:g}", "correct the number")
            return float("nan")
        return float(value)

    def choice(self, name: str, kind: type[Choice]) -> Choice:
        """Return a member of an enum by its value, or the first one."""
        return self.pick(name, self.table.get(name), kind) if name in self.table else next(iter(kind))

    def pick(self, name: str, value: object, kind: type[Choice]) -> Choice:
        """Return a member of an enum by its value, or the first one."""
        known = {member.value: member for member in kind}
        if not isinstance(value, str) or value not in known:
            self.fault(name, f"{str(value)[:40]!r} is not known here", f"write one of: {'; '.join(known)}")
            return next(iter(kind))
        return known[value]

    def texts(self, name: str) -> tuple[str, ...]:
        """Return a list of texts, each once."""
        value = self.table.get(name, [])
        if not isinstance(value, list) or not all(isinstance(one, str) and one.strip() for one in value):
            self.fault(name, "is not a list of texts", 'write it like ["one", "two"]')
            return ()
        for one in sorted({one for one in value if value.count(one) > 1}):
            self.fault(name, f"{one[:LONGEST_KEY]!r} is there twice", "keep one of the two")
        return tuple(value)


def read_cause(row: Row) -> tuple[Cause, tuple[Likelihood, ...], tuple[str, ...]]:
    """Return a cause, what it shows, and the causes that it declares itself not separable from."""
    row.verify_fields(CAUSE_FIELDS, CAUSE_MAY)
    pilot_error = row.table.get("pilot_error", False)
    if not isinstance(pilot_error, bool):
        row.fault("pilot_error", f"{str(pilot_error)[:40]!r} is neither true nor false", "write true, or leave it out")
    cause = Cause(
        row.key,
        row.choice("group", CauseGroup),
        row.words("name", sentence=False),
        row.number("prior", PRIOR),
        row.choice("basis", Basis),
        row.words("fix", sentence=True),
        row.words("prevention", sentence=True),
        row.words("caution", sentence=True),
        pilot_error is True,
    )
    return cause, _shown(row), row.texts("alike")


def _shown(row: Row) -> tuple[Likelihood, ...]:
    shows = row.table.get("shows", {})
    if not isinstance(shows, dict):
        row.fault("shows", "is not a table", f"write [cause.{row.key}.shows] with one line for each sign")
        return ()
    likelihoods = []
    for sign, pair in shows.items():
        name = f"shows.{sign[:LONGEST_KEY]}"
        if not isinstance(pair, list) or len(pair) != 2:
            row.fault(name, "is not a chance and where it comes from", 'write it like [0.9, "our guess"]')
            continue
        chance = row.hold(name, pair[0], CHANCE)
        likelihoods.append(Likelihood(row.key, sign, chance, row.pick(name, pair[1], Basis)))
    return tuple(likelihoods)


def read_sign(row: Row) -> Sign:
    """Return a sign."""
    row.verify_fields(SIGN_FIELDS, SIGN_MAY)
    channel = row.choice("channel", Channel)
    phrases = row.texts("phrases")
    if channel is Channel.SAID and "channel" in row.table and not phrases:
        row.fault("phrases", "a sign that the pilot says has none", "add the words that pilots use for it")
    return Sign(
        row.key,
        row.words("name", sentence=False),
        channel,
        row.number("leak", LEAK),
        row.choice("basis", Basis),
        phrases,
    )


def read_decider(row: Row) -> Check:
    """Return one check."""
    row.verify_fields(DECIDER_FIELDS, DECIDER_MAY)
    kind = row.choice("kind", CheckKind)
    signs = row.texts("signs")
    if "signs" in row.table and not 1 <= len(signs) <= MOST_SIGNS:
        row.fault("signs", f"it tells {len(signs)} signs, not 1 to {MOST_SIGNS}", "split it, or name what it tells")
    caution = row.words("caution", sentence=True)
    if kind is not CheckKind.ASK and not caution:
        row.fault("caution", "is missing; only a question may do without", "say how it can hurt and what prevents it")
    if kind is CheckKind.POWERED and "propellers off" not in caution.lower():
        row.fault("caution", "it does not say propellers off", "say: propellers off, restrained, short, no throttle")
    name = row.words("name", sentence=True)
    return Check(row.key, name, kind, row.number("minutes", MINUTES), signs, caution)
