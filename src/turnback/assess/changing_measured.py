"""A case with one value measured: the plan as it reads if the measurement finds what is now the best estimate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from turnback.assess.changing import typed_weather, with_parts
from turnback.physics.link import noise_dbm
from turnback.records.aircraft import AutomaticReturn, Motor
from turnback.records.case import Case
from turnback.records.common import FileRecord, How, Reading
from turnback.records.radio import AntennaFile
from turnback.records.result import EnergyResult
from turnback.records.world import Band
from turnback.rules.typical import typical

PLACES: Final[Mapping[str, tuple[str, ...]]] = {
    "aircraft.mass_kg": ("aircraft", "mass_g"),
    "aircraft.cruise_mps": ("aircraft", "cruise_mps"),
    "aircraft.return_mps": ("aircraft", "automatic_return", "speed_mps"),
    "aircraft.speed_constant_rpm_per_v": ("aircraft", "motor", "speed_constant_rpm_per_v"),
    "aircraft.motor_resistance_ohm": ("aircraft", "motor", "resistance_mohm"),
    "aircraft.no_load_current_a": ("aircraft", "motor", "no_load_current_a"),
    "pack.capacity_ah": ("pack", "capacity_mah"),
    "pack.resistance_ohm": ("pack", "resistance_mohm_per_cell"),
    "pack.temperature_c": ("pack", "temperature_c"),
    "pack.mass_kg": ("pack", "mass_g"),
    "site.antenna_height_m": ("site", "antenna_height_m"),
    "site.canopy_height_m": ("site", "canopy_height_m"),
    "site.wind_mps": ("weather", "wind_mps"),
    "site.wind_from_deg": ("weather", "wind_from_deg"),
    "site.temperature_c": ("weather", "temperature_c"),
    "site.qnh_pa": ("weather", "qnh_hpa"),
}
"""Where a plan takes a measured value; links by their own table. What has no place there cannot be entered."""
LINK_PLACES: Final[Mapping[str, tuple[str, ...]]] = {
    "ground_power_dbm": ("ground_power_mw",),
    "aircraft_power_dbm": ("aircraft_power_mw",),
    "ground.gain_dbi": ("ground_antenna", "gain_dbi"),
    "aircraft.gain_dbi": ("aircraft_antenna", "gain_dbi"),
    "ground_sensitivity_dbm": ("ground_sensitivity_dbm",),
    "aircraft_sensitivity_dbm": ("aircraft_sensitivity_dbm",),
    "interference_rise_db": ("interference_dbm",),
}
CURRENTS: Final[Mapping[str, str]] = {
    "aircraft.figure_of_merit": "hover_current_a",
    "aircraft.electrical_efficiency": "hover_current_a",
    "aircraft.drag_area_m2": "cruise_current_a",
}
"""What a plan knows only through a pack current that it measures."""
PER_SI: Final[Mapping[str, float]] = {"kg": 1e3, "ohm": 1e3, "Ah": 1e3, "Pa": 1e-2}
"""A plan's unit over the record's: grams, milliohms, mAh, hPa."""
EMPTY: Final[Mapping[str, type[FileRecord]]] = {
    "automatic_return": AutomaticReturn,
    "motor": Motor,
    "ground_antenna": AntennaFile,
    "aircraft_antenna": AntennaFile,
}
"""What stands at a place of the plan that was left out."""


def can_be_measured(band: Band) -> bool:
    """True where nobody knows the value for this very build, and a plan has a place for it."""
    return not band.known and bool(place_of(band.key))


def with_measured(case: Case, band: Band, energy: EnergyResult) -> Case:
    """Return the plan with a value entered as measured, at its best estimate; it is then trusted as any entry is.

    Parameters
    ----------
    case : Case
    band : Band
        One that `can_be_measured`.
    energy : EnergyResult
        For the pack currents, which some values show themselves by.
    """
    place = place_of(band.key)
    if not place:
        raise ValueError(f"{band.key} has no place in a plan")
    part, *folders, field = place
    rises = band.key.endswith("interference_rise_db")
    value = _level_dbm(case, part, band.value) if rises else _entered(band, energy)
    reading = Reading(value=value, how=How.MEASURED)
    if part == "weather":
        typed = typed_weather(case)
        return replace(with_parts(case, weather=_put(typed, folders, field, reading)), report=None)
    if part in ("control", "video"):
        radio = case.plan.radio
        link = _put(getattr(radio, part), folders, field, reading)
        return with_parts(case, radio=radio.model_copy(update={part: link}))
    return with_parts(case, **{part: _put(getattr(case.plan, part), folders, field, reading)})


def place_of(key: str) -> tuple[str, ...]:
    """Return where a plan takes a value; nothing where it takes none."""
    if key in CURRENTS:
        return ("aircraft", CURRENTS[key])
    link, _, name = key.partition(".")
    if link in ("control", "video"):
        return (link, *LINK_PLACES[name]) if name in LINK_PLACES else ()
    return PLACES.get(key, ())


def _entered(band: Band, energy: EnergyResult) -> float:
    """Return a band's best estimate as a plan says it."""
    if band.key in CURRENTS:
        return getattr(energy, CURRENTS[band.key]).mid  # type: ignore[no-any-return]
    if band.unit == "dBm" and band.key.endswith("power_dbm"):
        return float(10.0 ** (band.value / 10.0))
    value = band.value * PER_SI.get(band.unit, 1.0)
    return value % 360.0 if band.unit == "°" else value


def _level_dbm(case: Case, name: str, rise_db: float) -> float:
    """Return the interference in the receiver's bandwidth that lifts its noise by so much (powers add)."""
    link = getattr(case.plan.radio, name)
    rows = typical(name, link.class_.value)
    bandwidth_hz = (link.bandwidth_khz or rows["bandwidth_khz"].value) * 1e3
    figure_db = link.noise_figure_db.value if link.noise_figure_db else rows["noise_figure_db"].value
    floor_dbm = float(noise_dbm(bandwidth_hz)) + figure_db
    return floor_dbm + 10.0 * math.log10(max(10.0 ** (rise_db / 10.0) - 1.0, 0.01))


def _put(record: Any, folders: list[str], field: str, reading: Reading) -> Any:
    """Return a record with a reading put in, however deep."""
    if not folders:
        return record.model_copy(update={field: reading})
    folder, *deeper = folders
    inner = getattr(record, folder)
    inner = EMPTY[folder]() if inner is None else inner
    return record.model_copy(update={folder: _put(inner, deeper, field, reading)})
