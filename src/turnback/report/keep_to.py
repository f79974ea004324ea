"""The numbers that a pilot keeps to, each rounded to the careful side, once for every face."""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnback.records.result import BriefResult
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M, find
from turnback.report.numbers import Toward, Units


@dataclass(frozen=True, slots=True)
class Volts:
    """One reading as goggles show it at cruise, rounded up."""

    cell: str
    pack: str
    """Of the whole pack; empty where the number of cells is not known."""


def land_by(result: BriefResult, units: Units) -> Volts:
    """Return the reading before which to be on the ground."""
    return at_goggles(result.energy.land_by_loaded_v.high, cells_of(result), units)


def turn_back(result: BriefResult, units: Units) -> Volts:
    """Return the reading at which to turn back on the way out."""
    return at_goggles(result.energy.turn_back_loaded_v.high, cells_of(result), units)


def at_goggles(cell_v: float, cells: int | None, units: Units) -> Volts:
    """Return volts of one cell and of its pack: the pack's are never fewer than the cell's as shown, times the cells.

    Parameters
    ----------
    cell_v : float
        Volts of one cell under load.
    cells : int or None
        Cells in series.
    units : Units
        Metric or imperial; volts are the same in both.
    """
    cell = numbers.words(cell_v, "V", units, Toward.UP)
    if cells is None or not math.isfinite(cell_v):
        return Volts(cell, "")
    pack_v = numbers.rounded(cell_v, 0.01, Toward.UP) * cells
    return Volts(cell, cell if cells == 1 else numbers.words(pack_v, "pack V", units, Toward.UP))


def cells_of(result: BriefResult) -> int | None:
    """Return the cells in series, where the brief says them."""
    return None if result.care is None else result.care.cells


def on_the_ground_s(result: BriefResult) -> float:
    """Return seconds after launch at which to be on the ground, at the unfavourable end of what is not known."""
    return result.energy.time_to_land_by_s.low


def turn_for_home_s(result: BriefResult) -> float:
    """Return seconds after launch at which to be turning for home; not a number where the wind may hold it off.

    From the least time to the land-by volts, the longest way home from the plan's far point is taken off. That the
    plan turns back earlier is no matter: this timer is for the flight that forgets the volts.
    """
    left_s = on_the_ground_s(result) - result.back.seconds_home_s.high
    return left_s if left_s > 0.0 else math.nan


def farthest_m(result: BriefResult) -> float:
    """Return the distance from launch that the pilot keeps inside; 0 where none is sure enough.

    Never beyond the plan, a distance that was entered, or what an observer can tell.
    """
    least = result.back.turn_back_m.low
    if not math.isfinite(least) or least < LEAST_TURN_BACK_M:
        return 0.0
    return min(least, cap_m(result))


def cap_m(result: BriefResult) -> float:
    """Return the distance that no bearing may pass: the plan's, one that was entered, or an observer's sight."""
    ends = [result.back.planned_m]
    for rule in ("law.distance", "observer.orientation"):
        finding = find(result, rule)
        if finding is not None and finding.limit is not None:
            ends.append(finding.limit)
    return min(ends)


def wind_mps(result: BriefResult) -> float:
    """Return the mean wind at 10 m above ground that the answer holds for.

    No more than the wind it was worked out with, at the unfavourable end, nor than the largest that comes home.
    """
    ends = (result.back.largest_wind_mps, result.air.wind_mps.high)
    return 0.0 if any(math.isnan(end) for end in ends) else min(ends)


def gust_mps(result: BriefResult) -> float:
    """Return the gusts that go with that wind: as much stronger than the wind as they were worked out to be."""
    wind, gusts = result.air.wind_mps.high, result.air.gust_mps.high
    return gusts if wind <= 0.0 else min(gusts, gusts * wind_mps(result) / wind)
