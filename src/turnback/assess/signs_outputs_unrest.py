"""Outputs that swing, that reach their limits in gusts, that rise over minutes, and what they do without a link."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_link_parts import gone_silent
from turnback.assess.signs_motion_lines import line_levels
from turnback.assess.signs_motion_spun import before_spin
from turnback.assess.signs_outputs_flight import CORNERS, STEADY, Seen
from turnback.assess.signs_outputs_ring import ringing_of
from turnback.assess.signs_outputs_tell import Telling, needing, sure_of
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_outputs import (
    FULL,
    GROWS,
    GUST_BURSTS,
    IDLE_BAND,
    RISES,
    RISES_LENGTH,
    SWINGS,
)

Floats = NDArray[np.float64]
SWING, GUSTS, RISE = "outputs-swing-fast", "outputs-at-limit-in-gusts", "output-rises-vibration-grows"
STOP, RUN_ON = "outputs-stop-after-link-loss", "outputs-run-on-after-link-loss"
FAST_S: Final = 0.1
EVEN_S: Final = 0.02
SLOW_HZ: Final = 120.0  # means of this rate leave little of a rotor's own shaking
LEAST_HZ: Final = 50.0
BLOCK_S: Final = 1.0
SWINGS_ITSELF: Final = 0.85
RINGS_NEARLY: Final = 0.8
IN_A_ROW: Final = 3
LEAST_S: Final = 3.0
BURST_S: Final = (0.015, 0.6)
TOUCHES_S: Final = 0.2
THROTTLE: Final = 0.8
LINK_S: Final = 1.5
LINK_MOST_S: Final = 12.0


def of_unrest(seen: Seen, tell: Telling) -> None:
    """Tell the signs of outputs that are not at rest."""
    outputs = seen.outputs
    if outputs is None:
        needs = needing(Quantity.OUTPUT)
        tell.missed(WhyNot.NO_CHANNEL, SWING, GUSTS, RISE, STOP, RUN_ON, needs=needs)
        return
    seen = before_spin(seen)
    spans = [(a, b) for a, b in seen.steady(*STEADY) if b - a >= BLOCK_S]
    if sum(b - a for a, b in spans) < LEAST_S:
        why = WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT
        tell.missed(why, GUSTS, RISE)
        rising = [(a + 0.5, b) for a, b in seen.steady(PhaseKind.TAKE_OFF, *STEADY) if b - a >= BLOCK_S + 0.5]
        if sum(b - a for a, b in rising) >= LEAST_S:  # one that swings hardly gets further
            _swings(seen, outputs, rising, tell)
        tell.missed(why, SWING)
    else:
        _swings(seen, outputs, spans, tell)
        _gusts(seen, outputs, spans, tell)
        _rises(seen, outputs, spans, tell)
    _without_link(seen, outputs, tell)


def rate_of(outputs: Columns) -> float:
    """Return the rows a second (Hz) of outputs."""
    middle = outputs.t_s[outputs.t_s.size // 4 : outputs.t_s.size // 4 * 3 + 2]
    return 1.0 / max(float(np.median(np.diff(middle))), 1e-6)


def in_blocks(values: NDArray[Any], size: int) -> NDArray[Any]:
    """Return whole blocks of `size` rows, shape (k, size)."""
    count = values.size // size
    return values[: count * size].reshape(count, size)


def swing_of(values: NDArray[Any], rate_hz: float) -> Floats:
    """Return the root mean square of what a channel does from about 8 to 60 Hz, in blocks of a second."""
    few = max(1, round(rate_hz / SLOW_HZ))
    values, rate_hz = in_blocks(values, few).mean(axis=1), rate_hz / few
    spread = in_blocks(values, max(2, round(FAST_S * rate_hz))).var(axis=1)
    return np.asarray(np.sqrt(in_blocks(spread, round(BLOCK_S / FAST_S)).mean(axis=1)))


def _swings(seen: Seen, outputs: Columns, spans: list[tuple[float, float]], tell: Telling) -> None:
    """Tell whether all outputs swing: for some seconds by much, or over the flight at one pitch of their own."""
    rate_hz = rate_of(outputs)
    if rate_hz < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, SWING)
        return
    worst, where = 0.0, spans[0]
    for span in spans:
        rows = rows_between(outputs.t_s, *span)
        levels = np.median([swing_of(values[rows], rate_hz) for values in outputs.values], axis=0)
        run = min(IN_A_ROW, levels.size)
        if not run:
            continue
        held = np.lib.stride_tricks.sliding_window_view(levels, run).min(axis=1)
        best = int(np.argmax(held))
        if held[best] > worst:
            worst, where = float(held[best]), (span[0] + best * BLOCK_S, span[0] + (best + run) * BLOCK_S)
    score, values = worst / SWINGS.value, {"swing_share": worst, "limit_share": SWINGS.value}
    rings = ringing_of(outputs, spans, seen.speeds)
    if rings is not None and rings.score > max(score, RINGS_NEARLY):
        score, where = rings.score, (spans[0][0], spans[-1][1])
        values |= {"rings_hz": rings.frequency_hz, "rings_share": rings.level}
    tell.scored(SWING, "outputs aloft", score, span=where, channels=outputs.channels, values=values)


def _gusts(seen: Seen, outputs: Columns, spans: list[tuple[float, float]], tell: Telling) -> None:
    """Tell whether some outputs touch their limits again and again while it flies on."""
    if rate_of(outputs) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, GUSTS)
        return
    bursts: list[float] = []
    size = max(1, round(EVEN_S * rate_of(outputs)))
    for span in spans:
        rows = rows_between(outputs.t_s, *span)
        part = np.stack([in_blocks(values[rows], size).mean(axis=1) for values in outputs.values])
        mean = part.mean(axis=0)
        some = (part.max(axis=0) >= FULL.value) & (mean < THROTTLE)
        some |= (part.min(axis=0) <= seen.idle + 0.5 * IDLE_BAND.value) & (mean > seen.idle + 3.0 * IDLE_BAND.value)
        t_s = outputs.t_s[rows][::size][: mean.size]
        for first, after in spans_where(some, t_s, bridge_s=TOUCHES_S):
            length_s = float(t_s[min(after, t_s.size - 1)] - t_s[first])
            if BURST_S[0] <= length_s <= BURST_S[1]:
                bursts.append(float(t_s[first]))
    score = (len(bursts) + 0.2) / (GUST_BURSTS.value - 0.2)
    swings = tell.signs.get(SWING)
    if swings is not None and swings.seen:  # what swings by itself touches its limits without any gust
        score = min(score, SWINGS_ITSELF)
    when = (bursts[0], bursts[-1]) if bursts else None
    tell.scored(
        GUSTS, "outputs aloft", score, most=0.95, span=when, channels=outputs.channels,
        values={"times": float(len(bursts)), "limit_times": GUST_BURSTS.value},
    )  # fmt: skip


def _rises(seen: Seen, outputs: Columns, spans: list[tuple[float, float]], tell: Telling) -> None:
    """Tell whether it takes more and more output while all rotors' lines grow."""
    hover = seen.steady(PhaseKind.HOVER) or spans
    first, last = _thirds(hover)
    flown_s = spans[-1][1] - spans[0][0]
    if flown_s < RISES_LENGTH.value or not first or not last:
        tell.missed(WhyNot.TOO_SHORT, RISE)
        return
    volts = seen.record.get(Quantity.PACK_VOLTS) or seen.record.get(Quantity.CELL_VOLTS)
    if volts is None:
        tell.missed(WhyNot.NO_CHANNEL, RISE, needs=needing(Quantity.PACK_VOLTS))
        return
    asks = []
    for part in (first, last):
        output = float(np.mean([_mean(outputs.t_s, each, part) for each in outputs.values]))
        asks.append(output * _mean(volts.t_s, volts.values, part))
    rise = asks[1] / max(asks[0], 1e-9) - 1.0
    if rise < 0.5 * RISES.value:  # without a rise it does not matter what grows
        tell.told(RISE, "outputs aloft", False, sure_of(max(rise, 0.01) / RISES.value, 0.9))
        return
    lines = [line_levels(seen.looked.answer, part) for part in _thirds(spans)]
    if any(each is None for each in lines):
        tell.missed(WhyNot.NO_CHANNEL, RISE, needs=needing(Quantity.ROTOR_SPEED, Quantity.ACCELERATION_Z))
        return
    grown = float(np.min(np.asarray(lines[1]) / np.maximum(np.asarray(lines[0]), 1e-9)))
    score = min(max(rise, 0.01) / RISES.value, (grown / GROWS.value) ** 2)
    tell.scored(
        RISE, "outputs aloft", score, most=0.95, span=(spans[0][0], spans[-1][1]), channels=outputs.channels,
        values={"rise_share": rise, "grown_ratio": grown, "limit_share": RISES.value},
    )  # fmt: skip


def _thirds(spans: list[tuple[float, float]]) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Return the parts of spans in the first and in the last third of their whole reach."""
    start_s, end_s = spans[0][0], spans[-1][1]
    third_s = (end_s - start_s) / 3.0
    first = [(a, min(b, start_s + third_s)) for a, b in spans if a < start_s + third_s]
    last = [(max(a, end_s - third_s), b) for a, b in spans if b > end_s - third_s]
    return [each for each in first if each[1] - each[0] > 1.0], [each for each in last if each[1] - each[0] > 1.0]


def _mean(t_s: Floats, values: NDArray[Any], spans: list[tuple[float, float]]) -> float:
    """Return a channel's mean over spans."""
    parts = [values[rows_between(t_s, *span)] for span in spans]
    every = np.concatenate(parts)
    return float(every.mean(dtype=np.float64)) if every.size else float("nan")


def _without_link(seen: Seen, outputs: Columns, tell: Telling) -> None:
    """Tell what the outputs do once the link is lost."""
    answer = seen.looked.answer
    untold = [each for each in answer.not_told if each.kind is EventKind.LINK_LOST]
    lost = [each for each in seen.events(EventKind.LINK_LOST) if _flies(seen, each)] or gone_silent(seen.looked)
    group = "outputs without link"
    if not lost:
        if untold:
            tell.missed(untold[0].why, STOP, RUN_ON, needs=untold[0].needs)
            return
        for sign in (STOP, RUN_ON):
            tell.told(sign, group, False, 0.95)
        return
    event = max(lost, key=lambda each: each.end_s - each.start_s)
    acted = [each for each in answer.events if each.kind is EventKind.RADIO_LOSS_ACTION]
    actions = [each.words.get("action", "") for each in acted
               if event.start_s - 0.5 <= each.start_s <= event.end_s]  # fmt: skip
    action = actions[0] if actions else ""
    end_s = min(event.end_s, event.start_s + LINK_MOST_S)
    rows = rows_between(outputs.t_s, event.start_s, end_s)
    mean = np.mean([values[rows] for values in outputs.values], axis=0)
    still = mean <= seen.idle + 0.2 * IDLE_BAND.value
    t_s = outputs.t_s[rows]
    stopped = spans_where(still, t_s, least_s=0.3)
    span = (event.start_s, event.end_s)
    values = {"lost_s": event.end_s - event.start_s}
    stops = bool(len(stopped)) and action in {"motors-stop", ""}
    tell.told(STOP, group, stops, 0.96 if action else 0.85, span=span, values=values, channels=outputs.channels)
    if action:
        tell.told(
            RUN_ON, group, action == "keeps-last-sticks", 0.95, span=span, values=values, channels=outputs.channels
        )
    elif stops:
        tell.told(RUN_ON, group, False, 0.95)
    elif event.end_s - event.start_s < LINK_S:
        tell.missed(WhyNot.TOO_SHORT, RUN_ON)
    else:
        tell.missed(WhyNot.NO_CHANNEL, RUN_ON, needs=needing(Quantity.MODE, Quantity.THROTTLE))


def _flies(seen: Seen, event: Event) -> bool:
    """Tell whether a link is lost in the air."""
    return len(seen.outputs.channels if seen.outputs else ()) == CORNERS and any(
        start_s - 0.5 <= event.start_s <= end_s for start_s, end_s in seen.looked.answer.flown.aloft()
    )
