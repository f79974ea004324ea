"""The last stretch in which it was flown: up to its end, to a blow that broke it, or to where its pilot gave up."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between
from turnback.assess.signs_outputs_flight import BREAKS, FLIES_ON_S, SHAKES_S, Seen
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind
from turnback.rules.record_motion import FOLLOWS
from turnback.rules.record_signs_sticks import CLOSED, GIVEN_UP

AT_END_S: Final = 0.3
STRIKES_S: Final = 0.1
"""A rate that runs away so soon after a blow was thrown off by it."""
BEFORE_S: Final = 1.0
UP: Final = 0.15
"""Mean output of motors that carry it."""
STOPS_S: Final = 0.1
LEFT: Final = 0.5
LINK_S: Final = 1.5
MOMENT_S: Final = 0.5
CAUGHT_S: Final = 1.0


class Stretch(NamedTuple):
    """From when to when it was flown; whether nothing had broken by then; or whether what ran away was caught again."""

    start_s: float
    end_s: float
    sound: bool
    caught: bool

    def flown(self, seen: Seen) -> Flown:
        """Return the record with this stretch as its only phase."""
        return Flown(seen.record, (Phase(PhaseKind.ALOFT, self.start_s, self.end_s, FOLLOWS.key),))


def last_stretch(seen: Seen) -> Stretch | None:
    """Return the last stretch in which it was flown; None where it never was.

    Phases of a fall, or of a leaning cruise, come apart; what counts is who flew until when. A pilot who does not know
    any more which way is up closes the throttle, and the motors stop as asked: what follows is a fall that nobody
    steers. A blow that throws it off ends it too, though it may tumble on for seconds.

    Parameters
    ----------
    seen : Seen
    """
    spans = seen.looked.answer.flown.aloft()
    if not spans:
        return None
    end_s = min(seen.ended_s, spans[-1][1])
    blow_s = struck_s(seen)
    if blow_s is not None and blow_s < end_s:
        end_s = blow_s
    given_s = _given_up_s(seen)
    if given_s is not None:
        end_s = min(given_s, end_s)
    broken = [each for each in seen.events(*BREAKS, until_s=end_s - AT_END_S) if each.end_s > end_s - FLIES_ON_S]
    sound = seen.broke_s >= end_s - AT_END_S
    caught = sound or (bool(broken) and all(_caught(each, end_s) for each in broken))
    return Stretch(spans[0][0], end_s, sound, caught) if end_s > spans[0][0] else None


def _caught(broke: Event, end_s: float) -> bool:
    """Tell whether a rate ran away for a moment only, and it was flown on: outputs at their ends do that."""
    short = broke.end_s - broke.start_s <= MOMENT_S
    return broke.kind is EventKind.RATE_RUN_AWAY and short and broke.end_s < end_s - CAUGHT_S


def struck_s(seen: Seen) -> float | None:
    """Return when a blow threw it off, so that rates ran away at once; None where none did."""
    ran = any(abs(each.start_s - seen.broke_s) <= 1e-6 for each in seen.events(EventKind.RATE_RUN_AWAY))
    blows = [each for each in seen.events(EventKind.IMPACT) if each.end_s - each.start_s <= SHAKES_S]
    struck = [each.start_s for each in blows if abs(each.start_s - seen.broke_s) <= STRIKES_S]
    return min(struck) if ran and struck else None


def _given_up_s(seen: Seen) -> float | None:
    """Return when a hand closed the throttle aloft, and left it so up to the end; None where it did not."""
    throttle, outputs = seen.record.get(Quantity.THROTTLE), seen.outputs
    if throttle is None or outputs is None:
        return None
    until_s = seen.ended_s
    rows = int(np.searchsorted(throttle.t_s, until_s, side="right"))
    opened = np.flatnonzero(throttle.values[:rows] > CLOSED.value)
    if not opened.size:
        return None
    at_s = float(throttle.t_s[opened[-1]])
    if until_s - at_s < GIVEN_UP.value:
        return None
    lost = seen.events(EventKind.LINK_LOST)
    if any(each.start_s - LINK_S <= at_s <= each.end_s + LINK_S for each in lost):
        return None  # a receiver without a link closes it too
    carried = _mean(outputs, at_s - BEFORE_S, at_s)
    after = _mean(outputs, at_s + STOPS_S, max(until_s, at_s + GIVEN_UP.value))
    if carried is None or after is None or carried < UP or after > LEFT * carried:
        return None  # never carried, or motors that go on without it: swings alone keep some aircraft up
    return at_s


def _mean(outputs: Columns, start_s: float, end_s: float) -> float | None:
    rows = rows_between(outputs.t_s, start_s, end_s)
    return float(np.mean([each[rows] for each in outputs.values])) if rows.stop > rows.start else None
