"""What was observed, what is believed for it, and what would decide: the belief engine's records."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Told(Enum):
    """Who says that a sign was observed or not."""

    WORDS = "words"
    RECORD = "record"
    CHECK = "check"


@dataclass(frozen=True, slots=True)
class Observation:
    """One sign, seen or not seen, by soft evidence.

    Parameters
    ----------
    sign : str
        Key in the book.
    seen : bool
    sure : float
        0.5 to 1: chance that one who says so is right, where seen and not seen were equally likely before; 1 is hard
        evidence.
    group : str
        Observations of one group share their error: one sentence, or one channel and span of a record.
    told : Told
    teller_sure : float, optional
        Of a sign of a record: how sure its teller is, before that was held to flown cases.
    """

    sign: str
    seen: bool
    sure: float
    group: str
    told: Told
    teller_sure: float | None = None


@dataclass(frozen=True, slots=True)
class Leaning:
    """By how much the odds of a cause are moved by what is no sign, natural logarithm."""

    cause: str
    nats: float


Lean = tuple[Leaning, ...]
"""A cause each, most first."""


class Judged(Enum):
    """What may be said of the causes."""

    CAUSE = "one cause"
    SEVERAL = "several causes that the signs do not separate"
    SOMETHING_ELSE = "something else"
    NOTHING_WRONG = "nothing wrong"
    CANNOT_SAY = "cannot say"


@dataclass(frozen=True, slots=True)
class Weight:
    """What one sign says for (positive) or against a cause, in decibans: 10 is ten to one."""

    sign: str
    seen: bool
    decibans: float


@dataclass(frozen=True, slots=True)
class Believed:
    """One cause with the chance that it is there, alone or beside others."""

    cause: str
    chance: float
    weights: tuple[Weight, ...]
    """Strongest first."""


@dataclass(frozen=True, slots=True)
class CauseSet:
    """Causes that are there together, and no other; empty is "nothing wrong"."""

    causes: tuple[str, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """One possible result of a check: which of its signs are seen, and how likely that is."""

    seen: tuple[bool, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class NextCheck:
    """A check worth doing next."""

    check: str
    bits: float
    """Expected information about which causes are there."""
    minutes: float
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed after all observations.

    Parameters
    ----------
    judged : Judged
    survivors : tuple of str
        Causes that may be named: one for `Judged.CAUSE`, all that the signs leave for `Judged.SEVERAL`, else empty.
    causes : tuple of Believed
        Most likely first, `knowledge.book.SOMETHING_ELSE` among them.
    nothing_wrong : float
    sets : tuple of CauseSet
        The most likely sets, at most 10.
    observations : tuple of Observation
        The chain, oldest first.
    next_checks : tuple of NextCheck
        Best first; empty where no check of the book tells anything more.
    lean : Lean
        What moved the odds of causes beside the observations.
    """

    judged: Judged
    survivors: tuple[str, ...]
    causes: tuple[Believed, ...]
    nothing_wrong: float
    sets: tuple[CauseSet, ...]
    observations: tuple[Observation, ...]
    next_checks: tuple[NextCheck, ...] = ()
    lean: Lean = ()
