"""Where a lost aircraft is to be looked for, in directions from the launch point."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.records.debrief import SearchArea
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.record_values import moment

POINTS: Final = (
    mark("north"), mark("north-east"), mark("east"), mark("south-east"),
    mark("south"), mark("south-west"), mark("west"), mark("north-west"),
)  # fmt: skip
NEAR_M: Final = 10.0
"""What lies nearer than this needs no direction."""
LEAST_SPEED_MPS: Final = 0.5
"""What is slower has no course that means something."""
ALL_AROUND_DEG: Final = 359.0
"""A spread of directions this wide is none: nobody knows which way it went."""
HARD_MPS: Final = 5.0
"""What met the ground more slowly is most likely in one piece: our choice."""
CARE: Final = (
    mark("Look in daylight, at least two of you, and tell somebody where you go."),
    mark(
        "Stay off roads, rails, cliffs, ice and other people's ground. Do not climb a tree or a roof for it, and do "
        "not touch it where it hangs on a wire: call whoever the wire belongs to."
    ),
    mark(
        "When you find it: nobody steps near while a rotor can start. The pack may be damaged; look before you touch."
    ),
)
FOUND_KEPT: Final = mark(
    "When you find it, leave it where it lies: keep everybody away, write down the place, and photograph it from a "
    "distance."
)
FLIES_ON: Final = mark(
    "It may have flown on after the last that is known, so it can lie outside these outlines. Ask for anybody who saw "
    "or heard it, and tell whoever is in charge of the air there if it may still fly."
)


def point_words(bearing_deg: float) -> str:
    """Return the nearest of eight points of the compass: "north-east"."""
    return text(POINTS[round(bearing_deg / 45.0) % len(POINTS)])


def bearing_words(bearing_deg: float) -> str:
    """Return a direction as people walk it: "north-east (47 degrees)"."""
    return text("{point} ({degrees} degrees)", point=point_words(bearing_deg), degrees=round(bearing_deg) % 360)


def all_around(search: SearchArea) -> bool:
    """Tell whether no direction is known: what holds then is a ring around the launch point, no place."""
    return search.bearing_deg.high - search.bearing_deg.low >= ALL_AROUND_DEG


def walk_words(search: SearchArea, units: Units) -> str:
    """Return the one sentence that a person walks by: "Walk 240 m toward north-east (47 degrees)"."""
    if search.distance_m.mid < NEAR_M:
        return text("Look around the launch point itself.")
    if all_around(search):
        return text(
            "In which direction it lies is not known, only that it is about {distance} from the launch point. Ask who "
            "saw or heard it before you walk.",
            distance=numbers.words(search.distance_m.mid, "m", units),
        )
    return text(
        "From the launch point walk {distance} toward {direction}.",
        distance=numbers.words(search.distance_m.mid, "m", units),
        direction=bearing_words(search.bearing_deg.mid),
    )


def radii_m(search: SearchArea) -> tuple[float, float]:
    """Return how far the two outlines reach from where it most likely lies, metres."""
    half = np.hypot(search.half_x_m - search.centre_x_m, search.half_y_m - search.centre_y_m)
    most = np.hypot(search.most_x_m - search.centre_x_m, search.most_y_m - search.centre_y_m)
    return float(half.max()), float(most.max())


def radius_words(search: SearchArea, units: Units) -> str:
    """Return how far around that place to look."""
    half, most = radii_m(search)
    if all_around(search):
        return text(
            "It lies within {most} around the launch point, with a chance of about 9 in 10.",
            most=numbers.words(most, "m", units, Toward.UP),
        )
    return text(
        "Look first within {half} of there: the chance that it lies there is about 1 in 2. Then within {most}: about 9 "
        "in 10.",
        half=numbers.words(half, "m", units, Toward.UP),
        most=numbers.words(most, "m", units, Toward.UP),
    )


def last_words(search: SearchArea, units: Units) -> str:
    """Return the last that is known of it."""
    far = float(np.hypot(search.last_x_m, search.last_y_m))
    bearing = float(np.degrees(np.arctan2(search.last_x_m, search.last_y_m))) % 360.0
    said = {
        "time": moment(search.last_s),
        "distance": numbers.words(far, "m", units),
        "direction": bearing_words(bearing),
        "height": numbers.words(search.last_height_m, "m", units),
    }
    if all_around(search):
        return text("The last that is known, at {time}: {distance} from the launch point, {height} above it.", **said)
    if not np.isfinite(search.last_speed_mps) or search.last_speed_mps < LEAST_SPEED_MPS:
        return text(
            "The last that is known, at {time}: {distance} from the launch point toward {direction}, {height} above "
            "it.",
            **said,
        )
    return text(
        "The last that is known, at {time}: {distance} from the launch point toward {direction}, {height} above it, "
        "moving at {speed} toward {course}.",
        **said,
        speed=numbers.words(search.last_speed_mps, "m/s", units),
        course=point_words(search.last_course_deg),
    )


def search_lines(search: SearchArea, units: Units, *, back: bool = False) -> tuple[str, ...]:
    """Return how to find it, most needed first.

    Parameters
    ----------
    search : SearchArea
    units : Units
    back : bool
        Somebody is hurt: it is left where it lies.
    """
    said = [walk_words(search, units), radius_words(search, units), last_words(search, units)]
    if search.impact_speed_mps.mid >= HARD_MPS:
        speed = numbers.words(search.impact_speed_mps.mid, "m/s", units)
        said.append(text("It met the ground at about {speed}: look for parts of it too.", speed=speed))
    if search.flies_on:
        said.append(text(FLIES_ON))
    care = (*CARE[:-1], FOUND_KEPT) if back else CARE
    return (*said, *(text(line) for line in care))
