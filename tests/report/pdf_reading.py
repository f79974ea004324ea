"""Read a PDF as a test wants it: its words, type sizes, fonts, tags, and whatever could act or tell a machine."""

from __future__ import annotations

import io
import math
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
from PIL import Image
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, StreamObject

ACTIONS = ("/JavaScript", "/JS", "/URI", "/OpenAction", "/AA", "/Launch", "/GoToR", "/EmbeddedFile", "/SubmitForm")
POINTS_PER_MM = 72.0 / 25.4
MACHINE = tuple(text.encode() for text in (str(Path(__file__).resolve().parents[2]), sys.prefix, ".typ", ".otf"))
"""What would tell where a file was made: the checkout, the interpreter's folder, names of templates and fonts."""


def reader(printed: bytes) -> pypdf.PdfReader:
    """Open a PDF."""
    return pypdf.PdfReader(io.BytesIO(printed))


def words(printed: bytes) -> str:
    """Return all text on one line, every space alike."""
    return " ".join(" ".join(page.extract_text() for page in reader(printed).pages).split())


def sizes_pt(printed: bytes) -> dict[float, str]:
    """Return the text set in each size of type."""
    found: dict[float, str] = defaultdict(str)

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip():
            found[round(size * _scale(tm) * _scale(cm), 2)] += f" {text.strip()}"

    for page in reader(printed).pages:
        page.extract_text(visitor_text=visit)
    return dict(found)


def _scale(matrix: list[float]) -> float:
    """Return by how much a matrix enlarges, however it turns."""
    return math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))


def objects(printed: bytes) -> Iterator[Any]:
    """Return every object of the file, unpacked."""
    opened = reader(printed)
    for number in range(1, int(opened.trailer["/Size"])):
        item = IndirectObject(number, 0, opened).get_object()
        if item is not None:
            yield item


def keys(item: Any) -> Iterator[str]:
    """Return every key and name below an object, references not followed."""
    if isinstance(item, DictionaryObject):
        for key, value in item.items():
            yield str(key)
            raw = item.raw_get(key)
            if not isinstance(raw, IndirectObject):
                yield from keys(value)
    elif isinstance(item, ArrayObject):
        for value in item:
            if not isinstance(value, IndirectObject):
                yield from keys(value)
    elif isinstance(item, str) and item.startswith("/"):
        yield str(item)


def actions(printed: bytes) -> set[str]:
    """Return what could act: scripts, addresses, things that open."""
    return {key for item in objects(printed) for key in keys(item)} & set(ACTIONS)


def tags(printed: bytes) -> list[tuple[str, str]]:
    """Return every tag in reading order, with its alternative text."""
    found: list[tuple[str, str]] = []

    def walk(item: Any) -> None:
        item = item.get_object() if isinstance(item, IndirectObject) else item
        if isinstance(item, ArrayObject):
            for each in item:
                walk(each)
        elif isinstance(item, DictionaryObject):
            if "/S" in item:
                found.append((str(item["/S"]).removeprefix("/"), str(item.get("/Alt", ""))))
            if "/K" in item:
                walk(item.raw_get("/K"))

    walk(reader(printed).trailer["/Root"]["/StructTreeRoot"])
    return found


def fonts(printed: bytes) -> list[tuple[str, bool]]:
    """Return the name of every font, and whether it is embedded."""
    found = []
    for item in objects(printed):
        if isinstance(item, DictionaryObject) and item.get("/Type") == "/FontDescriptor":
            files = {"/FontFile", "/FontFile2", "/FontFile3"} & set(item)
            found.append((str(item["/FontName"]), bool(files)))
    return found


def streams(printed: bytes) -> Iterator[bytes]:
    """Return every stream, unpacked, and the rest as it stands."""
    yield printed
    for item in objects(printed):
        if isinstance(item, StreamObject):
            yield item.get_data()


def picture(printed: bytes, page: int = 0, dots_per_inch: float = 100.0) -> Image.Image:
    """Return a page as a picture."""
    opened = pypdfium2.PdfDocument(printed)
    drawn: Image.Image = opened[page].render(scale=dots_per_inch / 72.0).to_pil().convert("RGB")
    return drawn
