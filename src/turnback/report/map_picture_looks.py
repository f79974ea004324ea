"""Colours of a map's pictures. Lightness falls with the chance, and hatching thickens: they read in grey and in print.

Colours run from pale blue over yellow to brown: eyes that confuse red and green tell blue from yellow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.report.map_picture_cells import Fill
from turnback.report.map_picture_draw import Look
from turnback.report.vega import CARD, INK


@dataclass(frozen=True, slots=True)
class Palette:
    """The fills of chance classes from the best to the worst, of ground in the way and of what is not known."""

    look: Look
    chances: tuple[Fill, Fill, Fill, Fill]
    ground: Fill
    unknown: Fill
    reasons: tuple[Fill, Fill, Fill, Fill, Fill, Fill]
    """By the code of a `Reason`."""
    fails: Fill
    """Of a margin or a clearance below 0."""
    ramp: tuple[str, ...]
    """Of numbers, low to high: dark to light."""


ON_SCREEN: Final = Palette(
    Look(CARD, INK, "#6b685e", "#ffffff", "#5b2a86"),
    (
        Fill("#dcedf4"),
        Fill("#e9c257", ".", "#8a6a14"),
        Fill("#cf9048", "/", "#8a5518"),
        Fill("#a56c60", "//", "#8a4a42"),
    ),
    Fill("#55483f", "x", "#8d7d70", 0.7),
    Fill("#f4f2ea", "\\", "#b9b4a4", 0.0),
    (
        Fill("#f4f5ec"),
        Fill("#4f83a6", "/", "#1f4f70"),
        Fill("#a9cbdb", ".", "#4a7a92"),
        Fill("#cf9f6c"),
        Fill("#b7a9cf", "\\", "#6c5a8d"),
        Fill("#55483f", "x", "#8d7d70", 0.7),
    ),
    Fill("#3a2430", "//", "#8d7d84", 0.6),
    ("#2b2a5c", "#3f5d87", "#5e8f9b", "#8fb99a", "#c9d98a", "#fbf3b0"),
)
IN_BLACK: Final = Palette(
    Look("#ffffff", "#000000", "#5a5a5a", "#ffffff", "#000000"),
    (
        Fill("#f2f2f2"),
        Fill("#d2d2d2", ".", "#5a5a5a"),
        Fill("#b0b0b0", "/", "#4a4a4a"),
        Fill("#8c8c8c", "//", "#5c5c5c"),
    ),
    Fill("#404040", "x", "#8a8a8a", 0.7),
    Fill("#ffffff", "\\", "#b0b0b0", 0.0),
    (
        Fill("#f8f8f8"),
        Fill("#707070", "/", "#2a2a2a"),
        Fill("#d0d0d0", ".", "#5a5a5a"),
        Fill("#a0a0a0"),
        Fill("#bcbcbc", "\\", "#4a4a4a"),
        Fill("#404040", "x", "#8a8a8a", 0.7),
    ),
    Fill("#101010", "//", "#8a8a8a", 0.6),
    ("#202020", "#484848", "#707070", "#989898", "#c4c4c4", "#f0f0f0"),
)


def shades_of(ramp: tuple[str, ...], count: int) -> tuple[Fill, ...]:
    """Return so many colours along a ramp, first to last."""
    parts: NDArray[np.float64] = np.array([[int(each[at : at + 2], 16) for at in (1, 3, 5)] for each in ramp], float)
    at = np.linspace(0.0, len(ramp) - 1.0, count)
    mixed = np.column_stack([np.interp(at, np.arange(len(ramp)), parts[:, part]) for part in range(3)])
    return tuple(Fill("#" + "".join(f"{round(float(part)):02x}" for part in each)) for each in mixed)
