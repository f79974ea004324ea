"""What would make this a go: single changes that lift the verdict, and the unknown that costs most."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.finding import Spread, Verdict


class ChangeKind(Enum):
    """What is changed."""

    DISTANCE = "distance"
    HEIGHT = "height"
    RETURN_HEIGHT = "return height"
    PACK_CHARGED = "pack charged full"
    PACK_LARGER = "larger pack"
    PACK_WARM = "warm pack"
    WIND = "wind to wait for"
    GROUND_ANTENNA_HEIGHT = "ground antenna height"
    GROUND_ANTENNA_GAIN = "ground antenna gain"
    MEASUREMENT = "measurement"
    ANSWERS = "answers"


@dataclass(frozen=True, slots=True)
class Change:
    """One change, the smallest of its kind that lifts the verdict."""

    kind: ChangeKind
    key: str
    """Parameter measured (``"pack.resistance_ohm"``), link changed (``"control"``, ``"video"``), or what a height of
    the route counts from (``"launch"``, ``"ground"``); else empty."""
    now: float | None
    value: float | None
    """Before and after, in `unit`; None where it has no number."""
    unit: str
    verdict: Verdict
    """What the brief then answers, by the same computation."""
    home: Spread


@dataclass(frozen=True, slots=True)
class Unknown:
    """One unknown and what knowing it is worth."""

    key: str
    of: str
    """The figure it moves: ``"energy"``, ``"control"`` or ``"video"``."""
    band_ratio: float
    """Width of that figure's band with it measured over the width now; 0.5 where measuring halves it."""


@dataclass(frozen=True, slots=True)
class ChangesResult:
    """The smallest single changes, each of its kind, those that lift farthest and ask least first."""

    verdict: Verdict
    """As the plan stands."""
    open_answers: tuple[str, ...]
    """Rule keys of open questions that every change below takes as answered well; empty where none is open."""
    answered: Verdict
    """With those questions answered well and nothing else changed."""
    changes: tuple[Change, ...]
    """None lifts the verdict where this is empty and the verdict is not a go."""
    beside: tuple[str, ...]
    """Rule keys of stops and limits that no change here can lift (such as people underneath), or that stayed in every
    changed flight that came as far as they do."""
    costs_most: Unknown | None
    tried: int
    """How many changed flights were computed."""
    looked_at: tuple[ChangeKind, ...] = ()
    """Kinds of change that were tried; the others do not fit this plan, or cannot lift what holds it back."""
