"""The key of a map's picture: a sample of each thing, and what it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.report.map_picture_cells import Fill, picture
from turnback.report.map_picture_draw import LEADING, Look, wrapped, write

SWATCH_EM: Final = 2.2
"""Width of a sample, in sizes of the type."""
SWATCH_TALL_EM: Final = 1.15
GAP_EM: Final = 0.6


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key; without a sample it is a heading."""

    words: str
    fill: Fill | None = None
    dash: str | None = None
    """Of a line; empty for a whole one."""
    width: float = 2.0
    hatched: str = ""
    """Id of a pattern that fills the sample."""


def key(entries: Sequence[Entry], x: float, y: float, room: float, size: float, look: Look) -> tuple[str, float]:
    """Return the key drawn with its top left at a place, and where it ends.

    Parameters
    ----------
    entries : sequence of Entry
    x, y : float
    room : float
        Width; longer words are wrapped.
    size : float
        Of the type.
    look : Look
    """
    drawn = []
    for entry in entries:
        sample = entry.fill is not None or entry.dash is not None or bool(entry.hatched)
        left = x + (SWATCH_EM + GAP_EM) * size if sample else x
        if sample:
            drawn.append(_sample(entry, x, y, size, look))
        for number, words in enumerate(wrapped(entry.words, size, x + room - left)):
            if number:
                y += LEADING * size
            drawn.append(write(left, y + 0.92 * size, words, size, look.ink, bold=not sample))
        y += (SWATCH_TALL_EM + 0.45) * size
    return "".join(drawn), y


def _sample(entry: Entry, x: float, y: float, size: float, look: Look) -> str:
    width, tall = SWATCH_EM * size, SWATCH_TALL_EM * size
    box = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{tall:.1f}"'
    rim = f'<rect {box} fill="none" stroke="{look.soft}" stroke-width="1"/>'
    if entry.fill is not None:
        # of the picture's own making, at the size that its hatching has there
        flat = np.zeros((round(2 * tall), round(2 * width)))
        sample = picture(flat.astype(np.uint8), flat, (entry.fill,), 1)
        return f'<image {box} preserveAspectRatio="none" href="{sample}"/>{rim}'
    if entry.hatched:
        return f'<rect {box} fill="url(#{entry.hatched})"/>{rim}'
    middle = y + tall / 2.0
    dashes = f' stroke-dasharray="{entry.dash}"' if entry.dash else ""
    path = f"M{x:.1f} {middle:.1f}H{x + width:.1f}"
    return f'<path d="{path}" stroke="{look.ink}" stroke-width="{entry.width:g}"{dashes}/>'
