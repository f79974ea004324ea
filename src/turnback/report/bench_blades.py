"""The shapes of the corner portraits: a blade seen from above, a ribbon that shows the turning, a cut through a blade.

Coordinates are those of a picture: x to the right, y down. Clockwise as seen from above is clockwise on the page, from
x toward y. All shapes are drawn for clockwise; those for anticlockwise are their mirror images, so the leading edge,
which meets the air first, is the forward one either way.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.aircraft import Rotation

Points = NDArray[np.float64]
"""Shape ``(points, 2)``: x and y from the hub, in units of the picture."""

ROOT: Final = 13.0
"""Where a blade begins, from the hub,"""
TIP: Final = 116.0
"""and where it ends."""
ROUNDED: Final = 10.0
"""Exponent that rounds the tip off."""
SWEEP: Final = 9.0
"""How far the tip lies back."""
FRONT_SHARE: Final = 0.42
"""Share of the blade's width that the high front part takes."""
STEPS: Final = 28
RIBBON_INNER, RIBBON_OUTER = 64.0, 78.0
RIBBON_ENDS_DEG: Final = (-140.0, -54.0)
"""Where the ribbon begins and its head begins, for clockwise, above the hub."""
HEAD_DEG: Final = 14.0
CUT_TILT_DEG: Final = 17.0
"""Of a cut blade; real ones are steeper near the hub and flatter near the tip."""


def spread(radius: Points) -> tuple[Points, Points]:
    """Return how far the leading edge lies ahead of the blade's axis and the trailing edge behind it.

    Parameters
    ----------
    radius : ndarray
        Shape ``(points,)``, from the hub.

    Returns
    -------
    tuple of ndarray
        Leading and trailing offset along the direction of turning, both shape ``(points,)``.
    """
    along = np.clip((radius - ROOT) / (TIP - ROOT), 0.0, 1.0)
    closing = np.sqrt(1.0 - along**ROUNDED)
    middle = -SWEEP * along**2
    return (
        middle + (6.0 + 13.0 * np.sin(np.pi * along**0.62) + 4.0 * along) * closing,
        middle - (6.0 + 7.0 * np.sin(np.pi * along**0.5) + 7.0 * along) * closing,
    )


def leading_edge(rotation: Rotation, turned_deg: float = 0.0) -> Points:
    """Return the leading edge of a blade from root to tip, the blade turned by some degrees clockwise."""
    radius = _radii()
    ahead, _ = spread(radius)
    return _placed(radius, ahead, rotation, turned_deg)


def outline(rotation: Rotation, turned_deg: float = 0.0) -> Points:
    """Return the whole outline of a blade: along the leading edge outward, along the trailing edge inward."""
    radius = _radii()
    ahead, behind = spread(radius)
    return _placed(np.concatenate([radius, radius[::-1]]), np.concatenate([ahead, behind[::-1]]), rotation, turned_deg)


def high_part(rotation: Rotation, turned_deg: float = 0.0) -> Points:
    """Return the outline of the blade's front part, the higher one."""
    radius = _radii()
    ahead, behind = spread(radius)
    inner = ahead - FRONT_SHARE * (ahead - behind)
    return _placed(np.concatenate([radius, radius[::-1]]), np.concatenate([ahead, inner[::-1]]), rotation, turned_deg)


def ticks(rotation: Rotation, turned_deg: float = 0.0, count: int = 9, length: float = 6.0) -> tuple[Points, ...]:
    """Return short strokes that stand on the leading edge and point forward: the edge is told without any colour."""
    radius = np.linspace(ROOT + 12.0, TIP - 14.0, count)
    ahead, _ = spread(radius)
    return tuple(
        _placed(np.array([each, each]), np.array([edge + 1.5, edge + 1.5 + length]), rotation, turned_deg)
        for each, edge in zip(radius, ahead, strict=True)
    )


def ribbon(rotation: Rotation) -> Points:
    """Return a curved ribbon above the hub from tail to head, its tail narrow."""
    start, end = (math.radians(each) for each in RIBBON_ENDS_DEG)
    angle = np.linspace(start, end, STEPS)
    middle, half = (RIBBON_INNER + RIBBON_OUTER) / 2.0, (RIBBON_OUTER - RIBBON_INNER) / 2.0
    width = half * np.linspace(0.25, 1.0, STEPS)
    return _mirrored(np.concatenate([_arc(middle + width, angle), _arc(middle - width, angle)[::-1]]), rotation)


def ribbon_head(rotation: Rotation) -> Points:
    """Return the ribbon's head: its tip first, then its two corners."""
    end, tip = math.radians(RIBBON_ENDS_DEG[1]), math.radians(RIBBON_ENDS_DEG[1] + HEAD_DEG)
    middle = (RIBBON_INNER + RIBBON_OUTER) / 2.0
    radius = np.array([middle, RIBBON_OUTER + 7.0, RIBBON_INNER - 7.0])
    return _mirrored(_arc(radius, np.array([tip, end, end])), rotation)


def cut(*, upside_down: bool = False) -> Points:
    """Return a cut through a blade that moves to the left, from its rounded edge over its bulging side and back.

    Turned over about its own length, the same blade shows its sharp edge to the left: still the higher one.
    """
    along = 1.0 - np.cos(np.linspace(0.0, np.pi / 2.0, STEPS))  # close together at the rounded edge
    bulge = 17.0 * np.sin(np.pi * along**0.8)
    # The rounded edge is a half circle of which each side takes a quarter.
    rounded = 9.0 * np.sqrt(np.clip(1.0 - (1.0 - np.clip(along / 0.09, 0.0, 1.0)) ** 2, 0.0, 1.0)) * (1.0 - along)
    upper, lower = bulge + rounded, 0.55 * bulge - rounded
    x = np.concatenate([along, along[::-1]]) * 190.0 - 95.0
    y = -np.concatenate([upper, lower[::-1]]) + 9.0
    tilt = math.radians(CUT_TILT_DEG)
    turned = np.stack([x * math.cos(tilt) - y * math.sin(tilt), x * math.sin(tilt) + y * math.cos(tilt)], axis=1)
    return -turned if upside_down else turned


def path(points: Points, *, closed: bool = True) -> str:
    """Return points as the data of an SVG path."""
    said = "L".join(f"{x:.1f} {y:.1f}" for x, y in points + 0.0)
    return f"M{said}{'Z' if closed else ''}"


def _radii() -> Points:
    # Closer together at the tip, where the outline bends most.
    return ROOT + (TIP - ROOT) * np.sin(np.linspace(0.0, np.pi / 2.0, STEPS))


def _placed(along: Points, ahead: Points, rotation: Rotation, turned_deg: float) -> Points:
    """Lay a blade along a direction; ahead is +y for clockwise and -y for anticlockwise."""
    side = 1.0 if rotation is Rotation.CLOCKWISE else -1.0
    turned = math.radians(turned_deg)
    x, y = along, side * ahead
    return np.stack([x * math.cos(turned) - y * math.sin(turned), x * math.sin(turned) + y * math.cos(turned)], axis=1)


def _arc(radius: Points, angle: Points) -> Points:
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _mirrored(points: Points, rotation: Rotation) -> Points:
    return points * np.array([-1.0, 1.0]) if rotation is Rotation.ANTICLOCKWISE else points
