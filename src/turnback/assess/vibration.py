"""Vibration in a record: lines of the rotors, the floor between them, and what the rate is too slow for."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import Final

import numpy as np

from turnback.assess.vibration_lines import LEAST_RATE_HZ, CornerLine, corner_lines
from turnback.assess.vibration_spans import Group, Shaken, fresh_axes, groups_of, high_in, mean_in, shaken, spectrum_of
from turnback.physics.spectrum import Density, floor_under, line_near
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, Spectrum, WhyNot
from turnback.rules.record_vibration import (
    FLOOR_FORCE,
    FLOOR_LOW,
    FLOOR_RATE,
    PASS_FORCE,
    PASS_RATE,
    PROMINENCE,
    RATE_FACTOR,
    REV_FORCE,
    REV_FORCE_LEAST,
    REV_RATE,
    REV_RATE_LEAST,
    ROTOR_HIGH,
    ROTOR_LOW,
    SIBLINGS,
)
from turnback.rules.rule import Threshold

KINDS: Final = (EventKind.ONCE_PER_REV, EventKind.BLADE_PASS, EventKind.NOISE_FLOOR)
MOST_BLADES: Final = 6
COMMON_BLADES: Final = 3
LEAST_ROTOR_HZ: Final = 10.0
FLOOR_WIDTH_HZ: Final = 40.0


@dataclass(frozen=True, slots=True)
class _Sort:
    """Turning rates or acceleration: their axes, and what is strong of them."""

    shaken: tuple[Shaken, ...]
    unit: str
    rev: Threshold
    rev_least: Threshold
    passing: Threshold
    floor: Threshold

    @property
    def usable_hz(self) -> float:
        """Of the slowest axis."""
        return min(each.usable_hz for each in self.shaken)

    @property
    def axes(self) -> tuple[Series, ...]:
        """Its channels."""
        return tuple(each.series for each in self.shaken)


def find_vibration(flown: Flown) -> Happened:
    """Find lines at once and blade-count times rotor speed, and the noise floor, in each phase aloft of enough length.

    Notes
    -----
    Nothing is said where the rate of fresh values is under twice the rotor frequency (models: Vibration). Without rotor
    speeds lines are told by their frequency only, and only where the rate suffices for every likely rotor speed.
    """
    record = flown.record
    rates, forces = shaken(record, RATES), shaken(record, ACCELERATIONS)
    sorts = []
    if rates:
        sorts.append(_Sort(rates, "rad_s", REV_RATE, REV_RATE_LEAST, PASS_RATE, FLOOR_RATE))
    if forces:
        sorts.append(_Sort(forces, "mps2", REV_FORCE, REV_FORCE_LEAST, PASS_FORCE, FLOOR_FORCE))
    if not sorts:
        return Happened(not_told=_none(WhyNot.NO_CHANNEL, tuple(Channel(each) for each in (*RATES, *ACCELERATIONS))))
    groups = groups_of(flown)
    if not groups:
        return Happened(not_told=_none(WhyNot.TOO_SHORT if flown.aloft() else WhyNot.NOT_ALOFT))
    rotors = tuple(each for each in record.all_of(Quantity.ROTOR_SPEED) if each.t_s.size > 16)
    events: list[Event] = []
    not_told: dict[EventKind, NotTold] = {}
    told: set[EventKind] = set()
    spectra: list[Spectrum] = []
    for group in groups:
        highs_hz = [high_in(each, group) for each in rotors]
        turning = tuple(each for each, high_hz in zip(rotors, highs_hz, strict=True) if high_hz > LEAST_ROTOR_HZ)
        rotor_hz = max((high_hz for high_hz in highs_hz if high_hz > LEAST_ROTOR_HZ), default=0.0)
        known = tuple((each.channel.at, mean_in(each, group)) for each in turning if each.channel.at is not None)
        for sort in sorts:
            made = tuple(filter(None, (spectrum_of(each, group, known) for each in sort.shaken)))
            spectra += made
            one = (
                _with_rotors(sort, group, (turning, rotor_hz), made, flown) if turning else _without(sort, group, made)
            )
            events += one.events
            refused = {each.kind for each in one.not_told}
            told |= set(KINDS) - refused
            for each in one.not_told:
                kept = not_told.get(each.kind)
                if kept is None or each.values.get("rate_hz", 0.0) > kept.values.get("rate_hz", 0.0):
                    not_told[each.kind] = each
    left = tuple(each for kind, each in not_told.items() if kind not in told)
    return Happened(tuple(sorted(events, key=lambda each: each.start_s)), left, tuple(spectra))


def _none(why: WhyNot, needs: tuple[Channel, ...] = (), **values: float) -> tuple[NotTold, ...]:
    """Return that no kind of vibration could be told."""
    return tuple(NotTold(kind, why, needs, values) for kind in KINDS)


def _with_rotors(
    sort: _Sort, group: Group, turning: tuple[tuple[Series, ...], float], spectra: tuple[Spectrum, ...], flown: Flown
) -> Happened:
    """Return what is told of one sort in one group, rotors known, and how fast the fastest turns."""
    rate_hz = sort.usable_hz
    rotors, rotor_hz = turning
    needed_hz = max(RATE_FACTOR.value * rotor_hz, LEAST_RATE_HZ)
    if rate_hz < needed_hz:
        return Happened(not_told=_none(WhyNot.TOO_SLOW, rate_hz=rate_hz, needed_hz=needed_hz))
    blades = flown.record.facts.blades
    reach = int(rate_hz / (RATE_FACTOR.value * rotor_hz))
    wanted = (blades,) if blades else tuple(range(2, MOST_BLADES + 1))
    orders = (1, *(order for order in wanted if 1 < order <= reach))
    on_clock = tuple(each for each in sort.axes if each.t_s is sort.axes[0].t_s)
    lines = corner_lines(fresh_axes(on_clock), rotors, group, orders)
    events = [*_floor(sort, group, spectra), *_strong(sort, group, [each for each in lines if each.order == 1],
              EventKind.ONCE_PER_REV, sort.rev, sort.rev_least)]  # fmt: skip
    passing, why = _passing([each for each in lines if each.order > 1], blades, reach)
    events += _strong(sort, group, passing, EventKind.BLADE_PASS, sort.passing, sort.rev_least)
    if why is None:
        return Happened(tuple(events))
    needed = RATE_FACTOR.value * rotor_hz * (blades or COMMON_BLADES)
    values = {"rate_hz": rate_hz, "needed_hz": needed} if why is WhyNot.TOO_SLOW else {}
    return Happened(tuple(events), (NotTold(EventKind.BLADE_PASS, why, (), values),))


def _passing(lines: list[CornerLine], blades: int | None, reach: int) -> tuple[list[CornerLine], WhyNot | None]:
    """Return the lines of blade pass; without a number of blades those of the strongest multiple, if it stands out."""
    if blades:
        return lines, (WhyNot.TOO_SLOW if blades > reach else None)
    if reach < COMMON_BLADES:
        return [], WhyNot.TOO_SLOW
    power: dict[int, float] = {}
    for line in lines:
        if line.prominence >= PROMINENCE.value:
            power[line.order] = power.get(line.order, 0.0) + line.amplitude**2
    if not power:
        return [], WhyNot.BLADES_UNKNOWN
    strongest = max(power, key=lambda order: power[order])
    return [line for line in lines if line.order == strongest], None


def _strong(
    sort: _Sort, group: Group, lines: list[CornerLine], kind: EventKind, strong: Threshold, least: Threshold
) -> list[Event]:
    """Return an event for each corner whose line is strong, or far stronger than its siblings'."""
    events = []
    mixed: list[CornerLine] = []
    for line in lines:
        others = [each.amplitude for each in lines if each is not line and each.own]
        ratio = line.amplitude / max(median(others), 1e-12) if line.own and len(others) > 1 else float("nan")
        if line.prominence < PROMINENCE.value or line.amplitude < least.value:
            continue
        if not line.own:
            mixed.append(line)
        elif line.amplitude >= strong.value or ratio >= SIBLINGS.value:
            rule = strong if line.amplitude >= strong.value else SIBLINGS
            events.append(_line_event(sort, group, line, kind, rule, ratio))
    strongest = max(mixed, key=lambda each: each.amplitude, default=None)
    if strongest is not None and strongest.amplitude >= strong.value and not events:
        events.append(_line_event(sort, group, strongest, kind, strong, float("nan")))
    return events


def _line_event(sort: _Sort, group: Group, line: CornerLine, kind: EventKind, rule: Threshold, ratio: float) -> Event:
    """Return the event of one line."""
    values = {
        "frequency_hz": line.frequency_hz, "rotor_hz": line.frequency_hz / line.order, "order": float(line.order),
        f"amplitude_{sort.unit}": line.amplitude, "prominence_ratio": line.prominence,
    }  # fmt: skip
    if np.isfinite(ratio):
        values["siblings_ratio"] = min(ratio, 1000.0)
    if kind is EventKind.BLADE_PASS:
        values["blades"] = float(line.order)
    at = line.rotor.channel.at
    own = line.own
    return Event(
        kind, group.spans[0][0], group.spans[-1][1],
        (*(each.channel for each in sort.axes), *((line.rotor.channel,) if own else ())), rule.key, values,
        (at,) if own and at is not None else (),
        {"phase": group.kind.value, "corner": "told-apart" if own else "not-told-apart", "rotor": "known"},
    )  # fmt: skip


def _floor(sort: _Sort, group: Group, spectra: tuple[Spectrum, ...]) -> list[Event]:
    """Return an event where the level between the lines is high."""
    levels = {}
    for spectrum in spectra:
        band = spectrum.density[spectrum.frequency_hz >= FLOOR_LOW.value]
        if band.size:
            levels[spectrum.channel] = float(np.sqrt(np.median(band)))
    worst = max(levels, key=lambda channel: levels[channel], default=None)
    if worst is None or levels[worst] < sort.floor.value:
        return []
    return [
        Event(
            EventKind.NOISE_FLOOR, group.spans[0][0], group.spans[-1][1], (worst,), sort.floor.key,
            {f"level_{sort.unit}_per_rt_hz": levels[worst]}, (), {"phase": group.kind.value},
        )
    ]  # fmt: skip


def _without(sort: _Sort, group: Group, spectra: tuple[Spectrum, ...]) -> Happened:
    """Return what is told of one sort in one group without rotor speeds: lines by frequency, and the floor."""
    rate_hz = sort.usable_hz
    needs = (Channel(Quantity.ROTOR_SPEED),)
    if rate_hz < RATE_FACTOR.value * ROTOR_LOW.value:
        needed_hz = RATE_FACTOR.value * ROTOR_HIGH.value
        return Happened(not_told=_none(WhyNot.TOO_SLOW, needs, rate_hz=rate_hz, needed_hz=needed_hz))
    if rate_hz < RATE_FACTOR.value * ROTOR_HIGH.value or not spectra:
        return Happened(not_told=_none(WhyNot.NO_CHANNEL, needs))
    same = [each for each in spectra if each.frequency_hz.size == spectra[0].frequency_hz.size]
    density = Density(same[0].frequency_hz, np.sum([each.density for each in same], axis=0))
    line = line_near(density, floor_under(density, FLOOR_WIDTH_HZ), ROTOR_LOW.value, ROTOR_HIGH.value)
    events = _floor(sort, group, spectra)
    if line.prominence_ratio >= PROMINENCE.value and line.amplitude >= sort.rev.value:
        values = {
            "frequency_hz": line.frequency_hz, f"amplitude_{sort.unit}": line.amplitude,
            "prominence_ratio": line.prominence_ratio,
        }  # fmt: skip
        events.append(
            Event(
                EventKind.ONCE_PER_REV, group.spans[0][0], group.spans[-1][1],
                tuple(each.channel for each in same), sort.rev.key, values, (),
                {"phase": group.kind.value, "corner": "not-told-apart", "rotor": "unknown"},
            )
        )  # fmt: skip
    return Happened(tuple(events), (NotTold(EventKind.BLADE_PASS, WhyNot.NO_CHANNEL, needs),))
