"""What is known last of an aircraft that did not come home: of a record, or of what its pilot tells."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from turnback.assess.place_track import Floats, Track, track_of
from turnback.physics.geodesy import lat_lon_deg
from turnback.records.aircraft import RadioLossAction
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Reading, TypedReading
from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer
from turnback.rules.record_debrief import (
    FIX_SD,
    HELD_FOR,
    HELD_STOPS_AFTER,
    LAST_WITHIN,
    STOPS_AFTER,
    TOLD_BEARING_SD,
    TOLD_DISTANCE_SHARE,
    TOLD_HEIGHT_SHARE,
    TOLD_HIGHEST,
)


class GoesOn(Enum):
    """What it does after the last that is known."""

    LIES_THERE = "lies there"
    FALLS = "falls"
    DRIFTS_DOWN = "descends in place"
    FLIES_ON = "flies on"
    RETURNS = "flies back by itself"
    NOT_KNOWN = "not known"


AFTER_ACTION: Final = {
    RadioLossAction.MOTORS_STOP: GoesOn.FALLS,
    RadioLossAction.DESCEND_IN_PLACE: GoesOn.DRIFTS_DOWN,
    RadioLossAction.KEEP_LAST_STICKS: GoesOn.FLIES_ON,
    RadioLossAction.AUTOMATIC_RETURN: GoesOn.RETURNS,
    RadioLossAction.UNKNOWN: GoesOn.NOT_KNOWN,
}


@dataclass(frozen=True, slots=True)
class LastKnown:
    """The last that is known; metres and metres per second, x east and y north of where it took off.

    Parameters
    ----------
    x_m, y_m, height_m : float
        Height above where it took off.
    east_mps, north_mps, climb_mps : float
    at_s : float
    along_sd_m, across_sd_m : float
        Seen from the launch point.
    height_sd_m : float
    goes_on : GoesOn
    launch_deg : tuple of float or None
        Latitude and longitude of where it took off.
    stops_within_s : float
        Where it falls: so long after the last that is known its motors may have run.
    """

    x_m: float
    y_m: float
    height_m: float
    east_mps: float
    north_mps: float
    climb_mps: float
    at_s: float
    along_sd_m: float
    across_sd_m: float
    height_sd_m: float
    goes_on: GoesOn
    launch_deg: tuple[float, float] | None
    stops_within_s: float = STOPS_AFTER.value


def last_of_record(answer: RecordAnswer, action: RadioLossAction = RadioLossAction.UNKNOWN) -> LastKnown | None:
    """Return the last that a record knows; None where it has no position.

    Parameters
    ----------
    answer : RecordAnswer
    action : RadioLossAction
        What the plan says it does with no control link.
    """
    track = track_of(answer.flown.record)
    if track is None or track.east_m is None or track.north_m is None or track.origin is None:
        return None
    known = np.flatnonzero(~np.isnan(track.east_m) & ~np.isnan(track.north_m))
    if not known.size:
        return None
    goes_on, end_s = _how_it_ended(answer, action)
    rows = known[track.t_s[known] <= end_s + 1e-6]
    row = int(rows[-1] if rows.size else known[0])
    held = False
    if goes_on is not GoesOn.LIES_THERE:
        row, held = _last_news(track, row)
    x_0, y_0, launch = took_off(answer, track)
    moves = max(row - 1, 0) if held and Channel(Quantity.LATITUDE) in track.speed_from else row  # no half a step
    speed, course, climb = (_there(each, moves) for each in (track.speed_mps, track.course_rad, track.climb_mps))
    sure_m = FIX_SD.value
    if goes_on is GoesOn.LIES_THERE and end_s - float(track.t_s[row]) < LAST_WITHIN.value:
        speed = 0.0
    return LastKnown(
        x_m=float(track.east_m[row]) - x_0,
        y_m=float(track.north_m[row]) - y_0,
        height_m=0.0 if goes_on is GoesOn.LIES_THERE else max(_height(answer, float(track.t_s[row])), 0.0),
        east_mps=speed * math.sin(course),
        north_mps=speed * math.cos(course),
        climb_mps=climb,
        at_s=float(track.t_s[row]),
        along_sd_m=sure_m,
        across_sd_m=sure_m,
        height_sd_m=sure_m,
        goes_on=goes_on,
        launch_deg=launch,
        stops_within_s=HELD_STOPS_AFTER.value if held else STOPS_AFTER.value,
    )


def _last_news(track: Track, row: int) -> tuple[int, bool]:
    """Return the last row that told a new place, and whether the record only held it from there on.

    A radio that hears nothing more from the aircraft goes on writing the last place it heard.
    """
    if track.east_m is None or track.north_m is None:
        return row, False
    moved = (np.diff(track.east_m[: row + 1]) != 0.0) | (np.diff(track.north_m[: row + 1]) != 0.0)
    news = np.flatnonzero(moved) + 1
    if not news.size or float(track.t_s[row] - track.t_s[news[-1]]) < HELD_FOR.value:
        return row, False
    return int(news[-1]), True


def last_told(readings: tuple[TypedReading, ...], action: RadioLossAction) -> LastKnown | None:
    """Return the last that a pilot tells; None without a distance.

    Parameters
    ----------
    readings : tuple of TypedReading
        The latest of each kind counts. Without a direction it may be in any.
    action : RadioLossAction
    """
    last = {each.of: each for each in readings}
    far = last.get(Reading.DISTANCE)
    if far is None:
        return None
    bearing = last.get(Reading.BEARING)
    way = math.radians(bearing.value) if bearing else 0.0
    high = last.get(Reading.HEIGHT)
    height_m = min(high.value if high else TOLD_HIGHEST.value / 2.0, TOLD_HIGHEST.value)
    speed_mps = last[Reading.SPEED].value if Reading.SPEED in last else 0.0
    times = [each.at_s for each in readings if each.at_s is not None]
    return LastKnown(
        x_m=far.value * math.sin(way),
        y_m=far.value * math.cos(way),
        height_m=height_m,
        east_mps=speed_mps * math.sin(way),
        north_mps=speed_mps * math.cos(way),
        climb_mps=0.0,
        at_s=max(times, default=0.0),
        along_sd_m=TOLD_DISTANCE_SHARE.value * far.value,
        across_sd_m=far.value * math.radians(TOLD_BEARING_SD.value) if bearing else math.inf,
        height_sd_m=height_m * (TOLD_HEIGHT_SHARE.value if high else 0.5),
        goes_on=AFTER_ACTION[action],
        launch_deg=None,
    )


def _how_it_ended(answer: RecordAnswer, action: RadioLossAction) -> tuple[GoesOn, float]:
    """Return what it does after the last that the record knows, and when that is."""
    phases = answer.flown.phases
    end_s = phases[-1].end_s if phases else 0.0
    blows = [each for each in answer.events if each.kind is EventKind.IMPACT]
    aloft = [each for each in answer.events if each.kind is EventKind.ENDS_ALOFT]
    if not aloft:
        landed = [end for _, end in answer.flown.aloft()]
        at_s = max([each.start_s for each in blows] + landed, default=end_s)
        return GoesOn.LIES_THERE, at_s
    motors_off = aloft[-1].values.get("runs") == 0.0
    if motors_off or (phases and phases[-1].kind is PhaseKind.FALL):
        return GoesOn.FALLS, end_s
    if _lost_before(answer, end_s):
        told = next((each for each in reversed(answer.events) if each.kind is EventKind.RADIO_LOSS_ACTION), None)
        return _after(told, action), end_s
    return (GoesOn.FALLS if aloft[-1].values.get("runs") == 1.0 else AFTER_ACTION[action]), end_s


def _lost_before(answer: RecordAnswer, end_s: float) -> bool:
    """Tell whether the control link was lost, and not found again, when the record ends."""
    return any(each.kind is EventKind.LINK_LOST and each.end_s >= end_s - LAST_WITHIN.value for each in answer.events)


def _after(told: Event | None, action: RadioLossAction) -> GoesOn:
    by_word = {
        "motors-stop": GoesOn.FALLS,
        "keeps-last-sticks": GoesOn.FLIES_ON,
        "automatic-return": GoesOn.RETURNS,
        "descends-in-place": GoesOn.DRIFTS_DOWN,
    }
    if told is None:
        return AFTER_ACTION[action]
    return by_word.get(told.words.get("action", ""), AFTER_ACTION[action])


def took_off(answer: RecordAnswer, track: Track) -> tuple[float, float, tuple[float, float] | None]:
    """Return where it took off, from the track's origin, and where that is on the globe."""
    aloft = answer.flown.aloft()
    at_s = aloft[0][0] if aloft else float(track.t_s[0])
    place = track.place_m(at_s) or (0.0, 0.0)
    if track.origin is None:
        return (*place, None)
    lat, lon = lat_lon_deg(place[0], place[1], *track.origin)
    return (*place, (float(lat), float(lon)))


def _there(values: Floats | None, row: int) -> float:
    if values is None or not values.size:
        return 0.0
    known = np.flatnonzero(~np.isnan(values[: row + 1]))
    return float(values[known[-1]]) if known.size else 0.0


def _height(answer: RecordAnswer, at_s: float) -> float:
    """Return the height above where it took off."""
    record = answer.flown.record
    aloft = answer.flown.aloft()
    for quantity in (Quantity.HEIGHT_LAUNCH, Quantity.HEIGHT_SEA_LEVEL):
        series = record.get(quantity)
        if series is None or not series.t_s.size:
            continue
        height_m = float(np.interp(at_s, series.t_s, series.values))
        if quantity is Quantity.HEIGHT_LAUNCH:
            return height_m
        start_s = aloft[0][0] if aloft else float(series.t_s[0])
        return height_m - float(np.interp(start_s, series.t_s, series.values))
    return TOLD_HIGHEST.value / 2.0
