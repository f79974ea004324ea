"""The phases of a record in words: a short label for the ribbon, and a sentence for the story."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from turnback.records.happened import Phase, PhaseKind
from turnback.report.language import mark, text
from turnback.report.record_values import lasting, moment

LABELS: Final[dict[PhaseKind, str]] = {
    PhaseKind.BENCH: mark("on the bench"),
    PhaseKind.GROUND: mark("on the ground"),
    PhaseKind.ARMED_ON_GROUND: mark("armed on the ground"),
    PhaseKind.TAKE_OFF: mark("take-off"),
    PhaseKind.HOVER: mark("hover"),
    PhaseKind.CRUISE: mark("cruise"),
    PhaseKind.RETURN: mark("automatic return"),
    PhaseKind.FALL: mark("fall"),
    PhaseKind.CARRIED: mark("carried"),
    PhaseKind.UNKNOWN: mark("not told"),
    PhaseKind.ALOFT: mark("in the air"),
}
SENTENCES: Final[dict[PhaseKind, str]] = {
    PhaseKind.BENCH: mark("At {time} its motors ran while it lay still, for {lasting}: without propellers, it seems."),
    PhaseKind.GROUND: mark("At {time} it was on the ground, for {lasting}."),
    PhaseKind.ARMED_ON_GROUND: mark("At {time} it was armed and still on the ground, for {lasting}."),
    PhaseKind.TAKE_OFF: mark("At {time} it took off."),
    PhaseKind.HOVER: mark("At {time} it hovered, for {lasting}."),
    PhaseKind.CRUISE: mark("At {time} it flew along, for {lasting}."),
    PhaseKind.RETURN: mark("At {time} the automatic return flew it, for {lasting}."),
    PhaseKind.FALL: mark("At {time} it fell, for {lasting}."),
    PhaseKind.CARRIED: mark("At {time} it was moved with its motors off, for {lasting}."),
    PhaseKind.UNKNOWN: mark("From {time} on the record does not tell what it did, for {lasting}."),
    PhaseKind.ALOFT: mark("At {time} it was in the air, for {lasting}."),
}


def phase_label(kind: PhaseKind) -> str:
    """Return a phase as a label."""
    return text(LABELS[kind])


def phases_shown(phases: Iterable[Phase]) -> tuple[Phase, ...]:
    """Return the phases that last long enough to be told by times to a tenth of a second."""
    return tuple(each for each in phases if moment(each.start_s) != moment(each.end_s))


def phase_sentence(phase: Phase) -> str:
    """Return a phase as a sentence with its time."""
    spent = lasting(phase.end_s - phase.start_s) or text("an instant")
    return text(SENTENCES[phase.kind], time=moment(phase.start_s), lasting=spent)
