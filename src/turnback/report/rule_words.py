"""What the words of one rule are: a title, the plain fact, and the sentence that carries its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from turnback.report.language import mark
from turnback.report.numbers import Toward

VALUE: Final = mark("{fact}: {value}{band}.")
"""A fact with a number and no limit."""
NUMBERS: Final = mark("{fact} ({value}{band}, held against {limit}).")
"""A fact with a number and a limit, where its rule has no sentence of its own for them."""


class Kind(Enum):
    """How a number without a unit is said."""

    RATIO = "ratio"
    SHARE = "share of a whole, as per cent"
    HOLDS = "chance that it holds, said as how often it fails"
    FAILS = "chance that it fails, said as how often"
    COUNT = "a whole number of things"


@dataclass(frozen=True, slots=True)
class RuleWords:
    """Words of one rule.

    In `measured` the places ``{value}``, ``{limit}`` and ``{band}`` take text that is already rounded and in the
    reader's units; ``{band}`` is empty where nothing is known of the ends, and ``{allowed}`` is a clause of its own
    that says what a go, or a go with limits, allows. A rule about a plain fact has no such sentence; its numbers then
    follow the fact, as in `NUMBERS`. All are marked for translation where they are written.
    """

    title: str
    fact: str
    measured: str = ""
    negative: str = ""
    """Instead of `measured` where the value is below zero; ``{value}`` is then its size."""
    kind: Kind = Kind.RATIO
    value_toward: Toward = Toward.NEAREST
    limit_toward: Toward = Toward.NEAREST
    """The careful side, where the same number is also a limit that a pilot keeps to: one number, one rounding."""
