"""The page of a turn-back map: one HTML file that needs no script, no network and no second file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from turnback import __version__
from turnback.records.home_map import HomeMap
from turnback.report import words_map_heights as heights
from turnback.report import words_map_layers as layers
from turnback.report.cautions import not_modelled
from turnback.report.language import language, text
from turnback.report.map_files_meanings import MEANINGS
from turnback.report.map_picture import map_picture_svg
from turnback.report.map_picture_layers import height_strip_svg, layer_picture_svg
from turnback.report.map_picture_words import picture_words
from turnback.report.numbers import Units
from turnback.report.templating import direction, environment, resource
from turnback.report.words_map import (
    chance_words,
    five_map_lines,
    height_and_limit,
    height_words,
    map_cautions,
    sector_rows,
)
from turnback.report.words_map_places import files_beside, how_to_read, map_ground_lines


@dataclass(frozen=True, slots=True)
class Drawn:
    """One picture, for a desktop screen and for a phone."""

    wide: Markup
    narrow: Markup


@dataclass(frozen=True, slots=True)
class LayerShown:
    """One layer that opens: a picture and what it means."""

    key: str
    title: str
    meaning: str
    picture: Markup


def map_html(found: HomeMap, units: Units = Units.METRIC) -> str:
    """Return the whole page; everything that came from a plan is escaped."""
    return environment().get_template("map.html").render(
        language=language(),
        direction=direction(),
        version=__version__,
        style=Markup(resource("report.css") + resource("map.css")),  # noqa: S704 - our own files
        title=found.title,
        seed=found.seed,
        draws=f"{found.draws:,}",
        **_first_page(found, units),
        **_behind(found, units),
    )  # fmt: skip


def _first_page(found: HomeMap, units: Units) -> dict[str, Any]:
    """Return what the pilot reads first."""
    return {
        "flown": height_words(found.height_m, found.height_above, units),
        "counts": chance_words(found.ring),
        "over": height_and_limit(found, units) if found.over_limit else "",
        "lines": five_map_lines(found, units),
        "picture": _drawn(map_picture_svg, found, units),
        "words": picture_words(found, units),
        "rows": sector_rows(found.ring, units),
        "cautions": map_cautions(found, units),
    }


def _behind(found: HomeMap, units: Units) -> dict[str, Any]:
    """Return what stands behind it: heights, layers, how to read it, what it rests on."""
    swept = heights.heights_lines(found, units)
    return {
        "swept": swept,
        "strip": _drawn(height_strip_svg, found, units) if swept else None,
        "height_rows": heights.height_rows(found, units),
        "layers": tuple(_layer(found, key, units) for key in layers.shown_layers(found)),
        "left": layers.left_layers(found),
        "in_file": tuple((layers.layer_title(key), text(MEANINGS[key])) for key in found.layers),
        "reading": how_to_read(found, units),
        "ground": map_ground_lines(found, units),
        "files": files_beside(found),
        "not_modelled": not_modelled(),
    }


def _layer(found: HomeMap, key: str, units: Units) -> LayerShown:
    drawn = _markup(layer_picture_svg(found, key, units, narrow=True))  # one for every screen: eight pictures weigh
    return LayerShown(key, layers.layer_title(key), layers.layer_meaning(key), drawn)


def _drawn(draw: Callable[..., str], found: HomeMap, units: Units) -> Drawn:
    wide, narrow = (draw(found, units, narrow=narrow) for narrow in (False, True))
    return Drawn(_markup(wide), _markup(narrow))


def _markup(drawn: str) -> Markup:
    return Markup(drawn)  # noqa: S704 - numbers and our own words, escaped where they are drawn
