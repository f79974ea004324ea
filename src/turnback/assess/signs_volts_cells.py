"""Signs of single cells, and of how many there are."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import Floats
from turnback.assess.record_cells import cell_series
from turnback.assess.signs_volts_pack import GRID_HZ, LEAST_REST_S, PackSeen
from turnback.assess.signs_volts_told import Blind, Saw, needs
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_volts import (
    CELL_COLLAPSES,
    CELLS_APART,
    CELLS_SUM,
    LEAD_DROP,
    NO_CELL_RESTS_ABOVE,
    NO_CELL_RESTS_BELOW,
)

GROUP: Final = "cells"
APART_SD_V, COLLAPSES_SD_V, FIT_SD_V = 0.015, 0.025, 0.05
ALOFT_SURE: Final = 0.9
LEAST_BESIDE_S: Final = 3.0
CALM_S: Final = 1.1
WORKED_OUT_V: Final = 0.01
SOME: Final = 25
SUM_SD: Final = 0.006  # of two dividers


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
    # a noisy supply makes every cell's reading low for moments: what lasts no second is no sag of a cell
    calm_v = np.array([running_median(each, round(CALM_S * GRID_HZ) | 1) for each in gap_v])
    low_v = np.percentile(calm_v[:, rows], 90.0, axis=1)
    more_v = low_v - at_rest
    worst = int(np.argmax(more_v))
    more_v = more_v - max(float(np.sort(more_v)[-2]), 0.0)  # noise leaves the next cell as low
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


def _beside_cells(seen: PackSeen) -> tuple[float, float, float] | Blind:
    """Return the share by which the cells' sum is off the pack, the volts a cell that go with the load, and the error.

    All cells and the pack must be recorded, and neither be worked out from the other.
    """
    cells = seen.cells_v
    if cells is None or seen.volts is None or seen.volts.channels[0].quantity is not Quantity.PACK_VOLTS:
        return needs(Quantity.CELL_VOLTS, Quantity.PACK_VOLTS)
    if seen.declared and seen.declared != cells.shape[0]:
        return Blind(WhyNot.CELLS_UNKNOWN, seen.cell_channels)
    pack_v = seen.unit_v * (seen.cells or 1)
    if pack_v.size < LEAST_BESIDE_S * GRID_HZ:
        return Blind(WhyNot.TOO_SHORT)
    off_v = np.sum(cells, axis=0) - pack_v
    if seen.load is None or not seen.aloft.any() or not seen.usual > 0.0:
        return float(np.median(off_v / pack_v)), 0.0, SUM_SD
    if _worked_out(seen):
        return Blind(WhyNot.NO_CHANNEL, seen.cell_channels)
    drawn = seen.load_amount / seen.usual
    columns = np.column_stack([pack_v, drawn])
    (share, drop_v), *_ = np.linalg.lstsq(columns, off_v, rcond=None)
    return float(share), float(drop_v) / cells.shape[0], SUM_SD


def _worked_out(seen: PackSeen) -> bool:
    """Whether the recorder made the pack's volts of the cells, or the cells of the pack: they tell one thing."""
    several = cell_series(seen.answer.flown.record)
    if seen.volts is None or len({each.t_s.size for each in several} | {seen.volts.t_s.size}) > 1:
        return False
    total = np.sum([each.values[::SOME] for each in several], axis=0)
    return float(np.max(np.abs(total - seen.volts.volts[::SOME]))) < WORKED_OUT_V


def cells_do_not_add_up(seen: PackSeen) -> Saw | Blind:
    """The cells together against the pack's volts, what goes with the load left out."""
    found = _beside_cells(seen)
    if isinstance(found, Blind):
        return found
    share, _, sd = found
    values = {"off_share": share, "limit_share": CELLS_SUM.value}
    return Saw((abs(share) - CELLS_SUM.value) / sd, GROUP, values, channels=seen.cell_channels)


def cells_above_pack_with_current(seen: PackSeen) -> Saw | Blind:
    """What the leads take between the cells and where the pack's volts are read, at the usual current."""
    found = _beside_cells(seen)
    if isinstance(found, Blind):
        return found
    if seen.load is None or not seen.aloft.any():
        return needs(Quantity.CURRENT) if seen.load is None else Blind(WhyNot.NOT_ALOFT)
    _, drop_v, sd = found
    values = {"drop_v": drop_v, "limit_v": LEAD_DROP.value}
    return Saw((drop_v - LEAD_DROP.value) / (2.0 * sd), GROUP, values, channels=seen.cell_channels)


def volts_do_not_fit_cells(seen: PackSeen) -> Saw | Blind:
    """Rest volts, shared among the cells that are declared, against what a cell can have."""
    if seen.volts is None or seen.volts.channels[0].quantity is not Quantity.PACK_VOLTS:
        return needs(Quantity.PACK_VOLTS)
    if not seen.declared:
        return Blind(WhyNot.CELLS_UNKNOWN)
    if not seen.t_s.size:
        return Blind(WhyNot.TOO_SHORT)
    if seen.cells_v is not None and seen.cells_v.shape[0] == seen.declared:  # counted: volts are read wrongly then
        return Saw(-3.0, "volts before take-off", channels=seen.volts.channels)
    pack_v = seen.unit_v * (seen.cells or 1)
    rows = seen.idle if seen.rest_seen else np.ones(pack_v.size, np.bool_)
    cell_v = float(np.percentile(pack_v[rows], 50.0 if seen.rest_seen else 95.0)) / seen.declared
    most_v = seen.limits.full_v + NO_CELL_RESTS_ABOVE.value
    least_v = NO_CELL_RESTS_BELOW.value if seen.rest_seen else seen.limits.damage_v
    beyond = max(cell_v - most_v, least_v - cell_v) / FIT_SD_V
    values = {"cell_v": cell_v, "least_v": least_v, "most_v": most_v, "declared": float(seen.declared)}
    return Saw(beyond, "volts before take-off", values, channels=seen.volts.channels)
