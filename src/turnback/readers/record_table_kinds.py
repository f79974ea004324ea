"""Tell what kind of file it is by its first bytes, and refuse in plain words what is no open table."""

from __future__ import annotations

import re
from enum import Enum
from typing import Final

from turnback.base.errors import InputError, bad_input
from turnback.readers.record_table_source import HEAD_BYTES, SPOT_BYTES, SPOTS, Source, encoding_of

CHANNELS: Final = (
    "time; turning rates and the rates asked for; the outputs of the four corners; rotor speeds if it has them; "
    "acceleration; pack volts and current; link level and quality; sticks; position, height and speed; flight mode and "
    "arming"
)
AS_CSV: Final = "open it with the program that wrote it and export it as CSV"
EXPORT_CHANNELS: Final = f"{AS_CSV}, with these channels as far as it has them: {CHANNELS}"
MOST_CONTROL: Final = 0.005  # our choice: share of bytes that no text holds; of random bytes it is over a tenth
EMPTY: Final = re.compile(rb"\0{16,}")  # a place that was never written, not data

_PICTURE: Final = "it is a picture"
_VIDEO: Final = "it is a video, and only what the aircraft noted as numbers can be read here"
_PACKED: Final = "it is packed in a way that is not unpacked here"
_SCIENCE: Final = "it is in a binary form that is not read here"
_SHEET: Final = "it is a spreadsheet"
_MAGIC: Final = (
    (b"%PDF", "it is a PDF", AS_CSV),
    (b"\x89PNG", _PICTURE, "give the record itself"), (b"\xff\xd8\xff", _PICTURE, "give the record itself"),
    (b"GIF8", _PICTURE, "give the record itself"), (b"BM", _PICTURE, "give the record itself"),
    (b"II*\0", _PICTURE, "give the record itself"), (b"MM\0*", _PICTURE, "give the record itself"),
    (b"\x1aE\xdf\xa3", _VIDEO, "give the record itself"), (b"\0\0\1\xba", _VIDEO, "give the record itself"),
    (b"RIFF", _VIDEO, "give the record itself"),
    (b"\xd0\xcf\x11\xe0", _SHEET, "save its sheet as CSV"),
    (b"BZh", _PACKED, "unpack it first"), (b"\xfd7zXZ\0", _PACKED, "unpack it first"),
    (b"7z\xbc\xaf", _PACKED, "unpack it first"), (b"\x28\xb5\x2f\xfd", _PACKED, "unpack it first"),
    (b"Rar!", _PACKED, "unpack it first"), (b"\x1f\x8b", "it is packed twice", "unpack it first"),
    (b"SQLite format 3\0", "it is a database", "export its table as CSV"),
    (b"\x89HDF", _SCIENCE, "save it as CSV or Parquet"), (b"\x93NUMPY", _SCIENCE, "save it as CSV or Parquet"),
    (b"ARROW1", _SCIENCE, "save it as CSV or Parquet"), (b"MATLAB 5.0", _SCIENCE, "save it as CSV or Parquet"),
    (b"{\\rtf", "it is a text document", "give the record itself"),
)  # fmt: skip


class Kind(Enum):
    """What a file is, as far as its first bytes tell."""

    TEXT = "a table of text"
    XML = "XML"
    JSON = "JSON"
    PARQUET = "Parquet"


def kind_of(source: Source) -> Kind:
    """Return the kind of a file.

    Raises
    ------
    InputError
        If it is a picture, an archive, a closed recording or another file that holds no open table.
    """
    start = source.start
    if start.startswith(b"PAR1"):
        return Kind.PARQUET
    if start.startswith(b"PK"):
        raise _archive(source)
    for magic, what, do in _MAGIC:
        if start.startswith(magic) and not (magic in (b"BM", b"RIFF", b"GIF8") and _is_text(start)):
            raise bad_input(source.name, what, do)
    if start[4:8] == b"ftyp":
        raise bad_input(source.name, _VIDEO, "give the record itself")
    encoding = encoding_of(source)
    text = start[:2048].decode(encoding, errors="replace").removeprefix("\ufeff").lstrip("\x00 \t\r\n")
    if text[:15].lower().startswith(("<!doctype html", "<html")):
        raise bad_input(source.name, "it is a web page", "give the record itself")
    if not (_is_text(start) and all(map(_is_text, _spots(source))) if encoding == "utf-8" else _is_plain(text)):
        raise bad_input(source.name, "it is a recording in a closed binary form", EXPORT_CHANNELS)
    if not text.strip("\x00"):
        if not source.start.strip(b"\0 \t\r\n"):
            raise bad_input(source.name, "it holds only blanks or zeros", "give the record of a flight")
    elif text[0] == "<":
        return Kind.XML
    elif text[0] in "{[" and not _is_bracketed_heading(text):
        return Kind.JSON
    return Kind.TEXT


def _archive(source: Source) -> InputError:
    """A zip archive names its members at its beginning and its end."""
    names = source.start
    if not source.zipped and source.size > HEAD_BYTES:
        with source.path.open("rb") as file:
            file.seek(-65_536, 2)
            names += file.read(65_536)
    if b"xl/" in names or b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet" in names:
        return bad_input(source.name, _SHEET, "save its sheet as CSV")
    if b"word/" in names or b"ppt/" in names or b"mimetypeapplication/vnd.oasis" in names:
        return bad_input(source.name, "it is an office document", "give the record itself")
    return bad_input(source.name, "it is a zip archive", "unpack it and give the one record inside")


def _spots(source: Source) -> list[bytes]:
    """Return pieces from further on: a recording may begin with lines of text."""
    if source.zipped or source.size <= HEAD_BYTES:
        return []
    with source.path.open("rb") as file:
        found = []
        for spot in range(SPOTS):
            file.seek(max(HEAD_BYTES, (source.size - SPOT_BYTES) * (spot + 1) // SPOTS))
            found.append(file.read(SPOT_BYTES))
    return found


def _is_text(data: bytes) -> bool:
    """Tell whether bytes can be text: hardly any control characters, places that were never written left aside."""
    written = EMPTY.sub(b"", data)
    if not written:
        return True
    control = len(written) - len(written.translate(None, _CONTROL))
    high = len(written) - len(written.translate(None, _HIGH))
    if control > max(2.0, MOST_CONTROL * len(written)):
        return False
    if high <= 0.3 * len(written):
        return True
    return written.decode("utf-8", errors="replace").count("\ufffd") <= 8  # of letters cut in two at the ends


def _is_plain(text: str) -> bool:
    """Tell whether letters of two bytes each are mostly those of European languages: else they are no letters."""
    return sum(letter < "\u2200" and (letter.isprintable() or letter.isspace()) for letter in text) >= 0.9 * len(text)


def _is_bracketed_heading(text: str) -> bool:
    """``[s],[V]`` or ``[Log 1]`` is a line of a table, ``[1, 2`` and ``[{`` are JSON."""
    return text[0] == "[" and text[1:2].isalpha() and not text[1:6].startswith(("true", "null", "false"))


_CONTROL: Final = bytes(each for each in range(32) if each not in b"\t\n\r\f\v\x1a") + b"\x7f"
_HIGH: Final = bytes(range(128, 256))
