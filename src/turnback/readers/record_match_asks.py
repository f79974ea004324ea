"""The flags that settle what asks, for errors that end a reading before a report can ask."""

from __future__ import annotations

import shlex
from typing import Final

from turnback.readers.record_units import unit_of
from turnback.records.channel import Quantity
from turnback.records.record_read import ColumnMatch, ColumnsRead, Reading

MOST_FLAGS: Final = 3
LEAST_CHANCE: Final = 0.05  # our choice: less is not worth a look


def flags_asked(columns: ColumnsRead, of: Quantity | None = None) -> tuple[str, ...]:
    """Return the flags of the likeliest readings that were not taken, likeliest first.

    Parameters
    ----------
    columns : ColumnsRead
    of : Quantity, optional
        Of this quantity only, and then of its likeliest column only.
    """
    found: list[tuple[float, ColumnMatch, Reading]] = []
    for match in columns.matches:
        if match.taken is not None:
            continue
        fits = [
            each for each in match.readings
            if each.channel.quantity is not Quantity.OTHER and of in (None, each.channel.quantity)
        ]  # fmt: skip
        if fits and fits[0].chance >= LEAST_CHANCE:
            found.append((fits[0].chance, match, fits[0]))
    found.sort(key=lambda each: (-each[0], each[1].place))
    return tuple(_flag(match, reading, columns) for _, match, reading in found[: 1 if of else MOST_FLAGS])


def _flag(match: ColumnMatch, reading: Reading, columns: ColumnsRead) -> str:
    alone = match.name and sum(each.name == match.name for each in columns.matches) == 1
    unit = unit_of(reading.channel.quantity, reading.unit)
    minus = "-" if reading.scale * (1.0 if unit is None else unit.scale) < 0.0 else ""
    name = match.name if alone else f"#{match.place + 1}"
    value = f"{name}={minus}{reading.channel.key} {reading.unit}".rstrip()
    return f'--column "{value}"' if not set(value) & set('"$`\\!') else f"--column {shlex.quote(value)}"
