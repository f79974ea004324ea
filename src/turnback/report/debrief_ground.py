"""The ground under a debrief's pictures: hill shading with contours from above, and its profile from the side."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.debrief import AtLoss, GroundSeen
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.shading import contour_step, relief

Array = NDArray[np.float64]

PROFILE_POINTS: Final = 121
SHADED: Final = mark("Ground of the plan, lit from north-west; a line every {step} of height.")
SHADED_ONLY: Final = mark("Ground of the plan, lit from north-west.")


def within(ground: GroundSeen, x_m: float, y_m: float, half_m: float) -> GroundSeen:
    """Return the part of a ground that a square around a place shows, east and north of where it took off."""
    column = (x_m + ground.took_off_x_m - ground.x_west_m) / ground.step_m
    row = (ground.y_north_m - ground.took_off_y_m - y_m) / ground.step_m
    reach = half_m / ground.step_m
    rows, columns = ground.heights_m.shape
    top, left = max(math.floor(row - reach), 0), max(math.floor(column - reach), 0)
    down, right = min(math.ceil(row + reach) + 1, rows), min(math.ceil(column + reach) + 1, columns)
    if down - top < 2 or right - left < 2:
        return ground
    return replace(
        ground,
        x_west_m=ground.x_west_m + left * ground.step_m,
        y_north_m=ground.y_north_m - top * ground.step_m,
        heights_m=ground.heights_m[top:down, left:right],
        known=ground.known[top:down, left:right],
    )


def ground_picture(ground: GroundSeen, middle_px: float, scale: float, x_m: float, y_m: float, units: Units) -> str:
    """Return the shaded ground as a part of a square drawing.

    Parameters
    ----------
    ground : GroundSeen
    middle_px : float
        Where the place stands that is next, to the right and down.
    scale : float
        Of the drawing, for each metre.
    x_m, y_m : float
        That place, east and north of where it took off.
    units : Units
        Of the contours' step.
    """
    left = middle_px + (ground.x_west_m - ground.took_off_x_m - x_m) * scale
    top = middle_px - (ground.y_north_m - ground.took_off_y_m - y_m) * scale
    down, across = ((size - 1) * ground.step_m * scale for size in ground.heights_m.shape)
    data = relief(ground.heights_m, ground.known, ground.step_m, _step_m(ground, units))
    return (
        f'<image class="ground" x="{left:.1f}" y="{top:.1f}" width="{across:.1f}" height="{down:.1f}" '
        f'preserveAspectRatio="none" href="{data}"/>'
    )


def ground_words(ground: GroundSeen, units: Units) -> str:
    """Return what the shading is."""
    step_m = _step_m(ground, units)
    return text(SHADED, step=numbers.words(step_m, "m", units)) if step_m > 0.0 else text(SHADED_ONLY)


def _step_m(ground: GroundSeen, units: Units) -> float:
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    return contour_step(ground.heights_m[ground.known] * per_m) / per_m


def profile_m(ground: GroundSeen | None, at: AtLoss) -> Array | None:
    """Return heights above the launch point on the straight line to where the link went, at even steps.

    Returns
    -------
    ndarray, shape (PROFILE_POINTS,), or None
        None where a part of the line has no known ground.
    """
    if ground is None:
        return None
    far = np.linspace(0.0, at.distance_m, PROFILE_POINTS)
    turn = math.radians(at.bearing_deg)
    column = (far * math.sin(turn) - ground.x_west_m) / ground.step_m
    row = (ground.y_north_m - far * math.cos(turn)) / ground.step_m
    rows, columns = ground.heights_m.shape
    if min(row.min(), column.min()) < 0.0 or row.max() > rows - 1 or column.max() > columns - 1:
        return None
    top, left = np.minimum(row.astype(np.intp), rows - 2), np.minimum(column.astype(np.intp), columns - 2)
    if not all(ground.known[top + down, left + right].all() for down in (0, 1) for right in (0, 1)):
        return None
    down, right = row - top, column - left
    high = ground.heights_m
    north = high[top, left] * (1.0 - right) + high[top, left + 1] * right
    south = high[top + 1, left] * (1.0 - right) + high[top + 1, left + 1] * right
    return np.asarray(north * (1.0 - down) + south * down)
