"""Vibration as signs: one rotor's lines, the floor between the lines, noise that goes with the current, glitches."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_blocks import Blocks
from turnback.assess.signs_motion_lines import lines_in, together
from turnback.assess.signs_outputs_flight import STEADY, Seen
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.assess.vibration_lines import CornerLine
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.happened import EventKind, PhaseKind, RecordAnswer, WhyNot
from turnback.rules.record_signs_motion import (
    BLADE_PASS,
    FLIGHTS_GROW,
    GLITCHES,
    NOISE_WITH_CURRENT,
    ONCE_PER_REV,
)
from turnback.rules.record_vibration import (
    FLOOR_FORCE,
    FLOOR_LOW,
    FLOOR_RATE,
    PROMINENCE,
    REV_FORCE_LEAST,
    REV_RATE_LEAST,
)

Floats = NDArray[np.float64]
GROUP: Final = "vibration"
ONCE, PASS, GROWS, BROAD = (
    "vibration-once-per-rev", "vibration-blade-pass", "vibration-grows-over-flights", "vibration-broad",
)  # fmt: skip
ALL_SPEEDS, WITH_CURRENT, GLITCH = "rate-noise-at-all-speeds", "rate-noise-with-current", "board-sensor-glitches"
BLADES: Final = (2, 3)
MOST_EARLIER: Final = 4
LEAST_PARTS: Final = 12
LEAST_LOAD: Final = 1.35
EDGE: Final = 0.2
SPIKE: Final = {"rad": 6.0, "mps2": 60.0}
SPIKE_WIDTHS: Final = 14.0
SOME_ROWS: Final = 8000


def of_shaking(seen: Seen, blocks: Blocks | None, tell: Telling) -> None:
    """Tell the signs of vibration."""
    lines = lines_in(seen.looked.answer, seen.steady(*STEADY), _orders(seen))
    _lines(seen, lines, tell)
    _over_flights(seen, lines, tell)
    _floor(seen, tell)
    _with_current(seen, blocks, tell)
    _glitches(seen, tell)


def _orders(seen: Seen) -> tuple[int, ...]:
    """Return the multiples of rotor speed that are looked at."""
    blades = seen.record.facts.blades
    return (1, blades) if blades and blades > 1 else (1, *BLADES)


def _lines(seen: Seen, lines: tuple[CornerLine, ...] | None, tell: Telling) -> None:
    """Tell whether one rotor's lines stand out from its siblings'."""
    if lines is None:
        why, needs = _no_lines(seen)
        tell.missed(why, ONCE, PASS, needs=needs)
        return
    for sign, limit, orders in (
        (ONCE, ONCE_PER_REV.value, (1,)), (PASS, BLADE_PASS.value, tuple({line.order for line in lines} - {1})),
    ):  # fmt: skip
        if _by_event(seen, sign, limit, tell):
            continue
        scores = [_stands_out([line for line in lines if line.order == order], limit) for order in orders]
        told = [each for each in scores if each is not None]
        if not told and sign == ONCE and _together(seen, tell):
            continue
        if not told:
            tell.missed(WhyNot.TOO_SLOW if not orders else WhyNot.CORNERS_UNKNOWN, sign)
            continue
        score, line, ratio = max(told, key=lambda each: each[0])
        tell.scored(
            sign, GROUP, score, span=seen.steady(*STEADY)[0], channels=(line.rotor.channel,),
            values={"siblings_ratio": ratio, "limit_ratio": limit, "frequency_hz": line.frequency_hz},
        )  # fmt: skip


def _by_event(seen: Seen, sign: str, limit: float, tell: Telling) -> bool:
    """Tell of a line that was found to be one corner's own over the whole flight; return whether there is one."""
    kind = EventKind.ONCE_PER_REV if sign == ONCE else EventKind.BLADE_PASS
    found = [each for each in seen.events(kind, until_s=seen.failed_s) if "siblings_ratio" in each.values]
    if not found:
        return False
    event = max(found, key=lambda each: each.values["siblings_ratio"])
    ratio = event.values["siblings_ratio"]
    tell.scored(
        sign, GROUP, ratio / limit, span=(event.start_s, event.end_s), channels=event.channels,
        values={"siblings_ratio": ratio, "limit_ratio": limit, "frequency_hz": event.values["frequency_hz"]},
    )  # fmt: skip
    return True


def _together(seen: Seen, tell: Telling) -> bool:
    """Tell of rotors that turn too alike for lines of their own by a fit of all at once; return whether that works."""
    found = together(seen.looked.answer, seen.steady(*STEADY))
    if found is None:
        return False
    rotors, sizes = found
    most = int(np.argmax(sizes))
    ratio = min(float(sizes[most]) / max(float(np.median(np.delete(sizes, most))), 1e-9), 1000.0)
    least = max(float(sizes[most]) / REV_FORCE_LEAST.value, 0.5 * float(sizes[most]) / REV_RATE_LEAST.value)
    tell.scored(
        ONCE, GROUP, min(ratio / ONCE_PER_REV.value, least), most=0.93, channels=(rotors[most].channel,),
        values={"siblings_ratio": ratio, "limit_ratio": ONCE_PER_REV.value}, span=seen.steady(*STEADY)[0],
    )  # fmt: skip
    return True


def _no_lines(seen: Seen) -> tuple[WhyNot, tuple[Channel, ...]]:
    """Return why no lines can be read."""
    if not any(map(seen.record.get, (*RATES, *ACCELERATIONS))):
        return WhyNot.NO_CHANNEL, needing(*RATES, *ACCELERATIONS)
    if seen.speeds is None or len(seen.speeds.channels) < 3:
        return WhyNot.NO_CHANNEL, needing(Quantity.ROTOR_SPEED)
    if not seen.looked.answer.flown.aloft():
        return WhyNot.NOT_ALOFT, ()
    slow = any(each.kind is EventKind.ONCE_PER_REV and each.why is WhyNot.TOO_SLOW
               for each in seen.looked.answer.not_told)  # fmt: skip
    return (WhyNot.TOO_SLOW if slow else WhyNot.TOO_SHORT), ()


def _stands_out(lines: list[CornerLine], limit: float) -> tuple[float, CornerLine, float] | None:
    """Return how far the strongest line stands out; None where the corners run too alike to be told apart."""
    own = [line for line in lines if line.own]
    if len(own) < 3:
        return None
    strongest = max(own, key=lambda line: line.amplitude)
    others = [line.amplitude for line in own if line is not strongest]
    ratio = min(strongest.amplitude / max(float(np.median(others)), 1e-9), 1000.0)
    return min(ratio / limit, strongest.prominence / PROMINENCE.value, _least(strongest)), strongest, ratio


def _least(line: CornerLine) -> float:
    """Return a line's amplitude over the least that matters; the unit is told by its size alone."""
    return max(line.amplitude / REV_FORCE_LEAST.value, line.amplitude / REV_RATE_LEAST.value * 0.5)


def _over_flights(seen: Seen, lines: tuple[CornerLine, ...] | None, tell: Telling) -> None:
    """Tell whether one corner's once-per-rev line grew from flight to flight, beside what all corners' did."""
    if not seen.looked.earlier:
        tell.missed(WhyNot.NO_CHANNEL, GROWS)
        return
    now = _sizes(lines)
    before = [_sizes(lines_in(each, _flight(each))) for each in seen.looked.earlier[-MOST_EARLIER:]]
    known = [each for each in before if each is not None and (now is None or set(each) == set(now))]
    if now is None or not known:
        tell.missed(WhyNot.CORNERS_UNKNOWN if lines else WhyNot.TOO_SLOW, GROWS)
        return
    keys = list(now)
    rows = np.array([[each[key] for key in keys] for each in (*known, now)])
    rows /= np.median(rows, axis=1, keepdims=True)
    grown = rows[-1] / np.maximum(np.median(rows[:-1], axis=0), 1e-9)
    most = int(np.argmax(grown))
    score = float(grown[most]) / FLIGHTS_GROW.value
    if len(known) > 1 and score >= 1.0:  # a step at once is a blow, not growth
        score = min(score, 1.0 + 2.0 * max(0.0, float(rows[-2, most] / rows[0, most]) - 1.0))
    tell.scored(
        GROWS, GROUP, score, most=0.9, values={"grown_ratio": float(grown[most]), "limit_ratio": FLIGHTS_GROW.value},
        channels=(keys[most],),
    )  # fmt: skip


def _sizes(lines: tuple[CornerLine, ...] | None) -> dict[Channel, float] | None:
    """Return the once-per-rev lines by rotor, over the square of rotor speed; None where they are not told apart."""
    own = [line for line in lines or () if line.order == 1 and line.own]
    return {line.rotor.channel: line.amplitude / line.frequency_hz**2 for line in own} if len(own) >= 3 else None


def _flight(answer: RecordAnswer) -> list[tuple[float, float]]:
    return [(each.start_s, each.end_s) for each in answer.flown.phases if each.kind in STEADY]


def _floor(seen: Seen, tell: Telling) -> None:
    """Tell whether the level between the lines is high: in any channel, and of all three rates in every phase."""
    untold = [each for each in seen.looked.answer.not_told if each.kind is EventKind.NOISE_FLOOR]
    ends_s = seen.failed_s
    levels: dict[tuple[Quantity, PhaseKind], float] = {}
    for each in seen.looked.answer.spectra:
        band = each.density[each.frequency_hz >= FLOOR_LOW.value]
        if band.size > LEAST_PARTS and each.start_s < ends_s:
            levels[each.channel.quantity, each.phase] = float(np.sqrt(np.median(band)))
    rates = {key: level / FLOOR_RATE.value for key, level in levels.items() if key[0] in RATES}
    forces = {key: level / FLOOR_FORCE.value for key, level in levels.items() if key[0] in ACCELERATIONS}
    if not levels:
        why = untold[0].why if untold else WhyNot.TOO_SHORT
        tell.missed(why, BROAD, ALL_SPEEDS, needs=untold[0].needs if untold else ())
        return
    every = rates | forces
    worst = max(every, key=lambda key: every[key])
    tell.scored(
        BROAD, GROUP, every[worst], most=0.95, values={"floor_ratio": every[worst]}, channels=(Channel(worst[0]),)
    )
    if len({quantity for quantity, _ in rates}) < len(RATES):
        tell.missed(WhyNot.NO_CHANNEL, ALL_SPEEDS, needs=needing(*RATES))
        return
    least = min(rates.values())
    tell.scored(
        ALL_SPEEDS, GROUP, least / 0.6, most=0.95, values={"floor_ratio": least}, channels=tuple(map(Channel, RATES))
    )


def _with_current(seen: Seen, blocks: Blocks | None, tell: Telling) -> None:
    """Tell whether the rates' floor rises with the current, and that of acceleration does not."""
    current = seen.record.get(Quantity.CURRENT)
    if current is None:
        tell.missed(WhyNot.NO_CHANNEL, WITH_CURRENT, needs=needing(Quantity.CURRENT))
        return
    if blocks is None or blocks.floor is None:
        tell.missed(WhyNot.TOO_SLOW if seen.axes else WhyNot.NO_CHANNEL, WITH_CURRENT, needs=needing(*RATES))
        return
    load = blocks.mean_of(current)
    keep = np.isfinite(load) & (load > 0.0)
    if int(keep.sum()) < LEAST_PARTS:
        tell.missed(WhyNot.TOO_SHORT, WITH_CURRENT)
        return
    low, high = np.quantile(load[keep], [EDGE, 1.0 - EDGE])
    if high < LEAST_LOAD * low:
        tell.missed(WhyNot.LOAD_TOO_STEADY, WITH_CURRENT)
        return
    ratio = _rise(blocks.floor, load, keep, (float(low), float(high)))
    forces = blocks.force_floor
    beside = 1.0 if forces is None else _rise(forces, load, keep, (float(low), float(high)))
    score = min(ratio / NOISE_WITH_CURRENT.value, ratio / max(1.0, beside) / 1.35)
    tell.scored(
        WITH_CURRENT, GROUP, score, most=0.9 if forces is not None else 0.8,
        values={"rise_ratio": ratio, "beside_ratio": beside, "limit_ratio": NOISE_WITH_CURRENT.value},
        channels=(*map(Channel, RATES), current.channel),
    )  # fmt: skip


def _rise(level: Floats, load: Floats, keep: NDArray[np.bool_], ends: tuple[float, float]) -> float:
    """Return a level at high load over that at low load."""
    low, high = level[keep & (load <= ends[0])], level[keep & (load >= ends[1])]
    return float(np.median(high)) / max(float(np.median(low)), 1e-12) if low.size and high.size else 1.0


def _glitches(seen: Seen, tell: Telling) -> None:
    """Tell whether single values of a sensor jump far off and back."""
    series = [each for each in map(seen.record.get, (*RATES, *ACCELERATIONS)) if each is not None]
    spans = seen.steady(*STEADY)
    if not series:
        tell.missed(WhyNot.NO_CHANNEL, GLITCH, needs=needing(*RATES, *ACCELERATIONS))
        return
    if not spans:
        tell.missed(WhyNot.NOT_ALOFT if not seen.looked.answer.flown.aloft() else WhyNot.TOO_SHORT, GLITCH)
        return
    count, channel = 0, series[0].channel
    joined = _joined(spans)
    for each in series:
        unit = "rad" if each.channel.quantity in RATES else "mps2"
        parts = [each.values[rows_between(each.t_s, a, b - 0.1)] for a, b in joined]
        found = sum(_spikes(part, SPIKE[unit]) for part in parts)
        if found > count:
            count, channel = found, each.channel
    score = (count + 0.3) / (GLITCHES.value - 0.2)
    tell.scored(
        GLITCH, "sensor", score, most=0.95, values={"times": float(count), "limit_times": GLITCHES.value},
        channels=(channel,),
    )  # fmt: skip


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return spans, joined where they touch."""
    found = spans[:1]
    for start_s, end_s in spans[1:]:
        if start_s <= found[-1][1]:
            found[-1] = (found[-1][0], end_s)
        else:
            found.append((start_s, end_s))
    return found


def _spikes(values: NDArray[Any], least: float) -> int:
    """Return how many single values lie far beyond both of their neighbours."""
    if values.size < LEAST_PARTS:
        return 0
    steps = np.diff(values)
    some = np.abs(steps[:: max(1, steps.size // SOME_ROWS)])
    limit = max(least, SPIKE_WIDTHS * float(np.median(some)))
    wild = np.flatnonzero(np.abs(steps) > limit)
    back = wild[wild + 1 < steps.size]
    return int(np.count_nonzero((np.abs(steps[back + 1]) > limit) & (np.sign(steps[back]) != np.sign(steps[back + 1]))))
