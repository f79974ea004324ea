"""The arm switch in flight: arming taken away while the motors carry it, and nothing else wrong."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between, spans_looked_at
from turnback.assess.signs_link_parts import Teller, first_upset_s, lost_links, sure_of
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import ACTS, CLOSED

GROUP: Final = "arming"
AFTER_LOSS_S: Final = 20.0
FALLS_WITHIN_S: Final = 6.0
BLOW_BEFORE_S: Final = 2.0
GIVES_UP_S: Final = 0.5
OUTPUTS_UP: Final = 0.1
THROTTLE_CARRIES: Final = 0.15
FALLING_S: Final = 0.5
FLIES_DOWN_S: Final = 4.0
UNHEARD_S: Final = 1.0
SAME_S: Final = 0.3
FEW_PACKETS: Final = 0.3
PULLS, PULLS_S = 0.3, 1.5
FLEW_S: Final = 4.0
GAVE_UP_SURE: Final = 0.95
"""A knocked switch would have to meet the few moments of a flight in which the throttle is closed."""


def tell_switch(looked: Looked, teller: Teller) -> None:
    """Tell whether arming was taken away in the air, by no loss of the link, no restart and nothing before it.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    sign = "arm-switch-crosses-in-flight"
    armed = looked.answer.flown.record.get(Quantity.ARMED)
    if armed is None or armed.t_s.size < 2:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.ARMED)
        return
    events = [each for each in looked.answer.events if each.kind is EventKind.ARM_SWITCH_OFF_ALOFT
              and each.start_s <= looked.ended_s + 0.3]  # fmt: skip
    first = events[0] if events else _off_before_fall(looked, armed)
    if first is None:
        teller.say(sign, False, 0.97, GROUP, channels=(armed.channel,))
        return
    lost = [each for each in lost_links(looked)
            if each.start_s <= first.start_s + 0.1 and first.start_s - each.end_s < 1.0
            and first.start_s - each.start_s < AFTER_LOSS_S]  # fmt: skip
    if lost or _unheard(looked.answer.flown.record, first.start_s):
        teller.say(sign, False, 0.9, GROUP, channels=(armed.channel,))
        return
    if _closed_before(looked.answer.flown.record, first.start_s):
        teller.say(sign, False, GAVE_UP_SURE, GROUP, channels=(armed.channel, Quantity.THROTTLE))
        return
    early_s = first.start_s - _upset_s(looked, first.start_s)
    if early_s > 0.25:
        teller.say(sign, False, sure_of(early_s / 0.8, 0.85), GROUP, channels=(armed.channel,))
        return
    shown = sum(name in first.values for name in ("throttle", "height_m", "speed_mps", "output", "falls"))
    teller.say(sign, True, sure_of(0.6 + 0.4 * shown, 0.97), GROUP, span=(first.start_s, first.end_s),
               channels=first.channels)  # fmt: skip


def _closed_before(record: FlightRecord, at_s: float) -> bool:
    """Tell whether the throttle was closed just before: who gives up does that, a switch that is knocked does not."""
    throttle = record.get(Quantity.THROTTLE)
    if throttle is None:
        return False
    seen = between(throttle, at_s - GIVES_UP_S, at_s - 0.001)
    return bool(seen.size and float(seen[-1]) < CLOSED.value)


def _upset_s(looked: Looked, off_s: float) -> float:
    """Return when something went wrong before arming ended; a fall that was over by then is how one flies down."""
    falls = [each.start_s for each in looked.answer.events if each.kind is EventKind.FREE_FALL
             and each.start_s < off_s and each.end_s > off_s - FALLING_S]  # fmt: skip
    other_s = first_upset_s(looked, frozenset({EventKind.ARM_SWITCH_OFF_ALOFT, EventKind.FREE_FALL}))
    return min([other_s, *falls])


def _unheard(record: FlightRecord, at_s: float) -> bool:
    """Tell whether the link was gone as arming ended, though nobody said so because it seemed to be on the ground."""
    lost, quality = record.get(Quantity.LINK_LOSS), record.get(Quantity.LINK_QUALITY)
    said = lost is not None and bool((between(lost, at_s - UNHEARD_S, at_s + SAME_S) > 0.5).any())
    if quality is None:
        return said
    # about that moment, or soon after it: a receiver that restarts with its board falls silent
    packets = [between(quality, at_s - SAME_S, at_s + SAME_S), between(quality, at_s + SAME_S, at_s + UNHEARD_S)]
    return said or any(each.size and float(np.median(each)) < FEW_PACKETS for each in packets)


def _pulls(throttle: Series | None, at_s: float) -> bool:
    """Tell whether a hand opens the throttle as arming ended: it did not mean the motors to stop."""
    if throttle is None:
        return False
    before, after = between(throttle, at_s - SAME_S, at_s), between(throttle, at_s, at_s + PULLS_S)
    return bool(before.size and after.size and float(after.max()) - float(before.max()) > PULLS)


def _off_before_fall(looked: Looked, armed: Series) -> Event | None:
    """Return arming that ends with the motors up, a moment before a fall or a blow.

    It may come after what was taken for the end: who still carries it with its motors had only flown down.
    """
    record = looked.answer.flown.record
    on = armed.values > 0.5
    outputs = record.all_of(Quantity.OUTPUT)
    throttle = record.get(Quantity.THROTTLE)
    up_least = OUTPUTS_UP if outputs else THROTTLE_CARRIES
    motors = outputs or ([] if throttle is None else [throttle])
    for row in np.flatnonzero(on[:-1] & ~on[1:])[:20] + 1:
        at_s = float(armed.t_s[row])
        spans = spans_looked_at(looked.answer.flown)
        flew = any(start_s < at_s and at_s - end_s < FLEW_S for start_s, end_s in spans)
        if at_s > looked.ended_s + FLIES_DOWN_S or not flew:
            continue
        up = [seen for each in motors if (seen := between(each, at_s - 0.3, at_s - 0.01)).size]
        carried = bool(up) and float(np.mean([np.mean(each) for each in up])) >= up_least
        if not carried and not _pulls(throttle, at_s):
            continue
        later = [each.start_s for each in looked.answer.events if each.kind in {EventKind.FREE_FALL, EventKind.IMPACT}
                 and at_s < each.start_s < at_s + FALLS_WITHIN_S]  # fmt: skip
        later += [each.start_s for each in looked.answer.flown.phases if each.kind is PhaseKind.FALL
                  and at_s - FALLING_S < each.start_s < at_s + FALLS_WITHIN_S]  # fmt: skip
        blow = [each for each in looked.answer.events if each.kind is EventKind.IMPACT
                and at_s - BLOW_BEFORE_S < each.start_s <= at_s]  # fmt: skip
        if later and not blow:
            end_s = float(armed.t_s[-1])
            return Event(EventKind.ARM_SWITCH_OFF_ALOFT, at_s, end_s, (armed.channel,), ACTS.key, {"output": 1.0})
    return None
