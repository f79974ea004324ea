"""A plan full of what nobody else should learn, and the search for it in everything that a run gives out.

The place is invented: open sea of the far south, with hills that are not there.
"""

from __future__ import annotations

import base64
import json
import re
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np
import pypdf
import rasterio
from rasterio.transform import from_origin

from turnback.physics.geodesy import lat_lon_deg

LAT, LON = -61.318264, -163.847211
LAUNCH_GROUND_M = 1283.7
STEP_DEG = 1.0 / 1200.0
NOW = "2026-03-24T14:00Z"

FOLDER = "behind-maplewick-farm"
TERRAIN = "wombat-ridge-dem.tif"
SOURCE_TAG = "Survey of Ostermark sheet 42"
TRACK = "brackenholt-loop.gpx"
AREAS = "neighbours-of-maplewick.geojson"
AREA_NAMES = ("Quillfeather school", "Dunnock playground")
PLAN_NOTE = "Behind Grandmother's at Maplewick Lane 17"

WORDS: Final = (
    FOLDER, "maplewick", "wombat-ridge", ".tif", SOURCE_TAG, "ostermark", TRACK, "brackenholt", ".gpx", ".geojson",
    ".toml",
    *AREA_NAMES, "quillfeather", "dunnock", PLAN_NOTE, "grandmother", "YQXZ", "24008KT", "A01 THUNDER", "saffron-kite",
    "pack-of-tamsin", "tamsin", "pebble-field", "latitude", "longitude", "EPSG", "from_record",
)  # fmt: skip
"""In small letters or large: names of places and people, ids, notes, files, the station and text of the report."""

SHOWN_UNREDACTED: Final = ("wombat-ridge", SOURCE_TAG, "quillfeather", PLAN_NOTE)
"""Those that an ordinary report shows: the search finds them there, or it would find nothing anywhere."""

SITE = f"""\
schema = 1
id = "pebble-field"
note = "the field of Maplewick farm"
terrain = "{TERRAIN}"
latitude_deg = {LAT}
longitude_deg = {LON}
antenna_height_m = 1.8
canopy = "none"
people_areas = "{AREAS}"
local_limits = {{ looked_up = "yes", height_m = 120, distance_m = 1500, in_sight = "no" }}
"""
PLAN = f"""\
schema = 1
id = "saffron-kite-evening"
note = "{PLAN_NOTE}"
site = "pebble-field.toml"
observer = "yes"

[aircraft]
id = "saffron-kite"
note = "Saffron-kite of Tamsin, Maplewick"
class = "5-inch, 6 cells"
mass_g = 460
on_radio_loss = "automatic return"
automatic_return = {{ height_m = 90, speed_mps = 10 }}

[pack]
id = "pack-of-tamsin"
note = "Tamsin's, kept at Maplewick"
label = "6S 1300 mAh 100C"
resistance_mohm_per_cell = 5.2

[radio]
control = "2.4 GHz, 250 mW"
video = "analogue 5.8 GHz, 600 mW"

[pilot]
id = "tamsin"
note = "Tamsin of Maplewick"
packs_flown = 120

[weather]
metar = "METAR YQXZ 241320Z 24008KT 9999 18/09 Q1017 RMK A01 THUNDER"
metar_distance_km = 12

[answers]
propellers_verified_today = "yes"
rest_v_per_cell = 4.18
who_can_be_underneath = "nobody"
return_tested_on_this_build = "yes"
"""
LEARNED = """\
schema = 1

[[entries]]
of = "pack"
id = "pack-of-tamsin"
on = 2025-06-30
quantity = "resistance_mohm_per_cell"
value = 5.1
low = 4.9
high = 5.3
from_record = "Maplewick, evening of 30 June"
"""

ROUTE_M: Final = ((0.0, 0.0), (420.0, 510.0), (640.0, 830.0))
RING_M: Final = ((350.0, 380.0), (520.0, 380.0), (520.0, 640.0), (350.0, 640.0), (350.0, 380.0))


def degrees(points: Any) -> list[tuple[float, float]]:
    """Return latitude and longitude of places in metres from the launch point."""
    east, north = np.array(points).T
    lat, lon = lat_lon_deg(east, north, LAT, LON)
    return [(round(float(a), 7), round(float(b), 7)) for a, b in zip(lat, lon, strict=True)]


PLACES: Final = [(LAT, LON), *degrees(ROUTE_M), *degrees(RING_M)]


def write(folder: Path, *, track: bool) -> Path:
    """Write the plan and all it names into a folder with a telling name, and return the plan's path.

    Parameters
    ----------
    folder : Path
        Where the telling folder is made.
    track : bool
        The route is a GPX track with names, not waypoints in degrees.
    """
    home = folder / FOLDER
    home.mkdir()
    _terrain(home / TERRAIN)
    (home / "pebble-field.toml").write_text(SITE, encoding="utf-8")
    (home / AREAS).write_text(_areas(), encoding="utf-8")
    (home / "learned.toml").write_text(LEARNED, encoding="utf-8")
    (home / TRACK).write_text(_gpx(), encoding="utf-8")
    plan = home / "maplewick-evening.toml"
    plan.write_text(PLAN + (f'\n[route]\nfile = "{TRACK}"\n' if track else _waypoints()), encoding="utf-8")
    return plan


def faces(out: str, folder: Path) -> dict[str, str]:
    """Return all that a run gave out, as text: what it printed, and every file as it is, unpacked and decoded."""
    found = {"printed": out}
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            found |= {f"{path.name}{part}": text for part, text in _faces_of(path)}
    return found


def secrets_in(text: str) -> list[str]:
    """Return every secret word and every coordinate in a text.

    A coordinate is a number within 0.001 degrees of one of the plan, with its sign; or, without its sign, the launch
    point to four decimals (with three, one of some ten thousand numbers would meet it by chance).
    """
    small = text.lower().replace("\u2212", "-").replace("\u00a0", " ").replace("&#39;", "'")
    found = [word for word in WORDS if word.lower() in small]
    numbers = np.array([float(number) for number in re.findall(r"(?<![\w.])-\d+\.\d+", small)])
    for place in PLACES:
        found += [f"{degree}" for degree in place if numbers.size and np.abs(numbers - degree).min() < 1e-3]
    for degree in PLACES[0]:
        cut = f"{abs(degree):.6f}"[:-2]
        found += [cut] if re.search(rf"(?<![\d.]){re.escape(cut)}", small) else []
    return found


def _faces_of(path: Path) -> Iterator[tuple[str, str]]:
    data = path.read_bytes()
    yield "", data.decode("utf-8", errors="replace")
    if path.suffix == ".pdf":
        yield from _pdf(path)
    if data.startswith(b"\x89PNG"):
        yield " (PNG)", _png(data)
    for place, coded in enumerate(re.findall(rb"data:[a-z/+-]+;base64,([A-Za-z0-9+/=]+)", data)):
        inner = base64.b64decode(coded)
        yield f" (data {place})", _png(inner) if inner.startswith(b"\x89PNG") else inner.decode("latin-1")


def _pdf(path: Path) -> Iterator[tuple[str, str]]:
    """Give a PDF's text, its metadata, and every object with its stream unpacked."""
    reader = pypdf.PdfReader(path)
    yield " (text)", "\n".join(page.extract_text() for page in reader.pages)
    yield " (metadata)", f"{reader.metadata} {reader.xmp_metadata and reader.xmp_metadata.stream.get_data()!r}"
    for number in range(1, len(reader.xref[0]) + len(reader.xref_objStm) + 1):
        item = pypdf.generic.IndirectObject(number, 0, reader).get_object()
        yield f" (object {number})", repr(item)
        is_font = isinstance(item, pypdf.generic.StreamObject) and ("/Length1" in item or item.get("/Subtype") in FONTS)
        if isinstance(item, pypdf.generic.StreamObject) and not is_font and item.get("/Subtype") != "/Image":
            yield f" (stream {number})", item.get_data().decode("latin-1")


FONTS: Final = ("/CIDFontType0C", "/OpenType", "/Type1C")


def _png(data: bytes) -> str:
    """Return a PNG's text chunks; pixels carry no words."""
    found, at = [], 8
    while at < len(data):
        (size,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        assert zlib.crc32(kind + body) == struct.unpack(">I", data[at + 8 + size : at + 12 + size])[0]
        if kind in (b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"tIME"):
            found.append(f"chunk {kind.decode()} {body.decode('latin-1')}")
        at += size + 12
    return "\n".join(found)


def _terrain(path: Path) -> None:
    """A hill of the shape of nothing, 1283.7 m at the launch point, in pixels of three seconds of arc."""
    size = 160
    rows, columns = np.mgrid[0:size, 0:size]
    hill = 90.0 * np.exp(-(((rows - 70.0) / 6.0) ** 2 + ((columns - 95.0) / 9.0) ** 2))
    heights = hill + 8.0 * np.sin(rows / 9.0) * np.cos(columns / 7.0)
    heights += LAUNCH_GROUND_M - heights[size // 2, size // 2]
    corner = (LON - (size / 2 + 0.5) * STEP_DEG, LAT + (size / 2 + 0.5) * STEP_DEG)
    with rasterio.open(path, "w", driver="GTiff", count=1, height=size, width=size, dtype="float32", crs="EPSG:4326",
                       transform=from_origin(*corner, STEP_DEG, STEP_DEG)) as raster:  # fmt: skip
        raster.write(heights.astype(np.float32)[None])
        raster.set_band_unit(1, "m")
        raster.update_tags(source=SOURCE_TAG)


def _areas() -> str:
    rings = [degrees(RING_M), degrees([(-x, -y) for x, y in RING_M])]
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [[[lon, lat] for lat, lon in ring]]},
        }
        for name, ring in zip(AREA_NAMES, rings, strict=True)
    ]
    return json.dumps({"type": "FeatureCollection", "features": features})


def _gpx() -> str:
    points = "".join(
        f'<trkpt lat="{lat}" lon="{lon}"><ele>{LAUNCH_GROUND_M + 85.0}</ele><name>Brackenholt gate</name></trkpt>'
        for lat, lon in degrees(ROUTE_M)
    )
    return (
        '<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><name>Brackenholt loop</name><trkseg>{points}</trkseg></trk></gpx>"
    )


def _waypoints() -> str:
    rows = ", ".join(
        f"{{ latitude_deg = {lat}, longitude_deg = {lon}, height_m = 85 }}" for lat, lon in degrees(ROUTE_M)[1:]
    )
    return f"\n[route]\nwaypoints = [{rows}]\n"
