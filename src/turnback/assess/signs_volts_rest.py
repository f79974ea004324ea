"""Signs of the volts before the first take-off."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signs_volts_cells import cells_do_not_add_up
from turnback.assess.signs_volts_pack import GRID_HZ, PackSeen
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, needs
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_volts import ABOVE_FULL, NOT_FULL, PART_EMPTY, READS_OFF

GROUP: Final = "volts before take-off"
READ_SD_V: Final = 0.02
FIRST_S: Final = 3.0
LOADED_V, LOADED_SD_V = 0.15, 0.07
"""What flying takes off a cell of a sound pack, where no rest was recorded."""
ALOFT_SURE: Final = 0.85


def rest_of(seen: PackSeen) -> tuple[float, float, bool] | Blind:
    """Return the volts of a cell at rest before it flew, their standard error, and whether they were measured."""
    if seen.volts is None:
        return needs(Quantity.PACK_VOLTS)
    if not seen.cells:
        return Blind(WhyNot.CELLS_UNKNOWN, (Channel(Quantity.CELL_VOLTS),))
    if seen.rest_v is not None:
        beside = cells_do_not_add_up(seen)
        if isinstance(beside, Saw) and beside.beyond > 0.0 and seen.cells_v is not None:  # then the cells are believed
            return float(np.median(np.mean(seen.cells_v[:, seen.idle], axis=0))), READ_SD_V, True
        return seen.rest_v, READ_SD_V, True
    rows = np.flatnonzero(seen.aloft)[: round(FIRST_S * GRID_HZ)]
    if not rows.size or seen.t_s[rows[0]] > seen.t_s[0] + FIRST_S:
        return Blind(WhyNot.NOT_ALOFT)
    return float(np.max(seen.unit_v[rows])) + LOADED_V, LOADED_SD_V, False


def starts_not_full(seen: PackSeen) -> Saw | Blind:
    """Below full at rest before it flew."""
    rest = rest_of(seen)
    if isinstance(rest, Blind):
        return rest
    return _below(seen, rest, seen.limits.full_v - NOT_FULL.value)


def starts_part_empty(seen: PackSeen) -> Saw | Blind:
    """Below the volts of three quarters of the charge at rest before it flew."""
    rest = rest_of(seen)
    if isinstance(rest, Blind):
        return rest
    if not seen.chemistry_told:
        return Blind(WhyNot.CHEMISTRY_UNKNOWN)
    return _below(seen, rest, float(np.interp(PART_EMPTY.value, seen.limits.ocv_soc, seen.limits.ocv_v)))


def _below(seen: PackSeen, rest: tuple[float, float, bool], limit_v: float) -> Saw:
    """Return rest volts against a limit that a full pack lies above."""
    rest_v, sd_v, measured = rest
    if seen.cells_v is not None and seen.cells_v.shape[0] > 2 and measured:  # one weak cell makes no half-charged pack
        rest_v = max(rest_v, float(np.median(seen.cells_v[:, seen.idle])))
    most = 0.98 if measured and seen.chemistry_told else ALOFT_SURE
    return Saw((limit_v - rest_v) / (1.5 * sd_v), GROUP, {"rest_v": rest_v, "limit_v": limit_v},
               float(seen.t_s[0]), None, seen.channels[:1], most)  # fmt: skip


def full_reads_off(seen: PackSeen) -> Saw | Blind:
    """Above full by more than it can be, or just full; below, only who charged it knows whether it was charged."""
    rest = rest_of(seen)
    if isinstance(rest, Blind):
        return rest
    rest_v, sd_v, measured = rest
    off_v = rest_v - seen.limits.full_v
    if seen.rest_v is not None and seen.rest_v != rest_v and abs(off_v) <= READS_OFF.value:
        off_v = seen.rest_v - seen.limits.full_v  # the cells say that it is full
        values = {"rest_v": seen.rest_v, "full_v": seen.limits.full_v}
        return Saw((abs(off_v) - READS_OFF.value) / sd_v, GROUP, values, channels=seen.channels[:1])
    if not measured or off_v < -READS_OFF.value:
        return NOBODY
    if not seen.chemistry_told:
        return Blind(WhyNot.CHEMISTRY_UNKNOWN)
    values = {"rest_v": rest_v, "full_v": seen.limits.full_v}
    beyond = off_v - READS_OFF.value if off_v > 0.0 else -(off_v + READS_OFF.value)
    return Saw(beyond / sd_v, GROUP, values, float(seen.t_s[0]), None, seen.channels[:1])


def above_full(seen: PackSeen) -> Saw | Blind:
    """The highest cell, or the mean one, above full."""
    rest = rest_of(seen)
    if isinstance(rest, Blind):
        return rest
    rest_v, sd_v, measured = rest
    cell_v = _highest_v(seen) if measured else None
    top_v = rest_v if cell_v is None else max(cell_v, rest_v)
    limit_v = seen.limits.full_v + ABOVE_FULL.value
    if top_v > limit_v and not seen.chemistry_told:
        return Blind(WhyNot.CHEMISTRY_UNKNOWN)
    if top_v > limit_v and not measured:
        return Blind(WhyNot.NOT_ALOFT)
    most = 0.98 if measured else ALOFT_SURE
    return Saw((top_v - limit_v) / sd_v, GROUP, {"rest_v": top_v, "limit_v": limit_v},
               float(seen.t_s[0]), None, seen.channels[:1], most)  # fmt: skip


def _highest_v(seen: PackSeen) -> float | None:
    """Return the rest volts of the highest cell."""
    if seen.cells_v is None or not seen.idle.any():
        return None
    return float(np.max(np.median(seen.cells_v[:, seen.idle], axis=1)))
