"""A language that no one speaks: every message in brackets, so that words which pass by it stand out.

Speak it with ``speaking_by(Pseudo(), PSEUDO)`` and ask `outside` for the words that stand in no bracket. The places of
a message are left out of its brackets: what is filled in must be a number, a unit, a name from the plan, or a message
of its own. So ``f"{text('above')} the trees"`` is found, and so is English that is handed to a place.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterable
from html.parser import HTMLParser
from typing import Final

PSEUDO: Final = "en-XA"
"""What browsers call a pseudo-language; any well-formed code would do."""
OPEN, CLOSE = "⟦", "⟧"

_PLACE: Final = re.compile(r"((?<!\{)\{[A-Za-z_]\w*(?:![rsa])?(?::[^{}]*)?\}(?!\}))")
_UNITS: Final = (
    "m/s", "mph", "miles", "mile", "km/h", "km", "cm²", "cm", "mm", "m²", "mAh", "mΩ", "mW", "mV", "MHz", "GHz", "m",
    "ft", "sq in", "inHg", "in", "kg/m³", "kg", "g", "oz", "ft·lb", "lb", "lbf", "N", "J", "hPa", "dBm", "dBi", "dB",
    "rpm/V", "V", "Ah", "A", "Wh", "W", "°C", "°F", "C", "min", "s", "h", "%",
)  # fmt: skip
_NUMBER: Final = re.compile(
    r"(?<![\w.])[-−]?\d[\d.,]*(?:[ \u00a0\u202f]?(?:"
    + "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))
    + r"))?(?![\w/])"
)
_WORD: Final = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")


class Pseudo(gettext.NullTranslations):
    """A catalogue that puts every message in brackets, around its places.

    Parameters
    ----------
    brackets : str
        An opening and a closing one; others where a font lacks these, such as ``"«»"``.
    """

    def __init__(self, brackets: str = OPEN + CLOSE) -> None:
        super().__init__()
        self.brackets = brackets

    def gettext(self, message: str) -> str:
        """Return a message in brackets."""
        return self._bracketed(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Return the form for one or for many, in brackets."""
        return self._bracketed(msgid1 if n == 1 else msgid2)

    def _bracketed(self, message: str) -> str:
        opening, closing = tuple(self.brackets)
        parts = _PLACE.split(message)
        return "".join(
            part if number % 2 or not part else f"{opening}{part}{closing}" for number, part in enumerate(parts)
        )


def outside(said: str, known: Iterable[str] = (), brackets: str = OPEN + CLOSE) -> list[str]:
    """Return the words that stand in no bracket, numbers with their units and known values left out.

    Parameters
    ----------
    said : str
        What a face shows, spoken through `Pseudo`. Brackets may stand in brackets.
    known : iterable of str
        What comes from a plan: a title, the source of the ground, the name of an area.
    brackets : str
        As given to `Pseudo`.

    Raises
    ------
    AssertionError
        If a bracket is left open or closed twice: then nothing can be said of what stands outside.
    """
    opening, closing = tuple(brackets)
    rest, depth = [], 0
    for letter in said:
        if letter == opening:
            depth += 1
            rest.append("\n")
        elif letter == closing:
            depth -= 1
            assert depth >= 0, "a bracket is closed that was not opened"
        elif depth == 0:
            rest.append(letter)
    assert depth == 0, "a bracket is left open"
    bare = "".join(rest)
    for value in sorted(filter(None, known), key=len, reverse=True):
        bare = bare.replace(value, " ")
    return _WORD.findall(_NUMBER.sub(" ", bare))


class _Reader(HTMLParser):
    """Collects what a page shows or reads out."""

    SILENT: Final = frozenset({"style", "script", "metadata"})
    SPOKEN: Final = frozenset({"alt", "aria-label", "aria-description", "data-label", "title", "placeholder"})

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take what an attribute says to people; leave out style sheets and scripts."""
        self.silent += tag in self.SILENT
        self.found += [value for name, value in attrs if name in self.SPOKEN and value]

    def handle_endtag(self, tag: str) -> None:
        """Come out of a style sheet or script."""
        self.silent -= tag in self.SILENT

    def handle_data(self, data: str) -> None:
        """Take text."""
        if not self.silent and data.strip():
            self.found.append(data)


def shown(page: str) -> list[str]:
    """Return the texts of an HTML page that people see or hear, one for each element or attribute."""
    reader = _Reader()
    reader.feed(page)
    reader.close()
    return reader.found
