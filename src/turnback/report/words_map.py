"""The words of the turn-back map: from where it comes home, why it ends there, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.home_map import HomeMap, TurnBackRing
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M, Line
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.report.words_map_close import close_by
from turnback.report.words_map_shares import known_share, open_share, people_share, percent_of, return_meets_share
from turnback.report.words_rose import POINT_DEG, POINTS

NOTHING_ENDS: Final = frozenset({"map", "home"})
"""Reasons that say where the map ends, and nothing of the flight."""
REASONS: Final[dict[str, str]] = {
    "control": mark("the control link"),
    "video": mark("the picture"),
    "energy": mark("the pack"),
    "wind": mark("the wind"),
    "ground": mark("ground or trees at this height"),
    "limit": mark("the distance you entered as a limit"),
    "terrain": mark("ground that is not known"),
    "map": mark("nothing as far as the map reaches"),
    "home": mark("nothing as far as the map reaches"),
}
WHY_SHORTEST: Final[dict[str, str]] = {
    "control": mark("Where it is shortest, toward {bearing}, the control link goes first."),
    "video": mark("Where it is shortest, toward {bearing}, the picture goes first."),
    "energy": mark("Where it is shortest, toward {bearing}, the pack does not last for the way back."),
    "wind": mark("Where it is shortest, toward {bearing}, it cannot fly home against the wind."),
    "ground": mark(
        "Where it is shortest, toward {bearing}, it would meet the ground or the trees on it at this height."
    ),
    "limit": mark("Where it is shortest, toward {bearing}, the distance that you entered as a limit ends it."),
    "terrain": mark("Where it is shortest, toward {bearing}, nobody knows the ground farther out."),
    "map": mark("Where it is shortest, toward {bearing}, nothing ends it as far as the map reaches."),
}
WHY_EVERYWHERE: Final[dict[str, str]] = {
    "control": mark("On every bearing the control link goes first."),
    "video": mark("On every bearing the picture goes first."),
    "energy": mark("On every bearing the pack does not last for the way back."),
    "wind": mark("On every bearing it cannot fly home against the wind."),
    "ground": mark("On every bearing it would meet the ground or the trees on it at this height."),
    "limit": mark("On every bearing the distance that you entered as a limit ends it."),
    "terrain": mark("On every bearing nobody knows the ground farther out."),
    "map": mark("On every bearing nothing ends it as far as the map reaches."),
}
FROM_UP_TO: Final = mark("At {height} it comes home from up to {distance} on every bearing.")
FROM_FAR: Final = mark("At {height} it comes home from {distance} on every bearing.")
HEIGHT: Final[dict[str, str]] = {
    "launch": mark("{height} above launch"),
    "ground": mark("{height} above the ground"),
}
CAUTIONS: Final = (
    mark(
        "This map is no permission. It knows nothing of who stands underneath, of the build and of the pilot: the "
        "brief decides whether to fly."
    ),
    mark("This does not know your local law. Look it up."),
    mark(
        "Wires, masts, cranes, buildings and single trees are not in it. Neither are eddies behind ridges, nor parts "
        "that fail."
    ),
    mark("Its edge is an estimate, not a line to fly along: turn back well inside it."),
    mark("It counts flights straight out and straight back. A detour, a pause or a climb on the way takes from it."),
)


MEASURED: Final[dict[frozenset[str], str]] = {
    frozenset(): mark("No range walk has measured the links here."),
    frozenset({"control"}): mark(
        "A range walk corrected the control link here, and nobody measured the picture; beyond the walked distance the "
        "link is less sure."
    ),
    frozenset({"video"}): mark(
        "A range walk corrected the picture here, and nobody measured the control link; beyond the walked distance the "
        "picture is less sure."
    ),
    frozenset({"control", "video"}): mark(
        "A range walk corrected both links here; beyond the walked distance they are less sure."
    ),
}
"""What a range walk corrected, by the names of the links."""


@dataclass(frozen=True, slots=True)
class SectorRow:
    """One of sixteen bearings in words: the shortest distance anywhere between it and half-way to its neighbours."""

    bearing: str
    distance: str
    reason: str
    worst: bool


def sectors(ring: TurnBackRing) -> NDArray[np.intp]:
    """Return for each point of the compass the place in the ring where it must turn back soonest; shape ``(16,)``."""
    far_m = np.nan_to_num(ring.turn_back_m)
    off_deg = (ring.bearing_deg[None, :] - np.arange(len(POINTS))[:, None] * POINT_DEG + 180.0) % 360.0 - 180.0
    inside = np.abs(off_deg) <= POINT_DEG / 2.0 + 1e-9
    return np.asarray(np.argmin(np.where(inside, far_m[None, :], np.inf), axis=1), dtype=np.intp)


def sector_rows(ring: TurnBackRing, units: Units) -> tuple[SectorRow, ...]:
    """Return sixteen rows clockwise from north, each distance rounded down."""
    places = sectors(ring)
    worst = worst_point(ring)
    return tuple(
        SectorRow(
            text(POINTS[point]), ring_distance(ring, int(at), units), text(REASONS[ring.reason[at]]), point == worst
        )
        for point, at in enumerate(places)
    )


def worst_point(ring: TurnBackRing) -> int:
    """Return the point of the compass toward which it must turn back soonest."""
    return int(np.argmin(np.nan_to_num(ring.turn_back_m)[sectors(ring)]))


def best_point(ring: TurnBackRing) -> int:
    """Return the point of the compass toward which it comes home from farthest, all over its sixteenth."""
    return int(np.argmax(np.nan_to_num(ring.turn_back_m)[sectors(ring)]))


def ring_distance(ring: TurnBackRing, at: int, units: Units) -> str:
    """Return one distance of the ring, rounded down; how far was looked, where nothing ended it."""
    far_m = float(np.nan_to_num(ring.turn_back_m[at]))
    if far_m < LEAST_TURN_BACK_M:
        return text("nowhere")
    distance = numbers.words(far_m, "m", units, Toward.DOWN)
    return text("{distance} or farther", distance=distance) if ring.reason[at] in NOTHING_ENDS else distance


def five_map_lines(found: HomeMap, units: Units) -> tuple[Line, ...]:
    """Return the five plain lines of a map."""
    return (
        Line(text("Comes home from"), from_where(found, units)),
        Line(text("Why it ends there"), why_it_ends(found)),
        Line(text("How high"), how_high(found, units)),
        Line(text("How sure"), how_sure(found)),
        Line(text("Look out for"), look_out_for(found, units)),
    )


def height_words(height_m: float, above: str, units: Units) -> str:
    """Return a height and what it counts from."""
    return text(HEIGHT[above], height=numbers.words(height_m, "m", units, Toward.DOWN))  # never shown above a limit


def chance_words(ring: TurnBackRing) -> str:
    """Say how sure coming home has to be to count."""
    return text(
        "It counts as coming home where all but {chance} do, at the unfavourable end of what is not known.",
        chance=numbers.chance_of(1.0 - ring.chance, exact=True),
    )


def from_where(found: HomeMap, units: Units) -> str:
    """Say the shortest and the farthest turn-back distance."""
    ring, places = found.ring, sectors(found.ring)
    far_m = np.nan_to_num(ring.turn_back_m)[places]
    worst, best = worst_point(ring), best_point(ring)
    height = height_words(found.height_m, found.height_above, units)
    short = [ring.reason[at] for at, far in zip(places, far_m, strict=True) if far < LEAST_TURN_BACK_M]
    if far_m[best] < LEAST_TURN_BACK_M:
        nowhere = text("At {height} coming home is sure enough from nowhere.", height=height)
        return f"{nowhere} {close_by(short)}".rstrip()
    farthest = text(
        "Farthest: {distance}, toward {bearing}.",
        distance=ring_distance(ring, int(places[best]), units),
        bearing=text(POINTS[best]),
    )
    if far_m[worst] < LEAST_TURN_BACK_M:
        nowhere = plural(
            "At {height} coming home is sure enough from nowhere on {count} bearing of 16.",
            "At {height} coming home is sure enough from nowhere on {count} bearings of 16.",
            len(short),
            height=height,
        )
        return " ".join(said for said in (nowhere, close_by(short), farthest) if said)
    near = ring_distance(ring, int(places[worst]), units)
    on_every = text(
        FROM_FAR if ring.reason[places[worst]] in NOTHING_ENDS else FROM_UP_TO, height=height, distance=near
    )
    if near == ring_distance(ring, int(places[best]), units):
        return on_every
    shortest = text("Shortest toward {bearing}.", bearing=text(POINTS[worst]))
    return f"{on_every} {shortest} {farthest}"


def why_it_ends(found: HomeMap) -> str:
    """Say what ends it on the worst bearing, and on how many of sixteen each reason does."""
    ring, places = found.ring, sectors(found.ring)
    worst = worst_point(ring)
    named = ["map" if ring.reason[at] in NOTHING_ENDS else ring.reason[at] for at in places]
    if len(set(named)) == 1:
        return text(WHY_EVERYWHERE[named[0]])
    said = [text(WHY_SHORTEST[named[worst]], bearing=text(POINTS[worst]))]
    counted = [
        text("{reason} {count}", reason=text(REASONS[reason]), count=named.count(reason))
        for reason in sorted(set(named), key=lambda each: (-named.count(each), each))
    ]
    return " ".join([*said, text("What ends it, of 16 bearings: {list}.", list=", ".join(counted))])


def how_high(found: HomeMap, units: Units) -> str:
    """Say how the height stands to the limit that was entered, and what the automatic return's height meets."""
    said = [height_and_limit(found, units)]
    meets = return_meets_share(found)
    if found.return_set_m is not None and meets is not None:
        is_set = numbers.words(found.return_set_m, "m", units)
        if meets > 0.0:
            said.append(
                text(
                    "The automatic return is set to {set}: from {percent} of the map its straight way home meets "
                    "ground or trees.",
                    set=is_set,
                    percent=percent_of(meets),
                )
            )
        else:
            said.append(text("The automatic return is set to {set}, which clears the ground here.", set=is_set))
    return " ".join(said)


def height_and_limit(found: HomeMap, units: Units) -> str:
    """Say how the height of the map stands to the height limit; the one sentence for every face."""
    height = height_words(found.height_m, found.height_above, units)
    if found.limit_height_m is None:
        return text(
            "Drawn for {height}. No height limit is entered in the plan: look yours up, and stay under it.",
            height=height,
        )
    limit = numbers.words(found.limit_height_m, "m", units, Toward.DOWN)
    if found.over_limit:
        return text(
            "Drawn for {height}: somewhere that is above the limit of {limit} above ground that you entered. Do not "
            "fly there at that height.",
            height=height,
            limit=limit,
        )
    return text(
        "Drawn for {height}, under the limit of {limit} above ground that you entered.", height=height, limit=limit
    )


def how_sure(found: HomeMap) -> str:
    """Say where the picture is uncertain."""
    said = []
    if found.terrain_assumed:
        said.append(text("The ground is assumed, not measured: a hill or a wood may end it sooner anywhere."))
    unknown = 1.0 - known_share(found)
    if unknown > 0.0:
        said.append(
            text("On {percent} of the map the ground is not known, so nothing is said.", percent=percent_of(unknown))
        )
    either = open_share(found)
    if either > 0.0:
        said.append(
            text(
                "On {percent} of the map it may come home or not: too little is known to tell.",
                percent=percent_of(either),
            )
        )
    said.append(text(MEASURED[frozenset(found.measured)]))
    return " ".join(said)


def look_out_for(found: HomeMap, units: Units) -> str:
    """Say what no map can answer."""
    said = [
        text(
            "Beyond {distance} your observer cannot tell which way it points.",
            distance=numbers.words(found.sight_m, "m", units, Toward.DOWN),
        )
    ]
    falls = people_share(found)
    if falls > 0.0:
        said.append(
            text("From {percent} of the map a fall may end where people are.", percent=percent_of(falls))
        )  # fmt: skip
    said.append(text("This map is no permission: the brief decides whether to fly."))
    said.append(text("This does not know your local law."))
    return " ".join(said)


def map_cautions(found: HomeMap, units: Units) -> tuple[str, ...]:
    """Return the cautions of a map: of its height first, where that is not under a limit that was entered."""
    under = found.limit_height_m is not None and not found.over_limit
    height = () if under else (height_and_limit(found, units),)
    return (*height, *(text(caution) for caution in CAUTIONS))
