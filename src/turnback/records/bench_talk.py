"""A talk at the bench: what was told step by step, and both answers to it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer, Gains
from turnback.records.heard import Heard


class StepKind(Enum):
    """How a step was told."""

    SAW = "saw"
    """Of the aircraft at the bench; the texts of `readers.bench_said`."""
    CHECKED = "checked"
    SIGN = "sign"
    """A sign of the book that was seen."""
    NO_SIGN = "no-sign"
    """A sign of the book that was looked for and not seen."""
    SAID = "said"
    """The pilot's own words."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was told."""

    kind: StepKind
    text: str


@dataclass(frozen=True, slots=True)
class BenchTalk:
    """What was told, and what it leaves.

    Parameters
    ----------
    steps : tuple of Step
        Oldest first.
    taken_back : tuple of Step
        Told and no longer counted, oldest first.
    answer : BenchAnswer
        How it may be put together.
    heard : tuple of Heard
        Signs in the pilot's words, for confirmation.
    belief : Belief or None
        Over the whole book; none where nothing of the book was told.
    gains : Gains or None
        The pilot's own.
    """

    steps: tuple[Step, ...]
    taken_back: tuple[Step, ...]
    answer: BenchAnswer
    heard: tuple[Heard, ...]
    belief: Belief | None
    gains: Gains | None = None
