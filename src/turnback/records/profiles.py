"""Profiles read from tables: ground heights along a path, and what is asked of a pack over time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.world import Band

Array = NDArray[np.float64]


class Asked(Enum):
    """What a load profile holds constant from row to row."""

    CURRENT = "current"
    POWER = "power"


@dataclass(frozen=True, slots=True, eq=False)
class HeightProfile:
    """Ground along one path.

    Parameters
    ----------
    distance_km, height_m : ndarray, shape (n,)
        From the start, ascending from 0; height above sea level.
    """

    distance_km: Array
    height_m: Array


@dataclass(frozen=True, slots=True, eq=False)
class LoadProfile:
    """What is asked of a pack.

    Parameters
    ----------
    asked : Asked
        Whether `amount` is amperes or watts of the pack.
    start_s : float
        Time of the first row.
    amount, duration_s : ndarray, shape (n,)
        Discharge positive, held over each duration.
    """

    asked: Asked
    start_s: float
    amount: Array
    duration_s: Array


@dataclass(frozen=True, slots=True, eq=False)
class PackRun:
    """A pack over a load profile; arrays have one value per held row, at its end, NaN from a failed row on.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
    volts_v : ndarray
        Of the pack, loaded.
    cell_loaded_v, cell_rest_v : ndarray
        Of one cell: loaded, and as it would read after a long rest.
    state_of_charge, temperature_c, current_a, power_w, energy_wh : ndarray
        Energy is counted from the start.
    failure : str
        Empty, ``"cannot deliver"`` or ``"empty"``.
    failed_s : float
        Start of the row that could not be carried to its end; NaN where none failed.
    used_ah : float
        Charge taken up to the last row that was carried.
    land_by_s : float
        When the rest volts pass the land-by volts; NaN where they do not.
    land_by_rest_v : float
        Of the chemistry, one cell.
    assumed : tuple of Band
        What the pack file left open, and what was taken for it.
    """

    time_s: Array
    volts_v: Array
    cell_loaded_v: Array
    cell_rest_v: Array
    state_of_charge: Array
    temperature_c: Array
    current_a: Array
    power_w: Array
    energy_wh: Array
    failure: str
    failed_s: float
    used_ah: float
    land_by_s: float
    land_by_rest_v: float
    assumed: tuple[Band, ...]
