"""Findings and verdicts: data only. Their words are made in ``report/words.py``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum


class Verdict(Enum):
    """What a brief answers."""

    GO = "go"
    GO_WITH_LIMITS = "go with limits"
    NO_GO = "no-go"
    CANNOT_SAY = "cannot say"


class Severity(Enum):
    """What one finding does to the verdict."""

    NOTE = "note"
    LIMIT = "limit"
    UNKNOWN = "unknown"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Spread:
    """A best estimate and the ends of what is not known.

    Parameters
    ----------
    mid : float
        With every unknown at its best estimate (median over what is not known).
    low, high : float
        5 % and 95 % of the value over what is not known, in the same unit.
    """

    mid: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the brief found.

    Parameters
    ----------
    rule : str
        Key of the rule, such as ``"pack.landing_rest_v"``; words and the report's anchors are keyed by it.
    severity : Severity
        What it does to the verdict.
    value, limit : float or None
        What was found, and what it was held against, in `unit`.
    unit : str
        Unit of value, limit, low and high; empty for a plain fact.
    low, high : float or None
        The value at the ends of what is not known.
    source : str
        Citation key of the rule (``base/sources.py``).
    do : str
        Key of what to do about it; worded in ``report/words.py``.
    evidence : mapping
        Numbers and short keys that the sentence needs (``{"obstacle_m": 1820.0}``).
    """

    rule: str
    severity: Severity
    value: float | None
    unit: str
    limit: float | None
    low: float | None
    high: float | None
    source: str
    do: str
    evidence: Mapping[str, float | str] = field(default_factory=dict)
