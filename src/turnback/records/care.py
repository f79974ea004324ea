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
    """For a loaded rule: how long it must last."""
    source: str


@dataclass(frozen=True, slots=True)
class CareResult:
    """Pack care for this pack."""

    chemistry: str
    cells: int
    rows: tuple[CareRow, ...]
    now_rest_v: float
    """One cell at rest now, as measured or assumed."""
    now_known: bool
    spread_v: float | None
    """Greatest minus least cell, where cells were measured."""
    lowest_cell: int | None
    """Counted from 1, as balance leads count."""
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
    """From how this flight lands it back to full, at that current."""
    charge_mah: Spread
    """What the charger should put back after this flight as planned."""
    storage_s: Spread
    """From how this flight lands it to storage charge (down or up) at that current."""
    capacity_before_ah: Spread
    capacity_after_ah: Spread
    """Before and after what the last flight taught; equal where it taught nothing."""
    consumption_before_a: Spread
    consumption_after_a: Spread
    """Mean current of an ordinary flight, before and after what the last flight taught."""
    learned_from_last_flight: bool
