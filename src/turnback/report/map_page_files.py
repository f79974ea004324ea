"""Write a map's files all or none: beside their place first, then moved in; what stops the work leaves nothing."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.records.home_map import HomeMap
from turnback.report.files import FOR_MAP, made_folder, unwritable
from turnback.report.map_geojson import ring_geojson
from turnback.report.map_geotiff import write_geotiff
from turnback.report.map_json import SCHEMA_NAME, map_json
from turnback.report.map_page import map_html
from turnback.report.map_picture import map_picture_png
from turnback.report.map_schema import map_schema_json
from turnback.report.numbers import Units

PAGE: Final = "map.html"
RING: Final = "ring.geojson"
NAMES: Final = (PAGE, "map.png", "map.tif", "map.json", SCHEMA_NAME, RING)
RASTER_DONE: Final = 0.1
TEXTS_DONE: Final = 0.15
PICTURE_DONE: Final = 0.5
"""Shares of the work of writing, about: drawing takes nearly all of it."""
Tell = Callable[[float], None]


def write_map(found: HomeMap, out: Path, units: Units = Units.METRIC, tell: Tell | None = None) -> Path:
    """Write page, picture, raster, numbers with their schema, and ring into a folder, all or none.

    Parameters
    ----------
    found : HomeMap
        Without a position it has no ring to write; one that stands there from another map is taken away.
    out : Path
        The folder; it is made where it is missing, and its other files are left alone.
    units : Units
        Those of page and picture.
    tell : callable or None
        Told the share of the work that is done; what it raises stops the work, and the folder is as it was.

    Returns
    -------
    Path
        Of the page.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    tell = tell or _nobody
    try:
        with _folder(out), tempfile.TemporaryDirectory(dir=out, prefix=".map.") as beside:
            fresh, old = Path(beside) / "fresh", Path(beside) / "old"
            fresh.mkdir()
            old.mkdir()
            _write(found, fresh, units, tell)
            _move(fresh, old, out)
    except OSError as error:
        raise unwritable(out, error) from None
    return out / PAGE


def _write(found: HomeMap, fresh: Path, units: Units, tell: Tell) -> None:
    tell(0.0)
    write_geotiff(found, fresh / "map.tif", lambda share: tell(RASTER_DONE * share))
    tell(RASTER_DONE)
    _text(fresh / "map.json", map_json(found))
    _text(fresh / SCHEMA_NAME, map_schema_json())
    ring = ring_geojson(found)
    if ring is not None:
        _text(fresh / RING, ring)
    tell(TEXTS_DONE)
    (fresh / "map.png").write_bytes(map_picture_png(found, units))
    tell(PICTURE_DONE)
    _text(fresh / PAGE, map_html(found, units))
    tell(1.0)


def _text(path: Path, said: str) -> None:
    path.write_text(said, encoding="utf-8", newline="\n")


def _move(fresh: Path, old: Path, out: Path) -> None:
    """Move every new file in and every old one of the same name out; whatever stops it, all is as it was before."""
    stood = {name for name in NAMES if (out / name).exists()}
    for name in stood:
        if (out / name).is_dir():
            raise bad_input(str(out / name), "is a folder where a file belongs", "move it, or name another folder")
    try:
        for name in NAMES:
            if name in stood:
                (out / name).rename(old / name)
            if (fresh / name).exists():
                (fresh / name).rename(out / name)
    except BaseException:
        for name in NAMES:
            if (old / name).exists():
                (old / name).replace(out / name)
            elif name not in stood:
                (out / name).unlink(missing_ok=True)
        raise


@contextmanager
def _folder(out: Path) -> Iterator[None]:
    """Make the folder where it is missing; take away what was made if the work inside stops."""
    missing = [each for each in (out, *out.parents) if not each.exists()]
    try:
        made_folder(out, FOR_MAP)
        yield
    except BaseException:
        for each in missing:  # the innermost first; where somebody else has put something, it stays
            with suppress(OSError):
                each.rmdir()
        raise


def _nobody(_share: float) -> None:
    """Tell nobody."""
