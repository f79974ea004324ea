"""The numbers of one radio link as rows of text."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.records.finding import Spread
from turnback.records.result import HeightsAbove, LinkResult
from turnback.report import numbers, words
from turnback.report.five import obstacle
from turnback.report.language import text
from turnback.report.numbers import Toward, Units
from turnback.report.table_rows import Row, Table
from turnback.report.words_parameters import LINK_TITLES

HIGHEST_TREES_M: Final = 40.0
"""Trees are tried up to this height for the one that breaks a link."""


def link(result: LinkResult, units: Units, above: HeightsAbove = "sea level") -> Table:
    """Return the numbers of a link at its worst place, with the ruling obstacle and the split of the loss."""
    at = result.worst
    margin = Spread(float(result.margin_mid_db[at]), float(result.margin_low_db[at]), float(result.margin_high_db[at]))
    place = obstacle(result)
    sight = text("yes") if bool(result.line_of_sight[at]) else text("no, the ground is in the way")
    rows = [
        Row(text("Frequency"), numbers.words(result.frequency_mhz, "MHz", units)),
        Row(text("Worst place, from launch"), numbers.words(float(result.from_launch_m[at]), "m", units)),
        Row(text("Margin there"), words.spread(margin, "dB", units)),
        Row(text("Scatter of the margin (one sigma)"), numbers.words(float(result.sigma_db[at]), "dB", units)),
        Row(text("Margin to the aircraft"), _way(result.to_aircraft_mid_db, at, units)),
        Row(text("Margin to the ground"), _way(result.to_ground_mid_db, at, units)),
        Row(text("Line of sight"), sight),
        Row(
            text("Least clearance, in first Fresnel radii (0.6 is clear)"),
            numbers.ratio(float(result.clearance_ratio[at])),
        ),
        Row(text("Ruling obstacle"), _place(place, units, above)),
        Row(text("Loss in free space"), numbers.words(float(result.free_space_db[at]), "dB", units)),
        Row(text("Loss by diffraction"), numbers.words(float(result.diffraction_db[at]), "dB", units)),
        Row(text("The same as one knife edge"), numbers.words(float(result.knife_edge_db[at]), "dB", units)),
        Row(text("Loss in trees"), numbers.words(float(result.trees_db[at]), "dB", units)),
        Row(text("Reach along the route"), words.spread(result.reach_m, "m", units, Toward.DOWN)),
        Row(text("Trees on the obstacle that would break it"), _canopy(result.canopy_that_breaks_m, units)),
    ]
    return Table(text(LINK_TITLES[result.name]), tuple(rows))


def _way(margin_db: np.ndarray, at: int, units: Units) -> str:
    """Say one direction's margin at the worst place; a link of one way has no other."""
    margin = float(margin_db[at])
    if not math.isfinite(margin):
        return text("this link sends the other way only")
    return numbers.words(margin, "dB", units)


def _place(place: tuple[float, float] | None, units: Units, above: HeightsAbove) -> str:
    if place is None:
        return text("none")
    distance, height = (numbers.words(value, "m", units) for value in place)
    if above == "launch":
        return text("{distance} from launch, {height} above launch", distance=distance, height=height)
    return text("{distance} from launch, {height} above sea level", distance=distance, height=height)


def _canopy(height_m: float, units: Units) -> str:
    if not math.isfinite(height_m):
        return text("none up to {height}", height=numbers.words(HIGHEST_TREES_M, "m", units))
    return text("{height} high", height=numbers.words(height_m, "m", units, Toward.DOWN))
