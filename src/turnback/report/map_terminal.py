"""The turn-back map as text for a terminal: five plain lines first, then heights, cautions and the ground."""

from __future__ import annotations

from typing import Final

from turnback.records.home_map import HomeMap
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.terminal import BOLD, NARROWEST, PLAIN, WIDEST, Face
from turnback.report.words_map import chance_words, five_map_lines, map_cautions
from turnback.report.words_map_heights import heights_lines
from turnback.report.words_map_places import map_ground_lines, ring_left_out

WARNING: Final = "\x1b[1;31m"


def map_text(
    found: HomeMap, units: Units = Units.METRIC, width: int = 80, *, colour: bool = False, written: bool = False
) -> str:
    """Return the map as plain text, ending in a line feed.

    Parameters
    ----------
    found : HomeMap
    units : Units
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings by terminal escapes.
    written : bool
        Its files were written too; what was left out among them is said.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    lines = [*face.wrapped(found.title), _head(colour=colour), *face.wrapped(chance_words(found.ring)), ""]
    if found.over_limit:
        warned = text("ABOVE THE HEIGHT LIMIT THAT YOU ENTERED")
        lines += [f"{WARNING}{warned}{PLAIN}" if colour else warned, ""]
    lines += face.pairs([(line.label, line.text) for line in five_map_lines(found, units)])
    swept = heights_lines(found, units)
    if swept:
        lines += [*face.section(text("How the picture changes with height")), *face.items(swept)]
    lines += [*face.section(text("Cautions")), *face.items(map_cautions(found, units))]
    ground = " ".join(map_ground_lines(found, units))
    draws = text("{draws} draws, seed {seed}.", draws=f"{found.draws:,}", seed=found.seed)
    lines += ["", *face.wrapped(f"{ground} {draws}")]
    if written and found.launch_lat_deg is None:
        lines += face.wrapped(ring_left_out())
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _head(*, colour: bool) -> str:
    head = text("Turn-back map").upper()
    return f"{BOLD}{head}{PLAIN}" if colour else head
