"""The bytes of a table, block by block: whole lines of UTF-8, from a plain or a packed file, never too many."""

from __future__ import annotations

import codecs
import os
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from turnback.base.errors import InputError, bad_input
from turnback.readers.said import LONGEST_NAME, on_one_line

HEAD_BYTES: Final = 256 * 1024  # our choice: a long preamble and a hundred rows of the widest table
BLOCK_BYTES: Final = 8 * 1024**2  # our choice: as fast as larger ones on two cores, and small enough to hold a few
LONGEST_LINE: Final = 1024**2  # our choice: far above a row of the most columns
MOST_BYTES: Final = 4 * 1024**3  # our choice: three hours at 1 kHz x 30 columns
MOST_RATIO: Final = 200  # our choice: text of records packs 3 to 30 times
FREE_BYTES: Final = 64 * 1024**2  # however well packed: a still record on the bench
SPOTS: Final = 8
SPOT_BYTES: Final = 8 * 1024
READ_BYTES: Final = 1024**2

GZIP: Final = b"\x1f\x8b"


@dataclass(frozen=True, slots=True)
class Source:
    """An ordinary file.

    Parameters
    ----------
    path : Path
    name : str
        As errors say it.
    size : int
    start : bytes
        The first bytes, unpacked.
    zipped : bool
    """

    path: Path
    name: str
    size: int
    start: bytes
    zipped: bool


def open_source(path: Path) -> Source:
    """Return a file's first bytes.

    Raises
    ------
    InputError
        If it is missing, a folder, no ordinary file, empty, unreadable, too large, or packed wrongly.
    """
    name = on_one_line(path.name, LONGEST_NAME)
    try:
        if path.is_dir():
            raise bad_input(name, "it is a folder", "give the record inside it")
        if not path.exists():
            raise bad_input(name, "there is no such file", "correct the path")
        if not path.is_file():
            raise bad_input(name, "it is not an ordinary file", "give a file")
        size = path.stat().st_size
        with path.open("rb") as file:
            start = file.read(HEAD_BYTES)
    except (OSError, ValueError) as error:
        raise bad_input(name, "it cannot be read", "correct the path or the file's rights") from error
    if not start:
        raise bad_input(name, "it is empty", "give the record of a flight")
    if size > MOST_BYTES:
        raise bad_input(
            name, f"it is larger than {MOST_BYTES // 1024**3} GB", "export one flight, or fewer rows a second"
        )
    if not start.startswith(GZIP):
        return Source(path, name, size, start, zipped=False)
    source = Source(path, name, size, b"", zipped=True)
    unpacked = b""
    for piece in _unpacked(source):
        unpacked += piece
        if len(unpacked) >= HEAD_BYTES:
            break
    if not unpacked:
        raise bad_input(name, "it is packed and holds nothing", "give the record of a flight")
    return Source(path, name, size, unpacked[:HEAD_BYTES], zipped=True)


def whole(source: Source, most_bytes: int) -> bytes:
    """Return all of a file, unpacked, that must be small.

    Raises
    ------
    InputError
        If it is larger.
    """
    found = bytearray()
    for piece in _pieces(source):
        found += piece
        if len(found) > most_bytes:
            raise bad_input(source.name, f"it is larger than {most_bytes // 1024**2} MB", "export one flight")
    return bytes(found)


def encoding_of(source: Source) -> str:
    """Return how a text's letters are written: UTF-16 by its mark or its zeros, else some superset of ASCII."""
    start = source.start[:4096]
    if start.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    if start.startswith(codecs.BOM_UTF16_BE):
        return "utf-16-be"
    zeros_even, zeros_odd = start[0::2].count(0), start[1::2].count(0)
    if len(start) >= 8 and zeros_odd > 0.4 * len(start) / 2 and zeros_even == 0:
        return "utf-16-le"
    if len(start) >= 8 and zeros_even > 0.4 * len(start) / 2 and zeros_odd == 0:
        return "utf-16-be"
    return "utf-8"


def head_text(source: Source) -> str:
    """Return the beginning as text with plain line ends, whole lines only unless it is all there is."""
    encoding = encoding_of(source)
    if encoding != "utf-8":
        text = source.start.decode(encoding, errors="replace")
    else:
        text = _decoded(source.start.replace(b"\0", b""))
    text = text.removeprefix("\ufeff")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if len(source.start) < HEAD_BYTES:
        return text
    if "\n" not in text:
        raise _too_long(source.name)
    return text[: text.rindex("\n") + 1]


def middle_lines(source: Source) -> list[str]:
    """Return some whole lines from all over a plain file beyond its beginning."""
    if source.zipped or encoding_of(source) != "utf-8" or source.size < HEAD_BYTES + SPOTS * SPOT_BYTES:
        return []
    found: list[str] = []
    with source.path.open("rb") as file:
        for spot in range(SPOTS):
            file.seek(HEAD_BYTES + (source.size - HEAD_BYTES - SPOT_BYTES) * spot // (SPOTS - 1))
            text = _decoded(file.read(SPOT_BYTES).replace(b"\0", b"")).replace("\r\n", "\n").replace("\r", "\n")
            found += text.split("\n")[1:-1]
    return found


def blocks(source: Source) -> Iterator[bytes]:
    """Yield the text from its beginning, in blocks of whole lines that end in line feeds, the last perhaps not.

    Raises
    ------
    InputError
        For an endless line, or what a packed file may not hold.
    """
    encoding = encoding_of(source)
    pieces = _pieces(source) if encoding == "utf-8" else _recoded(_pieces(source), encoding)
    only_returns = b"\r" in source.start and b"\n" not in source.start and encoding == "utf-8"
    held: list[bytes] = []
    size, since = 0, 0
    for read in pieces:
        piece = read.replace(b"\r", b"\n") if only_returns else read
        held.append(piece)
        size += len(piece)
        since = since + len(piece) if b"\n" not in piece else 0
        if since > LONGEST_LINE:
            raise _too_long(source.name)
        if size >= BLOCK_BYTES and not since:
            data = b"".join(held)
            end = data.rindex(b"\n") + 1
            if len(data) - end > LONGEST_LINE:
                raise _too_long(source.name)
            yield data[:end]
            held, size = [data[end:]], len(data) - end
    if size:
        yield b"".join(held)


def spans(source: Source) -> list[tuple[int, int]] | None:
    """Return where the blocks of a plain file of plain lines begin and end; None where it must be read in order.

    Raises
    ------
    InputError
        For an endless line.
    """
    if source.zipped or encoding_of(source) != "utf-8" or b"\n" not in source.start:
        return None
    found, begin = [], 0
    with source.path.open("rb") as file:
        while begin < source.size:
            end = min(begin + BLOCK_BYTES, source.size)
            if end < source.size:
                back = min(LONGEST_LINE, end - begin)
                tail = os.pread(file.fileno(), 65_536, end - min(65_536, back))
                place, first = tail.rfind(b"\n"), end - min(65_536, back)
                if place < 0:
                    first = end - back
                    place = os.pread(file.fileno(), back, first).rfind(b"\n")
                if place < 0:
                    raise _too_long(source.name)
                end = first + place + 1
            found.append((begin, end))
            begin = end
    return found


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.start >= len(data) - 4:  # a letter that was cut in two
            return data[: error.start].decode("utf-8")
        return data.decode("latin-1")


def _pieces(source: Source) -> Iterator[bytes]:
    if source.zipped:
        yield from _unpacked(source)
        return
    with source.path.open("rb") as file:
        while piece := file.read(READ_BYTES):
            yield piece


def _recoded(pieces: Iterator[bytes], encoding: str) -> Iterator[bytes]:
    decoder = codecs.getincrementaldecoder(encoding)(errors="replace")
    only_returns: bool | None = None
    for piece in pieces:
        text = decoder.decode(piece)
        if only_returns is None:
            only_returns = "\r" in text and "\n" not in text
        yield (
            (text.replace("\r", "\n") if only_returns else text).replace("\ufeff", "").encode("utf-8", errors="replace")
        )


def _unpacked(source: Source) -> Iterator[bytes]:
    """Unpack as it comes, members one behind the other, within bounds; what was cut off ends where it was cut."""
    unpacker = zlib.decompressobj(wbits=31)
    packed = found = 0
    try:
        with source.path.open("rb") as file:
            while data := file.read(READ_BYTES // 16):
                packed += len(data)
                while data:
                    piece = unpacker.decompress(data, READ_BYTES)
                    data = unpacker.unconsumed_tail
                    found += len(piece)
                    _verify_unpacked(found, packed, source.name)
                    if piece:
                        yield piece
                    if unpacker.eof:
                        data = unpacker.unused_data.lstrip(b"\0")
                        if not data.startswith(GZIP[: len(data)]):
                            return
                        unpacker = zlib.decompressobj(wbits=31)
    except zlib.error as error:
        raise bad_input(source.name, "it is packed, and damaged", "copy it again, or unpack it first") from error


def _verify_unpacked(found: int, packed: int, name: str) -> None:
    if found > MOST_BYTES or (found > FREE_BYTES and found > MOST_RATIO * packed):
        what = f"it unpacks to more than {MOST_RATIO} times its size, or to more than {MOST_BYTES // 1024**3} GB"
        raise bad_input(name, what, "unpack it, look at it, and export one flight")


def _too_long(name: str) -> InputError:
    what = f"a line of it is longer than {LONGEST_LINE // 1024**2} MB"
    return bad_input(name, what, "export the flight as CSV: one heading row, then rows of numbers")
