"""Hill shading with contours, as a small grey picture that stands inside another document."""

from __future__ import annotations

import base64
import math
import warnings
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LIGHT_FROM_DEG: Final = 315.0  # north-west, as on printed maps: from below, hills would look like hollows
LIGHT_HEIGHT_DEG: Final = 45.0
LONG_SIDE_PX: Final = 480
LEVEL, CONTRAST, LIGHTEST, DARKEST, CONTOUR, UNKNOWN = 222, 190, 248, 120, 0.72, 255
"""Grey of level ground, grey for each unit of brightness, its ends; what a contour leaves; blank where not known."""
GREY_STEP: Final = 3  # no eye tells finer ones apart; coarse ones make a smaller file
STEEP_SLOPE: Final = 0.5  # gentle ground is drawn with its heights raised until its steep parts are this steep
MOST_RAISED: Final = 6.0
CONTOURS: Final = 12  # about as many on a map
CONTOUR_STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
LEAST_CONTOUR: Final = 2.0


def horn_gradient(heights_m: Array, cell_m: float) -> tuple[Array, Array]:
    """Return slope toward east and toward north from the eight neighbours of each height.

    Parameters
    ----------
    heights_m : ndarray, shape (ny, nx)
        Row 0 is the north edge.
    cell_m : float

    Returns
    -------
    tuple of ndarray, each of shape (ny, nx)
        Metres per metre. The rim takes its missing neighbours from itself.

    Notes
    -----
    B. K. P. Horn, Hill shading and the reflectance map, Proceedings of the IEEE 69 (1981) 14-47: the weights 1, 2, 1.
    """
    wide = np.pad(heights_m, 1, mode="edge")
    down = wide[:-2] + 2.0 * wide[1:-1] + wide[2:]
    across = wide[:, :-2] + 2.0 * wide[:, 1:-1] + wide[:, 2:]
    return (down[:, 2:] - down[:, :-2]) / (8.0 * cell_m), (across[:-2] - across[2:]) / (8.0 * cell_m)


def shade(east_slope: Array, north_slope: Array) -> Array:
    """Return how brightly a matt surface is lit from north-west, 0 to 1: the cosine of the angle to the light."""
    azimuth, height = np.deg2rad(LIGHT_FROM_DEG), np.deg2rad(LIGHT_HEIGHT_DEG)
    toward_east, toward_north = np.cos(height) * np.sin(azimuth), np.cos(height) * np.cos(azimuth)
    facing = np.sin(height) - east_slope * toward_east - north_slope * toward_north
    return np.asarray(np.clip(facing / np.sqrt(1.0 + east_slope**2 + north_slope**2), 0.0, 1.0))


def contour_step(heights: Array) -> float:
    """Return a round step that gives about a dozen contours; in the unit of the heights."""
    span = float(heights.max() - heights.min()) if heights.size else 0.0
    if span <= LEAST_CONTOUR:
        return 0.0
    rough = max(span / CONTOURS, LEAST_CONTOUR)
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in CONTOUR_STEPS if step * power >= rough * (1.0 - 1e-9))


def relief(heights_m: NDArray[Any], known: NDArray[np.bool_], cell_m: float, contour_m: float) -> str:
    """Return the ground as a picture: a data URI of an 8-bit grey PNG that holds no name, no place and no date.

    It reaches from the first height to the last, so that each of its points lies between known ones.

    Parameters
    ----------
    heights_m : ndarray, shape (ny, nx)
        At least 2 by 2.
    known : ndarray of bool, shape (ny, nx)
        Where it is false the picture stays blank.
    cell_m : float
    contour_m : float
        Step of the contours, counted from 0; none where it is 0.
    """
    ground = np.asarray(heights_m, dtype=np.float64)
    by = max(1, LONG_SIDE_PX // max(ground.shape))
    east, north = horn_gradient(ground, cell_m)
    steep = float(np.quantile(np.hypot(east, north), 0.95))
    raised = min(max(STEEP_SLOPE / steep, 1.0), MOST_RAISED) if steep > 0.0 else 1.0
    brighter = finer(shade(east * raised, north * raised), by) - math.sin(math.radians(LIGHT_HEIGHT_DEG))
    grey = np.clip(LEVEL + CONTRAST * brighter, DARKEST, LIGHTEST)
    grey = np.rint(grey / GREY_STEP) * GREY_STEP
    if contour_m > 0.0:
        band = np.floor(finer(ground, by) / contour_m)
        edge = np.zeros(grey.shape, dtype=np.bool_)
        edge[:, 1:] |= band[:, 1:] != band[:, :-1]
        edge[1:] |= band[1:] != band[:-1]
        grey = np.where(edge, grey * CONTOUR, grey)
    sound = known[1:, 1:] & known[1:, :-1] & known[:-1, 1:] & known[:-1, :-1]
    seen = sound.repeat(by, axis=0).repeat(by, axis=1)
    return _png(np.where(seen, np.rint(grey), UNKNOWN).astype(np.uint8))


def finer(values: Array, by: int) -> Array:
    """Return `by` times `by` values between each four, on straight lines: shape ``((ny - 1) by, (nx - 1) by)``."""
    for _ in range(2):  # along the rows, then along the columns
        at = (np.arange((values.shape[1] - 1) * by) + 0.5) / by
        left = at.astype(np.intp)
        share = at - left
        values = (values[:, left] * (1.0 - share) + values[:, left + 1] * share).T
    return values


def _png(grey: NDArray[np.uint8]) -> str:
    from rasterio.errors import NotGeoreferencedWarning  # noqa: PLC0415 - a large library; only a map needs it
    from rasterio.io import MemoryFile  # noqa: PLC0415

    rows, columns = grey.shape
    with warnings.catch_warnings(), MemoryFile() as memory:
        warnings.simplefilter("ignore", NotGeoreferencedWarning)  # a picture, not a map: no place may stand in it
        with memory.open(driver="PNG", width=columns, height=rows, count=1, dtype="uint8", zlevel=9) as file:
            file.write(grey, 1)
        data = bytes(memory.read())
    return "data:image/png;base64," + base64.b64encode(data).decode("ascii")
