"""Signs of single cells, and of how many there are."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats
from turnback.assess.signs_volts_pack import GRID_HZ, LEAST_REST_S, PackSeen
from turnback.assess.signs_volts_told import Blind, Saw, needs
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_volts import (
    CELL_COLLAPSES,
    CELLS_APART,
    NO_CELL_RESTS_ABOVE,
    NO_CELL_RESTS_BELOW,
)

GROUP: Final = "cells"
APART_SD_V, COLLAPSES_SD_V, FIT_SD_V = 0.015, 0.025, 0.05
ALOFT_SURE: Final = 0.9


def _apart_v(cells: Floats, rows: NDArray[np.bool_]) -> float | None:
    """Return greatest less least cell, of the medians over some rows."""
    if np.count_nonzero(rows) < LEAST_REST_S * GRID_HZ:
        return None
    middle = np.median(cells[:, rows], axis=1)
    return float(np.max(middle) - np.min(middle))


def cells_apart(seen: PackSeen) -> Saw | Blind:
    """How far cells lie apart at rest; cells that lie together under load lie together at rest."""
    cells = seen.cells_v
    if cells is None:
        return needs(Quantity.CELL_VOLTS)
    apart_v, most = _apart_v(cells, seen.idle), 0.98
    if apart_v is None:
        apart_v, most = _apart_v(cells, seen.aloft), ALOFT_SURE
        if apart_v is None or apart_v > CELLS_APART.value:
            return Blind(WhyNot.NOT_ALOFT if apart_v is None else WhyNot.TOO_SHORT)
    values = {"apart_v": apart_v, "limit_v": CELLS_APART.value}
    return Saw((apart_v - CELLS_APART.value) / APART_SD_V, GROUP, values, channels=seen.cell_channels, most=most)


def one_cell_collapses(seen: PackSeen) -> Saw | Blind:
    """How much further the lowest cell lies below the others while much is drawn than at rest."""
    cells = seen.cells_v
    if cells is None:
        return needs(Quantity.CELL_VOLTS)
    others = (np.sum(cells, axis=0) - cells) / (cells.shape[0] - 1)
    gap_v = others - cells
    rows = seen.aloft & (seen.load_amount >= seen.usual)
    if np.count_nonzero(rows) < GRID_HZ:
        return Blind(WhyNot.NOT_ALOFT)
    at_rest = np.median(gap_v[:, seen.idle], axis=1) if seen.rest_seen else np.zeros(cells.shape[0])
    low_v = np.percentile(gap_v[:, rows], 90.0, axis=1)
    more_v = low_v - at_rest
    worst = int(np.argmax(more_v))
    values = {"gap_v": float(low_v[worst]), "more_v": float(more_v[worst]), "number": worst + 1.0,
              "limit_v": CELL_COLLAPSES.value}  # fmt: skip
    beyond = (float(more_v[worst]) - CELL_COLLAPSES.value) / COLLAPSES_SD_V
    if beyond > 0.0 and not seen.rest_seen and not _grows(gap_v[worst], seen):
        return Blind(WhyNot.LOAD_TOO_STEADY)
    return Saw(beyond, GROUP, values, channels=seen.cell_channels)


def _grows(gap_v: Floats, seen: PackSeen) -> bool:
    """Whether a gap goes with the load."""
    drawn, gap = seen.load_amount[seen.aloft], gap_v[seen.aloft]
    if drawn.size < 3 or float(np.std(drawn)) < 0.05 * max(seen.usual, 1e-9):
        return False
    slope = float(np.polyfit(drawn, gap, 1)[0])
    return slope * seen.usual > 0.5 * CELL_COLLAPSES.value


def volts_do_not_fit_cells(seen: PackSeen) -> Saw | Blind:
    """Rest volts, shared among the cells that are declared, against what a cell can have."""
    if seen.volts is None or seen.volts.channels[0].quantity is not Quantity.PACK_VOLTS:
        return needs(Quantity.PACK_VOLTS)
    if not seen.declared:
        return Blind(WhyNot.CELLS_UNKNOWN)
    if not seen.t_s.size:
        return Blind(WhyNot.TOO_SHORT)
    pack_v = seen.unit_v * (seen.cells or 1)
    rows = seen.idle if seen.rest_seen else np.ones(pack_v.size, np.bool_)
    cell_v = float(np.percentile(pack_v[rows], 50.0 if seen.rest_seen else 95.0)) / seen.declared
    most_v = seen.limits.full_v + NO_CELL_RESTS_ABOVE.value
    least_v = NO_CELL_RESTS_BELOW.value if seen.rest_seen else seen.limits.damage_v
    beyond = max(cell_v - most_v, least_v - cell_v) / FIT_SD_V
    values = {"cell_v": cell_v, "least_v": least_v, "most_v": most_v, "declared": float(seen.declared)}
    return Saw(beyond, "volts before take-off", values, channels=seen.volts.channels)
