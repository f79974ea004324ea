"""Open a stranger's raster safely: plain local files, known formats, no network, no files that point elsewhere."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import InputError, bad_input

FORMATS: Final = (
    "GTiff", "SRTMHGT", "DTED", "USGSDEM", "AAIGrid", "GRASSASCIIGrid", "EHdr", "ENVI", "HFA", "GSAG", "GSBG",
    "GS7BG", "BT", "HF2", "RST", "SAGA", "ZMap", "SIGDEM", "JP2OpenJPEG",
)  # fmt: skip
"""GDAL drivers that hold heights themselves. Left out: everything that fetches, or points to other files."""

_GUARDS: Final = {
    "GDAL_PAM_ENABLED": "NO",  # a side file may name an overview anywhere, remote places too
    "GDAL_DISABLE_READDIR_ON_OPEN": "TRUE",
    "CPL_VSIL_CURL_ALLOWED_FILENAME": "none",
    "GDAL_HTTP_PROXY": "127.0.0.1:9",  # the discard port: should anything still ask, it gets no answer
    "GDAL_HTTP_CONNECTTIMEOUT": "1",
    "GDAL_HTTP_TIMEOUT": "1",
    "GDAL_HTTP_MAX_RETRY": "0",
    "GDAL_NUM_THREADS": "1",
    "CPL_DEBUG": "OFF",
}

_BEGINNINGS: Final = (
    (b"PK\x03\x04", "is a zip archive", "unpack it and give the raster inside"),
    (b"\x1f\x8b", "is packed with gzip", "unpack it and give the raster inside"),
    (b"version https", "is only a pointer to the file", "fetch the file itself"),
    (b"<vrtdataset", "is a recipe that points to other files", "give the raster itself, such as a GeoTIFF"),
    (b"<!doctype html", "is a web page, not a raster", "download it again: the site sent a page in its place"),
    (b"<html", "is a web page, not a raster", "download it again: the site sent a page in its place"),
    (b"\x89png", "is a picture, not heights", "give the heights themselves, such as a GeoTIFF"),
    (b"\xff\xd8\xff", "is a picture, not heights", "give the heights themselves, such as a GeoTIFF"),
    (b"gif8", "is a picture, not heights", "give the heights themselves, such as a GeoTIFF"),
    (b"%pdf", "is a document, not heights", "give the heights themselves, such as a GeoTIFF"),
    (b"cdf", "is netCDF, which is not read here", "convert it to GeoTIFF"),
    (b"\x89hdf", "is HDF5 or netCDF, which is not read here", "convert it to GeoTIFF"),
    (b"grib", "is GRIB, which is not read here", "convert it to GeoTIFF"),
)
_TIFF: Final = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")


@contextmanager
def open_raster(path: str | Path, where: str) -> Iterator[Any]:
    """Open a local raster for reading; inside the context, whatever fails to be read is told in one sentence.

    Parameters
    ----------
    path : str or Path
        An ordinary file of this machine, in one of `FORMATS`.
    where : str
        File and field that named it, for errors.

    Yields
    ------
    rasterio.DatasetReader

    Raises
    ------
    InputError
        If it is no such file, or if reading it fails.
    """
    import rasterio  # noqa: PLC0415 - heavy: 0.12 s
    from rasterio.errors import RasterioError  # noqa: PLC0415

    file = _plain_file(path, where)
    beginning = _beginning(file, where)
    try:
        with silence(), rasterio.Env(**_GUARDS):
            raster = _opened(file, beginning)
            if raster is None:
                raise _not_opened(file, beginning, where)
            with raster:
                yield raster
    except (RasterioError, MemoryError, OverflowError) as error:
        raise bad_input(
            where, f"{file.name} ends early or is damaged: its heights cannot be read", "copy or download it again"
        ) from error


def _opened(file: Path, beginning: bytes) -> Any:
    """The raster by the first allowed format that knows it, or None. Never by one that is not allowed."""
    import rasterio  # noqa: PLC0415
    from rasterio.errors import RasterioError  # noqa: PLC0415

    for driver in ("GTiff",) if beginning[:4] in _TIFF else FORMATS:
        try:
            return rasterio.open(file, driver=driver)
        except (RasterioError, ValueError, OverflowError):
            continue
    return None


def _plain_file(path: str | Path, where: str) -> Path:
    said = str(path)
    if "/vsi" in said.replace("\\", "/") or "://" in said or "\0" in said or said.lstrip().startswith("<"):
        raise bad_input(
            where, f"{said[:80]!r} is not a plain file of this machine", "copy the raster here and give its path"
        )
    file = Path(said)
    name = file.name or said
    try:
        if file.is_dir():
            raise bad_input(where, f"{name} is a folder", "give the raster file inside it")
        if not file.exists():
            raise bad_input(where, f"{name} does not exist", "correct the path; it counts from the file that names it")
        if not file.is_file():
            raise bad_input(where, f"{name} is not an ordinary file", "give a raster file")
        return file.resolve()
    except OSError as error:
        raise bad_input(
            where, f"{name[:80]} cannot be reached", "correct the path or the rights of the file"
        ) from error


def _beginning(file: Path, where: str) -> bytes:
    try:
        with file.open("rb") as stream:
            beginning = stream.read(64)
    except OSError as error:
        raise bad_input(where, f"{file.name} cannot be opened", "correct the rights of the file") from error
    if not beginning:
        raise bad_input(where, f"{file.name} is empty", "copy or download it again")
    lowered = beginning.lower().lstrip(b"\xef\xbb\xbf \t\r\n")
    for sign, what, do in _BEGINNINGS:
        if lowered.startswith(sign.lower()):
            raise bad_input(where, f"{file.name} {what}", do)
    return beginning


def _not_opened(file: Path, beginning: bytes, where: str) -> InputError:
    if file.suffix.lower() == ".hgt":
        return bad_input(
            where,
            f"{file.name} is not a whole SRTM tile named after its south-west corner",
            "name it like N36W085.hgt and see that it holds 1201 x 1201 or 3601 x 3601 heights of two bytes",
        )
    if beginning[:4] in _TIFF:
        return bad_input(where, f"{file.name} is a damaged GeoTIFF: it cannot be opened", "copy or download it again")
    return bad_input(
        where, f"{file.name} is not a raster of heights in a format read here", "give a GeoTIFF or an SRTM HGT tile"
    )


@contextmanager
def silence() -> Iterator[None]:
    """Keep the raster library's warnings and log lines off the terminal: what matters is told as a fault."""
    log = logging.getLogger("rasterio")
    level, propagate = log.level, log.propagate
    log.setLevel(logging.CRITICAL + 1)
    log.propagate = False
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        log.setLevel(level)
        log.propagate = propagate
