"""What was predicted beside what was recorded, as small charts; and what each sign weighs for each cause, as bars."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.book import Book
from turnback.records.debrief import AgainstPlan, Compared, DebriefAnswer
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_curves import (
    TALL,
    WIDE,
    Curve,
    Panel,
    ends_of,
    path,
    time_ticks,
    value_ticks,
)
from turnback.report.words_belief import NOT_IN_BOOK
from turnback.report.words_belief_chance import capital, odds
from turnback.report.words_debrief_causes import cause_name, listed
from turnback.report.words_debrief_model import BAND, compared_line, compared_title, curve_names
from turnback.report.words_debrief_signs import clause, found_sign, sign_names

Array = NDArray[np.float64]

MOST_POINTS: Final = 400
TITLE: Final = mark("{what} ({unit})")
MOST_ROWS: Final = 24
LEAST_DECIBANS: Final = 0.5
"""What weighs less for every listed cause is no row."""
FULL_DECIBANS: Final = 20.0
"""A bar is full from here on."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What one sign weighs for one cause."""

    number: str
    """Decibans with their sign; empty where the sign says nothing of it."""
    share: float
    """Of a full bar, per cent."""
    against: bool


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """One sign, and what it weighs for each of the first causes."""

    sign: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """The table of evidence."""

    causes: tuple[tuple[str, str], ...]
    """Name and chance of each column."""
    rows: tuple[EvidenceRow, ...]
    left_out: int


def compared_panels(against: AgainstPlan | None, units: Units) -> tuple[Panel, ...]:
    """Return one chart for each thing that was held against the model."""
    if against is None:
        return ()
    return tuple(
        _panel(each, units, f"model-{place}") for place, each in enumerate(against.compared, 1) if _drawn(each)
    )


def _drawn(compared: Compared) -> bool:
    return bool(
        compared.t_s.size > 1 and (np.isfinite(compared.recorded).any() or np.isfinite(compared.predicted).any())
    )


def _panel(compared: Compared, units: Units, key: str) -> Panel:
    unit, factor = (
        ("ft", numbers.FEET_PER_M) if (compared.unit, units) == ("m", Units.IMPERIAL) else (compared.unit, 1.0)
    )
    kept = np.unique(np.linspace(0, compared.t_s.size - 1, min(compared.t_s.size, MOST_POINTS)).astype(np.intp))
    t_s = compared.t_s[kept]
    recorded, predicted, low, high = (
        each[kept] * factor for each in (compared.recorded, compared.predicted, compared.low, compared.high)
    )
    bottom, top = ends_of([recorded, predicted, low, high])
    start_s, end_s = float(t_s[0]), float(t_s[-1])
    recorded_name, predicted_name = curve_names(compared)
    return Panel(
        key=key,
        title=text(TITLE, what=compared_title(compared), unit=unit),
        alt=compared_line(compared, units),
        curves=(
            Curve(recorded_name, path(t_s, recorded, bottom, top, start_s, end_s)),
            Curve(predicted_name, path(t_s, predicted, bottom, top, start_s, end_s), dashed=True),
        ),
        ticks_x=time_ticks(start_s, end_s),
        ticks_y=value_ticks(bottom, top),
        bands=band_paths(t_s, low, high, bottom, top),
        band_name=text(BAND),
    )


def band_paths(t_s: Array, low: Array, high: Array, bottom: float, top: float) -> tuple[str, ...]:
    """Return the area between two lines as closed paths in the drawing's own measure, one for each unbroken stretch.

    Parameters
    ----------
    t_s, low, high : ndarray, shape (n,)
        NaN parts two stretches.
    bottom, top : float
        Ends of the axis.
    """
    known = np.isfinite(low) & np.isfinite(high)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], known, [False]]).astype(np.int8)))
    across = (t_s - t_s[0]) / max(float(t_s[-1] - t_s[0]), 1e-12) * WIDE
    scale = TALL / max(top - bottom, 1e-12)
    found = []
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        if stop - start < 2:
            continue
        right = np.concatenate([across[start:stop], across[start:stop][::-1]])
        down = (top - np.concatenate([high[start:stop], low[start:stop][::-1]])) * scale
        found.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in zip(right, down, strict=True)) + "Z")
    return tuple(found)


def evidence(answer: DebriefAnswer, book: Book, units: Units) -> Evidence | None:
    """Return what each sign weighs for each of the first causes; None where nothing is believed.

    The strongest sign stands first; a cell is empty where a sign says nothing of a cause.
    """
    if answer.belief is None:
        return None
    causes, names = listed(answer.belief, book), sign_names(book)
    weights = {(each.cause, weight.sign, weight.seen): weight.decibans for each in causes for weight in each.weights}
    strongest: dict[tuple[str, bool], float] = {}
    for (_, sign, seen), decibans in weights.items():
        strongest[sign, seen] = max(strongest.get((sign, seen), 0.0), abs(decibans))
    telling = sorted((key for key, size in strongest.items() if size >= LEAST_DECIBANS),
                     key=lambda key: (-strongest[key], key))  # fmt: skip
    rows = []
    for sign, seen in telling[:MOST_ROWS]:
        said = clause(names.get(sign, text(NOT_IN_BOOK)), found_sign(answer, sign, seen=seen), units)
        said = capital(said if seen else text("not so that {sign}", sign=said))
        rows.append(EvidenceRow(said, tuple(_cell(weights.get((each.cause, sign, seen))) for each in causes)))
    if not rows:
        return None
    heads = tuple((cause_name(each.cause, book), odds(each.chance)) for each in causes)
    return Evidence(heads, tuple(rows), len(telling) - len(rows))


def _cell(decibans: float | None) -> Cell:
    if decibans is None or abs(decibans) < LEAST_DECIBANS:
        return Cell("", 0.0, against=False)
    share = min(abs(decibans) / FULL_DECIBANS, 1.0) * 100.0
    return Cell(f"{decibans:+.0f}".replace("+0", "0").replace("-0", "0"), round(share, 1), against=decibans < 0.0)
