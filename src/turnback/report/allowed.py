"""What a field of a plan allows, in the language spoken: its words, or its range with its unit."""

from __future__ import annotations

from typing import Final

from pydantic.fields import FieldInfo

from turnback.readers.known_keys import range_of, with_unit, words_of
from turnback.report.language import mark, text

SPELLED_UNITS: Final = {"minutes": mark("minutes"), "packs": mark("packs")}
"""Units that are words; the others are symbols, the same in every language."""


def allowed_words(key: str, info: FieldInfo | None) -> str:
    """Return what a field allows; nothing where any text will do. The words of a choice stay as a plan writes them."""
    words = words_of(info)
    if words:
        return text("one of {choices}", choices=", ".join(f'"{word}"' for word in words))
    allowed = range_of(key, info)
    if allowed is None:
        return ""
    unit = text(SPELLED_UNITS[allowed.unit]) if allowed.unit in SPELLED_UNITS else allowed.unit
    low = f"{allowed.low:g}"
    if allowed.high is None:
        if allowed.above_low:
            return text("more than {low}", low=with_unit(low, unit))
        return text("{low} or more", low=with_unit(low, unit))
    high = with_unit(f"{allowed.high:g}", unit)
    if allowed.above_low:
        return text("more than {low}, up to {high}", low=low, high=high)
    return text("{low} to {high}", low=low, high=high)
