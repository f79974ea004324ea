"""The phases of a record as one ribbon: stretches with a pattern each, times under it, marks of what weighs most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.happened import Phase, PhaseKind, RecordAnswer
from turnback.report.language import text
from turnback.report.record_curves import Tick, time_ticks
from turnback.report.record_values import moment
from turnback.report.words_record import STANDS_OUT
from turnback.report.words_record_events import weight
from turnback.report.words_record_phases import phase_label, phases_shown

LEAST_SHARE: Final = 0.002
"""A shorter phase is drawn with its neighbour: it would not be seen."""
MOST_MARKS: Final = 40
MOST_ROWS: Final = 200
NARROW_PX: Final = 330.0
WIDE_PX: Final = 900.0
LETTER_PX: Final = 8.6
AIR_PX: Final = 14.0


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of the ribbon."""

    kind: str
    left: float
    """Per cent of the ribbon."""
    width: float
    label: str
    fits: str
    """How much room its label takes: "always", "wide" (a desktop only), "never"."""


@dataclass(frozen=True, slots=True)
class Ribbon:
    """The whole ribbon."""

    stretches: tuple[Stretch, ...]
    kinds: tuple[tuple[str, str], ...]
    """Pattern and label of each kind that is there."""
    ticks: tuple[Tick, ...]
    marks: tuple[float, ...]
    rows: tuple[tuple[str, str], ...]
    """Times and label of every phase."""
    left_out: int
    alt: str


def ribbon(answer: RecordAnswer) -> Ribbon | None:
    """Return the ribbon of a record, or None where it has no phases."""
    phases = answer.flown.phases
    if not phases:
        return None
    start_s, end_s = phases[0].start_s, max(phases[-1].end_s, phases[0].start_s + 1e-9)
    length = end_s - start_s
    seen = _seen(phases, LEAST_SHARE * length)
    weighty = sorted(answer.events, key=lambda each: (-weight(each), each.start_s))[:MOST_MARKS]
    kinds = [kind for kind in PhaseKind if any(each.kind is kind for each in phases)]
    told = phases_shown(phases)
    rows = tuple((_span(each), phase_label(each.kind)) for each in told[:MOST_ROWS])
    return Ribbon(
        stretches=tuple(_stretch(kind, first, last, start_s, length) for kind, first, last in seen),
        kinds=tuple((kind.value, phase_label(kind)) for kind in kinds),
        ticks=time_ticks(start_s, end_s),
        marks=tuple(sorted(round((each.start_s - start_s) / length * 100.0, 2)
                           for each in weighty if weight(each) >= STANDS_OUT)),
        rows=rows,
        left_out=len(told) - len(rows),
        alt=text("The phases of the record, in time order, from {start} to {end}.", start=moment(start_s),
                 end=moment(end_s)),
    )  # fmt: skip


def _seen(phases: tuple[Phase, ...], least_s: float) -> list[tuple[PhaseKind, float, float]]:
    """Return what is wide enough to be drawn; what is not goes to the one before it, and like neighbours join."""
    seen: list[tuple[PhaseKind, float, float]] = []
    for phase in phases:
        short = phase.end_s - phase.start_s < least_s
        if seen and (short or seen[-1][0] is phase.kind):
            seen[-1] = (seen[-1][0], seen[-1][1], phase.end_s)
        else:
            seen.append((phase.kind, phase.start_s, phase.end_s))
    return seen


def _stretch(kind: PhaseKind, first_s: float, last_s: float, start_s: float, length_s: float) -> Stretch:
    label = phase_label(kind)
    share = (last_s - first_s) / length_s
    takes = len(label) * LETTER_PX + AIR_PX
    fits = "always" if share * NARROW_PX >= takes else "wide" if share * WIDE_PX >= takes else "never"
    return Stretch(kind.value, round((first_s - start_s) / length_s * 100.0, 3), round(share * 100.0, 3), label, fits)


def _span(phase: Phase) -> str:
    return text("{start} to {end}", start=moment(phase.start_s), end=moment(phase.end_s))
