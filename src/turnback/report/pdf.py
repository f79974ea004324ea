"""Print to PDF: our own page templates, filled with data; nothing that came from a plan is ever read as a template.

Data goes to the template as JSON, so that every string of it stays text. The same data gives the same bytes: the clock
is not asked, and nothing is fetched.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from itertools import chain
from pathlib import Path
from typing import Any, Final

from turnback.report.language import language
from turnback.report.terminal import printable

FONT: Final = "Source Sans Pro"
FONT_PACKAGE: Final = "font_source_sans_pro"
STANDARD: Final = "ua-1"
"""PDF/UA-1 (ISO 14289-1): tagged, titled, in a named language, every picture with its words."""
NO_GLYPH: Final = "\u2610"
"""Stands for a letter that no font here can draw."""

_NOT_DRAWN: Final = "could not be displayed"  # as the typesetter tells it
_DRAWN: Final = frozenset(
    chr(code)
    for code in chain(
        range(0x20, 0x7F), range(0xA0, 0x180), range(0x370, 0x400), range(0x400, 0x460), range(0x5D0, 0x5EB),
        range(0x621, 0x64B), range(0x2010, 0x2023), (0x2026, 0x202F, 0x2030, 0x2032, 0x2033, 0x20AC, 0x2122, 0x2126),
        (0x2190, 0x2191, 0x2192, 0x2193, 0x2212, 0x221A, 0x2248, 0x2260, 0x2264, 0x2265, 0x2610, 0x2713),
        (0x25A0, 0x25B2, 0x25B3, 0x25C6),
    )
)  # fmt: skip
_SURELY_DRAWN: Final = frozenset(chr(code) for code in chain(range(0x20, 0x7F), range(0xA1, 0x100), (0x2013, 0x2019)))


def compiled(template: str, data: Mapping[str, Any]) -> bytes:
    """Return the PDF of a template filled with data.

    Parameters
    ----------
    template : str
        Name of a file in ``report/templates``.
    data : mapping
        What JSON can hold. Control characters in its strings are shown as a mark; letters that no font here can draw
        become a box.
    """
    import typst  # noqa: PLC0415 - loads a typesetter; nothing but print needs it

    for drawn in (None, _DRAWN, _SURELY_DRAWN):
        try:
            return _compiled(template, _told({**data, "language": language().split("-")[0], "font": FONT}, drawn))
        except typst.TypstError as error:
            if drawn is _SURELY_DRAWN or _NOT_DRAWN not in str(error):
                raise
    raise AssertionError  # the last turn returns or raises


def _compiled(template: str, data: Any) -> bytes:
    import typst  # noqa: PLC0415

    folder = resources.files("turnback.report").joinpath("templates")
    with resources.as_file(folder) as root:
        printed: bytes = typst.compile(
            str(root / template), root=str(root), font_paths=[_font_folder()], ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data)}, pdf_standards=[STANDARD], timestamp=0,
        )  # fmt: skip
    return printed


def _told(data: Any, drawn: frozenset[str] | None) -> Any:
    """Return data whose strings can be set: no control characters, and only letters that are drawn."""

    def told(text: str) -> str:
        plain = text.replace("\n", "").isprintable()  # the pictures are long
        shown = text if plain else "\n".join(printable(line) for line in text.split("\n"))
        return shown if drawn is None else "".join(c if c in drawn or c == "\n" else NO_GLYPH for c in shown)

    return _each(data, told)


def _each(data: Any, told: Callable[[str], str]) -> Any:
    if isinstance(data, str):
        return told(data)
    if isinstance(data, Mapping):
        return {key: _each(value, told) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_each(value, told) for value in data]
    return data


@cache
def _font_folder() -> str:
    """Return the folder of the print font, as its package installed it."""
    return str(Path(str(resources.files(FONT_PACKAGE).joinpath("files"))))
