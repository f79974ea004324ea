"""How many cells in series the pack of a record has: told, counted, or read off the volts where they leave no doubt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import ALOFT, Phase, PhaseKind
from turnback.rules.chemistry import chemistry, chemistry_names
from turnback.rules.record_power import (
    CELL_LEAST_V,
    CELLS_RATIO,
    NEARLY_FULL_V,
    NO_CELL_ABOVE_V,
    NO_CELL_BELOW_V,
    OVER_FULL_V,
    PART_USED_V,
    REST_LOAD,
)

PACKS: Final = (1, 2, 3, 4, 5, 6, 8, 10, 12, 14)
"""Cells in series that packs for multirotors have; seven are hardly met and would make every six doubtful."""
MOST_PICKS: Final = 20_000
REST_S: Final = 10.0
"""So much of the rest before the first flight counts."""


def cells_of(record: FlightRecord, phases: Sequence[Phase]) -> int | None:
    """Return the number of cells in series, or None where it is not sure.

    Parameters
    ----------
    record : FlightRecord
    phases : sequence of Phase
        The volts before the first phase off the ground are rest volts while nothing draws current.
    """
    numbered = cell_series(record)
    pack, mean = record.get(Quantity.PACK_VOLTS), record.get(Quantity.CELL_VOLTS)
    if record.facts.cells is not None or numbered:
        cells = len(numbered) if record.facts.cells is None else record.facts.cells
        spans = [(phase.start_s, phase.end_s) for phase in phases if phase.kind in ALOFT]
        if pack is not None and not may_share(pack.t_s, pack.values, cells, record.facts.chemistry, spans):
            return None
        return cells
    if pack is None or not pack.t_s.size:
        return None
    if mean is not None and mean.t_s.size:
        return _from_ratio(pack, mean)
    rest_v = _rest_at_start_v(record, pack, phases)
    return None if rest_v is None else _from_rest(rest_v, record.facts.chemistry)


def may_share(
    t_s: np.ndarray, volts: np.ndarray, cells: int, told: str | None, spans: Sequence[tuple[float, float]] = ()
) -> bool:
    """Tell whether so many cells can have these volts together: no cell flies far below empty or far above full.

    Parameters
    ----------
    t_s, volts : ndarray, shape (n,)
    cells : int
    told : str or None
        The chemistry; where none is told, the one with the highest volts counts.
    spans : sequence of (start, end)
        Where it flew: on the bench a board may run without its pack. Without any, the whole record counts.
    """
    seen = [_picked(volts[rows_between(t_s, start_s, end_s)]) for start_s, end_s in spans]
    every = np.concatenate([each for each in seen if each.size] or [_picked(volts)])
    if not every.size:
        return True
    names = (told,) if told is not None else chemistry_names()
    most_v = max(chemistry(name).full_v for name in names) + NO_CELL_ABOVE_V.value
    return NO_CELL_BELOW_V.value <= float(np.median(every)) / cells <= most_v


def cell_series(record: FlightRecord) -> tuple[Series, ...]:
    """Return the numbered cells that are there: channels that stay near nothing are empty sockets."""
    every = [each for each in record.all_of(Quantity.CELL_VOLTS) if each.channel.number is not None and each.t_s.size]
    return tuple(each for each in every if float(np.median(_picked(each.values))) > CELL_LEAST_V.value)


def _picked(values: np.ndarray) -> np.ndarray:
    """Return values evenly picked from many."""
    return values[:: max(1, values.size // MOST_PICKS)]


def _from_ratio(pack: Series, mean: Series) -> int | None:
    """Return pack volts over a cell's volts, if that is a whole number."""
    stride = max(1, pack.t_s.size // MOST_PICKS)
    cell_v = held_at(mean.t_s, mean.values, pack.t_s[::stride])
    sound = cell_v > CELL_LEAST_V.value
    if not sound.any():
        return None
    ratio = float(np.median(pack.values[::stride][sound] / cell_v[sound]))
    whole = round(ratio)
    return whole if whole >= 1 and abs(ratio - whole) <= CELLS_RATIO.value else None


def _rest_at_start_v(record: FlightRecord, pack: Series, phases: Sequence[Phase]) -> float | None:
    """Return the pack's rest volts before the first flight, or None where no rest was recorded."""
    if not phases or phases[0].kind is not PhaseKind.GROUND:
        return None
    end_s = phases[0].end_s
    values = pack.values[rows_between(pack.t_s, max(phases[0].start_s, end_s - REST_S), end_s)]
    if not values.size:
        return None
    current = record.get(Quantity.CURRENT)
    if current is not None and current.t_s.size:
        drawn = current.values[rows_between(current.t_s, max(phases[0].start_s, end_s - REST_S), end_s)]
        most = REST_LOAD.value * float(np.percentile(_picked(current.values), 95.0))
        if drawn.size and float(np.median(drawn)) > max(most, 1.0):
            return None
    return float(np.median(values))


def _from_rest(rest_v: float, told: str | None) -> int | None:
    """Return the one number of cells for which a pack is charged; None where none or another one fits as well."""
    names = (told,) if told is not None else chemistry_names()
    full_v = [chemistry(name).full_v for name in names]
    most_v = max(full_v) + OVER_FULL_V.value
    charged = [
        cells for cells in PACKS
        if any(full - NEARLY_FULL_V.value <= rest_v / cells <= full + OVER_FULL_V.value for full in full_v)
    ]  # fmt: skip
    possible = [cells for cells in PACKS if PART_USED_V.value <= rest_v / cells <= most_v]
    return charged[0] if len(charged) == 1 and len(possible) == 1 else None
