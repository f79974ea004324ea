"""Numbers with their units in a pilot's words: "14.2 V", "50 m", "-95 dBm"."""

from __future__ import annotations

import re
from typing import Final

from turnback.records.heard import Quantity

WRITTEN: Final[dict[str, str]] = {
    "V": "v|volts?", "A": "a|amps?|amperes?", "mAh": "mah", "Ah": "ah", "dBm": "dbm", "dB": "db|decibels?",
    "%": "%|percent",
    "km/h": "km/h|kmh|kph|km per hour", "m/s": "m/s|mps", "mph": "mph", "kn": "kn|kts?|knots?",
    "km": "km|kilomet(?:er|re)s?", "ft": "ft|feet|foot", "m": "m|mtrs?|met(?:er|re)s?", "yd": "yds?|yards?",
    "mW": "mw", "MHz": "mhz", "GHz": "ghz", "g": "g|grams?", "kg": "kg", "min": "min|mins|minutes?",
    "s": "s|secs?|seconds?", "°C": "°\\s?c|°|deg|degrees?(?: celsius| c)?",
}  # fmt: skip
NUMBER: Final = re.compile(
    r"(?<![\w.,])([-+−]?\d{1,7}(?:[.,]\d{1,4})?)\s?("
    + "|".join(f"(?:{forms})" for forms in WRITTEN.values())
    + r")(?!\w)",
    re.IGNORECASE,
)
EXACT: Final = tuple((unit, re.compile(rf"(?:{forms})", re.IGNORECASE)) for unit, forms in WRITTEN.items())


def quantities(text: str) -> tuple[Quantity, ...]:
    """Return the numbers of a text that have a unit, in the order of the text.

    A comma before the last digits is a decimal one: "14,2 V". What a number is of is not told here.
    """
    found = []
    for match in NUMBER.finditer(text):
        unit = next(unit for unit, form in EXACT if form.fullmatch(match[2]))
        value = float(match[1].replace("−", "-").replace(",", "."))
        found.append(Quantity(value, unit, match.start(), match.end()))
    return tuple(found)
