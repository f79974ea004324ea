"""What the tellers of place look at: the track until the flight ended, distance from the launch point, height."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats, inside
from turnback.assess.place_lean import pull_mps2
from turnback.assess.place_track import Track, track_of
from turnback.assess.power_events_fit import even_means
from turnback.assess.signs_sticks_return import returns_of
from turnback.assess.signs_volts_told import Blind, needs
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.finding import Spread
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer, WhyNot

HZ: Final = 5.0
AFTER_S: Final = 8.0
"""So long after the end it may take to the ground."""
LAST_BLOW_S: Final = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class PlaceSeen:
    """Where a flight was; arrays of shape (n,) on an even grid of 5 rows a second up to its end, NaN where unknown.

    Parameters
    ----------
    looked : Looked
    track : Track or None
    t_s : ndarray
    aloft, returns, falls : ndarray of bool
    east_m, north_m : ndarray or None
        From the launch point.
    v_east_mps, v_north_mps : ndarray or None
    height_m : ndarray or None
        Above where it took off.
    climb_mps : ndarray or None
    pull_east_mps2, pull_north_mps2 : ndarray or None
        Of its lean.
    impact : Event or None
        The blow that ended the flight or the fall.
    """

    looked: Looked
    track: Track | None
    t_s: Floats
    aloft: NDArray[np.bool_]
    returns: NDArray[np.bool_]
    falls: NDArray[np.bool_]
    east_m: Floats | None
    north_m: Floats | None
    v_east_mps: Floats | None
    v_north_mps: Floats | None
    height_m: Floats | None
    climb_mps: Floats | None
    pull_east_mps2: Floats | None
    pull_north_mps2: Floats | None
    impact: Event | None

    @property
    def answer(self) -> RecordAnswer:
        """Events and record."""
        return self.looked.answer

    @property
    def record(self) -> FlightRecord:
        """The record itself."""
        return self.looked.answer.flown.record

    def expected(self, name: str) -> Spread | None:
        """What the plan says."""
        return None if self.looked.against is None else self.looked.against.expected.get(name)

    def distance_m(self) -> Floats | None:
        """From the launch point, shape (n,)."""
        return None if self.east_m is None or self.north_m is None else np.hypot(self.east_m, self.north_m)

    def speed_mps(self) -> Floats | None:
        """Over ground, shape (n,)."""
        if self.v_east_mps is None or self.v_north_mps is None:
            return None
        return np.hypot(self.v_east_mps, self.v_north_mps)

    def longest_s(self, holds: NDArray[np.bool_]) -> tuple[float, float, float]:
        """Return length, start and end of the longest span in which something holds."""
        edges = np.flatnonzero(np.diff(holds.view(np.int8), prepend=np.int8(0), append=np.int8(0))).reshape(-1, 2)
        if not edges.size:
            return 0.0, 0.0, 0.0
        first, after = edges[int(np.argmax(edges[:, 1] - edges[:, 0]))]
        start_s = float(self.t_s[first])
        return (after - first) / HZ, start_s, start_s + (after - first) / HZ

    def no_place(self) -> Blind | None:
        """Return why no place is known; None where it is."""
        if self.east_m is None:
            return needs(Quantity.LATITUDE, Quantity.LONGITUDE)
        return None if self.aloft.any() else Blind(WhyNot.NOT_ALOFT)

    def no_speed(self) -> Blind | None:
        """Return why no velocity over ground is known; None where it is."""
        if self.v_east_mps is None:
            return needs(Quantity.GROUND_SPEED, Quantity.COURSE)
        return None if self.aloft.any() else Blind(WhyNot.NOT_ALOFT)

    def no_climb(self) -> Blind | None:
        """Return why no climb rate is known; None where it is."""
        if self.climb_mps is None:
            return needs(Quantity.HEIGHT_LAUNCH)
        return None if self.aloft.any() else Blind(WhyNot.NOT_ALOFT)


def place_seen(looked: Looked) -> PlaceSeen:
    """Return what the tellers of place look at.

    Parameters
    ----------
    looked : Looked
    """
    flown = looked.answer.flown
    record = flown.record
    track = track_of(record)
    impact = _impact(looked)
    # down to the ground, so that what happens on the last metres can be told; each teller minds `ended_s`
    end_s = looked.ended_s if impact is None else max(looked.ended_s, impact.start_s)
    t_s = np.arange(0.0, max(end_s, 0.0) + 1e-9, 1.0 / HZ)
    aloft = inside(t_s, flown.aloft())
    returns, falls = (
        inside(t_s, [(each.start_s, each.end_s) for each in flown.phases if each.kind is kind])
        for kind in (PhaseKind.RETURN, PhaseKind.FALL)
    )
    returns |= inside(t_s, returns_of(looked) or [])
    east, north, v_east, v_north = _along(track, t_s, aloft)
    height, climb = _height(record, t_s, aloft)
    pulls = pull_mps2(record, t_s)
    return PlaceSeen(
        looked, track, t_s, aloft, returns, falls, east, north, v_east, v_north, height, climb,
        None if pulls is None else pulls[1], None if pulls is None else pulls[0], impact,
    )  # fmt: skip


def _impact(looked: Looked) -> Event | None:
    """Return the first blow at the end of the flight, or at the end of the fall."""
    blows = (each for each in looked.answer.events if each.kind is EventKind.IMPACT)
    after = [each for each in blows if -LAST_BLOW_S <= each.start_s - looked.ended_s <= AFTER_S]
    return min(after, key=lambda each: each.start_s, default=None)


def _along(
    track: Track | None, t_s: Floats, aloft: NDArray[np.bool_]
) -> tuple[Floats | None, Floats | None, Floats | None, Floats | None]:
    """Return place from where it took off, and velocity."""
    if track is None or t_s.size < 2:
        return None, None, None, None
    east = north = v_east = v_north = None
    if track.east_m is not None and track.north_m is not None:
        known = ~np.isnan(track.east_m)
        if np.count_nonzero(known) > 1:
            east, north = (np.interp(t_s, track.t_s[known], each[known]) for each in (track.east_m, track.north_m))
            home = int(np.argmax(aloft)) if aloft.any() else 0
            east, north = east - east[home], north - north[home]
    if track.speed_mps is not None and track.course_rad is not None:
        known = ~(np.isnan(track.speed_mps) | np.isnan(track.course_rad))
        if np.count_nonzero(known) > 1:
            speed, course = track.speed_mps[known], track.course_rad[known]
            v_east, v_north = (np.interp(t_s, track.t_s[known], speed * each(course)) for each in (np.sin, np.cos))
    return east, north, v_east, v_north


def _height(record: FlightRecord, t_s: Floats, aloft: NDArray[np.bool_]) -> tuple[Floats | None, Floats | None]:
    """Return height above where it took off, and how fast it climbs."""
    series = record.get(Quantity.HEIGHT_LAUNCH) or record.get(Quantity.HEIGHT_SEA_LEVEL)
    height = climb = None
    if series is not None and series.t_s.size > 1 and t_s.size > 1:
        height = even_means(series.t_s, series.values, t_s)
        home = int(np.argmax(aloft)) if aloft.any() else 0
        height = height - height[home]
        if t_s.size > 4:
            climb = np.gradient(np.convolve(np.pad(height, 2, mode="edge"), np.full(5, 0.2), mode="valid"), t_s)
    for quantity, sign in ((Quantity.CLIMB_RATE, 1.0), (Quantity.VELOCITY_DOWN, -1.0)):
        direct = record.get(quantity)
        if direct is not None and direct.t_s.size > 1 and t_s.size > 1:
            return height, sign * even_means(direct.t_s, direct.values, t_s)
    return height, climb
