"""Arming: the throttle and the fix at arming, refusals; sticks let go; what a stick acts on."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, inside, spans_looked_at, thinned, value_at
from turnback.assess.signs_link_parts import Teller, first_upset_s
from turnback.assess.signs_sticks_switch import tell_switch
from turnback.records.channel import RATE_DEMANDS, STICKS, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import PhaseKind, WhyNot
from turnback.rules.record_signs_sticks import ACTS, FIX_M, FIX_SATELLITES, OFF_CENTRE, THROTTLE_UP

GROUP: Final = "arming"
TILTS: Final = (Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND)
GROUND: Final = frozenset({PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND, PhaseKind.BENCH})


def tell_arming(looked: Looked, teller: Teller) -> None:
    """Tell the signs of arming, and of sticks before it.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    tell_switch(looked, teller)
    _tell_at_arming(looked, teller)
    _tell_refused(looked, teller)
    _tell_centre(looked, teller)
    _tell_acts(looked, teller)
    # where the switch stands no channel says: armed from the first row on is how many records begin
    teller.cannot("arm-switch-on-at-power-up", WhyNot.NO_CHANNEL)


def _unlinked(record: FlightRecord) -> bool:
    """Tell whether no packet ever came: then channels hold what they are set to without a link."""
    quality = record.get(Quantity.LINK_QUALITY)
    return quality is not None and float(np.percentile(quality.values, 98.0)) < 0.02


def _armed_row(record: FlightRecord) -> tuple[Series | None, int | None]:
    """Return the arming channel and the row at which it first goes on; None where it is on from the first row."""
    armed = record.get(Quantity.ARMED)
    if armed is None or armed.t_s.size < 2:
        return None, None
    on = armed.values > 0.5
    rows = np.flatnonzero(on[1:] & ~on[:-1])
    return armed, int(rows[0]) + 1 if rows.size else None


def _tell_at_arming(looked: Looked, teller: Teller) -> None:
    """Tell throttle and fix as they are when it is armed."""
    record = looked.answer.flown.record
    armed, row = _armed_row(record)
    throttle = record.get(Quantity.THROTTLE)
    fixes = [record.get(each) for each in (Quantity.FIX_UNCERTAINTY, Quantity.SATELLITES)]
    if armed is None or throttle is None:
        teller.cannot("throttle-up-at-arm-switch", WhyNot.NO_CHANNEL, Quantity.ARMED, Quantity.THROTTLE)
    elif (row is None and bool(armed.values[0] > 0.5)) or _unlinked(record):
        teller.cannot("throttle-up-at-arm-switch", WhyNot.TOO_SHORT)
    else:
        at_s = float(armed.t_s[row if row is not None else -1])
        up = value_at(record, Quantity.THROTTLE, at_s - 0.02) or 0.0
        if row is None:
            # never armed: what the throttle was all along, and less sure
            up = float(np.median(throttle.values))
        teller.by("throttle-up-at-arm-switch", (up - THROTTLE_UP.value) / 0.03, GROUP,
                  most=0.97 if row is not None else 0.85, channels=(armed.channel, throttle.channel), throttle=up,
                  span=(at_s, at_s))  # fmt: skip
    if armed is None or not any(fixes):
        teller.cannot("armed-before-fix", WhyNot.NO_CHANNEL, Quantity.ARMED, Quantity.FIX_UNCERTAINTY)
        return
    if row is None and not bool(armed.values[0] > 0.5):
        teller.cannot("armed-before-fix", WhyNot.NOT_ALOFT)
        return
    at_s = float(armed.t_s[0 if row is None else row])
    marks, values = [], {}
    for each, limit, scale, sign in ((fixes[0], FIX_M.value, 1.5, 1.0), (fixes[1], FIX_SATELLITES.value, 1.0, -1.0)):
        if each is not None and each.t_s.size:
            seen = float(value_at(record, each.channel.quantity, at_s + 0.05) or 0.0)
            marks.append(sign * (seen - limit) / scale)
            values["uncertainty_m" if sign > 0 else "satellites"] = seen
    teller.by(
        "armed-before-fix", max(marks), GROUP, most=0.96, span=(at_s, at_s), channels=(armed.channel,), values=values
    )


def _tell_refused(looked: Looked, teller: Teller) -> None:
    """Tell whether it was never armed though somebody moved the throttle: the switch itself is not recorded."""
    sign, record = "arming-refused-in-record", looked.answer.flown.record
    armed = record.get(Quantity.ARMED)
    if armed is None or armed.t_s.size < 20:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.ARMED)
        return
    if bool((armed.values > 0.5).any()):
        teller.say(sign, False, 0.9, GROUP, channels=(armed.channel,))
        return
    if _unlinked(record):
        teller.cannot(sign, WhyNot.NO_CHANNEL)  # no switch reaches it without a link
        return
    outputs = record.all_of(Quantity.OUTPUT)
    runs = any(float(np.percentile(each.values, 95.0)) > 0.03 for each in outputs)
    sticks = [each for each in map(record.get, STICKS) if each is not None]
    moved = any(float(np.ptp(each.values)) > 0.2 for each in sticks)
    if runs or looked.answer.flown.aloft():
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.ARMED)
        return
    teller.say(sign, True, 0.85 if moved else 0.7, GROUP, channels=(armed.channel,))


def _tell_centre(looked: Looked, teller: Teller) -> None:
    """Tell whether a stick that nobody touches rests off its middle: on the ground, throttle closed, all still."""
    sign, flown = "stick-off-centre-hands-off", looked.answer.flown
    sticks = [each for each in map(flown.record.get, STICKS[:3]) if each is not None]
    if not sticks:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *STICKS[:3])
        return
    spans = [(each.start_s, each.end_s) for each in flown.phases if each.kind in GROUND]
    worst: tuple[float, Series] | None = None
    for each in sticks:
        t_s, values = thinned(each, 20.0)
        rest = _resting(flown.record, t_s, values, spans)
        if rest is not None and (worst is None or abs(rest) > worst[0]):
            worst = abs(rest), each
    if worst is None:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    teller.by(sign, (worst[0] - OFF_CENTRE.value) / 0.012, GROUP, most=0.95, channels=(worst[1].channel,),
              off=worst[0])  # fmt: skip


def _resting(record: FlightRecord, t_s: Floats, values: Floats, spans: list[tuple[float, float]]) -> float | None:
    """Return where a stick rests on the ground; None where it does not rest for a second there."""
    throttle = record.get(Quantity.THROTTLE)
    keep = inside(t_s, spans)
    if throttle is not None:
        keep &= np.interp(t_s, throttle.t_s, throttle.values) < THROTTLE_UP.value
    if np.count_nonzero(keep) < 15:
        return None
    seen = values[keep]
    middle = float(np.median(seen))
    still = np.abs(seen - middle) < 0.02
    return middle if float(still.mean()) > 0.5 else None


def _tell_acts(looked: Looked, teller: Teller) -> None:
    """Tell whether quick moves of the throttle stick go to a demand for tilt or turn and not to the outputs."""
    sign, flown = "throttle-acts-on-tilt", looked.answer.flown
    record = flown.record
    throttle, outputs = record.get(Quantity.THROTTLE), record.all_of(Quantity.OUTPUT)
    demands = [each for each in map(record.get, (*TILTS, *RATE_DEMANDS)) if each is not None]
    if throttle is None or not outputs or not demands:
        needs = (Quantity.THROTTLE, Quantity.OUTPUT, Quantity.ROLL_RATE_DEMAND)
        teller.cannot(sign, WhyNot.NO_CHANNEL, *(each for each in needs if not record.all_of(each)))
        return
    if throttle.rate_hz < 5.0:
        teller.cannot(sign, WhyNot.TOO_SLOW, Quantity.THROTTLE)
        return
    t_s, given = thinned(throttle, 20.0)
    spans = spans_looked_at(flown) or tuple((each.start_s, each.end_s) for each in flown.phases)
    keep = inside(t_s, spans) & (t_s <= min(looked.ended_s, first_upset_s(looked)))
    if np.count_nonzero(keep) < 60:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    mean = np.zeros(t_s.size)
    for each in outputs:
        own_s, values = thinned(each, 20.0)
        mean += np.interp(t_s, own_s, values) / len(outputs)
    lifts = _together(given[keep], mean[keep])
    tilts = 0.0
    for each in demands:
        own_s, values = thinned(each, 20.0)
        tilts = max(tilts, abs(_together(given[keep], np.interp(t_s[keep], own_s, values))))
    if float(np.std(given[keep])) < 0.005:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    beyond = min((tilts - ACTS.value) / 0.12, (0.35 - lifts) / 0.12)
    teller.by(sign, beyond, "sticks", most=0.95, channels=(throttle.channel,), with_tilt=tilts, with_outputs=lifts)


def _together(first: Floats, second: Floats) -> float:
    """Return the correlation of changes over a fifth of a second, the second one as it is then or a moment later."""
    a = first[4:] - first[:-4]
    best = 0.0
    for late in (0, 1, 2):
        b = second[4 + late :] - second[late:-4] if late else second[4:] - second[:-4]
        size = min(a.size, b.size)
        if size > 20 and float(np.std(a[:size])) > 1e-9 and float(np.std(b[:size])) > 1e-9:
            found = float(np.corrcoef(a[:size], b[:size])[0, 1])
            best = found if abs(found) > abs(best) else best
    return best
