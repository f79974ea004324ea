"""Until when what a record shows can be a cause of how the flight ended."""

from __future__ import annotations

from turnback.records.happened import ALOFT, EventKind, PhaseKind, RecordAnswer
from turnback.rules.record_debrief import FALL_TELLS, FLIES_ON

BLOW_S = 5.0  # what strikes for longer without an end is a sensor that shakes
NEAR_S = 0.3
CAUGHT_S = 1.5  # a fall that so much flight follows was caught: a dive, or a throttle closed for a moment
FLYING = ALOFT - {PhaseKind.FALL}


def ended_s(answer: RecordAnswer) -> float:
    """Return when a flight had ended, in seconds of the record: what comes later is a consequence.

    The first blow after which it does not fly on, the beginning of a fall and a moment more, the last landing, or the
    end of the record, whichever is first.

    Parameters
    ----------
    answer : RecordAnswer
    """
    phases = answer.flown.phases
    ends = [phases[-1].end_s if phases else 0.0]
    landed = [end for _, end in answer.flown.aloft()]
    if landed:
        ends.append(landed[-1])
    still_flies = bool(phases) and phases[-1].kind in FLYING  # who still flies at the end had not ended before
    for phase in phases:
        if phase.kind is PhaseKind.FALL and not still_flies and not _caught(answer, phase.end_s):
            ends.append(phase.start_s + FALL_TELLS.value)
    for event in answer.events:
        shakes = event.end_s - event.start_s > BLOW_S
        if event.kind is EventKind.IMPACT and not shakes and _flies_after_s(answer, event.end_s) < FLIES_ON.value:
            ends.append(event.start_s)
    return min(ends)


def _caught(answer: RecordAnswer, end_s: float) -> bool:
    """Tell whether a fall ended in flight: without a blow, and it flew on for a while at once, or for long in all."""
    struck = any(each.kind is EventKind.IMPACT and abs(each.start_s - end_s) < NEAR_S for each in answer.events)
    at_once = any(
        each.kind in FLYING and each.start_s <= end_s + NEAR_S and each.end_s >= end_s + CAUGHT_S
        for each in answer.flown.phases
    )
    return (at_once and not struck) or _flies_after_s(answer, end_s) >= FLIES_ON.value


def _flies_after_s(answer: RecordAnswer, after_s: float) -> float:
    """Return for how long it is in the air, and not falling, after a moment."""
    return sum(max(0.0, each.end_s - max(each.start_s, after_s)) for each in answer.flown.phases if each.kind in FLYING)
