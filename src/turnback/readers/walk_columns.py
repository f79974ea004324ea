"""The columns of a range walk's record: matched by meaning and unit, never by the name of a program."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from turnback.base.errors import Fault

Convert = Callable[[float], float]

PLACES: Final = (("east", "north"), ("latitude", "longitude"), ("distance", "bearing"))
PLAIN: Final = {
    "east": "east_m", "north": "north_m", "latitude": "latitude_deg", "longitude": "longitude_deg",
    "distance": "distance_m", "bearing": "bearing_deg", "level": "level_dbm", "height": "height_m",
    "power": "power_mw", "quality": "quality_percent", "lost": "lost_percent", "at": "at", "link": "link",
    "time": "time_s",
}  # fmt: skip
"""Our own name of each quantity."""
MEANINGS: Final[Mapping[str, str]] = {
    **{name: name for name in PLAIN},
    "lat": "latitude", "lon": "longitude", "lng": "longitude", "long": "longitude", "dist": "distance",
    "direction": "bearing", "azimuth": "bearing", "signal": "level", "signal_level": "level", "link_level": "level",
    "received": "level", "received_level": "level", "received_signal_strength": "level", "rssi": "level",
    "height_above_ground": "height", "above_ground": "height", "transmit_power": "power", "tx_power": "power",
    "link_quality": "quality", "packets_received": "quality", "packets_lost": "lost", "end": "at", "read_at": "at",
    "radio": "link",
}  # fmt: skip
WORDS: Final[Mapping[str, tuple[str, str]]] = {"at": ("aircraft", "ground"), "link": ("control", "video")}
RANGES: Final[Mapping[str, tuple[float, float, str, str]]] = {
    "east": (-20_000.0, 20_000.0, "m", "enter metres from the launch point"),
    "north": (-20_000.0, 20_000.0, "m", "enter metres from the launch point"),
    "latitude": (-89.0, 89.0, "°", "enter degrees, north is positive"),
    "longitude": (-180.0, 180.0, "°", "enter degrees, east is positive"),
    "distance": (0.0, 20_000.0, "m", "enter metres from the launch point"),
    "bearing": (-180.0, 360.0, "°", "enter degrees clockwise from north"),
    "level": (-160.0, 30.0, "dBm", "enter dBm, which is below zero as a rule, and no per cent"),
    "height": (0.0, 500.0, "m", "enter metres above the ground there, not above sea level"),
    "power": (-30.0, 43.0, "dBm", "enter the transmit power in milliwatts, 0.001 to 20,000"),
    "quality": (0.0, 1.0, "", "enter per cent of packets that came through, 0 to 100"),
    "lost": (0.0, 1.0, "", "enter per cent of packets that were lost, 0 to 100"),
}
"""After conversion: low, high, unit, what to do."""


def _milliwatts(value: float) -> float:
    return 10.0 * math.log10(value) if value > 0.0 else math.nan


UNITS: Final[Mapping[str, Mapping[str, Convert]]] = {
    "length": {"m": lambda x: x, "km": lambda x: 1000.0 * x, "ft": lambda x: 0.3048 * x},
    "angle": {"deg": lambda x: x},
    "level": {"dbm": lambda x: x},
    "power": {"mw": _milliwatts, "w": lambda x: _milliwatts(1000.0 * x), "dbm": lambda x: x},
    "share": {"percent": lambda x: x / 100.0},
    "time": {"s": lambda x: x, "ms": lambda x: x / 1000.0, "min": lambda x: 60.0 * x},
    "word": {},
}
KIND: Final[Mapping[str, str]] = {
    "east": "length", "north": "length", "distance": "length", "height": "length", "latitude": "angle",
    "longitude": "angle", "bearing": "angle", "level": "level", "power": "power", "quality": "share", "lost": "share",
    "time": "time", "at": "word", "link": "word",
}  # fmt: skip
SAID_UNITS: Final[Mapping[str, str]] = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "feet": "ft", "foot": "ft", "degrees": "deg",
    "degree": "deg", "°": "deg", "%": "percent", "pct": "percent", "sec": "s", "seconds": "s", "milliwatt": "mw",
    "milliwatts": "mw", "watt": "w", "watts": "w",
}  # fmt: skip
_ALL_UNITS: Final = {unit for units in UNITS.values() for unit in units}
_WITH_UNIT: Final = re.compile(r"^(?P<name>[^()\[\]]*)[(\[](?P<unit>[^()\[\]]*)[)\]]\s*$")


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is understood."""

    place: int
    quantity: str
    """Key of `PLAIN`."""
    named: str
    """As the record names it."""
    convert: Convert

    @property
    def taken_for(self) -> str:
        """Our own name of it."""
        return PLAIN[self.quantity]


def read_columns(names: list[str], where: str) -> tuple[list[Column], list[str], list[Fault]]:
    """Return the columns that are understood, the names of the others, and what is wrong with the names.

    Parameters
    ----------
    names : list of str
        The names row.
    where : str
        File and line, for faults.
    """
    columns: list[Column] = []
    unused: list[str] = []
    faults: list[Fault] = []
    for place, written in enumerate(names):
        name, unit = _apart(written)
        quantity = MEANINGS.get(name)
        if quantity is None:
            unused += [written.strip()] if written.strip() else []
            continue
        before = next((column for column in columns if column.quantity == quantity), None)
        if before is not None:
            what = f"the columns {before.named[:30]!r} and {written.strip()[:30]!r} mean the same"
            faults.append(Fault(where, what, "rename the one that is not meant"))
            continue
        convert, fault = _conversion(quantity, unit, written.strip(), where)
        faults += [fault] if fault else []
        columns.append(Column(place, quantity, written.strip(), convert))
    return columns, unused, faults + _missing({column.quantity for column in columns}, where)


def _apart(written: str) -> tuple[str, str]:
    """Split the name of a column from its unit: ``level_dbm``, ``Level (dBm)``, ``distance [ft]``."""
    bracket = _WITH_UNIT.match(written.strip())
    name, unit = (bracket["name"], bracket["unit"]) if bracket else (written, "")
    name = re.sub(r"[\s\-./_]+", "_", name.strip().lower()).strip("_")
    unit = unit.strip().lower()
    if name not in MEANINGS and not unit and "_" in name:
        name, unit = name.rsplit("_", 1)
    return name, SAID_UNITS.get(unit, unit)


def _conversion(quantity: str, unit: str, written: str, where: str) -> tuple[Convert, Fault | None]:
    units = UNITS[KIND[quantity]]
    if not unit and quantity == "power":
        what = f"the column {written[:30]!r} does not say its unit"
        return float, Fault(where, what, "name it power_mw or power_dbm")
    if not unit or not units:
        return next(iter(units.values()), float), None
    if unit not in units:
        what = f"the column {written[:30]!r} is in {unit[:12]!r}"
        return float, Fault(where, what, f"give it in {', '.join(units)}: {PLAIN[quantity]}")
    return units[unit], None


def _missing(given: set[str], where: str) -> list[Fault]:
    faults = []
    if "level" not in given:
        what = "no column says the level that was read"
        faults.append(Fault(where, what, 'name it level_dbm, with "lost" where nothing came'))
    if not any(set(pair) <= given for pair in PLACES) and "distance" not in given:
        what = "no columns say where each level was read"
        do = "name them distance_m and bearing_deg, or east_m and north_m, or latitude_deg and longitude_deg"
        faults.append(Fault(where, what, do))
    return faults
