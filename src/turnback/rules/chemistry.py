"""What each chemistry allows, as data (``chemistry.toml``): volts, resistance, heat, each with source and reason."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Chemistry:
    """One chemistry. Everything is per cell; volts say whether they are at rest or loaded.

    A rest rule may only be held against rest volts: a hard throttle must not trip it.
    """

    full_v: float
    """At rest after charging."""
    nominal_v: float
    """The label's."""
    storage_v: float
    """At rest, when put away."""
    land_by_rest_v: float
    """At rest: down above this."""
    land_by_loaded_v: float
    """Loaded, for longer than `land_by_loaded_duration_s`: land now."""
    land_by_loaded_duration_s: float
    damage_v: float
    """Loaded or at rest: harmed below this."""
    usable_plan_fraction: float
    """Share of the capacity to plan on."""
    usable_never_fraction: float
    """Share of the capacity never to pass."""
    charge_c: float
    """Charge current over capacity, per hour, unless the label allows more."""
    spread_watch_v: float
    """Greatest minus least cell, at rest: drifting above this."""
    spread_stop_v: float
    """Greatest minus least cell, at rest: not to be flown above this."""
    resistance_capacity_ohm_ah: float
    """Ohmic resistance times capacity at `reference_c`, well above empty."""
    resistance_at_80_ratio: float
    """Resistance at 80 % of the first capacity over that of a new cell."""
    arrhenius_j_per_mol: float
    """Activation energy of resistance."""
    reference_c: float
    """Temperature at which resistance is as given."""
    r1_ratio: float
    """First RC pair's resistance over the ohmic one."""
    tau1_s: float
    r2_ratio: float
    """Second RC pair's resistance over the ohmic one."""
    tau2_s: float
    heat_capacity_j_per_kg_k: float
    heat_loss_w_per_kg_k: float
    """To moving air, per kilogram of cells."""
    ocv_soc: tuple[float, ...]
    """State of charge of each rest voltage, ascending, 0 to 1."""
    ocv_v: tuple[float, ...]
    """Rest volts, ascending."""
    resistance_soc: tuple[float, ...]
    """State of charge of each resistance ratio, ascending, 0 to 1."""
    resistance_ratio: tuple[float, ...]
    """Resistance over its given value."""


@dataclass(frozen=True, slots=True)
class ChemistryRow:
    """One row of the table, for reports. `at` is ``"rest"``, ``"loaded"`` or empty where no volts are meant."""

    value: float | tuple[float, ...]
    unit: str
    at: str
    source: str
    why: str


@cache
def chemistry(name: str) -> Chemistry:
    """Return a chemistry by the name a pack file gives it: ``"LiPo"``, ``"high-voltage LiPo"`` or ``"Li-ion"``.

    Raises
    ------
    KeyError
        If no chemistry has that name, or its table lacks a row: a programming error.
    """
    rows = chemistry_rows(name)
    return Chemistry(**{field.name: rows[field.name].value for field in fields(Chemistry)})  # type: ignore[arg-type]


@cache
def chemistry_rows(name: str) -> dict[str, ChemistryRow]:
    """Return every row of a chemistry with its source and reason."""
    return {key: _row(row) for key, row in _file()[name].items()}


def chemistry_names() -> tuple[str, ...]:
    """Return the names there are."""
    return tuple(_file())


@cache
def _file() -> dict[str, dict[str, dict[str, object]]]:
    return tomllib.loads(resources.files("turnback.rules").joinpath("chemistry.toml").read_text(encoding="utf-8"))


def _row(row: dict[str, object]) -> ChemistryRow:
    given = row["value"]
    value = tuple(map(float, given)) if isinstance(given, list) else float(str(given))
    return ChemistryRow(value, str(row.get("unit", "")), str(row.get("at", "")), str(row["source"]), str(row["why"]))
