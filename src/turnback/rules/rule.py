"""What a rule is: a threshold as data, with its source and its reason."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rule:
    """One threshold.

    Parameters
    ----------
    key : str
        Name, such as ``"energy.landing_chance"``; findings carry it and words are keyed by it.
    value : float
        The threshold, in `unit`. For a plain fact (a question left open) it is 1.
    unit : str
        Unit of `value`; empty for a fraction or a fact.
    source : str
        Citation key (``base/sources.py``).
    why : str
        The reason, one sentence.
    do : str
        Key of what to do when the rule is not met.
    """

    key: str
    value: float
    unit: str
    source: str
    why: str
    do: str


@dataclass(frozen=True, slots=True)
class Threshold:
    """One threshold of reading a record; it asks for nothing to be done.

    Parameters
    ----------
    key : str
        Name, such as ``"record.link.dip_db"``; phases and events carry it.
    value : float
        In `unit`.
    unit : str
        Empty for a fraction or a count.
    source : str
        Citation key (``base/sources.py``).
    why : str
        The reason, one sentence.
    """

    key: str
    value: float
    unit: str
    source: str
    why: str
