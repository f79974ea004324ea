"""Numbers of a record as people read them: moments, how long something lasted, and values by the unit in their name."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from turnback.report import numbers
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Units

STANDARD_GRAVITY: Final = 9.80665
COMPASS: Final = (
    mark("the north"), mark("the north-east"), mark("the east"), mark("the south-east"), mark("the south"),
    mark("the south-west"), mark("the west"), mark("the north-west"),
)  # fmt: skip
_INSTANT_S: Final = 0.015
"""What lasts no longer than this is said without how long it lasted."""


def moment(seconds: float) -> str:
    """Return a time of the record as minutes and seconds, to a tenth: "1:42.3"; hours only where there are any."""
    tenths = round(max(seconds, 0.0) * 10.0)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    ending = f"{rest // 10:02d}.{rest % 10}"
    return f"{hours}:{minutes:02d}:{ending}" if hours else f"{minutes}:{ending}"


def lasting(seconds: float) -> str:
    """Return how long something lasted: "0.04 s", "3.2 s", "48 s", "2 min 5 s"; nothing where it was an instant."""
    if not math.isfinite(seconds) or seconds < _INSTANT_S:
        return ""
    if seconds < 0.95:
        return text("{number} s", number=f"{seconds:.2f}".rstrip("0"))
    if seconds < 9.95:
        return text("{number} s", number=f"{seconds:.1f}".removesuffix(".0"))
    whole = round(seconds)
    if whole < 60:
        return text("{number} s", number=whole)
    minutes, rest = divmod(whole, 60)
    if minutes >= 60:
        return text("{hours} h {minutes} min", hours=minutes // 60, minutes=minutes % 60)
    return (
        text("{minutes} min {seconds} s", minutes=minutes, seconds=rest)
        if rest
        else text("{minutes} min", minutes=minutes)
    )


def number(value: float, most_decimals: int = 1) -> str:
    """Return a bare number with no more decimals than it needs to be told."""
    size = abs(value)
    decimals = 0 if size >= 100.0 or float(value).is_integer() else most_decimals
    if 0.0 < size < 10.0**-most_decimals:
        decimals = 1 - math.floor(math.log10(size))
    shown = f"{value:.{decimals}f}"
    shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
    return "0" if shown in ("-0", "") else shown


def value_words(key: str, value: float, units: Units) -> str:
    """Return a value of an event as text: its unit is the ending of its key; a name without a unit is a bare number.

    Parameters
    ----------
    key : str
        Such as ``"least_v"`` or ``"fall_db"``.
    value : float
        In SI.
    units : Units
    """
    for known, method in _BY_KEY.items():
        if key == known or key.endswith(f"_{known}"):
            return method(float(value), units)
    return _BY_ENDING.get(key.rsplit("_", 1)[-1], _bare)(float(value), units)


def values_words(values: Mapping[str, float], units: Units) -> dict[str, str]:
    """Return every value that is a number, as text, by its key."""
    return {key: value_words(key, value, units) for key, value in values.items() if math.isfinite(value)}


def per_second(hertz: float) -> str:
    """Return a rate of rows or readings: "50 a second", "0.5 a second"."""
    return text("{number} a second", number=number(hertz))


def rotor_speed(turns_hz: float) -> str:
    """Return the speed of a rotor as revolutions a minute, rounded to ten."""
    rpm = round(turns_hz * 6.0) * 10
    return text("{number} revolutions a minute", number=f"{rpm:,}")


def _bare(value: float, _: Units) -> str:
    return number(value, 2)


def _count(value: float, _: Units) -> str:
    return f"{round(value):,}"


def _in(unit: str) -> Callable[[float, Units], str]:
    return lambda value, units: numbers.words(value, unit, units)


def _degrees(value: float, _: Units) -> str:
    return f"{number(math.degrees(value), 0 if abs(value) > 0.02 else 1)}°"


def _turning(value: float, _: Units) -> str:
    return text("{number} degrees a second", number=f"{abs(round(math.degrees(value))):,}")


def gravities(value_mps2: float, *, downward: bool = False) -> str:
    """Return an acceleration in times gravity: whole ones from ten on."""
    times = value_mps2 / STANDARD_GRAVITY
    whole = math.floor(times) if downward else round(times)
    return text("{number} times gravity", number=whole if times >= 10.0 else number(times))


def _gravities(value: float, _: Units) -> str:
    return gravities(value)


def _decibels(value: float, _: Units) -> str:
    return text("{number} dB", number=round(value))


def _level(value: float, _: Units) -> str:
    return text("{number} dBm", number=round(value))


def _hertz(value: float, _: Units) -> str:
    return text("{number} Hz", number=number(value))


def _times(value: float, _: Units) -> str:
    return plural("once", "{count} times", max(1, round(value)))


def _share(value: float, _: Units) -> str:
    return numbers.percent(value)


def _rotor(value: float, _: Units) -> str:
    return rotor_speed(value)


def _compass(value: float, _: Units) -> str:
    return text(COMPASS[round(value / (2.0 * math.pi) * len(COMPASS)) % len(COMPASS)])


_BY_KEY: Final[dict[str, Callable[[float, Units], str]]] = {
    **dict.fromkeys(("from_rad", "bearing_rad", "course_rad"), _compass),
    **dict.fromkeys(("rad_s", "radps"), _turning),
    **dict.fromkeys(("quality", "quality_before", "throttle", "output", "amplitude"), _share),
    **dict.fromkeys(("per_s", "rps"), _rotor),
}
"""Endings of more than one part, and names whose ending is no unit."""
_BY_ENDING: Final[dict[str, Callable[[float, Units], str]]] = {
    "v": _in("V"),
    "a": _in("A"),
    "ah": _in("Ah"),
    "w": _in("W"),
    "c": _in("°C"),
    "ohm": _in("ohm"),
    "db": _decibels,
    "dbm": _level,
    "m": _in("m"),
    "mps": _in("m/s"),
    "pa": _in("Pa"),
    "j": _in("J"),
    "s": lambda value, _: lasting(value) or text("{number} s", number=number(value, 2)),
    "hz": _hertz,
    "rad": _degrees,
    "deg": lambda value, _: f"{number(value, 0 if abs(value) > 1.0 else 1)}°",
    "mps2": _gravities,
    "share": _share,
    "fraction": _share,
    "ratio": _bare,
    "count": _count,
    "times": _times,
}
