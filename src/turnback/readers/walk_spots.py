"""Spots of a range walk, typed in: ``120 m, 45 deg, -71``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from turnback.base.errors import Fault, InputError
from turnback.readers.walk_columns import SAID_UNITS, UNITS
from turnback.readers.walk_rows import LONGEST_CELL, NOTHING_CAME, RawReading, RawWalk, number_of, out_of_range

MOST_SPOTS: Final = 2000
EXAMPLE: Final = 'write it as "120 m, 45 deg, -71": distance, bearing, level in dBm, or "lost"'
_PART: Final = re.compile(r"^(?P<number>[+-]?[\d.]+(?:e[+-]?\d+)?)\s*(?P<unit>[a-z°%]*)$", re.ASCII | re.IGNORECASE)
_WITHOUT_BEARING: Final = 2
_WITH_BEARING: Final = 3


def read_spots(spots: Sequence[str]) -> RawWalk:
    """Return spots as readings: a distance, a bearing clockwise from north, a level in dBm or ``lost``.

    The bearing may be left out where the ground is flat.

    Raises
    ------
    InputError
        With every spot that cannot be read.
    """
    readings: list[RawReading] = []
    faults: list[Fault] = []
    if len(spots) > MOST_SPOTS:
        raise InputError(Fault("--spot", f"there are {len(spots)} spots", f"give at most {MOST_SPOTS}, or a file"))
    for number, spot in enumerate(spots, 1):
        found = _spot(spot, f"--spot {number}")
        if isinstance(found, Fault):
            faults.append(found)
        else:
            readings.append(found)
    if faults:
        raise InputError(*faults)
    return RawWalk(readings)


def _spot(spot: str, where: str) -> RawReading | Fault:
    parts = [part.strip().lower() for part in re.split(r"[;,]", spot)] if len(spot) <= LONGEST_CELL else []
    if len(parts) not in (_WITHOUT_BEARING, _WITH_BEARING) or not all(parts):
        return Fault(where, f"{spot[:40]!r} is no spot", EXAMPLE)
    quantities = ("distance", "bearing", "level") if len(parts) == _WITH_BEARING else ("distance", "level")
    reading = RawReading(where)
    for quantity, part in zip(quantities, parts, strict=True):
        if quantity == "level" and part in NOTHING_CAME:
            reading.nothing_came = True
            continue
        fault = _part(reading, quantity, part, where)
        if fault is not None:
            return fault
    return reading


def _part(reading: RawReading, quantity: str, part: str, where: str) -> Fault | None:
    kind = {"distance": "length", "bearing": "angle", "level": "level"}[quantity]
    met = _PART.match(part)
    value = number_of(met["number"]) if met else None
    if met is None or value is None:
        return Fault(where, f"{part[:30]!r} is no {quantity}", EXAMPLE)
    unit = SAID_UNITS.get(met["unit"].lower(), met["unit"].lower())
    if unit and unit not in UNITS[kind]:
        return Fault(where, f"its {quantity} is in {unit[:12]!r}", f"give it in {', '.join(UNITS[kind])}")
    value = UNITS[kind][unit](value) if unit else value
    fault = out_of_range(quantity, value, where)
    if fault is None:
        reading.numbers[quantity] = value
    return fault
