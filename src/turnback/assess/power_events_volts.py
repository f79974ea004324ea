"""The volts of a record to judge by, and how many cells share them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from turnback.assess.link_events_parts import Floats
from turnback.assess.record_cells import cell_series, may_share
from turnback.assess.signals import held_at
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Flown


@dataclass(frozen=True, slots=True, eq=False)
class Volts:
    """Volts of the pack, or of its mean cell where the pack's are not recorded.

    Parameters
    ----------
    channels : tuple of Channel
    t_s, volts : ndarray, shape (n,)
    cells : int or None
        That share them: 1 for a mean cell.
    rate_hz, fresh_hz : float
    """

    channels: tuple[Channel, ...]
    t_s: Floats
    volts: np.ndarray
    cells: int | None
    rate_hz: float
    fresh_hz: float


def volts_of(flown: Flown) -> Volts | None:
    """Return the volts to judge by: the pack's, the sum of its cells, or a mean cell's.

    Volts that so many cells cannot have are of no known number of cells.
    """
    volts = _recorded(flown)
    if volts is None or not volts.cells or may_share(volts.t_s, volts.volts, volts.cells, flown.chemistry,
                                                     flown.aloft()):  # fmt: skip
        return volts
    return replace(volts, cells=None)


def _recorded(flown: Flown) -> Volts | None:
    """Return the volts with the number of cells that goes with them."""
    record = flown.record
    pack = record.get(Quantity.PACK_VOLTS)
    if pack is not None and pack.t_s.size > 1:
        return Volts((pack.channel,), pack.t_s, pack.values, flown.cells, pack.rate_hz, pack.fresh_hz)
    cells = cell_series(record)
    if len(cells) > 1:
        first = cells[0]
        total = np.sum([held_at(each.t_s, each.values, first.t_s) for each in cells], axis=0)
        channels = tuple(each.channel for each in cells)
        return Volts(channels, first.t_s, total, len(cells), first.rate_hz, first.fresh_hz)
    mean = record.get(Quantity.CELL_VOLTS)
    if mean is not None and mean.t_s.size > 1:
        return Volts((mean.channel,), mean.t_s, mean.values, 1, mean.rate_hz, mean.fresh_hz)
    return None
