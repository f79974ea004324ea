"""A made-up flight as tables with many styles of names and units, for tests of understanding columns.

Everything is invented: signals are filtered noise with the relations that physics demands between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

Q = Quantity
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Truth:
    """What a column is; `channel` None of a column that is none of ours."""

    channel: Channel | None
    scale: float = 1.0
    offset: float = 0.0


def smooth(rng: np.random.Generator, n: int, rate_hz: float, cutoff_hz: float, spread: float) -> Floats:
    """Return low-pass noise of one spread."""
    noise = np.fft.rfft(rng.normal(size=n))
    frequency = np.fft.rfftfreq(n, 1.0 / rate_hz)
    values = np.fft.irfft(noise / (1.0 + (frequency / cutoff_hz) ** 4) ** 0.5, n)
    return np.asarray(spread * (values - values.mean()) / max(float(values.std()), 1e-12))


def flight(seed: int) -> dict[Channel, Floats]:
    """Return the channels of a flight, canonical units, against ``Channel(TIME)``."""
    rng = np.random.default_rng(seed)
    rate = float(rng.choice([10, 25, 50, 100, 200, 500]))
    n = int(min(12000, rate * rng.uniform(60, 400)))
    t = np.arange(n) / rate
    wild = 10 ** rng.uniform(-0.6, 0.5)
    air = np.clip(np.minimum((t - 4.0) / 2.0, (t[-1] - 3.0 - t) / 2.0), 0.0, 1.0)
    c: dict[Channel, Floats] = {Channel(Q.TIME): t}
    angle = {Q.ROLL: smooth(rng, n, rate, 0.6, 0.15 * wild), Q.PITCH: smooth(rng, n, rate, 0.6, 0.15 * wild)}
    yaw = np.cumsum(smooth(rng, n, rate, 0.3, 0.4 * wild)) / rate
    for quantity, rate_q in ((Q.ROLL, Q.ROLL_RATE), (Q.PITCH, Q.PITCH_RATE)):
        value = np.clip(angle[quantity], -1.2, 1.2) * air
        c[Channel(quantity)] = value + 0.002 * rng.normal(size=n)
        c[Channel(rate_q)] = np.gradient(value, 1 / rate) + 0.03 * rng.normal(size=n) * (0.1 + air)
    c[Channel(Q.YAW_RATE)] = np.gradient(yaw, 1 / rate) * air + 0.02 * rng.normal(size=n)
    heading = np.cumsum(c[Channel(Q.YAW_RATE)]) / rate + rng.uniform(0, 6)
    c[Channel(Q.HEADING)] = np.mod(heading, 2 * math.pi)
    for demand, rate_q in ((Q.ROLL_RATE_DEMAND, Q.ROLL_RATE), (Q.PITCH_RATE_DEMAND, Q.PITCH_RATE),
                           (Q.YAW_RATE_DEMAND, Q.YAW_RATE)):  # fmt: skip
        c[Channel(demand)] = np.roll(c[Channel(rate_q)], -max(1, int(0.02 * rate))) * 1.02
    shake = 0.3 + 1.5 * air * wild
    c[Channel(Q.ACCELERATION_X)] = shake * 0.5 * rng.normal(size=n) + smooth(rng, n, rate, 1.0, wild) * air
    c[Channel(Q.ACCELERATION_Y)] = shake * 0.5 * rng.normal(size=n) + smooth(rng, n, rate, 1.0, wild) * air
    c[Channel(Q.ACCELERATION_Z)] = -9.81 + shake * rng.normal(size=n) + smooth(rng, n, rate, 1.0, 2 * wild) * air
    throttle = np.clip(0.33 + smooth(rng, n, rate, 0.3, 0.1), 0.05, 1.0) * air
    c[Channel(Q.THROTTLE)] = throttle
    for stick, demand in ((Q.ROLL_STICK, Q.ROLL_RATE_DEMAND), (Q.PITCH_STICK, Q.PITCH_RATE_DEMAND),
                          (Q.YAW_STICK, Q.YAW_RATE_DEMAND)):  # fmt: skip
        c[Channel(stick)] = np.clip(c[Channel(demand)] / 8.0 / max(wild, 0.5), -1, 1)
    outputs = []
    for number in range(1, 5):
        out = np.clip(0.05 + throttle * 0.9 + smooth(rng, n, rate, 3.0, 0.04) * air, 0.04, 1.0) * (air > 0)
        outputs.append(out)
        c[Channel(Q.OUTPUT, None, number)] = out
        c[Channel(Q.ROTOR_SPEED, None, number)] = rng.uniform(350, 600) * np.sqrt(out)
    mean = np.mean(outputs, axis=0)
    current = 0.4 + 50 * mean**1.5 + 0.1 * rng.normal(size=n)
    cells = int(rng.choice([1, 3, 4, 6, 6]))
    charge = np.cumsum(current) / rate / 3600
    cell = 4.15 - 0.5 * charge / max(charge[-1], 0.3) - 0.006 * current
    c[Channel(Q.CURRENT)], c[Channel(Q.CHARGE_USED)] = current, charge
    c[Channel(Q.PACK_VOLTS)] = cells * cell
    c[Channel(Q.POWER)] = current * cells * cell
    if cells > 1:
        for number in range(1, cells + 1):
            c[Channel(Q.CELL_VOLTS, None, number)] = cell + 0.01 * rng.normal() + 0.003 * rng.normal(size=n)
    c[Channel(Q.SUPPLY_VOLTS)] = 5.0 + 0.02 * rng.normal(size=n)
    north, east = (smooth(rng, n, rate, 0.02, 1.0) for _ in range(2))
    fast = rng.uniform(3, 15) / float(
        np.quantile(np.hypot(np.gradient(north, 1 / rate), np.gradient(east, 1 / rate)), 0.95)
    )
    north, east = fast * north, fast * east
    start = int(np.argmax(air > 0))
    north, east = (north - north[start]) * (air > 0), (east - east[start]) * (air > 0)
    height = np.abs(smooth(rng, n, rate, 0.03, rng.uniform(5, 40))) * air
    lat0, lon0 = rng.choice([-1, 1]) * rng.uniform(20, 60), rng.uniform(-170, 170)
    c[Channel(Q.LATITUDE)] = lat0 + north / 111320
    c[Channel(Q.LONGITUDE)] = lon0 + east / 111320 / math.cos(math.radians(lat0))
    vn, ve = np.gradient(north, 1 / rate), np.gradient(east, 1 / rate)
    c[Channel(Q.VELOCITY_NORTH)], c[Channel(Q.VELOCITY_EAST)] = vn, ve
    c[Channel(Q.GROUND_SPEED)] = np.hypot(vn, ve)
    c[Channel(Q.COURSE)] = np.mod(np.arctan2(ve, vn), 2 * math.pi)
    c[Channel(Q.CLIMB_RATE)] = np.gradient(height, 1 / rate)
    c[Channel(Q.VELOCITY_DOWN)] = -c[Channel(Q.CLIMB_RATE)]
    ground = rng.uniform(20, 900)
    c[Channel(Q.HEIGHT_LAUNCH)] = height + 0.1 * rng.normal(size=n)
    c[Channel(Q.HEIGHT_SEA_LEVEL)] = ground + height + 0.1 * rng.normal(size=n)
    c[Channel(Q.PRESSURE)] = 101325 * (1 - 2.25577e-5 * c[Channel(Q.HEIGHT_SEA_LEVEL)]) ** 5.25588
    away = np.hypot(north, east)
    c[Channel(Q.DISTANCE_LAUNCH)] = away
    c[Channel(Q.BEARING_LAUNCH)] = np.mod(np.arctan2(-east, -north), 2 * math.pi)
    c[Channel(Q.LAUNCH_LATITUDE)], c[Channel(Q.LAUNCH_LONGITUDE)] = np.full(n, lat0), np.full(n, lon0)
    c[Channel(Q.LINK_LEVEL)] = np.round(-45 - 20 * np.log10(1 + away / 10) + 2 * rng.normal(size=n))
    c[Channel(Q.LINK_LEVEL_BACK)] = np.round(-50 - 20 * np.log10(1 + away / 10) + 2 * rng.normal(size=n))
    c[Channel(Q.VIDEO_LEVEL)] = np.round(-55 - 20 * np.log10(1 + away / 10) + 2 * rng.normal(size=n))
    c[Channel(Q.LINK_QUALITY)] = np.round(np.clip(1.02 - rng.exponential(0.02, n), 0, 1), 2)
    c[Channel(Q.SIGNAL_TO_NOISE)] = np.round(9 + 2 * rng.normal(size=n))
    c[Channel(Q.TRANSMIT_POWER)] = np.where(away > np.median(away), 0.1, 0.025)
    c[Channel(Q.FIX_UNCERTAINTY)] = np.abs(1.2 + smooth(rng, n, rate, 0.1, 0.3))
    c[Channel(Q.SATELLITES)] = np.asarray(np.round(14 + smooth(rng, n, rate, 0.02, 2)), float)
    c[Channel(Q.BOARD_TEMPERATURE)] = 35 + 10 * t / t[-1] + 0.1 * rng.normal(size=n)
    c[Channel(Q.PACK_TEMPERATURE)] = 25 + 15 * t / t[-1] + 0.1 * rng.normal(size=n)
    c[Channel(Q.ARMED)] = (air > 0).astype(float)
    c[Channel(Q.ROW)] = np.arange(n, dtype=float)
    return c


def raw(place: int, name: str, unit: str, values: Floats, kind: CellKind = CellKind.NUMBER) -> RawColumn:
    """Return one column."""
    return RawColumn(place, name, unit, kind, values)


def table(columns: list[tuple[str, str, Any]], name: str = "flight.csv") -> RawTable:
    """Return a table of names, unit texts and values."""
    made = tuple(raw(place, label, unit, np.asarray(values)) for place, (label, unit, values) in enumerate(columns))
    return RawTable(name, RecordFormat.CSV, made, made[0].values.size if made else 0)


CORNERS = dict(zip(range(1, 5), At, strict=True))
