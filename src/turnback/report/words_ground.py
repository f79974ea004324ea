"""The words of the ground: where its heights come from, and what is to be said of them."""

from __future__ import annotations

from typing import Final

from turnback.records.result import BriefResult
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report import numbers
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units

GROUND_WORDS: Final[dict[TerrainNoteKind, str]] = {
    TerrainNoteKind.VOID_VALUE_UNDECLARED: mark(
        "The value {number} was taken as a mark of missing heights, though the file does not say so."
    ),
    TerrainNoteKind.COVER_MISSING: mark("{percent} of the ground around the launch point lies outside the file."),
    TerrainNoteKind.KNOWN_REACH: mark("Every height is known to {down} from launch; the nearest gap lies there."),
    TerrainNoteKind.COARSENED: mark(
        "The file's pixels of {length} were averaged into larger cells: tops are lower than they are."
    ),
    TerrainNoteKind.CELLS_WIDE: mark("The file's pixels are {length} wide: a ridge between two of them may be missed."),
    TerrainNoteKind.UNIT_CONVERTED: mark("The file's heights are in a unit of {number} m and were converted."),
    TerrainNoteKind.UNIT_ASSUMED: mark("The file names no unit of height; metres are assumed."),
    TerrainNoteKind.SCALED: mark("The file's numbers are scaled by {number}, as it says."),
}
FLAT: Final = mark("flat ground, assumed")
"""What a terrain without a file calls its source."""


def ground_lines(result: BriefResult, units: Units) -> tuple[str, ...]:
    """Return where the heights come from, then everything that is to be said of them."""
    line = heights_from(result.terrain_source, assumed=result.terrain_assumed)
    counted = [text("Heights are counted from the launch point.")] if result.heights_above == "launch" else []
    return (line, *counted, *(ground_note(note, units) for note in result.terrain_notes))


def heights_from(source: str, *, assumed: bool) -> str:
    """Say where the heights come from, and once that they are assumed if they are."""
    if source == FLAT:
        return text("Ground heights: {source}.", source=text(FLAT))
    if assumed:
        return text("Ground heights: {source} (assumed).", source=source)
    return text("Ground heights: {source}.", source=source)


def ground_note(note: TerrainNote, units: Units) -> str:
    """Return the sentence of one note."""
    if note.kind in GROUND_WORDS:
        return text(
            GROUND_WORDS[note.kind],
            number=f"{note.value:g}",
            percent=numbers.percent(note.value),
            length=numbers.words(note.value, "m", units),
            down=numbers.words(note.value, "m", units, Toward.DOWN),
        )
    count, shown = round(note.value), f"{note.value:,.0f}"
    if note.kind is TerrainNoteKind.FIRST_OF_BANDS:
        return plural(
            "The file has {shown} band; the first is used.",
            "The file has {shown} bands; the first is used.",
            count,
            shown=shown,
        )
    if note.kind is TerrainNoteKind.VOIDS_FILLED:
        return plural(
            "{shown} pixel had no height and was filled from those around.",
            "{shown} pixels had no height and were filled from those around.",
            count,
            shown=shown,
        )
    return plural(
        "{shown} pixel has no height, in a hole too wide to fill.",
        "{shown} pixels have no height, in holes too wide to fill.",
        count,
        shown=shown,
    )
