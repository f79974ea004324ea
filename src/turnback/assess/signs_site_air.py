"""Whether the air of a place was thin: by the plan, by the pressure in the record, or by its height above the sea."""

from __future__ import annotations

from math import hypot, log
from typing import Final

import numpy as np

from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, log_spread, needs
from turnback.physics.air import density_kg_m3, standard_pressure_pa
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import Series
from turnback.rules.record_signs_place import THIN_AIR

GROUP: Final = "air"
PLAN_SD: Final = 0.015
USUAL_K, USUAL_SD = 290.0, 0.04
"""Of a day on which somebody flies, where no plan tells: from about freezing to a hot summer's."""
FIRST_ROWS: Final = 20
LEAST_PA, MOST_PA = 40_000.0, 110_000.0
MOST_M: Final = 9000.0
RECORD_SURE: Final = 0.95


def _first(series: Series | None) -> float | None:
    """Return what a channel read at first."""
    return None if series is None or not series.t_s.size else float(np.median(series.values[:FIRST_ROWS]))


def thin_air(looked: Looked) -> Saw | Blind:
    """Density of the air at the place.

    A height above the sea tells thin air, not its absence: a fix's height may be any device's guess.

    Parameters
    ----------
    looked : Looked
    """
    plan = None if looked.against is None else looked.against.expected.get("density_kg_m3")
    if plan is not None and plan.mid > 0.0:
        values = {"density_kg_m3": plan.mid, "limit_kg_m3": THIN_AIR.value}
        return Saw(log(THIN_AIR.value / plan.mid) / hypot(log_spread(plan), PLAN_SD), GROUP, values)
    record = looked.answer.flown.record
    pressure, height = record.get(Quantity.PRESSURE), record.get(Quantity.HEIGHT_SEA_LEVEL)
    read_pa, high_m = _first(pressure), _first(height)
    if pressure is not None and read_pa is not None and LEAST_PA < read_pa < MOST_PA:
        return _told(read_pa, pressure)
    if height is None or high_m is None or not 0.0 < high_m < MOST_M:
        return needs(Quantity.PRESSURE)
    told = _told(float(standard_pressure_pa(high_m)), height)
    return told if told.beyond > 0.0 else NOBODY


def _told(pressure_pa: float, series: Series) -> Saw:
    density = float(density_kg_m3(USUAL_K, pressure_pa))
    values = {"density_kg_m3": density, "limit_kg_m3": THIN_AIR.value}
    return Saw(log(THIN_AIR.value / density) / USUAL_SD, GROUP, values, channels=(series.channel,), most=RECORD_SURE)
