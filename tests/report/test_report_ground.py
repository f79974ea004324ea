"""What is said of the ground: every kind of note has words, and a brief shows them in every face."""

from __future__ import annotations

import dataclasses
import json

import pytest
from tests.report.sample import brief

from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report.brief_json import brief_json
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.terminal import brief_text
from turnback.report.words_ground import ground_note

SAID = [
    (TerrainNoteKind.VOIDS_FILLED, 1234.0, "1,234 pixels had no height and were filled from those around."),
    (TerrainNoteKind.COVER_MISSING, 0.25, "25 % of the ground around the launch point lies outside the file."),
    (TerrainNoteKind.KNOWN_REACH, 857.0, "Every height is known to 855 m from launch; the nearest gap lies there."),
    (TerrainNoteKind.UNIT_CONVERTED, 0.3048, "The file's heights are in a unit of 0.3048 m and were converted."),
]


@pytest.mark.parametrize(("kind", "value", "sentence"), SAID, ids=lambda value: getattr(value, "name", ""))
def test_a_note_is_a_sentence(kind: TerrainNoteKind, value: float, sentence: str) -> None:
    """With its number; a reach only ever rounded down."""
    assert ground_note(TerrainNote(kind, value), Units.METRIC) == sentence


@pytest.mark.parametrize("kind", list(TerrainNoteKind))
def test_every_kind_has_words(kind: TerrainNoteKind) -> None:
    """In both unit systems."""
    for units in Units:
        text = ground_note(TerrainNote(kind, 12.0), units)
        assert text.endswith(".")
        assert "{" not in text


def test_every_face_says_them() -> None:
    """Terminal, page and JSON."""
    result = dataclasses.replace(brief(), terrain_notes=(TerrainNote(TerrainNoteKind.VOIDS_LEFT, 7.0),))
    words = "7 pixels have no height, in holes too wide to fill."
    assert words in " ".join(brief_text(result).split())
    assert words in page_html(result)
    assert json.loads(brief_json(result))["terrain"]["notes"] == [{"kind": "voids left", "value": 7.0, "unit": ""}]
