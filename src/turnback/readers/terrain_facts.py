"""What a raster says of itself: place, projection, unit, bands. All that is wrong with it is told at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from turnback.base.errors import Fault, InputError
from turnback.records.terrain import TerrainNote, TerrainNoteKind

MOST_BLOCK_PIXELS: Final = 100_000_000  # our choice: one block is unpacked whole, 400 MB of heights
METRES_PER_UNIT: Final = {
    **dict.fromkeys(("m", "metre", "meter", "metres", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet", "international foot", "foot (international)"), 0.3048),  # exact
    **dict.fromkeys(
        ("us survey foot", "us survey feet", "foot_us", "us-ft", "ftus", "sftus", "us_survey_foot", "us foot"),
        1200.0 / 3937.0,  # exact by definition
    ),
    **dict.fromkeys(("dm", "decimetre", "decimeter", "decimetres", "decimeters"), 0.1),
    **dict.fromkeys(("cm", "centimetre", "centimeter", "centimetres", "centimeters"), 0.01),
}
"""Units of height as files spell them, in small letters."""

_UNIT_TAGS: Final = ("unittype", "unit", "units", "vertical_unit", "vertical_units", "z_unit", "z_units")
_SOURCE_TAGS: Final = ("source", "tifftag_imagedescription", "tifftag_copyright")


@dataclass(frozen=True, slots=True)
class Facts:
    """What is needed to read heights.

    Attributes
    ----------
    metres_per_unit, scale, offset : float
        ``height_m = (stored * scale + offset) * metres_per_unit``.
    nodata : float or None
        The declared mark of voids, in stored numbers.
    masked : bool
        The file carries a mask band of its own.
    source : str
    notes : tuple of TerrainNote
    """

    metres_per_unit: float
    scale: float
    offset: float
    nodata: float | None
    masked: bool
    source: str
    notes: tuple[TerrainNote, ...]


def verified_facts(raster: Any, name: str, where: str) -> Facts:
    """Return the facts of an open raster.

    Parameters
    ----------
    raster : rasterio.DatasetReader
    name : str
        The file's name, for sentences.
    where : str
        File and field, for errors.

    Raises
    ------
    InputError
        With every fault of projection, place, numbers, bands and unit.
    """
    faults = [
        Fault(where, f"{name} {what}", do)
        for what, do in (*_numbers_wrong(raster), *_place_wrong(raster), *_size_wrong(raster))
    ]
    word = _unit_word(raster)
    if word and word.lower() not in METRES_PER_UNIT:
        faults.append(
            Fault(where, f"{name} gives its values in {word[:40]!r}, not in metres or feet", "give a raster of heights")
        )
    if faults:
        raise InputError(*faults)
    metres_per_unit = METRES_PER_UNIT.get(word.lower(), 1.0)
    scale, offset = float(raster.scales[0]), float(raster.offsets[0])
    flags = {flag.name for flag in raster.mask_flag_enums[0]}
    return Facts(
        metres_per_unit=metres_per_unit,
        scale=scale,
        offset=offset,
        nodata=None if raster.nodata is None else float(raster.nodata),
        masked="per_dataset" in flags and "alpha" not in flags,
        source=_source(raster, name),
        notes=tuple(_notes(raster, word, metres_per_unit, scale)),
    )


def _numbers_wrong(raster: Any) -> list[tuple[str, str]]:
    kind = raster.dtypes[0]
    colours = {colour.name for colour in raster.colorinterp}
    if "complex" in kind or kind.startswith("cint"):
        return [("holds complex numbers, not heights", "give a raster of heights")]
    if {"red", "green", "blue"} & colours or "palette" in colours:
        return [("is a coloured picture, not heights", "give the heights themselves, not a map drawn from them")]
    if kind in ("uint8", "int8"):
        return [
            (
                "holds only 256 grey steps, as a shaded picture does",
                "give the heights themselves; if these are heights, store them as 16-bit or decimal numbers",
            )
        ]
    if not all(np.isfinite([raster.scales[0], raster.offsets[0]])) or raster.scales[0] == 0.0:
        return [("scales its heights by a factor that is no number or 0", "mend the band's scale and offset")]
    return []


def _place_wrong(raster: Any) -> list[tuple[str, str]]:
    crs, place = raster.crs, raster.transform
    wrong = []
    if not crs:
        wrong.append(("has no projection", "assign the one its maker names, such as EPSG:4326 for degrees"))
    elif not (crs.is_geographic or crs.is_projected):
        wrong.append(("has a projection of its own that is not tied to the Earth", "reproject it to EPSG:4326 or UTM"))
    numbers = np.array([place.a, place.b, place.c, place.d, place.e, place.f])
    if place.is_identity or not np.isfinite(numbers).all() or abs(place.determinant) < 1e-18:
        wrong.append(("does not say where its pixels lie", "give it a georeference (corner and pixel size)"))
    if wrong:
        return wrong
    columns, rows = np.array([0, raster.width, 0, raster.width]), np.array([0, 0, raster.height, raster.height])
    x = place.a * columns + place.b * rows + place.c
    y = place.d * columns + place.e * rows + place.f
    as_degrees = bool((np.abs(x) <= 361.0).all() and (np.abs(y) <= 90.1).all())
    if crs.is_geographic and not as_degrees:
        return [
            (
                f"says its corners are degrees, yet one lies at {x[0]:.0f}, {y[0]:.0f}",
                "they look like metres: assign the projection they are in, such as a UTM zone",
            )
        ]
    if crs.is_projected and as_degrees:
        return [
            (
                f"says its corners are metres, yet all lie within {np.abs([x, y]).max():.3f} of 0",
                "they look like degrees: assign EPSG:4326",
            )
        ]
    return []


def _size_wrong(raster: Any) -> list[tuple[str, str]]:
    if min(raster.width, raster.height) < 2:
        return [(f"is {raster.width} x {raster.height} pixels: no grid", "give a raster of at least 2 x 2 pixels")]
    block = raster.block_shapes[0]
    if block[0] * block[1] > MOST_BLOCK_PIXELS:
        return [
            (
                f"is stored in blocks of {block[1]} x {block[0]} pixels, too large to unpack safely",
                "store it again in tiles, or crop it",
            )
        ]
    return []


def _unit_word(raster: Any) -> str:
    """The unit of height as the file spells it: the band's own, else a tag's, else empty."""
    words = [raster.units[0] or ""]
    for tags in (raster.tags(1), raster.tags()):
        small = {str(key).lower(): str(value) for key, value in tags.items()}
        words += [small[key] for key in _UNIT_TAGS if key in small]
    return next((word.strip() for word in words if word.strip()), "")


def _source(raster: Any, name: str) -> str:
    small = {str(key).lower(): str(value).strip() for key, value in raster.tags().items()}
    said = next((small[key] for key in _SOURCE_TAGS if small.get(key)), "")
    plain = "".join(letter for letter in said if letter.isprintable())[:200]
    return f"{name}: {plain}" if plain else name


def _notes(raster: Any, word: str, metres_per_unit: float, scale: float) -> list[TerrainNote]:
    notes = []
    if not word:
        notes.append(TerrainNote(TerrainNoteKind.UNIT_ASSUMED, 1.0, "m"))
    elif metres_per_unit != 1.0:
        notes.append(TerrainNote(TerrainNoteKind.UNIT_CONVERTED, metres_per_unit, "m"))
    if scale != 1.0:
        notes.append(TerrainNote(TerrainNoteKind.SCALED, scale))
    if raster.count > 1:
        notes.append(TerrainNote(TerrainNoteKind.FIRST_OF_BANDS, float(raster.count)))
    return notes
