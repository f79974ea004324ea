"""A stranger's values and places, said short and on one line."""

from __future__ import annotations

import datetime
from typing import Any, Final

from turnback.readers.known_keys import Place

LONGEST: Final = 60
LONGEST_NAME: Final = 255


def said(value: Any) -> str:
    """Return a value as a person would recognise it, short and on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return repr(short(value))
    if isinstance(value, int):
        return f"{value:.9g}" if abs(value) < 10**15 else "a number of many digits"
    if isinstance(value, float):
        return f"{value:.9g}"
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return "a table" if isinstance(value, dict) else "a list"


def dotted(place: Place) -> str:
    """Return a place as a person reads it: ``route.waypoints entry 2 height_m``; entries count from 1."""
    text = ""
    for step in place:
        if isinstance(step, int):
            text += f" entry {step + 1} "
        elif not text or text.endswith(" "):
            text += on_one_line(step)
        else:
            text += f".{on_one_line(step)}"
    return text.strip()


def short(text: str, longest: int = LONGEST) -> str:
    """Return a text cut to the length of a line's part."""
    return text if len(text) <= longest else text[: longest - 3] + "..."


def on_one_line(text: str, longest: int = LONGEST) -> str:
    """Return a stranger's key or file name: it may hold anything, so what cannot be printed is shown escaped."""
    cut = short(text, longest)
    return cut if cut.isprintable() and cut else repr(cut)
