"""Whether the difference of halves steps in mid-flight and stays: a weight that moved."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signs_outputs_flight import Seen
from turnback.assess.signs_outputs_tell import Telling
from turnback.records.happened import EventKind, PhaseKind, WhyNot
from turnback.rules.record_outputs import STEP_SIDE
from turnback.rules.record_signs_outputs import HALVES_STEP
from turnback.rules.record_signs_step import SHORT_STEP, STEP_MOST

Floats = NDArray[np.float64]
STEP: Final = "halves-step-in-flight"
ALOFT: Final = (PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT)
LEAST_MEAN: Final = 0.03
BLOCK_S: Final = 0.5
STAYS: Final = 0.6
SPREADS: Final = 3.0
SHORT_SPREADS: Final = 4.0
SHORT_BLOCKS: Final = 2
DIAGONALS: Final = 2.0
LEAST_ALOFT_S: Final = 2.5
SHOWS_S: Final = (1 + SHORT_BLOCKS) * BLOCK_S  # the half second of the step itself, and those after it
UNSEEN_SURE: Final = 0.7
"""Of none before it ran away, where it flew on too shortly to show the step that may have made it run away."""
HOLDS_S: Final = 2.5
"""After a run-away: a weight that moved runs it away, and is then held against; a dead rotor is not."""


class Step(NamedTuple):
    """One step of the difference of halves."""

    score: float
    size: float
    cut: int


def step_in_flight(seen: Seen, outputs: Columns, tell: Telling) -> float | None:
    """Tell whether the difference of halves steps in mid-flight and stays; return when."""
    until_s = min(seen.ended_s, seen.failed_s + (HOLDS_S if seen.failed_s == seen.broke_s else 0.0))
    spans = seen.steady(*ALOFT, until_s=until_s)
    if sum(b - a for a, b in spans) < LEAST_ALOFT_S:
        tell.missed(WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT, STEP)
        return None
    shares, times = _shares(outputs, spans)
    named = outputs.corners_known()
    early = int(np.searchsorted(times, seen.failed_s - 0.5 * BLOCK_S))
    found = [each for each in (_long(shares[:early], named), _short(shares)) if each is not None]
    if not found:
        tell.missed(WhyNot.TOO_SHORT, STEP)
        return None
    best = max(found, key=lambda each: each.score)
    most = 0.97 if named else 0.8
    if best.score < 1.0 and _ran_away_late(seen):
        most = UNSEEN_SURE
    seen_step = tell.scored(
        STEP, "outputs aloft", best.score, most=most,
        span=(float(times[best.cut]), float(times[-1])), channels=outputs.channels,
        values={"step_share": best.size, "limit_share": HALVES_STEP.value},
    )  # fmt: skip
    events = seen.events(EventKind.IMBALANCE_STEP, until_s=seen.failed_s)
    return float(times[best.cut]) if seen_step else (events[0].start_s if events else None)


def _ran_away_late(seen: Seen) -> bool:
    """Tell whether it ran away so shortly before the end that a step which did it could not show any more."""
    if seen.failed_s != seen.broke_s or seen.ended_s - seen.broke_s >= SHOWS_S:
        return False
    return any(each.start_s == seen.broke_s for each in seen.events(EventKind.RATE_RUN_AWAY, until_s=seen.ended_s))


def _long(shares: Floats, named: bool) -> Step | None:
    """Return the largest step with some seconds on each side; None where there is too little."""
    side = round(STEP_SIDE.value / BLOCK_S)
    if len(shares) < 2 * side + 2:
        return None
    sums = np.cumsum(np.vstack([np.zeros(shares.shape[1]), shares]), axis=0)
    cuts = np.arange(side, len(shares) - side + 1)
    steps = (sums[cuts + side] - 2.0 * sums[cuts] + sums[cuts - side]) / side
    best = int(np.argmax(np.linalg.norm(steps[:, :2], axis=1)))
    cut, step = int(cuts[best]), steps[best]
    size = float(np.linalg.norm(step[:2]))
    along = shares[:, :2] @ (step[:2] / max(size, 1e-9))
    spread = float(np.hypot(along[cut - side : cut].std(), along[cut : cut + side].std()) / np.sqrt(2.0))
    stayed = float(along[cut:].mean() - along[:cut].mean()) / max(size, 1e-9)
    score = min(size / HALVES_STEP.value, size / (SPREADS * max(spread, 1e-6)), max(stayed, 0.05) / STAYS)
    if named:
        score = min(score, size / max(DIAGONALS * abs(float(step[2])), 1e-9))
    return Step(score, size, cut)


def _short(shares: Floats) -> Step | None:
    """Return the clearest large step with a second at least on each side; None where there is too little.

    The half second of the step itself belongs to no side.
    """
    side, best = round(STEP_SIDE.value / BLOCK_S), None
    for cut in range(SHORT_BLOCKS, len(shares) - SHORT_BLOCKS):
        before, after = shares[max(cut - side, 0) : cut], shares[cut + 1 : cut + 1 + side]
        step = np.median(after, axis=0) - np.median(before, axis=0)
        size = float(np.linalg.norm(step[:2]))
        along = shares[:, :2] @ (step[:2] / max(size, 1e-9))
        spread = float(np.hypot(along[max(cut - side, 0) : cut].std(), along[cut + 1 : cut + 1 + side].std()))
        stayed = float(along[cut + 1 :].mean() - along[:cut].mean()) / max(size, 1e-9)
        score = min(
            size / SHORT_STEP.value, size * np.sqrt(2.0) / (SHORT_SPREADS * max(spread, 1e-6)),
            max(stayed, 0.05) / STAYS, size / max(DIAGONALS * abs(float(step[2])), 1e-9),
            (STEP_MOST.value / max(size, 1e-9)) ** 2,
        )  # fmt: skip
        if best is None or score > best.score:
            best = Step(float(score), size, cut)
    return best


def _shares(outputs: Columns, spans: list[tuple[float, float]]) -> tuple[Floats, Floats]:
    """Return parts of the outputs over their mean in half-second blocks, shape (k, 3), and when each begins."""
    found, times = [], []
    for start_s, end_s in spans:
        edges_s = start_s + BLOCK_S * np.arange(int((end_s - start_s) / BLOCK_S) + 1)
        edges = np.searchsorted(outputs.t_s, edges_s)
        if edges.size < 2 or (np.diff(edges) <= 0).any():
            continue
        last = int(edges[-1])
        sums = np.stack([np.add.reduceat(v[:last], edges[:-1], dtype=np.float64) for v in outputs.values])
        means = sums / np.diff(edges)
        level = means.mean(axis=0)
        keep = level > LEAST_MEAN
        parts = np.stack([PARTS[name] @ means for name in ("front-rear", "left-right", "diagonal")]) / (2.0 * level)
        found.append(parts[:, keep].T)
        times.append(edges_s[:-1][keep])
    if not found:
        return np.empty((0, 3)), np.empty(0)
    return np.concatenate(found), np.concatenate(times)
