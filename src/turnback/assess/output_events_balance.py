"""Corners that work harder than others in hover, and changes of that in mid-flight."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between
from turnback.records.bench import At
from turnback.records.happened import Event, EventKind, Flown, PhaseKind
from turnback.rules.record_outputs import IMBALANCE, IMBALANCE_LENGTH, IMBALANCE_STEP, STEP_NOISE, STEP_SIDE

Floats = NDArray[np.float64]

HALVES: Final = {
    "front-rear": np.array([1.0, 1.0, -1.0, -1.0]),
    "left-right": np.array([1.0, -1.0, 1.0, -1.0]),
    "diagonal": np.array([1.0, -1.0, -1.0, 1.0]),
}
ONE: Final = "one-corner"
OTHER: Final = "mixed"
UNKNOWN: Final = "unknown"
ALIKE: Final = 0.9  # of the whole difference: less belongs to no single pattern
STEADY: Final = (PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT)
BLOCK_S: Final = 0.5
REFINE_S: Final = 1.5
STAYS: Final = 0.6
SHARP_S: Final = 0.03
NEAR_S: Final = 0.3
LEAST_MEAN: Final = 0.02


def hover_spans(flown: Flown) -> tuple[tuple[float, float], ...]:
    """Return the spans that balance is read from: hover, or any flight where hover is not told apart."""
    hover = [phase for phase in flown.phases if phase.kind is PhaseKind.HOVER]
    chosen = hover or [phase for phase in flown.phases if phase.kind is PhaseKind.ALOFT]
    return tuple((phase.start_s, phase.end_s) for phase in chosen)


def pattern_of(off: Floats) -> tuple[str, tuple[At, ...], str]:
    """Return how a difference between the corners is laid out.

    Parameters
    ----------
    off : ndarray, shape (4,)
        Share of the mean output above it, in the order of `At`.

    Returns
    -------
    tuple
        The pattern, the corners that it is about (those that work harder; of one corner that corner), and "harder" or
        "less".
    """
    size = float(np.linalg.norm(off))
    if size <= 0.0:
        return OTHER, (), "harder"
    corners = list(At)
    fits = {name: float(off @ sides) / (2.0 * size) for name, sides in HALVES.items()}
    lone = int(np.argmax(np.abs(off)))
    apart = np.full(4, -1.0)
    apart[lone] = 3.0
    fits[ONE] = float(off @ apart) / (np.sqrt(12.0) * size)
    name = max(fits, key=lambda each: abs(fits[each]))
    if abs(fits[name]) < ALIKE:
        return OTHER, tuple(at for at, more in zip(corners, off, strict=True) if more > 0.0), "harder"
    if name == ONE:
        return ONE, (corners[lone],), "harder" if fits[ONE] > 0.0 else "less"
    sides = HALVES[name] * np.sign(fits[name])
    return name, tuple(at for at, side in zip(corners, sides, strict=True) if side > 0.0), "harder"


def imbalance(outputs: Columns, spans: tuple[tuple[float, float], ...]) -> list[Event]:
    """Return an event where the corners' mean outputs in hover differ by more than a build explains."""
    total, count = np.zeros(4), 0
    for span in spans:
        rows = rows_between(outputs.t_s, *span)
        total += [float(values[rows].sum(dtype=np.float64)) for values in outputs.values]
        count += rows.stop - rows.start
    if not count or total.mean() / count < LEAST_MEAN:
        return []
    off = total / total.mean() - 1.0
    if float(np.abs(off).max()) < IMBALANCE.value:
        return []
    return [_event(EventKind.IMBALANCE, outputs, off, spans[0][0], spans[-1][1], IMBALANCE.key)]


def imbalance_step(outputs: Columns, flown: Flown) -> list[Event]:
    """Return where the shares of the corners step and stay, if they do: the greatest step of the flight."""
    spans = [(each.start_s, each.end_s) for each in flown.phases if each.kind in STEADY]
    starts_s, shares = _blocks(outputs, spans)
    side = round(STEP_SIDE.value / BLOCK_S)
    if len(shares) < 2 * side:
        return []
    sums = np.cumsum(np.vstack([np.zeros(4), shares]), axis=0)
    cuts = np.arange(side, len(shares) - side + 1)
    steps = (sums[cuts + side] - 2.0 * sums[cuts] + sums[cuts - side]) / side
    best = int(np.argmax(np.linalg.norm(steps, axis=1)))
    cut, step = int(cuts[best]), steps[best]
    way = step / max(float(np.linalg.norm(step)), 1e-12)
    along = shares @ way
    spread = float(np.hypot(along[cut - side : cut].std(), along[cut : cut + side].std()) / np.sqrt(2.0))
    stayed = float(along[cut:].mean() - along[:cut].mean())
    size = float(np.linalg.norm(step))
    if float(np.abs(step).max()) < IMBALANCE_STEP.value or size < STEP_NOISE.value * spread or stayed < STAYS * size:
        return []
    onset_s = _onset(outputs, way, float(starts_s[cut]))
    return [_event(EventKind.IMBALANCE_STEP, outputs, step, onset_s, spans[-1][1], IMBALANCE_STEP.key)]


def _blocks(outputs: Columns, spans: list[tuple[float, float]]) -> tuple[Floats, Floats]:
    """Return the starts of half-second blocks, shape (k,), and the corners' shares in them, shape (k, 4)."""
    starts_s, shares = [], []
    for start_s, end_s in spans:
        edges_s = start_s + BLOCK_S * np.arange(int((end_s - start_s) / BLOCK_S) + 1)
        edges = np.searchsorted(outputs.t_s, edges_s)
        full = np.diff(edges) > 0
        if not full.any():
            continue
        firsts = edges[:-1][full]
        last = int(edges[-1])
        sums = np.stack(
            [np.add.reduceat(values[:last], firsts, dtype=np.float64) for values in outputs.values], axis=1
        )  # fmt: skip
        means = sums.mean(axis=1)
        turning = means / np.diff(np.r_[firsts, last]) > LEAST_MEAN
        starts_s.append(edges_s[:-1][full][turning])
        shares.append(sums[turning] / means[turning, None])
    if not starts_s:
        return np.empty(0), np.empty((0, 4))
    return np.concatenate(starts_s), np.concatenate(shares)


def _onset(outputs: Columns, way: Floats, near_s: float) -> float:
    """Return the time that parts the rows around a step best: least squares of a mean before and a mean after."""
    rows = rows_between(outputs.t_s, near_s - REFINE_S, near_s + REFINE_S)
    part = np.stack([np.asarray(values[rows], np.float64) for values in outputs.values])
    along = way @ (part / np.maximum(part.mean(axis=0), LEAST_MEAN))
    count = along.size
    if count < 4:
        return near_s
    sums = np.cumsum(np.r_[0.0, along])
    before = np.arange(1, count)
    gain = sums[1:-1] ** 2 / before + (sums[-1] - sums[1:-1]) ** 2 / (count - before)
    cut = int(np.argmax(gain)) + 1
    t_s = outputs.t_s[rows]
    return float(t_s[_sharpest(t_s, sums, cut, float(along[cut:].mean() - along[:cut].mean()))])


def _sharpest(t_s: Floats, sums: Floats, cut: int, size: float) -> int:
    """Return the row near a cut where the step is sharp, if half of it happens at once; else the cut."""
    step_s = float(np.median(np.diff(t_s)))
    side = max(2, round(SHARP_S / step_s))
    reach = round(NEAR_S / step_s)
    places = np.arange(max(side, cut - reach), min(sums.size - 1 - side, cut + reach) + 1)
    if not places.size:
        return cut
    jumps = (sums[places + side] - 2.0 * sums[places] + sums[places - side]) / side
    best = int(np.argmax(jumps))
    return int(places[best]) if jumps[best] >= 0.5 * size else cut


def _event(kind: EventKind, outputs: Columns, off: Floats, start_s: float, end_s: float, rule: str) -> Event:
    """Return one event of unlike corners; where nobody knows which output is which corner, without naming any."""
    pattern, at, works = pattern_of(off)
    most = {"most_share": float(np.abs(off).max())}
    if not outputs.corners_known():
        return Event(kind, start_s, end_s, outputs.channels, rule, most, (), {"pattern": UNKNOWN})
    values = {f"{corner.value.replace('-', '_')}_share": float(share) for corner, share in zip(At, off, strict=True)}
    return Event(kind, start_s, end_s, outputs.channels, rule, values | most, at, {"pattern": pattern, "works": works})


ENOUGH_S: Final = IMBALANCE_LENGTH.value
