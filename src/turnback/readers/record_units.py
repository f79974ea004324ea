"""Units that the columns of a record may be written in: what each means, and how it is spelled.

Factors are exact by definition: the international foot, statute and nautical mile, the degree, standard gravity (BIPM,
The International System of Units, 9th edition; NIST Special Publication 811, appendix B).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from turnback.readers.record_units_spelled import SPELLED
from turnback.records.channel import ACCELERATIONS, OF_CORNERS, RATE_DEMANDS, RATES, SWITCHES, Quantity

DEGREE: Final = math.pi / 180.0
GRAVITY: Final = 9.80665  # standard gravity, exact
FOOT: Final = 0.3048
MILE: Final = 1609.344
NAUTICAL_MILE: Final = 1852.0
HOUR: Final = 3600.0
TURN: Final = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Unit:
    """One way to write a quantity.

    Parameters
    ----------
    key : str
    scale, offset : float
        Canonical value = scale * written value + offset.
    weight : float
        How often records that do not say the unit use it; over one table the weights need not add up to one.
    """

    key: str
    scale: float
    offset: float = 0.0
    weight: float = 0.1


def _span(key: str, low: float, high: float, weight: float, *, both_ways: bool = False) -> Unit:
    """Return the unit of a number that runs from `low` to `high` while the canonical one runs from 0 (or -1) to 1."""
    scale = (2.0 if both_ways else 1.0) / (high - low)
    return Unit(key, scale, -scale * low - (1.0 if both_ways else 0.0), weight)


_TIME: Final = (
    Unit("s", 1.0, weight=0.4), Unit("ms", 1e-3, weight=0.25), Unit("us", 1e-6, weight=0.25),
    Unit("ns", 1e-9, weight=0.05), Unit("min", 60.0, weight=0.02), Unit("h", HOUR, weight=0.005),
    Unit("moment", 1.0, weight=0.02),
)  # fmt: skip
_RATE: Final = (
    Unit("deg/s", DEGREE, weight=0.66), Unit("rad/s", 1.0, weight=0.28), Unit("cdeg/s", DEGREE / 100, weight=0.02),
    Unit("0.1 deg/s", DEGREE / 10, weight=0.02), Unit("mdeg/s", DEGREE / 1000, weight=0.01),
    Unit("mrad/s", 1e-3, weight=0.01),
)  # fmt: skip
_ACCELERATION: Final = (
    Unit("g", GRAVITY, weight=0.4),
    Unit("m/s²", 1.0, weight=0.44),
    Unit("mg", GRAVITY / 1000, weight=0.06),
    Unit("cm/s²", 0.01, weight=0.02),
    Unit("ft/s²", FOOT, weight=0.005),
    *(Unit(f"g/{count}", GRAVITY / count, weight=0.02) for count in (512, 1024, 2048, 4096, 8192, 16384)),
)
_ANGLE: Final = (
    Unit("deg", DEGREE, weight=0.72), Unit("rad", 1.0, weight=0.2), Unit("cdeg", DEGREE / 100, weight=0.03),
    Unit("0.1 deg", DEGREE / 10, weight=0.04), Unit("mrad", 1e-3, weight=0.01),
)  # fmt: skip
_FIELD: Final = (
    Unit("µT", 1.0, weight=0.35), Unit("G", 100.0, weight=0.2), Unit("mG", 0.1, weight=0.25),
    Unit("nT", 1e-3, weight=0.05), Unit("mT", 1000.0, weight=0.05),
)  # fmt: skip
_SHARE: Final = (
    Unit("0-1", 1.0, weight=0.25), _span("0-100", 0, 100, 0.25), _span("1000-2000", 1000, 2000, 0.3),
    _span("0-1000", 0, 1000, 0.08), _span("0-65535", 0, 65535, 0.03), _span("0-2047", 0, 2047, 0.05),
    _span("0-2000", 0, 2000, 0.01), _span("0-255", 0, 255, 0.02), _span("0-10000", 0, 10000, 0.01),
)  # fmt: skip
_THROTTLE: Final = (
    *_SHARE, Unit("-1-1", 0.5, 0.5, 0.02), Unit("-500-500", 0.001, 0.5, 0.01), Unit("-1024-1024", 1 / 2048, 0.5, 0.01),
    _span("0-2048", 0, 2048, 0.02),
)  # fmt: skip
_STICK: Final = (
    Unit("-1-1", 1.0, weight=0.25), _span("-500-500", -500, 500, 0.15, both_ways=True),
    _span("1000-2000", 1000, 2000, 0.4, both_ways=True), _span("-100-100", -100, 100, 0.12, both_ways=True),
    _span("-1000-1000", -1000, 1000, 0.03, both_ways=True), _span("0-1", 0, 1, 0.01, both_ways=True),
    _span("0-100", 0, 100, 0.01, both_ways=True), _span("0-2047", 0, 2047, 0.02, both_ways=True),
    _span("0-65535", 0, 65535, 0.005, both_ways=True), _span("-1024-1024", -1024, 1024, 0.05, both_ways=True),
    _span("0-2048", 0, 2048, 0.01, both_ways=True),
)  # fmt: skip
_ROTOR: Final = (
    Unit("rpm", 1 / 60, weight=0.8), Unit("1/s", 1.0, weight=0.08), Unit("rad/s", 1 / TURN, weight=0.05),
    Unit("rpm/100", 100 / 60, weight=0.04), Unit("krpm", 1000 / 60, weight=0.02),
)  # fmt: skip
_VOLTS: Final = (
    Unit("V", 1.0, weight=0.7), Unit("mV", 1e-3, weight=0.14), Unit("10 mV", 1e-2, weight=0.09),
    Unit("0.1 V", 1e-1, weight=0.07),
)  # fmt: skip
_CELL: Final = (Unit("V/cell", 1.0, weight=0.75), Unit("mV", 1e-3, weight=0.15), Unit("10 mV", 1e-2, weight=0.1))
_CURRENT: Final = (
    Unit("A", 1.0, weight=0.72), Unit("mA", 1e-3, weight=0.1), Unit("10 mA", 1e-2, weight=0.12),
    Unit("0.1 A", 1e-1, weight=0.06),
)  # fmt: skip
_CHARGE: Final = (Unit("mAh", 1e-3, weight=0.85), Unit("Ah", 1.0, weight=0.13), Unit("C", 1 / HOUR, weight=0.01))
_POWER: Final = (Unit("W", 1.0, weight=0.9), Unit("mW", 1e-3, weight=0.05), Unit("kW", 1e3, weight=0.04))
_SENT_POWER: Final = (Unit("mW", 1e-3, weight=0.9), Unit("W", 1.0, weight=0.1))
_WARMTH: Final = (
    Unit("°C", 1.0, weight=0.86), Unit("°F", 5 / 9, -160 / 9, 0.05), Unit("K", 1.0, -273.15, 0.02),
    Unit("0.1 °C", 0.1, weight=0.04), Unit("0.01 °C", 0.01, weight=0.03),
)  # fmt: skip
_LEVEL: Final = (Unit("dBm", 1.0, weight=0.8), Unit("-dBm", -1.0, weight=0.2))
_QUALITY: Final = (Unit("0-100", 0.01, weight=0.85), Unit("0-1", 1.0, weight=0.14), _span("0-255", 0, 255, 0.01))
_PLACE: Final = (
    Unit("deg", 1.0, weight=0.78), Unit("1e-7 deg", 1e-7, weight=0.18), Unit("1e-6 deg", 1e-6, weight=0.01),
    Unit("rad", 1 / DEGREE, weight=0.03),
)  # fmt: skip
_LENGTH: Final = (
    Unit("m", 1.0, weight=0.8), Unit("cm", 0.01, weight=0.07), Unit("mm", 0.001, weight=0.03),
    Unit("ft", FOOT, weight=0.09), Unit("km", 1000.0, weight=0.01), Unit("dm", 0.1, weight=0.02),
)  # fmt: skip
_PRESSURE: Final = (
    Unit("Pa", 1.0, weight=0.4), Unit("hPa", 100.0, weight=0.5), Unit("kPa", 1000.0, weight=0.06),
    Unit("bar", 1e5, weight=0.02),
)  # fmt: skip
_SPEED: Final = (
    Unit("m/s", 1.0, weight=0.62), Unit("km/h", 1000 / HOUR, weight=0.22), Unit("cm/s", 0.01, weight=0.08),
    Unit("mph", MILE / HOUR, weight=0.04), Unit("kn", NAUTICAL_MILE / HOUR, weight=0.02),
    Unit("mm/s", 0.001, weight=0.01), Unit("ft/s", FOOT, weight=0.01), Unit("0.1 m/s", 0.1, weight=0.02),
)  # fmt: skip
_CLIMB: Final = (*_SPEED, Unit("ft/min", FOOT / 60, weight=0.02))
_NUMBER: Final = (Unit("1", 1.0, weight=1.0),)
_SWITCH: Final = (Unit("0/1", 1.0, weight=0.97), Unit("1/0", -1.0, 1.0, 0.0))

UNITS: Final[dict[Quantity, tuple[Unit, ...]]] = {
    Quantity.TIME: _TIME,
    **dict.fromkeys((*RATES, *RATE_DEMANDS), _RATE),
    **dict.fromkeys(ACCELERATIONS, _ACCELERATION),
    **dict.fromkeys((Quantity.ROLL, Quantity.PITCH, Quantity.HEADING, Quantity.ROLL_DEMAND), _ANGLE),
    **dict.fromkeys((Quantity.PITCH_DEMAND, Quantity.COURSE, Quantity.BEARING_LAUNCH), _ANGLE),
    **dict.fromkeys((Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z), _FIELD),
    Quantity.OUTPUT: _SHARE, Quantity.ROTOR_SPEED: _ROTOR, Quantity.THROTTLE: _THROTTLE,
    **dict.fromkeys((Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK), _STICK),
    **dict.fromkeys(SWITCHES, _SWITCH),
    **dict.fromkeys((Quantity.MODE, Quantity.SATELLITES, Quantity.ROW), _NUMBER),
    Quantity.PACK_VOLTS: _VOLTS, Quantity.SUPPLY_VOLTS: _VOLTS, Quantity.CELL_VOLTS: _CELL,
    Quantity.CURRENT: _CURRENT, Quantity.CHARGE_USED: _CHARGE, Quantity.POWER: _POWER,
    Quantity.PACK_TEMPERATURE: _WARMTH, Quantity.BOARD_TEMPERATURE: _WARMTH,
    **dict.fromkeys((Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK, Quantity.VIDEO_LEVEL), _LEVEL),
    Quantity.LINK_QUALITY: _QUALITY, Quantity.LINK_QUALITY_BACK: _QUALITY,
    Quantity.SIGNAL_TO_NOISE: (Unit("dB", 1.0, weight=1.0),), Quantity.TRANSMIT_POWER: _SENT_POWER,
    **dict.fromkeys((Quantity.LATITUDE, Quantity.LONGITUDE), _PLACE),
    **dict.fromkeys((Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE), _PLACE),
    **dict.fromkeys((Quantity.HEIGHT_SEA_LEVEL, Quantity.HEIGHT_LAUNCH), _LENGTH),
    **dict.fromkeys((Quantity.DISTANCE_LAUNCH, Quantity.FIX_UNCERTAINTY), _LENGTH),
    Quantity.PRESSURE: _PRESSURE, Quantity.GROUND_SPEED: _SPEED, Quantity.AIRSPEED: _SPEED,
    **dict.fromkeys((Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.VELOCITY_DOWN), _SPEED),
    Quantity.CLIMB_RATE: _CLIMB,
}  # fmt: skip
"""Every unit of each quantity; the first of each key counts."""

_KEYS: Final[dict[str, tuple[str, ...]]] = {}
for _key, _words in (*SPELLED.items(), *((unit.key, "") for units in UNITS.values() for unit in units)):
    for _word in (*_words.split(), _key.lower().replace(" ", "")):
        if _key not in _KEYS.get(_word, ()):
            _KEYS[_word] = (*_KEYS.get(_word, ()), _key)
NAKED: Final = frozenset({"1", "#", "-", "n", "count", "counts"})
"""Texts that say "no unit"."""


def unit_keys(text: str) -> tuple[str, ...]:
    """Return the keys that a unit text may mean, none where it is not known.

    Case counts only where two units differ by nothing else: ``mG`` and ``mg``, ``mT`` and ``MT``, ``Gs`` and ``gs``.
    """
    plain = text.strip().strip("[](){}").strip().replace("μ", "µ")
    if plain in {"G", "Gs", "Ga"}:
        return ("G",) if plain != "G" else ("G", "g")
    if plain in {"mG", "mGs"}:
        return ("mG",)
    small = re.sub(r"\s+per\s+|_per_| / ", "/", plain.lower())
    if "_" in small and small.replace("_", "/") in _KEYS:  # m_s, deg_s: a name has no stroke
        small = small.replace("_", "/")
    small = re.sub(r"[\s_]+", "", small) if small not in _KEYS else small
    small = re.sub(r"(?<=\d)(?:to|bis|…|\.\.\.)(?=[-+]?\d)", "..", small) if small not in _KEYS else small
    small = small.replace("µs", "us") if small.startswith("µs") else small
    small = small.replace("·", "*").replace("−", "-").replace("⁻¹", "^-1").replace("⁻²", "^-2").replace("º", "°")
    return _KEYS.get(small, ())


_ALSO: Final = {"us": "1000-2000", "V": "V/cell", "%": "0-100"}
"""Keys that mean another one where a quantity has only that: pulses in µs, volts of a cell, per cent."""


def _canonical(quantity: Quantity, key: str) -> str:
    units = {each.key for each in UNITS.get(quantity, ())}
    if key == "%" and "-100-100" in units:
        return "-100-100"
    if key not in units:
        key = _ALSO.get(key, "")
    return key if key in units else ""


def unit_of(quantity: Quantity, key: str) -> Unit | None:
    """Return a quantity's unit by key, or by a spelling of it; None where it has no such unit."""
    for candidate in (key, *unit_keys(key)):
        found = _canonical(quantity, candidate)
        if found:
            return next(each for each in UNITS[quantity] if each.key == found)
    return None


def units_said(quantity: Quantity, keys: tuple[str, ...]) -> tuple[str, ...]:
    """Return which of a quantity's units the keys of a text mean: ``%`` means ``0-100`` of an output."""
    found = {_canonical(quantity, key) for key in keys} - {""}
    return tuple(each.key for each in UNITS.get(quantity, ()) if each.key in found)


HAS_NUMBER: Final = OF_CORNERS | {Quantity.CELL_VOLTS}
