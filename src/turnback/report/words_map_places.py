"""The words of what a map rests on: its ground, its grid, the files beside it."""

from __future__ import annotations

from turnback.records.home_map import HomeMap
from turnback.report import numbers
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.words_ground import ground_note, heights_from


def map_ground_lines(found: HomeMap, units: Units) -> tuple[str, ...]:
    """Return where the heights come from, how wide a pixel is, then everything that is to be said of the ground."""
    line = heights_from(found.terrain_source, assumed=found.terrain_assumed)
    pixels = text(
        "One pixel of the map is {width} wide; what is told holds over its neighbours too, never for one pixel.",
        width=numbers.words(found.cell_m, "m", units),
    )
    return (line, pixels, *(ground_note(note, units) for note in found.terrain_notes))


def ring_left_out() -> str:
    """Say why there is no ring among the files."""
    return text(
        "ring.geojson is left out: it would need the position of the launch point, which this map does not hold."
    )


def how_to_read(found: HomeMap, units: Units) -> tuple[str, ...]:
    """Return how to read the picture, in a few sentences."""
    reach = numbers.words(found.radius_m, "m", units)
    return (
        text("North is up, the launch point is marked, and the map reaches {reach} from it.", reach=reach),
        text(
            "For every place the same question is asked: sent straight there at this height and straight back, does it "
            "come home? Both radio links have to hold on the whole way, the pack has to last, the wind has to let it, "
            "and the ground has to keep clear."
        ),
        text(
            "The chance at a place is that of the unfavourable end of what is not known: 19 of 20 worlds that fit the "
            "plan are kinder."
        ),
        text(
            "The line around the launch point is the turn-back distance by bearing. Straight out the chance only "
            "falls, since the way leads through all that lies before: nothing beyond the line counts."
        ),
    )


def files_beside(found: HomeMap) -> tuple[str, ...]:
    """Return what the files beside the page hold, and what this map was worked out with."""
    where = (
        text("ring.geojson holds the turn-back line for a map program.")
        if found.launch_lat_deg is not None
        else ring_left_out()
    )
    filled = text(
        "What the plan leaves open was filled with values typical of the class: the brief of the same plan names each "
        "of them, with its source."
    )
    return (filled, text("map.tif holds every layer as numbers; map.png is the picture alone."), where)
