"""Read a range walk: link levels against position, from a record or typed in, with what they cannot say marked so."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.physics.geodesy import east_north_m
from turnback.readers.walk_rows import MOST_FAULTS, RawReading, RawWalk, read_rows
from turnback.readers.walk_spots import read_spots
from turnback.records.walk import Walk, WalkEnd, WalkMode
from turnback.records.walk_read import FloorFrom, WalkRead
from turnback.rules.range_walk import FLOOR_SHARE, PACKETS_LEAST

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Launch = tuple[float, float]

HAND_M: Final = 1.0  # our choice: where a hand carries it
LOW_FLIGHT_M: Final = 20.0  # our choice: a first short flight, where the record does not say its height
FARTHEST_M: Final = 20_000.0
LEAST_MW, MOST_MW = 0.001, 20_000.0
LEAST_AT_FLOOR: Final = 3
BIN_DB: Final = 1.5  # levels are shown in whole decibels, or halves
USUAL_END: Final = {"control": WalkEnd.AIRCRAFT, "video": WalkEnd.GROUND}
"""Where each link is received: the pilot steers the aircraft, the aircraft sends the picture."""
WHY_POWER: Final = (
    "set one fixed power, switch its automatic adaptation off, and give --power-mw 25 --power-fixed; or record it in a "
    "column power_mw: a radio that turns its own power up with distance makes the level seem to fall too slowly"
)


@dataclass(frozen=True, slots=True)
class WalkSettings:
    """How a walk was taken, as its person says it; None where the record has to say it.

    Attributes
    ----------
    link : str or None
        ``"control"`` or ``"video"``.
    at : WalkEnd or None
        Which end read the level.
    mode : WalkMode
    power_mw : float or None
    power_fixed : bool
        The power stayed as it was set.
    floor_dbm : float or None
        The lowest level that the receiver shows.
    height_m : float or None
        Above the ground, of every reading without one of its own.
    """

    link: str | None = None
    at: WalkEnd | None = None
    mode: WalkMode = WalkMode.ON_FOOT
    power_mw: float | None = None
    power_fixed: bool = False
    floor_dbm: float | None = None
    height_m: float | None = None


def read_walk(
    record: Path | None, spots: Sequence[str], settings: WalkSettings, launch: Launch | None = None
) -> WalkRead:
    """Return a range walk from a record, from spots, or from both.

    Parameters
    ----------
    record : Path or None
        A CSV table; see ``docs/range-walk.md`` for its columns.
    spots : sequence of str
        Such as ``"120 m, 45 deg, -71"``.
    settings : WalkSettings
    launch : tuple of float or None
        Latitude and longitude of the launch point, for a record in degrees.

    Raises
    ------
    InputError
        With every fault of the record and of the settings: no place, no level, no power.
    """
    raw = _raw(record, spots)
    source = record.name if record is not None else "spots"
    readings, link, end, other = _chosen(raw.readings, settings, source)
    faults = _power_faults(readings, settings, source)
    x_m, y_m, bearing_known = _places(readings, launch, source, faults)
    given = [reading.number("level") for reading in readings]
    faults += [
        Fault(reading.where, "it has no level", 'write it in dBm, or "lost" where nothing came')
        for reading, level in zip(readings, given, strict=True)
        if math.isnan(level) and not reading.nothing_came
    ]
    if faults:
        raise InputError(*list(dict.fromkeys(faults))[:MOST_FAULTS])
    level_dbm = np.array(given)
    lost = np.isnan(level_dbm)
    packets = _packets_lost(readings) & ~lost
    floor_dbm, how = _floor(level_dbm[~lost], settings.floor_dbm)
    at_floor = np.zeros(lost.size, dtype=np.bool_) if floor_dbm is None else level_dbm <= floor_dbm + 1e-9
    if floor_dbm is not None:
        level_dbm[lost | at_floor] = floor_dbm
    power_dbm = _power(readings, settings)
    walk = Walk(
        link=link,
        mode=settings.mode,
        read_at=end,
        x_m=x_m,
        y_m=y_m,
        above_ground_m=_heights(readings, settings),
        level_dbm=level_dbm,
        censored=lost | at_floor | packets,
        power_dbm=power_dbm,
        source=source,
    )
    return WalkRead(
        walk=walk,
        bearing_known=bearing_known,
        rows=tuple(reading.where for reading in readings),
        floor_dbm=floor_dbm,
        floor_from=how,
        floor_share=float(at_floor.mean()),
        lost=int(lost.sum()),
        packets=int(packets.sum()),
        other=other,
        columns=tuple((column.named, column.taken_for) for column in raw.columns),
        unused=raw.unused,
        power_varies=bool(np.ptp(power_dbm) > 0.05),
    )


def _raw(record: Path | None, spots: Sequence[str]) -> RawWalk:
    if record is None and not spots:
        raise bad_input("turnback walk", "there are no readings", "give a record, or spots as --spot")
    table = RawWalk([]) if record is None else read_rows(record)
    if record is not None and not table.readings:
        raise bad_input(record.name, "it has no readings below the names of its columns", "give the right file")
    return RawWalk([*table.readings, *read_spots(spots).readings], table.columns, table.unused)


def _chosen(
    readings: list[RawReading], settings: WalkSettings, source: str
) -> tuple[list[RawReading], str, WalkEnd, int]:
    """Return the readings of one link at one end; which it is must be said where the record holds several."""
    link = settings.link or _only(readings, "link", "control", source)
    mine = [reading for reading in readings if reading.words.get("link", link) == link]
    end = settings.at or WalkEnd(_only(mine, "at", USUAL_END[link].value, source))
    mine = [reading for reading in mine if reading.words.get("at", end.value) == end.value]
    if not mine:
        what = f"it has no reading of the {link} link at the {'aircraft' if end is WalkEnd.AIRCRAFT else 'ground'}"
        raise bad_input(source, what, "choose another --link or --at")
    return mine, link, end, len(readings) - len(mine)


def _only(readings: list[RawReading], word: str, usual: str, source: str) -> str:
    said = sorted({reading.words[word] for reading in readings if word in reading.words})
    if len(said) > 1:
        raise bad_input(source, f"its column {word} holds {' and '.join(said)}", f"choose one with --{word}")
    return said[0] if said else usual


def _places(
    readings: list[RawReading], launch: Launch | None, source: str, faults: list[Fault]
) -> tuple[Array, Array, Flags]:
    """Return east and north of every reading, and where its bearing is known; a spot without one lies due north."""

    def column(quantity: str) -> Array:
        return np.array([reading.number(quantity) for reading in readings])

    east, north = column("east"), column("north")
    away, bearing = column("distance"), np.deg2rad(column("bearing"))
    turned = np.nan_to_num(bearing, nan=0.0)
    local = np.isfinite(east) & np.isfinite(north)
    x = np.where(local, east, away * np.sin(turned))
    y = np.where(local, north, away * np.cos(turned))
    lat, lon = column("latitude"), column("longitude")
    round_world = ~local & np.isfinite(lat) & np.isfinite(lon)
    if round_world.any() and launch is None:
        what = "its places are in degrees, but the plan does not say where the launch point is"
        faults.append(Fault(source, what, "add latitude_deg and longitude_deg to the plan's site"))
    elif round_world.any() and launch is not None:
        far = np.hypot((lat - launch[0]) * 111.0, (lon - launch[1]) * 111.0 * math.cos(math.radians(launch[0])))
        near = round_world & (far * 1000.0 < 2.0 * FARTHEST_M)
        x[round_world], y[round_world] = np.inf, np.inf
        x[near], y[near] = east_north_m(lat[near], lon[near], *launch)
    away_m = np.hypot(x, y)
    for place in np.flatnonzero(~(away_m <= FARTHEST_M))[:MOST_FAULTS]:
        if np.isnan(away_m[place]):
            faults.append(Fault(readings[place].where, "it does not say where it was taken", "give both of its places"))
        elif not (round_world[place] and launch is None):
            what = f"it lies more than {FARTHEST_M / 1000.0:g} km from the launch point"
            faults.append(Fault(readings[place].where, what, "correct it, or the launch point of the plan"))
    return x, y, np.asarray(local | round_world | np.isfinite(bearing))


def _heights(readings: list[RawReading], settings: WalkSettings) -> Array:
    usual = HAND_M if settings.mode is WalkMode.ON_FOOT else LOW_FLIGHT_M
    otherwise = usual if settings.height_m is None else settings.height_m
    heights = np.array([reading.number("height") for reading in readings])
    return np.where(np.isfinite(heights), heights, otherwise)


def _power_faults(readings: list[RawReading], settings: WalkSettings, source: str) -> list[Fault]:
    known = [reading for reading in readings if "power" in reading.numbers]
    if settings.power_mw is not None and not LEAST_MW <= settings.power_mw <= MOST_MW:
        what = f"{settings.power_mw:g} mW is outside {LEAST_MW:g} to {MOST_MW:,.0f} mW"
        return [Fault("--power-mw", what, "enter milliwatts, not dBm")]
    if settings.power_mw is not None and known:
        return [Fault("--power-mw", f"{source} holds the power of its readings", "leave the option out")]
    if settings.power_mw is not None and not settings.power_fixed:
        return [Fault("--power-mw", "nobody says that the power stayed as it was set", WHY_POWER)]
    if settings.power_mw is None and not known:
        return [Fault(source, "the transmit power of its readings is not known", WHY_POWER)]
    if settings.power_mw is None and len(known) < len(readings):
        first = next(reading for reading in readings if "power" not in reading.numbers)
        return [Fault(first.where, "it has no transmit power, though others have", WHY_POWER)]
    return []


def _power(readings: list[RawReading], settings: WalkSettings) -> Array:
    if settings.power_mw is not None:
        return np.full(len(readings), 10.0 * math.log10(settings.power_mw))
    return np.array([reading.number("power") for reading in readings])


def _packets_lost(readings: list[RawReading]) -> Flags:
    """Return where more packets were lost than a level can be trusted with; the worse of two columns counts."""
    came = np.array([reading.number("quality") for reading in readings])
    lost = np.array([reading.number("lost") for reading in readings])
    return np.asarray((came < PACKETS_LEAST.value) | (1.0 - lost < PACKETS_LEAST.value))


def _floor(every_dbm: Array, declared_dbm: float | None) -> tuple[float | None, FloorFrom]:
    """Return the lowest level that the receiver shows: as declared, or where the lowest one is shared by too many.

    Levels spread: without a floor the very lowest is met less often than those just above it.
    """
    if declared_dbm is not None:
        return declared_dbm, FloorFrom.DECLARED
    if every_dbm.size == 0:
        return None, FloorFrom.NONE
    lowest = float(every_dbm.min())
    at, near = int((every_dbm == lowest).sum()), int(((every_dbm > lowest) & (every_dbm <= lowest + BIN_DB)).sum())
    piled = at >= max(LEAST_AT_FLOOR, FLOOR_SHARE.value * every_dbm.size) and at > near
    return (lowest, FloorFrom.DETECTED) if piled else (None, FloorFrom.NONE)
