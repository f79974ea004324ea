"""What a recorder on board sees of a flight: canonical channels at the rows of a record, in SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.flyer import Flight

Floats = NDArray[np.float64]
Rng = np.random.Generator
CORNERS: Final = ("front-left", "front-right", "rear-left", "rear-right")
BASE_HZ: Final = (1000, 500, 500, 250, 250, 200, 100, 100, 50, 50, 25, 10)
MODE_WORDS: Final = (
    ("RATE", "LEVEL", "RETURN", "DESCEND", "STOPPED"),
    ("rate", "self level", "going home", "descending", "failsafe stop"),
    ("manual", "stabilised", "return", "land", "off"),
    ("Drehrate", "Selbstausgleich", "Heimflug", "Sinkflug", "Aus"),
)


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """One channel.

    Parameters
    ----------
    quantity : str
        Name of the canonical quantity.
    values : ndarray, shape (n,)
        Canonical unit; of words the place in `labels`.
    corner : int, optional
        Place in `CORNERS`.
    cell : int, optional
        From 1.
    fresh : ndarray of bool, shape (n,), optional
        Rows at which it is measured anew; all where absent.
    labels : tuple of str
    """

    quantity: str
    values: Floats
    corner: int | None = None
    cell: int | None = None
    fresh: NDArray[np.bool_] | None = None
    labels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """A record before anyone writes it down.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        Seconds of the flight, not of the record.
    rate_hz : float
    channels : list of Made
    start : int
        Row of the flight's log at which it begins.
    restart_row : int or None
        First row after a restart.
    """

    t_s: Floats
    rate_hz: float
    channels: list[Made]
    restart_row: int | None = None
    facts: dict[str, Any] = field(default_factory=dict)


def slow(rng: Rng, n: int, size: float, tau_rows: float) -> Floats:
    """Return slowly wandering noise of a given standard deviation."""
    every = max(1, int(tau_rows / 4))
    knots = rng.standard_normal(n // every + 3)
    smooth = np.convolve(knots, [0.25, 0.5, 0.25], mode="same") * 1.6
    return np.asarray(size * np.interp(np.arange(n) / every, np.arange(len(knots)), smooth))


def ticks(rng: Rng, n: int, rate_hz: float, wanted_hz: float) -> NDArray[np.bool_] | None:
    """Return the rows at which a slower sensor gives a new value; None where it is as fast as the rows."""
    if wanted_hz >= rate_hz * 0.7:
        return None
    step = rate_hz / wanted_hz
    rows = np.arange(rng.uniform(0, step), n, step).astype(int)
    fresh = np.zeros(n, bool)
    fresh[rows] = True
    fresh[0] = True
    return fresh


def hold(values: Floats, fresh: NDArray[np.bool_] | None) -> Floats:
    """Repeat each fresh value until the next."""
    if fresh is None:
        return values
    rows = np.flatnonzero(fresh)
    return np.asarray(values[rows[np.cumsum(fresh) - 1]])


def rows_of(flight: Flight, rate_hz: int, rng: Rng) -> tuple[NDArray[np.intp], int | None]:
    """Return the rows of the log that are recorded, and the place of the first after a restart."""
    log, faults = flight.log, flight.design.faults
    first, last = 0, len(log)
    if rng.random() < 0.4:
        first = int(flight.design.plan.arm_at * 1000)
        off = np.flatnonzero(log[first + 500 :, at.ARMED] < 0.5)
        if off.size and faults.restart > 1e8:
            last = min(last, first + 500 + int(off[0]) + int(rng.integers(0, 1500)))
    rows = np.arange(first, last, 1000 // rate_hz)
    keep = (rows < faults.restart * 1000) | (rows >= faults.restart_end * 1000)
    again = int(np.count_nonzero(rows < faults.restart * 1000)) if faults.restart < 1e8 else None
    rows = rows[keep]
    return rows, again if again is not None and again < len(rows) else None


def see(flight: Flight, rng: Rng) -> Seen:
    """Return every channel that a recorder could have, at a drawn rate."""
    rate = int(rng.choice(BASE_HZ))
    rows, again = rows_of(flight, rate, rng)
    log = flight.log[rows].astype(np.float64)
    made = [
        *motion(flight, log, rate, rng),
        *outputs(log, rng),
        *switches(log, rng),
        *pack(flight, log, rate, rng),
        *radio(log, rate, rng),
        *position(flight, log, rate, rng),
    ]
    return Seen(rows.astype(np.float64) * 1e-3, float(rate), made, again)


def motion(flight: Flight, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return rates, demands, accelerations, angles, magnetic field."""
    n, names = len(log), ("roll", "pitch", "yaw")
    found = []
    for k, name in enumerate(names):
        found.append(Made(f"{name}_rate", log[:, at.GYRO + k]))
        found.append(Made(f"{name}_rate_demand", log[:, at.DEMAND + k]))
        found.append(Made(f"acceleration_{'xyz'[k]}", log[:, at.ACC + k]))
    roll = log[:, at.ROLL] + slow(rng, n, 0.008, rate * 4.0)
    pitch = log[:, at.PITCH] + slow(rng, n, 0.008, rate * 4.0)
    heading = np.mod(log[:, at.HEADING] + slow(rng, n, 0.03, rate * 8.0), 2 * math.pi)
    found += [Made("roll", roll), Made("pitch", pitch), Made("heading", heading)]
    if flight.design.plan.rate_mode < 0.5:
        found.append(Made("roll_demand", log[:, at.TILT_DEMAND]))
        found.append(Made("pitch_demand", log[:, at.TILT_DEMAND + 1]))
    sr, cr, sp, cp = np.sin(roll), np.cos(roll), np.sin(pitch), np.cos(pitch)
    north, down = 20.0, 43.0
    fresh = ticks(rng, n, rate, 50.0)
    body = (
        cp * np.cos(heading) * north - sp * down,
        (sr * sp * np.cos(heading) - cr * np.sin(heading)) * north + sr * cp * down,
        (cr * sp * np.cos(heading) + sr * np.sin(heading)) * north + cr * cp * down,
    )
    for k, field_ut in enumerate(body):
        noisy = field_ut + rng.normal(0.0, 0.4, n) + rng.normal(0.0, 2.0)
        found.append(Made(f"magnetic_{'xyz'[k]}", hold(noisy, fresh), fresh=fresh))
    return found


def outputs(log: Floats, rng: Rng) -> list[Made]:
    """Return corner outputs, rotor speeds and sticks."""
    found = []
    for c in range(4):
        found.append(Made("output", log[:, at.OUT + c], corner=c))
        turns = np.maximum(0.0, log[:, at.SPEED + c] / (2 * math.pi) + rng.normal(0.0, 0.3, len(log)))
        found.append(Made("rotor_speed", np.where(turns < 8.0, 0.0, turns), corner=c))
    for k, name in enumerate(("roll_stick", "pitch_stick", "yaw_stick", "throttle")):
        found.append(Made(name, log[:, at.STICK + k]))
    return found


def switches(log: Floats, rng: Rng) -> list[Made]:
    """Return what is on or off, and the mode in words."""
    words = MODE_WORDS[int(rng.integers(0, len(MODE_WORDS)))]
    return [
        Made("armed", (log[:, at.ARMED] > 0.5).astype(np.float64)),
        Made("mode", log[:, at.MODE], labels=words),
        Made("return_active", (log[:, at.MODE] == at.RETURN).astype(np.float64)),
        Made("link_loss", (log[:, at.LOST] > 0.5).astype(np.float64)),
    ]


def pack(flight: Flight, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return volts, current, charge and temperatures."""
    craft, n = flight.design.craft, len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([50.0, 100.0, 200.0])))
    volts, current = log[:, at.VOLTS], log[:, at.CURRENT]
    cells = int(craft.cells)
    each = np.array([volts / cells + rng.normal(0.0, 0.006) for _ in range(cells)])
    if craft.weak_cell > 0.0:
        weak = int(rng.integers(0, cells))
        each[weak] -= craft.weak_cell * (0.25 + 4.0 * craft.r_pack / cells * current)
    total = each.sum(axis=0) + rng.normal(0.0, 0.012, n)
    amps = np.maximum(0.0, current * rng.uniform(0.97, 1.03) + rng.normal(0.0, 0.15, n))
    found = [
        Made("cell_volts", hold(v + rng.normal(0.0, 0.004, n), fresh), cell=i + 1, fresh=fresh)
        for i, v in enumerate(each)
    ]
    warm = np.cumsum(current) / rate
    found += [
        Made("pack_volts", hold(total, fresh), fresh=fresh),
        Made("current", hold(amps, fresh), fresh=fresh),
        Made("charge_used", hold(log[:, at.CHARGE], fresh), fresh=fresh),
        Made("power", hold(total * amps, fresh), fresh=fresh),
        Made("supply_volts", hold(5.05 + rng.normal(0.0, 0.015, n), fresh), fresh=fresh),
        Made("pack_temperature", rng.uniform(12.0, 28.0) + 0.006 * warm / craft.capacity),
        Made("board_temperature", rng.uniform(28.0, 40.0) + slow(rng, n, 1.5, rate * 20.0)),
    ]
    return found


def radio(log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return levels, qualities and what goes with them."""
    n = len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([10.0, 20.0, 50.0])))
    level = np.round(log[:, at.LEVEL] + rng.normal(0.0, 0.5, n))
    lost = log[:, at.LOST] > 0.5
    level = np.maximum(level, -130.0)
    quality = np.round(np.where(lost, 0.0, log[:, at.QUALITY]), 2)
    back = np.round(level - rng.uniform(0.0, 4.0) + rng.normal(0.0, 0.6, n))
    video = np.round(level - rng.uniform(0.0, 10.0) + rng.normal(0.0, 1.0, n))
    noise = np.clip(np.round(level + rng.uniform(100.0, 108.0)), -15.0, 45.0)
    made = {
        "link_level": level,
        "link_level_back": back,
        "link_quality": quality,
        "video_level": video,
        "link_quality_back": np.round(np.clip(quality - 0.01, 0.0, 1.0), 2),
        "signal_to_noise": noise,
        "transmit_power": np.full(n, float(rng.choice([0.025, 0.05, 0.1, 0.25]))),
    }
    return [Made(key, hold(values, fresh), fresh=fresh) for key, values in made.items()]


def position(flight: Flight, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return the satellite position, heights, speeds and the stored launch point."""
    faults, n = flight.design.faults, len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([5.0, 10.0])))
    north = log[:, at.NORTH] + slow(rng, n, 0.6, rate * 15.0) + rng.normal(0.0, 0.1, n)
    east = log[:, at.EAST] + slow(rng, n, 0.6, rate * 15.0) + rng.normal(0.0, 0.1, n)
    v = log[:, at.VEL : at.VEL + 3] + rng.normal(0.0, 0.08, (n, 3))
    lat0, lon0, ground = rng.uniform(36.0, 60.0), rng.uniform(-8.0, 24.0), rng.uniform(5.0, 700.0)
    east_m = 111_320.0 * math.cos(math.radians(lat0))
    height = -log[:, at.DOWN]
    dn, de = faults.launch_n - north, faults.launch_e - east
    made: dict[str, Floats] = {
        "latitude": lat0 + north / 111_320.0,
        "longitude": lon0 + east / east_m,
        "launch_latitude": np.full(n, lat0 + faults.launch_n / 111_320.0),
        "launch_longitude": np.full(n, lon0 + faults.launch_e / east_m),
        "height_sea_level": ground + height + slow(rng, n, 1.0, rate * 20.0),
        "ground_speed": np.hypot(v[:, 0], v[:, 1]),
        "course": np.mod(np.arctan2(v[:, 1], v[:, 0]), 2 * math.pi),
        "velocity_north": v[:, 0],
        "velocity_east": v[:, 1],
        "velocity_down": v[:, 2],
        "fix_uncertainty": np.asarray(np.round(np.abs(1.1 + slow(rng, n, 0.2, rate * 10.0)), 1), np.float64),
        "satellites": np.asarray(np.round(np.clip(14.0 + slow(rng, n, 1.5, rate * 15.0), 6.0, 24.0)), np.float64),
        "distance_launch": np.hypot(dn, de),
        "bearing_launch": np.mod(np.arctan2(de, dn), 2 * math.pi),
    }
    found = [Made(key, hold(values, fresh), fresh=fresh) for key, values in made.items()]
    baro = ticks(rng, n, rate, float(rng.choice([25.0, 50.0])))
    low = height + slow(rng, n, 0.25, rate * 10.0)
    air = np.hypot(np.hypot(log[:, at.VEL] - log[:, at.WIND], log[:, at.VEL + 1] - log[:, at.WIND + 1]), v[:, 2])
    found += [
        Made("height_launch", hold(low + rng.normal(0.0, 0.05, n), baro), fresh=baro),
        Made(
            "pressure",
            hold(101_325.0 * (1.0 - 2.25577e-5 * (ground + low)) ** 5.25588 + rng.normal(0.0, 1.0, n), baro),
            fresh=baro,
        ),
        Made("climb_rate", hold(-v[:, 2] + rng.normal(0.0, 0.1, n), baro), fresh=baro),
        Made("airspeed", hold(np.maximum(0.0, air + rng.normal(0.0, 0.4, n)), baro), fresh=baro),
    ]
    return found
