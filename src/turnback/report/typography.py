"""Set text as print and page show it: a number keeps its unit on its line, and minus is a minus."""

from __future__ import annotations

import re
from typing import Final

_UNIT_AFTER_NUMBER: Final = re.compile(
    r"(?<=\d) (?=(?:m|km|ft|miles|m/s|mph|kg|g|oz|lb|V|mV|A|mAh|mΩ|W|C|°C|°F|hPa|inHg|dB|dBm|dBi|MHz|s|min|h|%)(?!\w))"
)
_MINUS: Final = re.compile(r"(?<![\w-])-(?=\d)")


def together(text: str) -> str:
    """Return text with a space that does not break before each unit, and a minus sign before each negative number."""
    return _MINUS.sub("\u2212", _UNIT_AFTER_NUMBER.sub("\u00a0", text))
