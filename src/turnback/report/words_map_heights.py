"""The words of the sweep over heights: how the map changes with the height flown. It never advises a height."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.records.home_map import HeightStep, HomeMap
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.words_map import best_point, height_words, ring_distance, sectors, worst_point
from turnback.report.words_map_shares import percent_of
from turnback.report.words_rose import POINTS

LEAST_CHANGE_M: Final = 10.0
"""Of a turn-back distance; below that two heights are said to be alike."""
FROM_THERE: Final[dict[str, str]] = {
    "control": mark("Toward {bearing} at {height} the control link ends it at {distance}."),
    "video": mark("Toward {bearing} at {height} the picture ends it at {distance}."),
    "energy": mark("Toward {bearing} at {height} the pack ends it at {distance}."),
    "wind": mark("Toward {bearing} at {height} the wind ends it at {distance}."),
    "ground": mark("Toward {bearing} at {height} the ground or the trees on it stand in the way at {distance}."),
    "limit": mark("Toward {bearing} at {height} the distance that you entered as a limit ends it at {distance}."),
    "terrain": mark("Toward {bearing} at {height} the ground is known to {distance} only."),
    "map": mark("Toward {bearing} at {height} it comes home from {distance}."),
    "home": mark("Toward {bearing} at {height} it comes home from {distance}."),
}


@dataclass(frozen=True, slots=True)
class HeightRow:
    """One height in words."""

    height: str
    shortest: str
    worst: str
    farthest: str
    best: str
    share: str
    """Part of the known ground from which it comes home."""


def height_rows(found: HomeMap, units: Units) -> tuple[HeightRow, ...]:
    """Return one row for each height, ascending; empty where no sweep was asked for."""
    return tuple(_row(found, step, units) for step in found.heights)


def heights_lines(found: HomeMap, units: Units) -> tuple[str, ...]:
    """Return how the picture changes with height, in a few sentences; empty where no sweep was asked for."""
    if not found.heights:
        return ()
    lines = [_change(found, units)] if len(found.heights) > 1 else []
    lines.append(_shares(found, units))
    if found.limit_height_m is None:
        lines.append(
            text("No height limit is entered in the plan: these heights are compared, and none of them is advised.")
        )
    else:
        lines.append(
            text(
                "Higher is no advice: the limit of {limit} that you entered counts above ground, wherever it flies.",
                limit=numbers.words(found.limit_height_m, "m", units, Toward.DOWN),
            )
        )
    return tuple(lines)


def _row(found: HomeMap, step: HeightStep, units: Units) -> HeightRow:
    ring, places = step.ring, sectors(step.ring)
    worst, best = worst_point(ring), best_point(ring)
    return HeightRow(
        height_words(step.height_m, found.height_above, units),
        ring_distance(ring, int(places[worst]), units),
        text(POINTS[worst]),
        ring_distance(ring, int(places[best]), units),
        text(POINTS[best]),
        percent_of(ring.share_home),
    )


def _change(found: HomeMap, units: Units) -> str:
    """Say where the lowest and the highest of the heights differ most, and by what."""
    low, high = found.heights[0], found.heights[-1]
    near, far = (np.nan_to_num(step.ring.turn_back_m)[sectors(step.ring)] for step in (low, high))
    point = int(np.argmax(np.abs(far - near)))
    if abs(float(far[point] - near[point])) < LEAST_CHANGE_M:
        return text(
            "Between {low} and {high} the turn-back distances hardly change.",
            low=height_words(low.height_m, found.height_above, units),
            high=height_words(high.height_m, found.height_above, units),
        )
    return " ".join(_ends(found, step, point, units) for step in (low, high))


def _ends(found: HomeMap, step: HeightStep, point: int, units: Units) -> str:
    at = int(sectors(step.ring)[point])
    bearing, height = text(POINTS[point]), height_words(step.height_m, found.height_above, units)
    if float(np.nan_to_num(step.ring.turn_back_m[at])) < LEAST_TURN_BACK_M:
        return text(
            "Toward {bearing} at {height} coming home is sure enough from nowhere.", bearing=bearing, height=height
        )
    distance = ring_distance(step.ring, at, units)
    return text(FROM_THERE[step.ring.reason[at]], bearing=bearing, height=height, distance=distance)


def _shares(found: HomeMap, units: Units) -> str:
    said = [
        text(
            "At {height} it comes home from {percent} of the known ground.",
            height=height_words(step.height_m, found.height_above, units),
            percent=percent_of(step.ring.share_home),
        )
        for step in found.heights
    ]
    return " ".join(said if len(said) <= 2 else [said[0], said[-1]])
