"""Write many bands of int16 as one cloud-optimised TIFF, tile by tile, straight from the arrays given.

The order is that of a cloud-optimised GeoTIFF: every directory first, then the tiles of the smallest overview, up to
those of the whole. A reader far away gets what it needs with one request for the head and one for each tile. Sizes of
directories are known before the first tile is packed, so the file is written in one pass: nothing is copied, a band
never stands in memory twice, and it can be stopped at any tile.

Source: Adobe, TIFF revision 6.0 (1992), sections 2 (structure), 14 (differencing predictor) and 15 (tiles); OGC 21-026,
Cloud Optimized GeoTIFF Standard (2023); the BigTIFF design for files past 4 GiB.
"""

from __future__ import annotations

import os
import struct
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import BinaryIO, Final

import numpy as np
from numpy.typing import NDArray

Band = NDArray[np.int16]

TILE: Final = 512
PACKING: Final = 1  # the quickest of deflate: after differencing the next levels save little
MOST_CLASSIC_BYTES: Final = 3_500_000_000  # below 4 GiB, with room for tiles that do not get smaller
MOST_THREADS: Final = 8
_SHORT, _LONG, _LONG8 = 3, 4, 16
_SIZE_OF: Final = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 16: 8}
_SIGN: Final = (
    "LAYOUT=IFDS_BEFORE_DATA\nBLOCK_ORDER=ROW_MAJOR\nBLOCK_LEADER=SIZE_AS_UINT4\n"
    "BLOCK_TRAILER=LAST_4_BYTES_REPEATED\nKNOWN_INCOMPATIBLE_EDITION=NO\n "
)


@dataclass(frozen=True, slots=True)
class Tag:
    """One entry of a directory: its type as TIFF numbers them, how many values, and their bytes, low byte first."""

    kind: int
    count: int
    content: bytes


@dataclass(slots=True)
class _Level:
    """The bands at one size: every `step`-th cell of every `step`-th row."""

    step: int
    rows: int
    columns: int
    offsets: list[int] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)

    @property
    def across(self) -> int:
        return -(-self.columns // TILE)

    @property
    def down(self) -> int:
        return -(-self.rows // TILE)


def write_tiff(
    handle: BinaryIO,
    bands: Sequence[Band],
    head: Mapping[int, Tag],
    empty: int,
    tell: Callable[[float], None] | None = None,
) -> None:
    """Write bands and overviews to an empty file.

    Parameters
    ----------
    handle : BinaryIO
        Seekable, empty.
    bands : sequence of ndarray of int16, each of shape (ny, nx)
        Row 0 is the top.
    head : mapping of int to Tag
        Entries that say what and where it is: place, meaning, nodata.
    empty : int
        What fills a tile beyond the edge.
    tell : callable, optional
        Gets the share done, 0 to 1, after each row of tiles. What it raises ends the writing.

    Notes
    -----
    Overviews hold the nearest cell, never a mean: each of their numbers stands in the map, codes too.
    """
    rows, columns = bands[0].shape
    levels = _levels(rows, columns)
    big = 2 * len(bands) * sum(level.rows * level.columns for level in levels) > MOST_CLASSIC_BYTES
    blank = [0] * max(level.across * level.down * len(bands) for level in levels)
    for level in levels:
        level.offsets = level.sizes = blank[: level.across * level.down * len(bands)]
    handle.write(_head(levels, head, len(bands), big=big))  # of the right length; its numbers are put in at the end
    done, whole = 0, len(bands) * sum(level.down * level.across for level in levels)
    with ThreadPoolExecutor(min(MOST_THREADS, os.cpu_count() or 1)) as workers:
        for level in reversed(levels):
            level.offsets, level.sizes = [], []
            for tiles in _rows_of_tiles(bands, level, empty, workers):
                for tile in tiles:
                    handle.write(struct.pack("<L", len(tile)))  # who reads the size meets the tile in the same request
                    level.offsets.append(handle.tell())
                    level.sizes.append(len(tile))
                    handle.write(tile + tile[-4:])  # who finds them unequal knows that somebody broke the order
                done += len(tiles)
                if tell is not None:
                    tell(done / whole)
    handle.seek(0)
    handle.write(_head(levels, head, len(bands), big=big))


def _levels(rows: int, columns: int) -> list[_Level]:
    """Return the whole, then overviews, each half as wide, until one is no larger than a tile."""
    levels = [_Level(1, rows, columns)]
    while max(levels[-1].rows, levels[-1].columns) > TILE:
        step = levels[-1].step * 2
        levels.append(_Level(step, -(-rows // step), -(-columns // step)))
    return levels


def _rows_of_tiles(
    bands: Sequence[Band], level: _Level, empty: int, workers: ThreadPoolExecutor
) -> Iterator[list[bytes]]:
    """Yield the packed tiles, band after band, row after row."""
    for band in bands:
        seen = band[:: level.step, :: level.step]
        for top in range(0, level.rows, TILE):
            strip = seen[top : top + TILE]
            parts = [strip[:, left : left + TILE] for left in range(0, level.columns, TILE)]
            yield list(workers.map(lambda part: _packed(part, empty), parts))


def _packed(part: Band, empty: int) -> bytes:
    """Return one tile: filled to its size, each cell less its left neighbour, deflated."""
    tile = np.full((TILE, TILE), empty, dtype="<i2")
    tile[: part.shape[0], : part.shape[1]] = part
    words = tile.view("<u2")
    words[:, 1:] -= words[:, :-1].copy()  # modulo 2^16, as section 14 asks
    return zlib.compress(words.data, PACKING)


def _head(levels: Sequence[_Level], head: Mapping[int, Tag], bands: int, *, big: bool) -> bytes:
    """Return everything that stands before the first tile."""
    start = struct.pack("<2sHHHQ", b"II", 43, 8, 0, 16) if big else struct.pack("<2sHL", b"II", 42, 8)
    sign = f"GDAL_STRUCTURAL_METADATA_SIZE={len(_SIGN):06d} bytes\n{_SIGN}".encode("ascii")
    sign += b"\0" * (-len(sign) % 8)
    at = len(start) + len(sign)
    start = struct.pack("<2sHHHQ", b"II", 43, 8, 0, at) if big else struct.pack("<2sHL", b"II", 42, at)
    parts = [start, sign]
    for place, level in enumerate(levels):
        tags = _tags(level, head, bands, big=big)
        last = place == len(levels) - 1
        parts.append(_directory(tags, at, last=last, big=big))
        at += len(parts[-1])
    return b"".join(parts)


def _tags(level: _Level, head: Mapping[int, Tag], bands: int, *, big: bool) -> dict[int, Tag]:
    kind, code = (_LONG8, "Q") if big else (_LONG, "L")
    said = dict(head) if level.step == 1 else {key: head[key] for key in (42113,) if key in head}
    return said | {
        254: _numbers(_LONG, "L", [int(level.step > 1)]),
        256: _numbers(_LONG, "L", [level.columns]),
        257: _numbers(_LONG, "L", [level.rows]),
        258: _numbers(_SHORT, "H", [16] * bands),
        259: _numbers(_SHORT, "H", [8]),  # deflate
        262: _numbers(_SHORT, "H", [1]),  # the least value is the darkest
        277: _numbers(_SHORT, "H", [bands]),
        284: _numbers(_SHORT, "H", [2]),  # one band after the other
        317: _numbers(_SHORT, "H", [2]),  # differences along the row
        322: _numbers(_LONG, "L", [TILE]),
        323: _numbers(_LONG, "L", [TILE]),
        324: _numbers(kind, code, level.offsets),
        325: _numbers(_LONG, "L", level.sizes),
        338: _numbers(_SHORT, "H", [0] * max(bands - 1, 1)),
        339: _numbers(_SHORT, "H", [2] * bands),  # signed
    }


def _numbers(kind: int, code: str, values: Sequence[int]) -> Tag:
    return Tag(kind, len(values), struct.pack(f"<{len(values)}{code}", *values))


def _directory(tags: Mapping[int, Tag], at: int, *, last: bool, big: bool) -> bytes:
    """Return a directory that stands at a place, with the values too long for it right behind; a multiple of 8."""
    count, entry, pointer = ("<Q", "<HHQ", "<Q") if big else ("<H", "<HHL", "<L")
    room = struct.calcsize(pointer)
    size = struct.calcsize(count) + len(tags) * (struct.calcsize(entry) + room) + room
    behind = -(-(at + size) // 8) * 8
    entries, values = [], b""
    for key in sorted(tags):
        tag = tags[key]
        content = tag.content.ljust(room, b"\0")
        if len(content) > room:
            content = struct.pack(pointer, behind + len(values))
            values += tag.content + b"\0" * (-len(tag.content) % 8)
        entries.append(struct.pack(entry, key, tag.kind, tag.count) + content)
    after = 0 if last else behind + len(values)
    body = struct.pack(count, len(tags)) + b"".join(entries) + struct.pack(pointer, after)
    return body + b"\0" * (behind - at - size) + values


def read_tags(content: bytes) -> dict[int, Tag]:
    """Return the entries of the first directory of a small classic TIFF.

    Parameters
    ----------
    content : bytes
        The file, low byte first.
    """
    sign, version, at = struct.unpack_from("<2sHL", content)
    if (sign, version) != (b"II", 42):
        raise ValueError("this is no classic TIFF with the low byte first")
    (count,) = struct.unpack_from("<H", content, at)
    found = {}
    for place in range(at + 2, at + 2 + 12 * count, 12):
        key, kind, number = struct.unpack_from("<HHL", content, place)
        size = _SIZE_OF[kind] * number
        start = place + 8 if size <= 4 else struct.unpack_from("<L", content, place + 8)[0]
        found[key] = Tag(kind, number, content[start : start + size])
    return found
