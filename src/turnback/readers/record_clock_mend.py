"""Mend a clock that went back: rows out of order, a counter that ran over, a board that restarted."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.record_read import Gap
from turnback.rules.record_clock import AGAIN_S, AGAIN_SHARE, MOST_BACK, SPIKE_STEPS, WRAP_STEPS

Times = NDArray[np.float64]
Rows = NDArray[np.intp]
Alike = Callable[[int, int], bool]
HALF_COUNTER: Final = 2.0**16
WHOLE_COUNTER: Final = 2.0**32
DAY_S: Final = 86_400.0
WEEK_S: Final = 604_800.0
HOLE_STEPS: Final = 1.5
"""A step this long has room for a row that stands elsewhere."""


@dataclass(frozen=True, slots=True)
class Mended:
    """A clock that never goes back, and from which rows it comes.

    Parameters
    ----------
    t_s : ndarray, shape (m,)
        Never less than the one before.
    rows : ndarray of int, shape (m,), or None
        Rows of the table in their new order; None: all, as they stand.
    marks : list of (Gap, int)
        What was mended, at the first row (of `t_s`) after it.
    dropped : int
        Rows written twice.
    """

    t_s: Times
    rows: Rows | None
    marks: list[tuple[Gap, int]]
    dropped: int = 0


def usual_step_s(t_s: Times) -> float:
    """Return the median of the steps that go forward; 0 where none does."""
    steps = np.diff(t_s)
    forward = steps[steps > 0.0]
    return float(np.median(forward)) if forward.size else 0.0


def without_spikes(t_s: Times, step_s: float) -> Times:
    """Return times in which a single damaged one between two that fit stands in the middle of them."""
    if t_s.size < 3:
        return t_s
    before, here, after = t_s[:-2], t_s[1:-1], t_s[2:]
    far = SPIKE_STEPS.value * step_s
    fits = (after >= before) & (after - before <= far)
    odd = np.flatnonzero(fits & ((here > after) & (here - before > far) | (here < before) & (before - here > far))) + 1
    if not odd.size:
        return t_s
    mended = t_s.copy()
    mended[odd] = 0.5 * (t_s[odd - 1] + t_s[odd + 1])
    return mended


def unwrapped(t_s: Times, scale: float, step_s: float) -> tuple[Times, list[tuple[Gap, int]]]:
    """Return times of a counter (16 or 32 bits, time of day, of week) that ran over as one that went on.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        As the counter has it, nought where it has nought.
    scale : float
        Seconds of one count.
    step_s : float
    """
    steps = np.diff(t_s)
    back = np.flatnonzero(steps < 0.0)
    low, high = float(t_s.min()), float(t_s.max())
    turns = {counter * unit for counter in (HALF_COUNTER, WHOLE_COUNTER) for unit in (abs(scale), 1e-3, 1e-6)}
    for turn_s in sorted(turns | {DAY_S, WEEK_S}):
        inside = (low >= 0.0 and high < turn_s) or (low >= -0.5 * turn_s and high < 0.5 * turn_s)
        over = steps[back] + turn_s
        wraps = back[(over > 0.0) & (over <= min(WRAP_STEPS.value * step_s, 0.5 * turn_s))]
        if inside and wraps.size:
            added = np.zeros(t_s.size)
            added[wraps + 1] = turn_s
            return t_s + np.cumsum(added), [(Gap.CLOCK_WRAPPED, int(row) + 1) for row in wraps]
    return t_s, []


def in_order(t_s: Times, step_s: float, alike: Alike, apart: Alike) -> Mended:
    """Return a clock that never goes back.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    step_s : float
    alike, apart : callable
        Whether two rows hold the same values; whether they fill quite different columns.
    """
    back = np.flatnonzero(np.diff(t_s) < 0.0)
    if not back.size:
        return Mended(t_s, None, [])
    if back.size > MOST_BACK.value:
        return _all_alike(t_s, step_s, back, apart)
    jumps = np.flatnonzero(np.diff(t_s) > HOLE_STEPS * step_s)
    keep = np.ones(t_s.size, dtype=bool)
    cuts: list[int] = []
    first = 0
    for row in (int(each) + 1 for each in back):
        if not keep[row]:
            continue
        if _fits_a_hole(t_s, jumps, first, row) or apart(row - 1, row):
            continue
        twice = _written_twice(t_s, first, row, alike)
        if twice:
            keep[row : row + twice] = False
        else:
            cuts.append(row)
            first = row
    return _joined(t_s, step_s, keep, cuts)


def _fits_a_hole(t_s: Times, jumps: Rows, first: int, row: int) -> bool:
    """Whether the rows from here on until the clock is ahead again belong into one hole among the rows before."""
    here = t_s[row]
    holes = jumps[(jumps >= first) & (jumps < row - 1)]
    holes = holes[(t_s[holes] < here) & (here < t_s[holes + 1])]
    if not holes.size:
        return False
    end = t_s[holes[-1] + 1]
    ahead = np.flatnonzero(t_s[row:] >= end)
    late = t_s[row : row + int(ahead[0])] if ahead.size else t_s[row:]
    return bool(np.all(late > t_s[holes[-1]]))


def _written_twice(t_s: Times, first: int, row: int, alike: Alike) -> int:
    """Return how many rows from here on repeat earlier ones."""
    earlier = np.flatnonzero(t_s[first:row] == t_s[row])
    if not earlier.size:
        return 0
    start = first + int(earlier[0])
    most = min(row - start, t_s.size - row)
    same = t_s[start : start + most] == t_s[row : row + most]
    count = most if same.all() else int(np.argmin(same))
    return count if count and alike(start, row) and alike(start + count - 1, row + count - 1) else 0


def _joined(t_s: Times, step_s: float, keep: NDArray[np.bool_], cuts: list[int]) -> Mended:
    """Return the stretches between the cuts, each sorted, one after the other."""
    edges = [0, *cuts, t_s.size]
    rows: list[Rows] = []
    times: list[Times] = []
    marks: list[tuple[Gap, int]] = []
    count, end_s = 0, 0.0
    for place, (start, stop) in enumerate(itertools.pairwise(edges)):
        part = start + np.flatnonzero(keep[start:stop])
        part = part[np.argsort(t_s[part], kind="stable")]
        shift = end_s + step_s - float(t_s[part[0]]) if place else 0.0
        if place:
            marks.append((_kind(float(t_s[start - 1]), float(t_s[start])), count))
        rows.append(part)
        times.append(t_s[part] + shift)
        count, end_s = count + part.size, float(times[-1][-1])
    return Mended(np.concatenate(times), np.concatenate(rows), marks, int(t_s.size - np.count_nonzero(keep)))


def _kind(before_s: float, after_s: float) -> Gap:
    """Tell a clock that began again from one that was set back."""
    again = after_s <= AGAIN_SHARE.value * before_s or before_s - after_s > AGAIN_S.value
    return Gap.CLOCK_AGAIN if again else Gap.CLOCK_BACK


def _all_alike(t_s: Times, step_s: float, back: Rows, apart: Alike) -> Mended:
    """Mend very many steps back in one way: rows out of order by little are sorted, others go on by one step."""
    row = int(back[0])
    behind = np.maximum.accumulate(t_s) - t_s
    if float(behind.max()) <= MOST_BACK.value * step_s or apart(row, row + 1):
        order = np.argsort(t_s, kind="stable")
        return Mended(t_s[order], order, [(Gap.CLOCK_BACK, row + 1)])
    steps = np.diff(t_s, prepend=t_s[0])
    marks = [(_kind(float(t_s[each]), float(t_s[each + 1])), int(each) + 1) for each in back[: int(MOST_BACK.value)]]
    steps[back + 1] = step_s
    return Mended(t_s[0] + np.cumsum(steps), None, marks)
