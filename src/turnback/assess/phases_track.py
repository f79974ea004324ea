"""Height and speed of a record from whatever tells them."""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_grid import Floats, Grid
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord

_METRES_PER_DEGREE = 111_320.0  # along a meridian, to one part in 200; only speeds and stillness are told by it
_SCALE_HEIGHT_M = 8434.5  # ISO 2533: R T / g at 288.15 K
_BASELINE_S = 1.0


def height_seen_m(record: FlightRecord, grid: Grid) -> tuple[Floats | None, bool]:
    """Return height, and whether it counts from the launch point."""
    for quantity in (Quantity.HEIGHT_LAUNCH, Quantity.HEIGHT_SEA_LEVEL, Quantity.PRESSURE):
        series = record.get(quantity)
        if series is None or series.t_s.size < 2:
            continue
        made = grid.mean(series)
        if quantity is Quantity.PRESSURE:
            there = made[~np.isnan(made)]
            with np.errstate(invalid="ignore", divide="ignore"):
                made = -_SCALE_HEIGHT_M * np.log(made / np.median(there)) if there.size else made
        return made, quantity is Quantity.HEIGHT_LAUNCH
    return None, False


def position_speed_mps(record: FlightRecord, grid: Grid) -> Floats | None:
    """Return ground speed from positions about a second apart; None without positions."""
    lat, lon = record.get(Quantity.LATITUDE), record.get(Quantity.LONGITUDE)
    if lat is None or lon is None or lat.t_s.size < 2:
        return None
    north_m = (lat.values.astype(np.float64) - float(lat.values[0])) * _METRES_PER_DEGREE
    east_m = (lon.values.astype(np.float64) - float(lon.values[0])) * (
        _METRES_PER_DEGREE * np.cos(np.radians(float(lat.values[0])))
    )
    step_s = max(_BASELINE_S, 1.0 / lat.fresh_hz if lat.fresh_hz > 0.0 else 0.0)
    ends_s = np.arange(0.0, max(record.clock.length_s, step_s) + step_s, step_s)
    north = np.interp(ends_s, lat.t_s, north_m)
    east = np.interp(ends_s, lon.t_s, east_m)
    speed = np.hypot(np.diff(north), np.diff(east)) / step_s
    made: Floats = np.interp(grid.mid_s, ends_s[:-1] + step_s / 2.0, speed)
    stale = np.isnan(grid.mean(lat))
    made[stale] = np.nan
    return made
