"""What the turning rates of a record tell."""

from __future__ import annotations

from typing import Final

from turnback.assess.motion_axes import AXES, Axis, axes_of
from turnback.assess.motion_events_demand import follows, opposite, run_aways
from turnback.assess.motion_events_quiet import first_out, trouble
from turnback.assess.motion_events_swing import swings
from turnback.assess.signals import NEARLY
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, WhyNot
from turnback.rules.record_motion import RATE_LEAST

OF_DEMAND: Final = (EventKind.RATE_RUN_AWAY, EventKind.FOLLOWS_DEMAND)
KINDS: Final = (EventKind.LEAVES_QUIET, EventKind.OSCILLATION, EventKind.OPPOSITE_RESPONSE, *OF_DEMAND)


def find_motion(flown: Flown) -> Happened:
    """Find swings, rates that run away or turn against the demand or follow it, and what left its quiet band first."""
    axes = axes_of(flown.record)
    if not axes:
        return Happened(not_told=_none(KINDS, WhyNot.NO_CHANNEL, tuple(map(Channel, RATES))))
    if not flown.aloft():
        return Happened(not_told=_none(KINDS, WhyNot.NOT_ALOFT))
    slowest_hz = min(axis.fresh_hz for axis in axes)
    if slowest_hz < NEARLY * RATE_LEAST.value:
        values = {"rate_hz": slowest_hz, "needed_hz": RATE_LEAST.value}
        return Happened(not_told=tuple(NotTold(kind, WhyNot.TOO_SLOW, (), values) for kind in KINDS))
    away = run_aways(axes, flown)
    swung, unsure = swings(axes, flown)
    events: list[Event] = [*away, *opposite(axes, flown), *follows(axes, flown), *swung]
    not_told = _demands_missing(axes)
    if unsure and not swung:
        needs = (Channel(Quantity.ROTOR_SPEED), Channel(Quantity.ROLL), Channel(Quantity.PITCH))
        not_told += _none((EventKind.OSCILLATION,), WhyNot.NO_CHANNEL, needs)
    trouble_s = trouble(flown, away)
    if trouble_s is not None:
        first = first_out(flown, axes, trouble_s)
        if first is None:
            not_told += _none((EventKind.LEAVES_QUIET,), WhyNot.TOO_SHORT)
        else:
            events.append(first)
    return Happened(tuple(sorted(events, key=lambda each: each.start_s)), not_told)


def _none(kinds: tuple[EventKind, ...], why: WhyNot, needs: tuple[Channel, ...] = ()) -> tuple[NotTold, ...]:
    """Return that some kinds could not be told."""
    return tuple(NotTold(kind, why, needs) for kind in kinds)


def _demands_missing(axes: tuple[Axis, ...]) -> tuple[NotTold, ...]:
    """Return what cannot be told without demands, or without knowing which way they count."""
    asked = [axis for axis in axes if axis.demand is not None]
    if not asked:
        needs = tuple(Channel(RATE_DEMANDS[AXES.index(axis.name)]) for axis in axes)
        return _none((EventKind.OPPOSITE_RESPONSE, *OF_DEMAND), WhyNot.NO_CHANNEL, needs)
    if not any(axis.same_way for axis in asked):
        needs = tuple(axis.demand_series.channel for axis in asked if axis.demand_series is not None)
        return _none((EventKind.OPPOSITE_RESPONSE,), WhyNot.SENSE_UNKNOWN, needs)
    return ()
