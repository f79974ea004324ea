"""Where ground is fetched from: an address that the user sets, with places for the tile's corner."""

from __future__ import annotations

import math
import string
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from turnback.base.errors import InputError, bad_input

PLACES: Final = ("NS", "EW", "ns", "ew", "lat", "lon")
MOST_TILES: Final = 16  # of a degree: a radius of 50 km touches no more, but near the poles
WHERE: Final = "--from"
EXAMPLE: Final = "https://elevation.example/{NS}{lat}{EW}{lon}.tif"


@dataclass(frozen=True, slots=True)
class Box:
    """West, south, east and north in degrees."""

    west: float
    south: float
    east: float
    north: float


def verified_template(template: str) -> str:
    """Return an address template, if it is one.

    Raises
    ------
    InputError
        If it is no address of the web, or holds a place that is not known.
    """
    try:
        places = [place for _, place, _, _ in string.Formatter().parse(template) if place is not None]
    except ValueError:
        places = ["{"]
    unknown = [place for place in places if place not in PLACES]
    if unknown:
        known = ", ".join(f"{{{place}}}" for place in PLACES)
        raise bad_input(WHERE, f"{{{unknown[0]}}} is no place of an address", f"known: {known}, as in {EXAMPLE}")
    parts = urlsplit(template)
    if parts.scheme not in ("http", "https") or not parts.hostname or any(sign in template for sign in "\0\n\r \"'"):
        raise bad_input(WHERE, f"{template[:80]!r} is no address of the web", f"write one such as {EXAMPLE}")
    if bool({"lat", "NS", "ns"} & set(places)) != bool({"lon", "EW", "ew"} & set(places)):
        raise bad_input(WHERE, "the address has a place for one of latitude and longitude only", "write both")
    return template


def addresses(template: str, box: Box) -> list[tuple[str, Box]]:
    """Return the address of every tile of a degree that a box meets, and the part of the box in it.

    Parameters
    ----------
    template : str
        ``{NS}{lat}`` and ``{EW}{lon}`` are those of the tile's south-west corner: ``N36``, ``W085``. Without any, all
        ground is behind the one address.

    Raises
    ------
    InputError
        If the box meets more tiles than anybody should ask for.
    """
    if "{" not in template:
        return [(template, box)]
    rows = range(math.floor(box.south), math.ceil(box.north))
    columns = range(math.floor(box.west), math.ceil(box.east))
    if len(rows) * len(columns) > MOST_TILES:
        raise bad_input("--radius", f"meets {len(rows) * len(columns)} tiles of a degree", "ask for less ground")
    found = []
    for lat in rows:
        for lon in columns:
            part = Box(max(box.west, lon), max(box.south, lat), min(box.east, lon + 1.0), min(box.north, lat + 1.0))
            found.append((_filled(template, lat, (lon + 180) % 360 - 180), part))
    return found


def _filled(template: str, lat: int, lon: int) -> str:
    north_south, east_west = "S" if lat < 0 else "N", "W" if lon < 0 else "E"
    return template.format(
        NS=north_south, EW=east_west, ns=north_south.lower(), ew=east_west.lower(), lat=f"{abs(lat):02d}",
        lon=f"{abs(lon):03d}",
    )  # fmt: skip


def host_of(address: str) -> str:
    """Return whom an address asks, for sentences."""
    parts = urlsplit(address)
    return parts.hostname or address


def no_template() -> InputError:
    """Return the fault of a user who set no address."""
    return bad_input(
        WHERE, "no address to fetch ground from is set",
        f"give one of an open elevation service, such as {EXAMPLE}, or set TURNBACK_TERRAIN_FROM",
    )  # fmt: skip
