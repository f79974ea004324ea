"""The turn-back map as a picture: ground, chance of coming home, ring and what rules it, for screen and print."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Final

import numpy as np

from turnback.records.home_map import HomeMap
from turnback.report import pdf
from turnback.report.language import text
from turnback.report.map_picture_base import (
    GAP,
    NARROW,
    WIDE,
    Size,
    chance_classes,
    frame_of,
    ground_image,
    hide,
    in_the_way,
    over_entries,
    overlay,
    with_key,
)
from turnback.report.map_picture_cells import least, outside, packed, picture, relief_of, thinned_by
from turnback.report.map_picture_draw import LEADING, Look, document, shortened, wrapped, write
from turnback.report.map_picture_key import Entry
from turnback.report.map_picture_layers import height_strip_svg, layer_picture_svg
from turnback.report.map_picture_looks import IN_BLACK, ON_SCREEN, Palette
from turnback.report.map_picture_words import height_words, picture_words
from turnback.report.numbers import Units

PNG_SCALE: Final = 2.0
HEAD_PX: Final = 24
MARGIN: Final = 18
_DRAWN: Final = "home_low"
LEAST_SHOWN: Final = 0.5
RIM_OF_VIEW: Final = 1.15
"""The view reaches so much farther than what matters."""
FEWER: Final = 0.8
"""A view that is hardly smaller than the whole map shows the whole."""

__all__ = ["height_strip_svg", "layer_picture_svg", "map_picture_png", "map_picture_svg", "picture_words"]


def map_picture_svg(found: HomeMap, units: Units, *, narrow: bool = False, black: bool = False) -> str:
    """Return the picture as SVG: the chance of coming home at the unfavourable end over shaded ground.

    Parameters
    ----------
    found : HomeMap
    units : Units
        Of labels and scale bar.
    narrow : bool
        For a phone: the key stands below, and words stay as large.
    black : bool
        In grey and black, for print.
    """
    size, palette = NARROW if narrow else WIDE, IN_BLACK if black else ON_SCREEN
    name = f"turn-back-map-{size.name}"
    body, height = _body(found, units, size, palette, name, left=0.0, top=0.0)
    return document(name, (size.width, height), _title(), picture_words(found, units), body, palette.look.paper)


def map_picture_png(found: HomeMap, units: Units) -> bytes:
    """Return the picture as PNG that stands alone: with its title, the height flown, and what it does not know."""
    import vl_convert  # noqa: PLC0415 - starts an engine

    _fonts()
    look, size, name = ON_SCREEN.look, WIDE, "turn-back-map-png"
    head, top = _head(found, units, look, size)
    body, bottom = _body(found, units, size, ON_SCREEN, name, left=MARGIN, top=top)
    foot, height = _foot(found, look, size, bottom)
    shape = (size.width + 2 * MARGIN, height)
    drawn = document(name, shape, _title(), picture_words(found, units), head + body + foot, look.paper)
    drawn = drawn.replace('font-family="sans-serif"', f'font-family="{pdf.FONT}, sans-serif"', 1)
    crisp = drawn.replace("<image ", '<image image-rendering="optimizeSpeed" ')  # packs to a third
    return packed(bytes(vl_convert.svg_to_png(crisp, scale=PNG_SCALE)))


def _title() -> str:
    return text("From where it comes home")


def _body(
    found: HomeMap, units: Units, size: Size, palette: Palette, name: str, *, left: float, top: float
) -> tuple[str, float]:
    """Return ground, what lies over it, and the key; and where it ends."""
    found = near(found)
    by = thinned_by(found.heights_m.shape)
    values = least(found.layers[_DRAWN].values, by)
    painted = chance_classes(values, in_the_way(found, by), found.ring, palette)
    painted = hide(painted, outside(found, by), values)
    frame = frame_of(found, size.ground, left, top)
    ground = ground_image(frame, picture(painted.classes, relief_of(found, by), painted.fills))
    over = overlay(found, units, frame, palette.look, size, name, labelled=True)
    entries = (
        Entry(text("Flights that come home")),
        *painted.entries,
        *over_entries(found, units, name, labelled=True),
    )
    drawn, end = with_key(frame, size, entries, palette.look, top, left)
    return ground + over + drawn, end


def near(found: HomeMap) -> HomeMap:
    """Return the middle of a map where all that matters lies there: nothing beyond it comes home one time in two.

    Ring, entered limit and every place with a chance of a half stay inside. The whole map stands in the GeoTIFF.
    """
    cell = found.cell_m
    away = [float(np.nanmax(np.nan_to_num(found.ring.turn_back_m))), 10.0 * cell]
    if found.limit_distance_m is not None and found.limit_distance_m <= found.radius_m:
        away.append(found.limit_distance_m)
    rows, columns = np.nonzero(found.layers[_DRAWN].values >= round(LEAST_SHOWN / found.layers[_DRAWN].scale))
    if rows.size:
        north, east = found.y_north_m - rows * cell, found.x_west_m + columns * cell
        away.append(float(max(np.abs(north).max(), np.abs(east).max())))
    reach = RIM_OF_VIEW * max(away)
    row, column = found.y_north_m / cell, -found.x_west_m / cell  # of the launch point
    span = round(reach / cell)
    if span > FEWER * min(row, column, found.heights_m.shape[0] - 1 - row, found.heights_m.shape[1] - 1 - column):
        return found
    part = (slice(round(row) - span, round(row) + span + 1), slice(round(column) - span, round(column) + span + 1))
    kept = {key: found.layers[key] for key in (_DRAWN, "reason") if key in found.layers}
    return replace(
        found,
        layers={key: replace(layer, values=layer.values[part]) for key, layer in kept.items()},
        heights_m=found.heights_m[part],
        x_west_m=found.x_west_m + part[1].start * cell,
        y_north_m=found.y_north_m - part[0].start * cell,
    )


def _head(found: HomeMap, units: Units, look: Look, size: Size) -> tuple[str, float]:
    y = float(MARGIN + HEAD_PX)
    drawn = [write(MARGIN, y, _title(), HEAD_PX, look.ink, bold=True)]
    said = text("{title}, {height}", title=shortened(found.title), height=height_words(found, units))
    for words in wrapped(said, size.key + 1, size.width):
        y += LEADING * (size.key + 1)
        drawn.append(write(MARGIN, y, words, size.key + 1, look.soft))
    return "".join(drawn), y + GAP


def _foot(found: HomeMap, look: Look, size: Size, top: float) -> tuple[str, float]:
    said = [text("It counts the unfavourable end of what is not known. An estimate, not a permission."),
            text("This does not know your local law. Look it up.")]  # fmt: skip
    if found.over_limit:
        said.insert(0, text("Some of it lies above the height that you entered as a limit: do not fly there."))
    y, drawn = top + GAP, []
    for sentence in said:
        for words in wrapped(sentence, size.key, size.width):
            y += LEADING * size.key
            drawn.append(write(MARGIN, y, words, size.key, look.ink))
    return "".join(drawn), y + MARGIN


@cache
def _fonts() -> None:
    """Tell the renderer where the print font is: once for a process."""
    import vl_convert  # noqa: PLC0415

    folder = Path(str(resources.files(pdf.FONT_PACKAGE).joinpath("files")))
    vl_convert.register_font_directory(str(folder))
