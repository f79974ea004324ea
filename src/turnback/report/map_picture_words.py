"""The words in and beside a map's picture."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

import numpy as np

from turnback.records.home_map import HomeMap, TurnBackRing
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.report.words_rose import POINT_DEG, POINTS

ENDS: Final = frozenset({"map", "home"})
"""Reasons of a bearing on which nothing ends it before the map does."""
SHORT: Final[dict[str, str]] = {
    "control": mark("control link"),
    "video": mark("picture"),
    "energy": mark("pack"),
    "wind": mark("wind"),
    "ground": mark("ground or trees"),
    "limit": mark("limit you entered"),
    "terrain": mark("ground not known"),
    "map": mark("the map ends"),
    "home": mark("the map ends"),
}
"""What ends it, beside its place on the ring."""
WHY: Final[dict[str, str]] = {
    "control": mark("Nearest toward {bearing}: {distance}, where the control link goes first."),
    "video": mark("Nearest toward {bearing}: {distance}, where the picture goes first."),
    "energy": mark("Nearest toward {bearing}: {distance}, where the pack would not last for the way back."),
    "wind": mark("Nearest toward {bearing}: {distance}, where it could not fly home against the wind."),
    "ground": mark("Nearest toward {bearing}: {distance}, where it would meet the ground or the trees on it."),
    "limit": mark("Nearest toward {bearing}: {distance}, the distance that you entered as a limit."),
    "terrain": mark("Nearest toward {bearing}: {distance}; farther out nobody knows the ground."),
    "map": mark("Nearest toward {bearing}: {distance}; there the map ends."),
    "home": mark("Nearest toward {bearing}: {distance}; there the map ends."),
}
SHOWS: Final[dict[str, str]] = {
    "launch": mark(
        "Map, north up, flown at {height} above launch: inside its ring at least {chance} come home, even if what is "
        "not known is unfavourable."
    ),
    "ground": mark(
        "Map, north up, flown at {height} above the ground: inside its ring at least {chance} come home, even if what "
        "is not known is unfavourable."
    ),
}
NOWHERE: Final[dict[str, str]] = {
    "launch": mark(
        "Map, north up, flown at {height} above launch: toward {bearing} it comes home from nowhere with {chance}."
    ),
    "ground": mark(
        "Map, north up, flown at {height} above the ground: toward {bearing} it comes home from nowhere with {chance}."
    ),
}
HEIGHT: Final[dict[str, str]] = {
    "launch": mark("flown at {height} above launch"),
    "ground": mark("flown at {height} above the ground"),
}


def picture_words(found: HomeMap, units: Units) -> str:
    """Say in one or two sentences what the picture shows: how far, the nearest bearing and why."""
    ring = found.ring
    far_m = np.nan_to_num(ring.turn_back_m)
    at = int(np.argmin(far_m))
    said = {"height": numbers.words(found.height_m, "m", units, Toward.DOWN), "chance": flights(ring.chance)}
    if far_m[at] < LEAST_TURN_BACK_M:
        return text(NOWHERE[found.height_above], bearing=_toward(ring, at), **said)
    shown = text(SHOWS[found.height_above], **said)
    why = text(WHY[ring.reason[at]], bearing=_toward(ring, at), distance=far(ring, at, units))
    return f"{shown} {why}"


def far(ring: TurnBackRing, at: int, units: Units) -> str:
    """Return one distance of the ring, rounded down; how far was looked, where nothing ended it."""
    far_m = float(np.nan_to_num(ring.turn_back_m[at]))
    if far_m < LEAST_TURN_BACK_M:
        return text("nowhere")
    distance = numbers.words(far_m, "m", units, Toward.DOWN)
    return text("{distance} or farther", distance=distance) if ring.reason[at] in ENDS else distance


def flights(chance: float) -> str:
    """Return a chance as flights: "19 flights in 20"."""
    share = Fraction(chance).limit_denominator(1000)
    if share.denominator == 1:
        return text("every flight") if share.numerator else text("no flight")
    return plural("{count} flight in {all}", "{count} flights in {all}", share.numerator, all=share.denominator)


def class_words(edges: tuple[float, ...]) -> tuple[str, ...]:
    """Return the names of the classes between descending chances: so many or more, ... , fewer than the last."""
    shares = [Fraction(edge).limit_denominator(1000) for edge in edges]
    named = [text("{home} in {all} or more", home=share.numerator, all=share.denominator) for share in shares]
    return (*named, text("fewer"))


def nearest_words(ring: TurnBackRing, units: Units) -> str:
    """Say from how far it comes home on every bearing, rounded down."""
    at = int(np.argmin(np.nan_to_num(ring.turn_back_m)))
    if np.nan_to_num(ring.turn_back_m[at]) < LEAST_TURN_BACK_M:
        return text("nowhere toward {bearing}", bearing=_toward(ring, at))
    return text("nearest {distance}", distance=far(ring, at, units))


def height_words(found: HomeMap, units: Units) -> str:
    """Say at which height the map is flown."""
    return text(HEIGHT[found.height_above], height=numbers.words(found.height_m, "m", units, Toward.DOWN))


def _toward(ring: TurnBackRing, at: int) -> str:
    return text(POINTS[round(float(ring.bearing_deg[at]) / POINT_DEG) % len(POINTS)])
