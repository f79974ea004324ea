"""What the pack asks for: charging, storing, resting, ageing; each number by chemistry, at rest or loaded."""

from __future__ import annotations

from dataclasses import dataclass

from turnback.records.finding import Spread


@dataclass(frozen=True, slots=True)
class CareRow:
    """One number to keep to."""

    key: str
    """``"care.full"``, ``"care.storage"`` and so on; worded in ``report/words_care.py``."""
    value: float
    unit: str
    per: str
    """``"cell"``, ``"pack"`` or empty."""
    at: str
    """``"rest"``, ``"loaded"`` or empty where no volts are meant."""
    duration_s: float | None
    """For a loaded rule: how long it must last, 0 where a moment is enough. For one at rest: how long the pack must
    have rested before it is held against it. None where no volts are meant."""
    source: str


@dataclass(frozen=True, slots=True)
class CareResult:
    """Pack care for this pack."""

    chemistry: str
    cells: int
    rows: tuple[CareRow, ...]
    now_rest_v: float
    """One cell at rest now, as measured or assumed: the weakest, where all were measured."""
    now_known: bool
    spread_v: float | None
    """Greatest minus least cell, where cells were measured."""
    lowest_cell: int | None
    """Counted from 1, as balance leads count; None where the cells are alike or were not measured."""
    temperature_c: Spread
    cold_resistance_ratio: Spread
    """Resistance at that temperature over the resistance at the reference temperature."""
    age_months: float | None
    cycles: float | None
    worn_resistance_ratio: Spread
    """Resistance of this pack over a typical new one of its capacity."""
    charge_a: float
    """Greatest charge current without another word on the label."""
    charge_s: Spread
    """From how this flight lands it back to full, at that current, balancing included."""
    charge_mah: Spread
    """What the charger should put back after this flight as planned."""
    storage_s: Spread
    """From how this flight lands it to storage charge (down or up): up at that current, down as chargers discharge."""
    capacity_before_ah: Spread
    capacity_after_ah: Spread
    """Before and after what the last flight taught; equal where it taught nothing."""
    consumption_before_a: Spread
    consumption_after_a: Spread
    """Mean current of an ordinary flight, before and after what the last flight taught."""
    learned_from_last_flight: bool
    storage_up: bool = False
    """True where this flight lands it below its storage charge."""
    capacity_measured_ah: Spread | None = None
    """By the last flight alone, where it says the rest volts after it."""
    capacity_least_ah: float | None = None
    """The charger put back this much at least: the pack cannot hold less."""
    broken: tuple[str, ...] = ()
    """Keys of the rows that the pack as it rests now does not keep to."""
