"""Small builders of SVG for a map's picture: place, lines, words that read on any ground, arrow, scale bar, key."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.report.language import plural, text
from turnback.report.numbers import FEET_PER_M, METRES_PER_MILE, Units, words
from turnback.report.svg import STEERING
from turnback.report.typography import together

Array = NDArray[np.float64]

LETTER: Final = 0.56
"""Width of a letter over the size of its type, with room for wide letters."""
LEADING: Final = 1.25
BAR_FRACTION: Final = 0.3
"""Of the picture's width: the longest that a scale bar may be."""
MOST_NAME: Final = 60
RIM: Final = 6
"""Paper around every picture, so that no line at its edge is cut."""


@dataclass(frozen=True, slots=True)
class Look:
    """The colours of everything but the ground."""

    paper: str
    ink: str
    soft: str
    halo: str
    people: str


@dataclass(frozen=True, slots=True)
class Frame:
    """Where local metres lie in the picture; the top left is at `left`, `top`."""

    left: float
    top: float
    width: float
    height: float
    west_m: float
    north_m: float
    per_m: float
    """Pixels of one metre."""

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Return the pixel of a place."""
        return self.left + (x_m - self.west_m) * self.per_m, self.top + (self.north_m - y_m) * self.per_m

    def path(self, x_m: Array, y_m: Array) -> str:
        """Return a closed path through places."""
        points = (self.at(float(x), float(y)) for x, y in zip(x_m, y_m, strict=True))
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + "Z"


def escaped(said: str) -> str:
    """Return words as SVG holds them, with nothing in them that turns the writing around."""
    plain = STEERING.sub("\ufffd", together(said))
    return plain.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def shortened(name: str, most: int = MOST_NAME) -> str:
    """Return a name of no more letters than fit."""
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"


def wide(said: str, size: float) -> float:
    """Return about how wide words are, never less."""
    return LETTER * size * len(said)


def wrapped(said: str, size: float, room: float) -> list[str]:
    """Return words in lines no wider than the room."""
    lines: list[str] = []
    for word in said.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and wide(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def write(x: float, y: float, said: str, size: float, colour: str, *, anchor: str = "start", bold: bool = False,
          halo: str = "") -> str:  # fmt: skip
    """Return one line of words; with a halo they read on any ground."""
    edge = (
        f' stroke="{halo}" stroke-width="{size / 3.5:.1f}" stroke-linejoin="round" paint-order="stroke"' if halo else ""
    )
    weight = ' font-weight="bold"' if bold else ""
    where = f'x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"'
    inner = escaped(said)
    if not halo:
        return f'<text {where} fill="{colour}"{weight}>{inner}</text>'
    # drawn twice: some programs that print do not know that a stroke may lie below its letter
    below = f'<text {where} fill="{halo}"{weight}{edge} aria-hidden="true">{inner}</text>'
    return f'{below}<text {where} fill="{colour}"{weight}>{inner}</text>'


def line(path: str, colour: str, width: float, dash: str = "", fill: str = "none") -> str:
    """Return a path that is drawn."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    stroke = f'stroke="{colour}" stroke-width="{width:g}" stroke-linejoin="round"{dashes}'
    return f'<path d="{path}" fill="{fill}" {stroke}/>'


def circle(frame: Frame, radius_m: float, colour: str, width: float, dash: str = "") -> str:
    """Return a circle around the launch point."""
    x, y = frame.at(0.0, 0.0)
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius_m * frame.per_m:.1f}" fill="none" stroke="{colour}" '
        f'stroke-width="{width:g}"{dashes}/>'
    )


def launch(frame: Frame, look: Look, size: float) -> str:
    """Return the launch point: a disc in a ring."""
    x, y = frame.at(0.0, 0.0)
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{0.62 * size:.1f}" fill="{look.halo}"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{0.4 * size:.1f}" fill="{look.ink}"/>'
    )


def north(frame: Frame, look: Look, size: float) -> str:
    """Return an arrow to the north with its letter, in the picture's top left."""
    x, y = frame.left + 1.5 * size, frame.top + 0.9 * size
    half, tall = 0.55 * size, 2.2 * size
    arrow = (
        f"M{x:.1f} {y:.1f}L{x + half:.1f} {y + tall:.1f}L{x:.1f} {y + 0.75 * tall:.1f}L{x - half:.1f} {y + tall:.1f}Z"
    )
    drawn = line(arrow, look.halo, 4.0, fill=look.ink) + line(arrow, look.ink, 1.0, fill=look.ink)
    return drawn + write(
        x, y + tall + 1.1 * size, text("N"), size, look.ink, anchor="middle", bold=True, halo=look.halo
    )


def bar_length(most_m: float, units: Units) -> tuple[float, str]:
    """Return a round length no longer than given, in metres, and its words in the units of the reader."""
    if units is Units.IMPERIAL and most_m >= METRES_PER_MILE:
        miles = _round_below(most_m / METRES_PER_MILE)
        return miles * METRES_PER_MILE, plural("{count} mile", "{count} miles", int(miles))
    per_m = FEET_PER_M if units is Units.IMPERIAL else 1.0
    length_m = _round_below(most_m * per_m) / per_m
    return length_m, words(length_m, "m", units)


def _round_below(most: float) -> float:
    power = 10.0 ** math.floor(math.log10(most))
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= most * (1.0 + 1e-9))


def scale_bar(frame: Frame, units: Units, look: Look, size: float) -> str:
    """Return a bar of a round length in the picture's lower left."""
    length_m, said = bar_length(BAR_FRACTION * frame.width / frame.per_m, units)
    long, tall = length_m * frame.per_m, 0.42 * size
    x, y = frame.left + 0.9 * size, frame.top + frame.height - 1.2 * size
    return (
        f'<rect x="{x - 2:.1f}" y="{y - 2:.1f}" width="{long + 4:.1f}" height="{tall + 4:.1f}" fill="{look.halo}"/>'
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{long:.1f}" height="{tall:.1f}" fill="{look.ink}"/>'
        f'<rect x="{x + long / 2:.1f}" y="{y + 1.2:.1f}" width="{long / 2 - 1.2:.1f}" height="{tall - 2.4:.1f}" '
        f'fill="{look.halo}"/>' + write(x, y - 0.5 * size, said, size, look.ink, bold=True, halo=look.halo)
    )


def document(name: str, size: tuple[float, float], title: str, alt: str, body: str, paper: str) -> str:
    """Return a whole SVG that a screen reader names.

    Parameters
    ----------
    name : str
        Unique within the page: a prefix of its inner ids.
    """
    around = f"-{RIM} -{RIM} {size[0] + 2 * RIM:.0f} {size[1] + 2 * RIM:.0f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{around}" role="img" '
        f'font-family="sans-serif" aria-labelledby="{name}-title {name}-desc">'
        f'<title id="{name}-title">{escaped(title)}</title><desc id="{name}-desc">{escaped(alt)}</desc>'
        f'<rect x="-{RIM}" y="-{RIM}" width="100%" height="100%" fill="{paper}"/>{body}</svg>'
    )
