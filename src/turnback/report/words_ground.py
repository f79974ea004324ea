"""The words of the ground: where its heights come from, and what is to be said of them."""

from __future__ import annotations

from typing import Final

from turnback.records.result import BriefResult
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report import numbers
from turnback.report.numbers import Toward, Units

GROUND_WORDS: Final[dict[TerrainNoteKind, str]] = {
    TerrainNoteKind.VOIDS_FILLED: "{count} pixels had no height and were filled from those around.",
    TerrainNoteKind.VOIDS_LEFT: "{count} pixels have no height, in holes too wide to fill.",
    TerrainNoteKind.VOID_VALUE_UNDECLARED: "The value {number} was taken as a mark of missing heights, though the file "
    "does not say so.",
    TerrainNoteKind.COVER_MISSING: "{percent} of the ground around the launch point lies outside the file.",
    TerrainNoteKind.KNOWN_REACH: "Every height is known to {down} from launch; the nearest gap lies there.",
    TerrainNoteKind.COARSENED: "The file's pixels of {length} were averaged into larger cells: "
    "tops are lower than they are.",
    TerrainNoteKind.CELLS_WIDE: "The file's pixels are {length} wide: a ridge between two of them may be missed.",
    TerrainNoteKind.UNIT_CONVERTED: "The file's heights are in a unit of {number} m and were converted.",
    TerrainNoteKind.UNIT_ASSUMED: "The file names no unit of height; metres are assumed.",
    TerrainNoteKind.SCALED: "The file's numbers are scaled by {number}, as it says.",
    TerrainNoteKind.FIRST_OF_BANDS: "The file has {count} bands; the first is used.",
}


def ground_lines(result: BriefResult, units: Units) -> tuple[str, ...]:
    """Return where the heights come from, then everything that is to be said of them."""
    assumed = " (assumed)" if result.terrain_assumed else ""
    source = f"Ground heights: {result.terrain_source}{assumed}."
    return (source, *(ground_note(note, units) for note in result.terrain_notes))


def ground_note(note: TerrainNote, units: Units) -> str:
    """Return the sentence of one note."""
    return GROUND_WORDS[note.kind].format(
        count=f"{note.value:,.0f}",
        number=f"{note.value:g}",
        percent=numbers.percent(note.value),
        length=numbers.words(note.value, "m", units),
        down=numbers.words(note.value, "m", units, Toward.DOWN),
    )
