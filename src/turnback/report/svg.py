"""Draw a chart as inline SVG that a screen reader names, once wide and once narrow."""

from __future__ import annotations

import json
import re
from functools import lru_cache
from typing import Final

from turnback.report.vega import Chart

WIDE_PX: Final = 760
NARROW_PX: Final = 270
WIDE_FONT_PX: Final = 15
NARROW_FONT_PX: Final = 13
KEPT_DRAWINGS: Final = 16

STEERING: Final = re.compile(
    "[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]"
)
"""Letters that are not seen and change what is: controls, and marks that turn the direction of writing."""

_OPEN = re.compile(r"^<svg\b[^>]*?\bwidth=\"([\d.]+)\" height=\"([\d.]+)\"[^>]*>")
_CLIP = re.compile(r"(?<=id=\")clip\d+(?=\")|(?<=url\(#)clip\d+(?=\))")
_ROLES = re.compile(r'\s(?:role|aria-[a-z]+)="[^"]*"')


def wide(chart: Chart) -> str:
    """Return the chart for a desktop screen and for print."""
    return _draw(chart, WIDE_PX, WIDE_FONT_PX, "wide")


def narrow(chart: Chart) -> str:
    """Return the chart for a phone: the same data with fewer ticks, so that its text stays large."""
    return _draw(chart, NARROW_PX, NARROW_FONT_PX, "narrow")


def _draw(chart: Chart, width: int, font_px: int, size: str) -> str:
    return named(_rendered(json.dumps(chart.spec(width, font_px))), chart, f"{chart.name}-{size}")


@lru_cache(maxsize=KEPT_DRAWINGS)
def _rendered(spec: str) -> str:
    """Draw a specification once for page and print."""
    import vl_convert  # noqa: PLC0415 - starts an engine; nothing but a report needs it

    drawn: str = vl_convert.vegalite_to_svg(spec)
    return drawn


def named(svg: str, chart: Chart, key: str) -> str:
    """Give an SVG a role, a title and a description, and make its inner ids its own.

    Parameters
    ----------
    svg : str
        What the renderer made.
    chart : Chart
        Whose title and alt text it carries.
    key : str
        Unique within the page.
    """
    size = _OPEN.match(svg)
    if size is None:
        raise ValueError("the renderer's SVG does not begin as expected")
    inner = _ROLES.sub("", svg[size.end() :]).replace(" xlink:href=", " href=")  # the old name needs a declaration
    inner = _renumbered(inner, key)
    width, height = size.groups()
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc"><title id="{key}-title">{_text(chart.title)}</title>'
        f'<desc id="{key}-desc">{_text(chart.alt)}</desc>'
    )
    return STEERING.sub("\ufffd", head + inner)


def _renumbered(inner: str, key: str) -> str:
    """Number clips from 0 within the chart: the renderer counts on over all charts of a process."""
    numbers: dict[str, int] = {}
    return _CLIP.sub(lambda met: f"{key}-clip{numbers.setdefault(met[0], len(numbers))}", inner)


def _text(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
