"""The one place that rounds and converts: every face shows the same number in the same unit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Final

from turnback.report.language import mark, text

FEET_PER_M: Final = 1.0 / 0.3048  # exact
METRES_PER_MILE: Final = 1609.344  # exact
MPH_PER_MPS: Final = 3600.0 / METRES_PER_MILE
POUNDS_PER_KG: Final = 1.0 / 0.45359237  # exact
OUNCES_PER_POUND: Final = 16.0
INHG_PER_HPA: Final = 1.0 / 33.8639  # conventional inch of mercury at 0 °C
SQUARE_INCHES_PER_M2: Final = 1.0 / 0.0254**2  # exact
POUNDS_FORCE_PER_N: Final = 1.0 / 4.4482216152605  # exact
FOOT_POUNDS_PER_J: Final = POUNDS_FORCE_PER_N * FEET_PER_M
NOT_KNOWN: Final = mark("not known")


class Units(Enum):
    """The units a person reads. Volts, amperes and decibels are the same in both."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class Toward(Enum):
    """Which way a shown number may move: a turn-back distance only down, a least height only up."""

    NEAREST = "nearest"
    DOWN = "down"
    UP = "up"


@dataclass(frozen=True, slots=True)
class Shown:
    """One number as a person reads it."""

    number: str
    symbol: str

    def __str__(self) -> str:
        if not self.symbol:
            return self.number
        return f"{self.number}{'' if self.symbol in ('%', '°') else ' '}{self.symbol}"


def rounded(value: float, step: float, toward: Toward = Toward.NEAREST) -> float:
    """Return `value` on a grid of `step`, moved the allowed way only."""
    turns: dict[Toward, Callable[[float], float]] = {
        Toward.NEAREST: lambda x: math.floor(x + 0.5),
        Toward.DOWN: lambda x: math.floor(x + 1e-9),
        Toward.UP: lambda x: math.ceil(x - 1e-9),
    }
    return turns[toward](value / step) * step


def quantity(value: float | None, unit: str, units: Units = Units.METRIC, toward: Toward = Toward.NEAREST) -> Shown:
    """Return an SI value as shown to people.

    Parameters
    ----------
    value : float or None
        The value, in `unit`; None or not finite is shown as "not known".
    unit : str
        SI unit of the records, such as ``"m"``, ``"m/s"``, ``"kg"``, ``"°C"``, ``"ohm"``, ``"V"``, ``"dB"``, or ``""``.
    units : Units
        Metric or imperial.
    toward : Toward
        Which way rounding may move it.
    """
    if value is None or not math.isfinite(value):
        return Shown(text(NOT_KNOWN), "")
    number, symbol, step = _METHODS.get(unit, _plain(unit))(value, units)
    return Shown(_digits(rounded(number, step, toward), step), symbol)


def words(value: float | None, unit: str, units: Units = Units.METRIC, toward: Toward = Toward.NEAREST) -> str:
    """Return value and unit as one piece of text."""
    return str(quantity(value, unit, units, toward))


def percent(value: float | None) -> str:
    """Return a fraction as a percentage."""
    if value is None or not math.isfinite(value):
        return text(NOT_KNOWN)
    return f"{_digits(rounded(value * 100.0, 1.0), 1.0)} %"


def ratio(value: float | None) -> str:
    """Return a plain ratio with two decimals below ten."""
    return words(value, "")


def chance_of(failing: float | None, *, exact: bool = False) -> str:
    """Say how often something fails, as people say it: "about 1 flight in 20".

    Parameters
    ----------
    failing : float or None
        Probability that it fails, 0 to 1.
    exact : bool
        It is a threshold and no estimate: "1 flight in 20".
    """
    if failing is None or not math.isfinite(failing):
        return text("nobody knows how many flights")
    failing = min(max(failing, 0.0), 1.0)
    if failing < 1.0 / 1000.0:
        return text("fewer than 1 flight in 1,000")
    if failing <= 0.3:
        flights = f"{_round_count(1.0 / failing):,}"
        said = text("1 flight in {flights}", flights=flights)
        return said if exact else text("about 1 flight in {flights}", flights=flights)
    if failing < 0.95:
        flights = str(max(3, math.floor(failing * 10.0 + 0.5)))
        said = text("{flights} flights in 10", flights=flights)
        return said if exact else text("about {flights} flights in 10", flights=flights)
    return text("nearly every flight") if failing < 0.9995 else text("every flight")


def minutes(seconds: float | None, toward: Toward = Toward.NEAREST) -> str:
    """Return a time as minutes and seconds."""
    if seconds is None or not math.isfinite(seconds):
        return text(NOT_KNOWN)
    whole = int(rounded(seconds, 5.0 if seconds >= 60.0 else 1.0, toward))
    minute, second = divmod(whole, 60)
    if minute == 0:
        return text("{seconds} s", seconds=second)
    if second == 0:
        return text("{minutes} min", minutes=minute)
    return text("{minutes} min {seconds} s", minutes=minute, seconds=f"{second:02d}")


def _round_count(count: float) -> int:
    """Round N of "1 flight in N" to what a person can hold: 7, 12, 35, 180."""
    for most, step in ((20.0, 1), (100.0, 5), (200.0, 10), (1000.0, 50)):
        if count < most:
            return int(rounded(count, step))
    return int(rounded(count, 100))


def _digits(number: float, step: float) -> str:
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    shown = f"{number:.{decimals}f}"
    return shown.lstrip("-") if float(shown) == 0.0 else shown


Method = Callable[[float, Units], tuple[float, str, float]]


def _plain(unit: str) -> Method:
    def method(value: float, _: Units) -> tuple[float, str, float]:
        size = abs(value)
        step = 1.0 if size >= 100.0 else 0.1 if size >= 10.0 else 0.01
        if 0.0 < size < 0.1:
            step = 10.0 ** (math.floor(math.log10(size)) - 1)
        return value, unit, step

    return method


def _length(value: float, units: Units) -> tuple[float, str, float]:
    if units is Units.IMPERIAL:
        feet = value * FEET_PER_M
        if abs(value) >= METRES_PER_MILE:
            return value / METRES_PER_MILE, "miles", 0.01
        return feet, "ft", 10.0 if abs(feet) >= 500.0 else 1.0
    if abs(value) >= 10_000.0:
        return value / 1000.0, "km", 0.1
    size = abs(value)
    return value, "m", 10.0 if size >= 1000.0 else 5.0 if size >= 300.0 else 1.0 if size >= 10.0 else 0.1


def _speed(value: float, units: Units) -> tuple[float, str, float]:
    if units is Units.IMPERIAL:
        return value * MPH_PER_MPS, "mph", 1.0 if abs(value) >= 5.0 else 0.1
    return value, "m/s", 0.1


def _mass(value: float, units: Units) -> tuple[float, str, float]:
    if units is Units.IMPERIAL:
        ounces = value * POUNDS_PER_KG * OUNCES_PER_POUND
        return ounces, "oz", 0.1 if ounces < 20.0 else 1.0
    grams = value * 1000.0
    return grams, "g", 1.0 if grams < 300.0 else 5.0


def _temperature(value: float, units: Units) -> tuple[float, str, float]:
    return (value * 1.8 + 32.0, "°F", 1.0) if units is Units.IMPERIAL else (value, "°C", 1.0)


def _pressure_hpa(value: float, units: Units) -> tuple[float, str, float]:
    return (value * INHG_PER_HPA, "inHg", 0.01) if units is Units.IMPERIAL else (value, "hPa", 1.0)


def _area(value: float, units: Units) -> tuple[float, str, float]:
    if units is Units.IMPERIAL:
        return value * SQUARE_INCHES_PER_M2, "sq in", 1.0
    return value * 1e4, "cm²", 1.0 if value >= 0.001 else 0.1


def _force(value: float, units: Units) -> tuple[float, str, float]:
    return (value * POUNDS_FORCE_PER_N, "lbf", 0.01) if units is Units.IMPERIAL else (value, "N", 0.1)


def _resistance(value: float, _: Units) -> tuple[float, str, float]:
    milliohms = value * 1000.0
    return milliohms, "mΩ", 1.0 if milliohms >= 20.0 else 0.1


def _energy(value: float, units: Units) -> tuple[float, str, float]:
    size = value * FOOT_POUNDS_PER_J if units is Units.IMPERIAL else value
    return size, "ft·lb" if units is Units.IMPERIAL else "J", 1.0 if abs(size) >= 20.0 else 0.1


def _steps(symbol: str, factor: float, step: float) -> Method:
    return lambda value, _: (value * factor, symbol, step)


_METHODS: Final[dict[str, Method]] = {
    "m": _length,
    "m/s": _speed,
    "kg": _mass,
    "°C": _temperature,
    "Pa": lambda value, units: _pressure_hpa(value / 100.0, units),
    "hPa": _pressure_hpa,
    "m²": _area,
    "N": _force,
    "ohm": _resistance,
    "V": _steps("V", 1.0, 0.01),
    "pack V": _steps("V", 1.0, 0.1),  # goggles show a whole pack to a tenth
    "Ah": _steps("mAh", 1000.0, 10.0),
    "A": _steps("A", 1.0, 0.1),
    "W": _steps("W", 1.0, 1.0),
    "dB": _steps("dB", 1.0, 0.1),
    "dBi": _steps("dBi", 1.0, 0.1),
    "dBm": _steps("dBm", 1.0, 0.1),
    "°": _steps("°", 1.0, 1.0),
    "MHz": _steps("MHz", 1.0, 1.0),
    "km": lambda value, units: _length(value * 1000.0, units),
    "kg/m³": _steps("kg/m³", 1.0, 0.001),
    "rpm/V": _steps("rpm/V", 1.0, 10.0),
    "s": _steps("s", 1.0, 1.0),
    "fall s": lambda value, _: (value, "s", 0.1 if abs(value) < 10.0 else 1.0),
    "exponent": _steps("", 1.0, 0.01),
    "J": _energy,
    "h": _steps("h", 1.0, 0.1),
    "C": _steps("C", 1.0, 1.0),
}
