"""Antenna patterns, and what the aircraft's attitude does to them."""

from __future__ import annotations

import math
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within

Array = NDArray[np.float64]


class Pattern(Enum):
    """Shape of an antenna's pattern."""

    OMNIDIRECTIONAL = "omnidirectional"
    DIPOLE = "dipole"
    PATCH = "patch"


NULL_FLOOR_DB = {Pattern.OMNIDIRECTIONAL: 10.0, Pattern.DIPOLE: 20.0, Pattern.PATCH: 25.0}
"""Deepest null against the greatest gain: frame and surroundings fill it (common practice; our choice of figures)."""

BEAM_PRODUCT_DEG2 = 32_400.0
"""Gain times both beamwidths in degrees, of practical beams (textbook: 41,253 without losses and side lobes)."""


def patch_beamwidth_rad(gain_dbi: Any) -> Array:
    """Return the half-power beamwidth of a round beam of some gain.

    Parameters
    ----------
    gain_dbi : array_like
        3 to 25 dBi.

    Raises
    ------
    InputError
        Outside that range.

    Notes
    -----
    G = 32,400 / theta², theta in degrees: Elliott's figure for practical beams (from memory). It gives 65 degrees at
    8.8 dBi, about what ITU-R M.2101 takes for an element of 8 dBi.
    """
    gain = within("gain_dbi", gain_dbi, 3.0, 25.0, "dBi")
    return np.asarray(np.radians(np.sqrt(BEAM_PRODUCT_DEG2 / 10.0 ** (gain / 10.0))))


def pattern_loss_db(pattern: Pattern, angle_rad: Any, gain_dbi: Any = 8.0, floor_db: Any = None) -> Array:
    """Return how far the gain in a direction lies below the greatest gain.

    Parameters
    ----------
    pattern : Pattern
    angle_rad : array_like
        Patch: off boresight. Dipole and omnidirectional: from the axis of the rod or stem. 0 to π.
    gain_dbi : array_like
        Greatest gain, used by the patch for its beamwidth, 3 to 25 dBi.
    floor_db : array_like, optional
        Deepest null, 0 to 60 dB; `NULL_FLOOR_DB` of the pattern if left out. Shapes broadcast.

    Returns
    -------
    ndarray
        Loss, 0 or positive.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Dipole: half-wave, cos(π/2 cos a) / sin a. Omnidirectional: the doughnut of a short element, sin a, with a shallow
    null. Patch: 12 (a / beamwidth)², the element pattern of ITU-R M.2101.
    """
    angle = within("angle_rad", angle_rad, 0.0, math.pi, "rad", "enter radians, not degrees")
    floor = within("floor_db", NULL_FLOOR_DB[pattern] if floor_db is None else floor_db, 0.0, 60.0, "dB")
    if pattern is Pattern.PATCH:
        loss_db = 12.0 * (angle / patch_beamwidth_rad(gain_dbi)) ** 2
        return np.asarray(np.minimum(loss_db, floor))
    sine = np.sin(angle)
    field = sine
    if pattern is Pattern.DIPOLE:
        safe = np.maximum(sine, 1e-9)
        field = np.cos(0.5 * math.pi * np.cos(angle)) / safe
    loss_db = -20.0 * np.log10(np.maximum(np.abs(field), 1e-6))
    return np.asarray(np.clip(loss_db, 0.0, floor))


def gain_toward_dbi(pattern: Pattern, angle_rad: Any, gain_dbi: Any, floor_db: Any = None) -> Array:
    """Return the gain in a direction: the greatest gain less the pattern's loss.

    Parameters
    ----------
    pattern : Pattern
    angle_rad : array_like
        As in `pattern_loss_db`, 0 to π.
    gain_dbi : array_like
        Greatest gain, -20 to 25 dBi; a patch below 3 dBi is as wide as one of 3.
    floor_db : array_like, optional
        Deepest null, 0 to 60 dB. Shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    As `pattern_loss_db`.
    """
    gain = within("gain_dbi", gain_dbi, -20.0, 25.0, "dBi")
    return np.asarray(gain - pattern_loss_db(pattern, angle_rad, np.maximum(gain, 3.0), floor_db))


def axis_angle_rad(elevation_rad: Any, tilt_rad: Any, bearing_rad: Any) -> Array:
    """Return the angle between a ray and the upright axis of an aircraft that tilts.

    Parameters
    ----------
    elevation_rad : array_like
        Of the other end seen from the aircraft, -π/2 to π/2: negative for a pilot below.
    tilt_rad : array_like
        How far the aircraft leans from level, 0 to π.
    bearing_rad : array_like
        Horizontal angle between the direction it leans to and the ray, any size; shapes broadcast.

    Returns
    -------
    ndarray
        0 (along the axis, upwards) to π.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Spherical law of cosines: cos a = sin e cos t + cos e sin t cos b.
    """
    elevation = within("elevation_rad", elevation_rad, -math.pi / 2, math.pi / 2, "rad", "enter radians, not degrees")
    tilt = within("tilt_rad", tilt_rad, 0.0, math.pi, "rad", "enter radians, not degrees")
    bearing = within("bearing_rad", bearing_rad, -1000.0, 1000.0, "rad", "enter radians, not degrees")
    cosine = np.sin(elevation) * np.cos(tilt) + np.cos(elevation) * np.sin(tilt) * np.cos(bearing)
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def attitude_loss_db(
    pattern: Pattern, elevation_rad: Any, tilt_rad: Any = 0.0, bearing_rad: Any = 0.0, floor_db: Any = None
) -> Array:
    """Return what the aircraft's attitude costs with an antenna along its upright axis: the null overhead.

    Parameters
    ----------
    pattern : Pattern
        Dipole or omnidirectional; a patch is taken to look straight down.
    elevation_rad, tilt_rad, bearing_rad : array_like
        As in `axis_angle_rad`.
    floor_db : array_like, optional
        Deepest null, 0 to 60 dB. Shapes broadcast.

    Returns
    -------
    ndarray
        Loss against the greatest gain, 0 or positive.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    `pattern_loss_db` at the angle of `axis_angle_rad`.
    """
    angle = axis_angle_rad(elevation_rad, tilt_rad, bearing_rad)
    return pattern_loss_db(pattern, math.pi - angle if pattern is Pattern.PATCH else angle, floor_db=floor_db)


def worst_attitude_loss_db(pattern: Pattern, elevation_rad: Any, tilt_rad: Any, floor_db: Any = None) -> Array:
    """Return the greatest attitude loss over all headings: a pilot who turns and leans meets it.

    Parameters
    ----------
    pattern : Pattern
        Dipole or omnidirectional; a patch is taken to look straight down.
    elevation_rad : array_like
        Of the other end seen from the aircraft, -π/2 to π/2.
    tilt_rad : array_like
        Greatest lean from level, 0 to π/2.
    floor_db : array_like, optional
        Deepest null, 0 to 60 dB. Shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Leaning by t turns the axis to within |π/2 - |e|| - t of the ray, or along it.
    """
    elevation = within("elevation_rad", elevation_rad, -math.pi / 2, math.pi / 2, "rad", "enter radians, not degrees")
    tilt = within("tilt_rad", tilt_rad, 0.0, math.pi / 2, "rad", "enter radians, not degrees")
    if pattern is Pattern.PATCH:
        angle = np.minimum(math.pi / 2 + elevation + tilt, math.pi)
    else:
        angle = np.maximum(math.pi / 2 - np.abs(elevation) - tilt, 0.0)
    return pattern_loss_db(pattern, angle, floor_db=floor_db)
