"""The units in which columns of a record are written, in plain words."""

from __future__ import annotations

import re
from typing import Final

from turnback.report.language import mark, text

UNITS_READ: Final[dict[str, str]] = {
    "s": mark("seconds"),
    "ms": mark("thousandths of a second"),
    "us": mark("millionths of a second"),
    "ns": mark("billionths of a second"),
    "min": mark("minutes"),
    "h": mark("hours"),
    "moment": mark("date and time"),
    "deg/s": mark("degrees a second"),
    "rad/s": mark("radians a second"),
    "cdeg/s": mark("hundredths of a degree a second"),
    "mdeg/s": mark("thousandths of a degree a second"),
    "mrad/s": mark("thousandths of a radian a second"),
    "g": mark("times gravity"),
    "mg": mark("thousandths of gravity"),
    "m/s²": mark("metres a second squared"),
    "cm/s²": mark("centimetres a second squared"),
    "ft/s²": mark("feet a second squared"),
    "deg": mark("degrees"),
    "°": mark("degrees"),
    "rad": mark("radians"),
    "cdeg": mark("hundredths of a degree"),
    "mrad": mark("thousandths of a radian"),
    "µT": mark("microtesla"),
    "nT": mark("nanotesla"),
    "mT": mark("millitesla"),
    "G": mark("gauss"),
    "mG": mark("thousandths of a gauss"),
    "rpm": mark("revolutions a minute"),
    "1/s": mark("revolutions a second"),
    "rpm/100": mark("hundreds of revolutions a minute"),
    "krpm": mark("thousands of revolutions a minute"),
    "V": mark("volts"),
    "mV": mark("millivolts"),
    "V/cell": mark("volts of one cell"),
    "A": mark("amperes"),
    "mA": mark("milliamperes"),
    "Ah": mark("ampere hours"),
    "mAh": mark("milliampere hours"),
    "C": mark("coulombs"),
    "W": mark("watts"),
    "mW": mark("milliwatts"),
    "kW": mark("kilowatts"),
    "°C": mark("degrees Celsius"),
    "°F": mark("degrees Fahrenheit"),
    "K": mark("kelvin"),
    "dBm": mark("dBm"),
    "-dBm": mark("dBm without its minus"),
    "dB": mark("decibels"),
    "m": mark("metres"),
    "cm": mark("centimetres"),
    "mm": mark("millimetres"),
    "dm": mark("decimetres"),
    "km": mark("kilometres"),
    "ft": mark("feet"),
    "Pa": mark("pascals"),
    "hPa": mark("hectopascals"),
    "kPa": mark("kilopascals"),
    "bar": mark("bars"),
    "m/s": mark("metres a second"),
    "cm/s": mark("centimetres a second"),
    "mm/s": mark("millimetres a second"),
    "km/h": mark("kilometres an hour"),
    "mph": mark("miles an hour"),
    "kn": mark("knots"),
    "ft/s": mark("feet a second"),
    "ft/min": mark("feet a minute"),
    "0-100": mark("per cent"),
    "1/0": mark("1 and 0 the other way round"),
}
"""By key of the readers' units; steps, spans and counts for each g are said by their form."""

_SPAN: Final = re.compile(r"(-?\d+)-(\d+)")
_STEP: Final = re.compile(r"([\d.e-]+) (\S.*)")
_PER_G: Final = re.compile(r"g/(\d+)")


def unit_words(unit: str) -> str:
    """Return a unit as people say it; empty for a plain count or switch, as written where there is no plainer one."""
    if unit in ("", "1", "0/1"):
        return ""
    if unit in UNITS_READ:
        return text(UNITS_READ[unit])
    if span := _SPAN.fullmatch(unit):
        return text("numbers from {low} to {high}", low=span[1], high=span[2])
    if count := _PER_G.fullmatch(unit):
        return text("counts, {count} for each g", count=count[1])
    if (step := _STEP.fullmatch(unit)) and step[2] in UNITS_READ:
        return text("steps of {step} {unit}", step=step[1], unit=text(UNITS_READ[step[2]]))
    return unit
