"""Wind from how fast it moves over ground on different courses.

Velocity over ground is velocity through the air plus the wind. Where a pilot or an automatic return holds one speed
through the air on several courses, velocities over ground lie on a circle around the wind. With a heading, their
directions through the air are known too. Out and back alone tells the part of the wind along the track, not across.
Where angles of attitude are there, how far it leans tells its speed through the air, held or not (`place_lean`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.place_lean import fit_by_lean, lean_in_hover
from turnback.assess.place_track import Floats, Track
from turnback.assess.signals import held_at
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_place import (
    WIND_CHANGE,
    WIND_COURSES,
    WIND_HOLDS,
    WIND_LEAST,
    WIND_PRIOR,
    WIND_SPEED,
    WIND_TIME,
    WIND_WIDTH,
)

_NEEDS = (Channel(Quantity.GROUND_SPEED), Channel(Quantity.COURSE))
_MOVING = (PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT, PhaseKind.HOVER)
_NINE_OF_TEN = 1.645  # standard errors: a band that holds nine times out of ten
_LEAST_NOISE_MPS = 0.3
_FEWEST = 8


def find_wind(flown: Flown, track: Track | None) -> Happened:
    """Return at most one WIND event over all flights of a record.

    `values`: ``wind_mps``, ``from_rad`` (where it blows from, clockwise from north), ``width_mps`` (half of the band
    that holds nine times out of ten), ``air_mps`` (the speed through the air it held), ``courses_rad`` (spread), and of
    a leaned hover ``lean_rad``, ``lean_from_rad``. `words`: ``part`` is "whole" or "along" (only along the track);
    ``by`` is "lean" where angles told it, or "speed" where one speed through the air is taken for granted.
    """
    if track is None or track.speed_mps is None or track.course_rad is None:
        return Happened((), (NotTold(EventKind.WIND, WhyNot.NO_CHANNEL, _NEEDS),))
    rows = _steady(flown, track)
    if rows.size < _FEWEST:
        why = WhyNot.TOO_SHORT if flown.aloft() else WhyNot.NOT_ALOFT
        return Happened((), (NotTold(EventKind.WIND, why, _NEEDS),))
    course, speed = track.course_rad[rows], track.speed_mps[rows]
    spread_rad = _spread(course)
    if spread_rad < WIND_COURSES.value:
        values = {"courses_rad": spread_rad, "needed_rad": WIND_COURSES.value}
        return Happened((), (NotTold(EventKind.WIND, WhyNot.TOO_SHORT, _NEEDS, values),))
    north, east = speed * np.cos(course), speed * np.sin(course)
    heading = flown.record.get(Quantity.HEADING)
    nose = None if heading is None else held_at(heading.t_s, heading.values, track.t_s[rows]).astype(np.float64)
    together = max(1.0, WIND_TIME.value * _rows_a_second(track, rows))
    leaned = fit_by_lean(flown, track, rows, together)
    if leaned is not None:
        return _told(flown, track, rows, leaned, spread_rad, "lean")
    wind, air, covariance = fit_wind(north, east, nose, together)
    # a pilot who flew one course faster than the other feigns a wind: no number of rows tells that apart
    covariance = covariance + np.eye(2) * (WIND_HOLDS.value * air / _NINE_OF_TEN) ** 2
    return _told(flown, track, rows, (wind, air, covariance), spread_rad, "speed")


def fit_wind(
    north_mps: Floats, east_mps: Floats, heading_rad: Floats | None, together: float
) -> tuple[Floats, float, Floats]:
    """Fit wind and speed through the air.

    Parameters
    ----------
    north_mps, east_mps : ndarray, shape (n,)
        Velocity over ground.
    heading_rad : ndarray or None, shape (n,)
        Where the nose points, if it flies nose first; else the circle alone is fitted.
    together : float
        How many rows tell as much as one independent one.

    Returns
    -------
    wind : ndarray, shape (2,)
        North and east: where the air moves to.
    air : float
        Speed through the air.
    spread : ndarray, shape (2, 2)
        Covariance of `wind`.

    Notes
    -----
    Gauss-Newton on the distance to the circle (or, with headings, linear least squares on both components), with a
    wide prior on the wind so that a direction that nothing tells stays open.
    """
    wind = np.zeros(2)
    air = float(np.median(np.hypot(north_mps, east_mps)))
    if heading_rad is not None:
        nosed = _with_heading(north_mps, east_mps, heading_rad, together)
        if nosed is not None:
            return nosed
    prior = np.diag([1.0, 1.0, 0.0]) / WIND_PRIOR.value**2
    noise = 1.0
    inverse = np.eye(3)
    for _ in range(30):
        off_n, off_e = north_mps - wind[0], east_mps - wind[1]
        away = np.maximum(np.hypot(off_n, off_e), 1e-6)
        residual = away - air
        slopes = np.column_stack([off_n / away, off_e / away, np.ones(away.size)])
        noise = max(float(np.sqrt(np.mean(residual**2))), _LEAST_NOISE_MPS)
        weight = 1.0 / (noise**2 * together)
        inverse = np.linalg.inv(weight * slopes.T @ slopes + prior + np.diag([0.0, 0.0, 1e-9]))
        step = inverse @ (weight * slopes.T @ residual - prior @ np.array([wind[0], wind[1], 0.0]))
        wind, air = wind + step[:2], air + float(step[2])
        if float(np.abs(step).max()) < 1e-6:
            break
    return wind, air, inverse[:2, :2]


def _with_heading(
    north_mps: Floats, east_mps: Floats, heading_rad: Floats, together: float
) -> tuple[Floats, float, Floats] | None:
    """Fit with headings; None where it does not fly nose first."""
    n = north_mps.size
    table = np.zeros((2 * n, 3))
    table[:n, 0], table[:n, 2] = 1.0, np.cos(heading_rad)
    table[n:, 1], table[n:, 2] = 1.0, np.sin(heading_rad)
    told = np.r_[north_mps, east_mps]
    found, *_ = np.linalg.lstsq(table, told, rcond=None)
    residual = told - table @ found
    noise = max(float(np.sqrt(np.mean(residual**2))), _LEAST_NOISE_MPS)
    if found[2] < WIND_SPEED.value or noise > 0.3 * found[2]:
        return None
    spread = np.linalg.inv(table.T @ table) * noise**2 * together
    return np.asarray(found[:2], np.float64), float(found[2]), np.asarray(spread[:2, :2], np.float64)


def _steady(flown: Flown, track: Track) -> NDArray[np.intp]:
    """Rows in which it moves along and neither speeds up nor turns hard."""
    if track.speed_mps is None or track.course_rad is None or track.t_s.size < 4:
        return np.empty(0, np.intp)
    inside = np.zeros(track.t_s.size, np.bool_)
    for phase in flown.phases:
        if phase.kind in _MOVING:
            inside |= (track.t_s >= phase.start_s) & (track.t_s < phase.end_s)
    north, east = track.speed_mps * np.cos(track.course_rad), track.speed_mps * np.sin(track.course_rad)
    reach = max(1, round(track.rate_hz))  # over two seconds
    first, last = (
        np.maximum(np.arange(north.size) - reach, 0),
        np.minimum(np.arange(north.size) + reach, north.size - 1),
    )
    change = np.hypot(north[last] - north[first], east[last] - east[first]) / (track.t_s[last] - track.t_s[first])
    inside &= (track.speed_mps > WIND_SPEED.value) & (change < WIND_CHANGE.value)
    return np.flatnonzero(inside)


def _rows_a_second(track: Track, rows: NDArray[np.intp]) -> float:
    return 1.0 / float(np.median(np.diff(track.t_s[rows]))) if rows.size > 1 else track.rate_hz


def _spread(course_rad: Floats) -> float:
    """Return the smallest angle that holds all courses but one in fifty."""
    turn = np.sort(np.remainder(course_rad, 2.0 * np.pi))
    keep = max(2, int(np.ceil(0.98 * turn.size)))
    widths = np.r_[turn, turn + 2.0 * np.pi][keep - 1 : keep - 1 + turn.size] - turn
    return float(widths.min())


def _told(
    flown: Flown,
    track: Track,
    rows: NDArray[np.intp],
    fit: tuple[Floats, float, Floats],
    spread_rad: float,
    by: str,
) -> Happened:
    wind, air, covariance = fit
    sizes, axes = np.linalg.eigh(covariance)
    part, width = "whole", _NINE_OF_TEN * float(np.sqrt(sizes[1]))
    if width > WIND_WIDTH.value:
        # one direction is open: what the other tells
        part, width = "along", _NINE_OF_TEN * float(np.sqrt(sizes[0]))
        wind = axes[:, 0] * float(axes[:, 0] @ wind)
    strength = float(np.hypot(wind[0], wind[1]))
    if width > WIND_WIDTH.value:
        values = {"width_mps": width, "needed_mps": WIND_WIDTH.value}
        return Happened((), (NotTold(EventKind.WIND, WhyNot.TOO_SHORT, _NEEDS, values),))
    if strength < max(WIND_LEAST.value, width):
        return Happened()
    values = {
        "wind_mps": strength,
        "from_rad": float(np.remainder(np.arctan2(-wind[1], -wind[0]), 2.0 * np.pi)),
        "width_mps": width,
        "air_mps": air,
        "courses_rad": spread_rad,
    } | lean_in_hover(flown)
    start_s, end_s = float(track.t_s[rows[0]]), float(track.t_s[rows[-1]])
    return Happened(
        (
            Event(
                EventKind.WIND, start_s, end_s, track.speed_from, WIND_WIDTH.key, values, words={"part": part, "by": by}
            ),
        )
    )
