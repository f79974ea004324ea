"""Which causes a record cannot tell apart, by the channels that it has: physics, not statistics."""

from __future__ import annotations

import tomllib
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, Final

FILE: Final = Path(__file__).parent / "look_alikes.toml"


class Kit(Enum):
    """What channels a record has; its value is the key in the file."""

    FULL = "full"  # a flight board's own, with rotor speeds and places
    BOARD = "board"  # a flight board's own, without one of them
    RADIO = "radio"  # a radio's: link, volts, sticks, a few times a second
    TRACK = "track"  # places and little else


@cache
def look_alike_table() -> dict[str, dict[str, Any]]:
    """Return the file: look-alikes by kit of each cause, with a reason."""
    with FILE.open("rb") as file:
        found: dict[str, dict[str, Any]] = tomllib.load(file)["cause"]
    return found


def look_alikes(cause: str, kit: Kit, *, has_plan: bool) -> tuple[str, ...]:
    """Return what a record cannot tell from a cause, itself among it.

    Parameters
    ----------
    cause : str
        Key in the book.
    kit : Kit
    has_plan : bool
        Whether a plan comes with the record.

    Returns
    -------
    tuple of str
        Empty where it leaves no trace in these channels, and of a cause of which the file says nothing.
    """
    row = look_alike_table().get(cause)
    if row is not None:
        return _of(row, kit, has_plan=has_plan)
    others = tuple(key for key, one in look_alike_table().items() if cause in _of(one, kit, has_plan=has_plan))
    return (cause, *others) if others else ()


def _of(row: dict[str, Any], kit: Kit, *, has_plan: bool) -> tuple[str, ...]:
    return tuple(row[kit.value] if has_plan else row.get(f"no_plan_{kit.value}", row[kit.value]))
