"""The turn-back map as a picture: ground, chance of coming home, ring and what rules it, for screen and print."""

from __future__ import annotations

from turnback.records.home_map import HomeMap
from turnback.report.numbers import Units


def map_picture_svg(found: HomeMap, units: Units, *, narrow: bool = False, black: bool = False) -> str:
    """Return the picture as SVG; `narrow` for a phone, `black` for print without colour."""
    raise NotImplementedError


def map_picture_png(found: HomeMap, units: Units) -> bytes:
    """Return the picture as PNG, with its title and what it stands for."""
    raise NotImplementedError


def layer_picture_svg(found: HomeMap, units: Units, layer: str, *, narrow: bool = False, black: bool = False) -> str:
    """Return one layer as SVG, with its scale in its unit."""
    raise NotImplementedError


def height_strip_svg(found: HomeMap, units: Units, *, narrow: bool = False, black: bool = False) -> str:
    """Return small pictures of the map at every height that was asked for."""
    raise NotImplementedError


def picture_words(found: HomeMap, units: Units) -> str:
    """Say in one or two sentences what the picture shows, for those who do not see it."""
    raise NotImplementedError
