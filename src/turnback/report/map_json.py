"""The turn-back map for scripts: ring, heights and what each layer says in short; the cells stand in the GeoTIFF.

The shape of what is written is declared here as records; ``map_schema.py`` makes the JSON Schema from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from turnback.records.common import SCHEMA
from turnback.records.finding import Spread
from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Layer, Reason, TurnBackRing
from turnback.records.terrain import TerrainNote
from turnback.report.brief_json import AreaData, json_text, plain
from turnback.report.cautions import cautions
from turnback.report.language import text
from turnback.report.map_files_meanings import MEANINGS, REASON_MEANINGS

SCHEMA_NAME: Final = "map.schema.json"
"""The schema's file, beside ``map.json``."""
GEOTIFF_NAME: Final = "map.tif"
_LINES_AT_ONCE: Final = 256
_CODES: Final = 1 << 16


@dataclass(frozen=True, slots=True)
class CodeData:
    """How much of a layer holds one code."""

    code: int
    name: str
    meaning: str
    share: float
    """Of the cells that are known."""


@dataclass(frozen=True, slots=True)
class LayerData:
    """One layer of the map in short. Its cells stand in the GeoTIFF, in the band of this number."""

    key: str
    band: int
    meaning: str
    unit: str
    scale: float
    """A stored number times this is in the unit."""
    known_share: float
    """Of all cells of the square grid."""
    least: float | None
    median: float | None
    most: float | None
    """Of the cells that are known, in the unit; null for a layer of codes."""
    codes: tuple[CodeData, ...]
    """For a layer of codes; empty for numbers."""


@dataclass(frozen=True, slots=True)
class HeightData:
    """The map at one more height."""

    height_m: float
    ring: TurnBackRing


@dataclass(frozen=True, slots=True)
class GridData:
    """The cells: local metres, x east and y north of the launch point, row 0 north."""

    rows: int
    columns: int
    cell_m: float
    x_west_m: float
    """Centre of the cell in row 0 and column 0,"""
    y_north_m: float
    """and how far north it lies."""
    radius_m: float
    no_data: int
    file: str
    """The GeoTIFF that holds them."""


@dataclass(frozen=True, slots=True)
class GroundData:
    """Where the ground heights come from."""

    source: str
    assumed: bool
    """True where the ground was not measured: flat, or with typed-in ridges."""
    notes: tuple[TerrainNote, ...]


@dataclass(frozen=True, slots=True)
class HomeMapData:
    """A turn-back map: from where an aircraft comes home, with every number but the cells. Not known is null."""

    schema: int
    """Version of this shape."""
    title: str
    height_m: float
    """The height flown, above"""
    height_above: Literal["launch", "ground"]
    """the launch point, or the ground below the aircraft."""
    ring: TurnBackRing
    heights: tuple[HeightData, ...]
    """Other heights, ascending; empty where nobody asked for them."""
    layers: tuple[LayerData, ...]
    grid: GridData
    sight_m: float
    """How far an observer can tell which way this aircraft points."""
    limit_height_m: float | None
    limit_distance_m: float | None
    """Local limits as they were entered."""
    over_limit: bool
    """This map's height lies above the entered limit, somewhere."""
    return_set_m: float | None
    """Height of the automatic return above launch, as it is set."""
    return_works: Spread | None
    """Share of bearings on which an automatic return beats the wind."""
    launch_lat_deg: float | None
    launch_lon_deg: float | None
    areas: tuple[AreaData, ...]
    terrain: GroundData
    measured: tuple[Literal["control", "video"], ...]
    """Links that a range walk corrected here."""
    cautions: tuple[str, ...]
    draws: int
    seed: int


def map_json(found: HomeMap) -> str:
    """Return the map as JSON text, one object, ending in a line feed. What is not a number is null."""
    return json_text(map_data(found))


def map_data(found: HomeMap) -> dict[str, Any]:
    """Return the map as plain data, of the shape of `HomeMapData`."""
    rows, columns = found.heights_m.shape
    grid = GridData(
        rows, columns, found.cell_m, found.x_west_m, found.y_north_m, found.radius_m, NO_DATA, GEOTIFF_NAME
    )  # fmt: skip
    keys = [key for key in LAYERS if key in found.layers]
    measured: tuple[Any, ...] = found.measured
    above: Any = found.height_above
    data: dict[str, Any] = plain(
        HomeMapData(
            schema=SCHEMA,
            title=found.title,
            height_m=found.height_m,
            height_above=above,
            ring=found.ring,
            heights=tuple(HeightData(each.height_m, each.ring) for each in found.heights),
            layers=tuple(layer_data(found.layers[key], band) for band, key in enumerate(keys, start=1)),
            grid=grid,
            sight_m=found.sight_m,
            limit_height_m=found.limit_height_m,
            limit_distance_m=found.limit_distance_m,
            over_limit=found.over_limit,
            return_set_m=found.return_set_m,
            return_works=found.return_works,
            launch_lat_deg=found.launch_lat_deg,
            launch_lon_deg=found.launch_lon_deg,
            areas=tuple(AreaData(name, ring[:, 0], ring[:, 1]) for name, ring in found.areas),
            terrain=GroundData(found.terrain_source, found.terrain_assumed, found.terrain_notes),
            measured=measured,
            cautions=cautions(),
            draws=found.draws,
            seed=found.seed,
        )
    )
    return {"$schema": SCHEMA_NAME, **data}


def layer_data(layer: Layer, band: int) -> LayerData:
    """Return a layer in short.

    Parameters
    ----------
    layer : Layer
    band : int
        Its number in the GeoTIFF, from 1.
    """
    counts = _counts(layer.values)
    stored = np.arange(_CODES) - _CODES // 2
    counts[stored == NO_DATA] = 0
    known = int(counts.sum())
    least = median = most = None
    codes: tuple[CodeData, ...] = ()
    if layer.unit == "":
        codes = tuple(_code(layer.key, int(code), int(counts[code - stored[0]]) / known)
                      for code in stored[counts > 0])  # fmt: skip
    elif known:
        up_to = np.cumsum(counts)
        least, median, most = (
            round(float(stored[np.searchsorted(up_to, place)]) * layer.scale, 9)
            for place in (1, (known + 1) // 2, known)
        )
    return LayerData(
        layer.key, band, text(MEANINGS[layer.key]), layer.unit, layer.scale, known / layer.values.size, least, median,
        most, codes,
    )  # fmt: skip


def _counts(values: NDArray[np.int16]) -> NDArray[np.int64]:
    """Return how often each of the 65,536 numbers stands in a layer, a few lines at a time."""
    counts = np.zeros(_CODES, dtype=np.int64)
    for top in range(0, values.shape[0], _LINES_AT_ONCE):
        lines = values[top : top + _LINES_AT_ONCE].astype(np.int32) + _CODES // 2
        counts += np.bincount(lines.ravel(), minlength=_CODES)
    return counts


def _code(key: str, code: int, share: float) -> CodeData:
    if key == "reason":
        reason = Reason(code)
        return CodeData(code, reason.name.lower(), text(REASON_MEANINGS[reason]), share)
    if code == 1:
        return CodeData(code, "seen", text("nothing stands in between"), share)
    return CodeData(code, "hidden", text("ground or trees stand in between"), share)
