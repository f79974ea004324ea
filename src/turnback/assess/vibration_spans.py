"""The stretches of a record that vibration is read from, and their spectra."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between
from turnback.physics.spectrum import evenly, jitter_ratio, welch
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import FlightRecord, Series, Times
from turnback.records.happened import Flown, PhaseKind, Spectrum
from turnback.rules.record_vibration import JITTER, LENGTH, MOST, SPAN

GROUPS: Final = (PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT)
SHAKEN: Final = (*RATES, *ACCELERATIONS)
SEGMENT_S: Final = 1.0
MOST_S: Final = 90.0  # our choice: some 180 half-overlapping segments put a density within about a tenth (Welch 1967)
PIECE_S: Final = 4.0
GAP_STEPS: Final = 3.0
HELD_SHARE: Final = 0.7  # values that change less often than this share of the rows are repeated, not quiet
RENEWED: Final = 0.98  # from this share of the rows on every row counts as a new value
COARSE: Final = 0.6  # of the changes are by one step: too coarse to tell a repeat from chance
ONE_STEP: Final = 1.5  # in steps; rounding makes the smallest ones differ
SOME_ROWS: Final = 20_000

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Group:
    """All stretches of one kind of phase that are long enough, cut to what is read of them."""

    kind: PhaseKind
    spans: tuple[Span, ...]
    _rows: dict[tuple[int, float], list[slice]] = field(default_factory=dict, repr=False, compare=False)

    def rows(self, t_s: Times, rate_hz: float) -> list[slice]:
        """Return the rows of a clock in all spans, parted where rows are missing; found once for each clock."""
        key = (id(t_s), rate_hz)
        if key not in self._rows:
            self._rows[key] = [rows for span in self.spans for rows in unbroken(t_s, span, rate_hz)]
        return self._rows[key]

    @property
    def length_s(self) -> float:
        """Seconds in all."""
        return sum(end_s - start_s for start_s, end_s in self.spans)


def groups_of(flown: Flown) -> tuple[Group, ...]:
    """Return the kinds of phases aloft that have enough length, each with the spans that are read."""
    found = []
    for kind in GROUPS:
        spans = [(each.start_s, each.end_s) for each in flown.phases if each.kind is kind]
        spans = [span for span in spans if span[1] - span[0] >= SPAN.value]
        group = Group(kind, _spread(spans))
        if group.length_s >= LENGTH.value:
            found.append(group)
    return tuple(found)


def _spread(spans: list[Span]) -> tuple[Span, ...]:
    """Return spans of at most `MOST` seconds in all, in pieces spread evenly over the given ones."""
    total_s = sum(end_s - start_s for start_s, end_s in spans)
    if total_s <= MOST.value:
        return tuple(spans)
    pieces = [
        (start_s + PIECE_S * place, min(start_s + PIECE_S * (place + 1), end_s))
        for start_s, end_s in spans
        for place in range(max(1, int((end_s - start_s) / PIECE_S)))
    ]
    wanted = np.unique(np.linspace(0, len(pieces) - 1, int(MOST.value / PIECE_S)).astype(int)).tolist()
    return tuple(pieces[place] for place in wanted)


@dataclass(frozen=True, slots=True, eq=False)
class Shaken:
    """A channel that shakes.

    `usable_hz` is the rate up to half of which its lines can be read: that of its fresh values, halved where its clock
    is uneven (see `physics.spectrum.evenly`).
    """

    series: Series
    uneven: bool
    usable_hz: float


def fresh_rate_hz(series: Series) -> float:
    """Return how often a channel brings a new value; quantised or constant ones count at the rate of their rows.

    A new value may happen to equal the old one: of a rounded channel about half as often as it goes up or down by one
    step. Repeats beyond that are no new values, also where the rows are no multiple of them.
    """
    held = 0.0 < series.fresh_hz < HELD_SHARE * series.rate_hz
    told_hz = series.fresh_hz if held else series.rate_hz
    middle = series.values.size // 2
    jumps = np.abs(np.diff(series.values[max(0, middle - SOME_ROWS // 2) : middle + SOME_ROWS // 2]))
    changes = jumps[jumps > 0.0]
    if not changes.size:
        return told_hz
    by_one_step = int(np.count_nonzero(jumps <= ONE_STEP * changes.min())) - (jumps.size - changes.size)
    share = (changes.size + 0.5 * by_one_step) / jumps.size
    if share >= RENEWED or by_one_step > COARSE * changes.size:
        return told_hz
    return min(told_hz, share * series.rate_hz)


def fresh_rows(series: Series) -> tuple[Times, NDArray[np.floating]]:
    """Return a channel without repeated values where it is held; its first row stays."""
    if fresh_rate_hz(series) == series.rate_hz:
        return series.t_s, series.values
    new = np.r_[True, np.diff(series.values) != 0.0]
    return series.t_s[new], series.values[new]


def fresh_axes(axes: tuple[Series, ...]) -> tuple[Series, ...]:
    """Return axes of one clock in the rows that bring new values: a value that is held makes fast lines smaller."""
    rate_hz = min(fresh_rate_hz(each) for each in axes)
    if rate_hz == axes[0].rate_hz:
        return axes
    new = np.r_[True, np.logical_or.reduce([np.diff(each.values) != 0.0 for each in axes])]
    t_s = axes[0].t_s[new]
    return tuple(replace(each, t_s=t_s, values=each.values[new], rate_hz=rate_hz) for each in axes)


def _uneven(t_s: Times) -> bool:
    """Tell whether a clock is uneven, by rows from its middle."""
    middle = t_s.size // 2
    part = t_s[max(0, middle - SOME_ROWS // 2) : middle + SOME_ROWS // 2]
    return part.size > 2 and jitter_ratio(part) > JITTER.value


def unbroken(t_s: Times, span: Span, rate_hz: float) -> list[slice]:
    """Return the rows of a span, parted where rows are missing."""
    rows = rows_between(t_s, *span)
    breaks = np.flatnonzero(np.diff(t_s[rows]) > GAP_STEPS / rate_hz) + 1 + rows.start
    edges = [rows.start, *breaks.tolist(), rows.stop]
    return [slice(a, b) for a, b in pairwise(edges) if (b - a) / rate_hz >= SEGMENT_S]


def _at_most(parts: list[NDArray[np.floating]], most: int, least: int) -> list[NDArray[np.floating]]:
    """Return the middle of every stretch, so that all together are about `most` samples; each keeps `least`."""
    total = sum(each.size for each in parts)
    if total <= most:
        return parts
    kept = []
    for each in parts:
        size = min(each.size, max(least, round(each.size * most / total)))
        first = (each.size - size) // 2
        kept.append(each[first : first + size])
    return kept


def spectrum_of(shaken: Shaken, group: Group, rotors: tuple[tuple[At, float], ...]) -> Spectrum | None:
    """Return the spectrum of one channel over one group; None where no stretch fills a segment.

    Parameters
    ----------
    shaken : Shaken
    group : Group
    rotors : tuple of (At, float)
        Known corners, and the mean speed of the rotor there over the group.

    Notes
    -----
    It ends at half of the usable rate: what a held or uneven channel shows above is not there.
    """
    series, rate_hz = shaken.series, shaken.series.rate_hz
    parts = []
    for rows in group.rows(series.t_s, rate_hz):
        values = series.values[rows]
        parts.append(evenly(series.t_s[rows], values, rate_hz).values if shaken.uneven else values)
    density = welch(_at_most(parts, round(MOST_S * rate_hz), math.ceil(SEGMENT_S * rate_hz)), rate_hz, SEGMENT_S)
    if not np.isfinite(density.values[0]):
        return None
    keep = density.frequency_hz <= shaken.usable_hz / 2.0
    return Spectrum(
        series.channel, group.kind, group.spans[0][0], group.spans[-1][1], shaken.usable_hz,
        np.asarray(density.frequency_hz[keep], dtype=np.float64), density.values[keep],
        tuple(speed_hz for _, speed_hz in rotors), tuple(at for at, _ in rotors),
    )  # fmt: skip


def mean_in(series: Series, group: Group) -> float:
    """Return a channel's mean over the spans of a group; NaN where it has no row there."""
    total, count = 0.0, 0
    for span in group.spans:
        part = series.values[rows_between(series.t_s, *span)]
        total, count = total + float(part.sum(dtype=np.float64)), count + part.size
    return total / count if count else float("nan")


def high_in(series: Series, group: Group) -> float:
    """Return what a channel stays below nine times out of ten over a group; NaN where it has no row there."""
    parts = [series.values[rows_between(series.t_s, *span)] for span in group.spans]
    every = np.concatenate(parts) if parts else np.empty(0)
    every = every[:: max(1, every.size // SOME_ROWS)]
    return float(np.quantile(every, 0.9)) if every.size else float("nan")


def shaken(record: FlightRecord, quantities: tuple[Quantity, ...]) -> tuple[Shaken, ...]:
    """Return those of some quantities that the record has and that hold more than a few rows."""
    found = [each for each in map(record.get, quantities) if each is not None and each.t_s.size > 16]
    told = {clock: _uneven(t_s) for clock, t_s in {id(each.t_s): each.t_s for each in found}.items()}
    return tuple(
        Shaken(each, told[id(each.t_s)], fresh_rate_hz(each) / (2.0 if told[id(each.t_s)] else 1.0)) for each in found
    )
