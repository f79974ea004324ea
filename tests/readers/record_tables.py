"""A made-up flight as tables with many styles of names and units, for tests of understanding columns.

Everything is invented: signals are filtered noise with the relations that physics demands between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_units import UNITS, Unit
from turnback.records.channel import ACCELERATIONS, RATE_DEMANDS, RATES, Channel, Quantity
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
    c[Channel(Q.LINK_QUALITY)] = np.round(np.clip(1.02 - rng.exponential(0.02, n), 0, 1), 2).astype(float)
    c[Channel(Q.SIGNAL_TO_NOISE)] = np.round(9 + 2 * rng.normal(size=n))
    c[Channel(Q.TRANSMIT_POWER)] = np.where(away > np.median(away), 0.1, 0.025).astype(float)
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


NAMES: dict[Quantity, tuple[str, ...]] = {
    Q.TIME: ("time", "Timestamp", "t", "Zeit", "elapsed time"),
    Q.ROLL_RATE: ("roll_rate", "gyroX", "gx", "gyro roll", "angular velocity x", "Rollrate", "gyro[0]"),
    Q.PITCH_RATE: ("pitch_rate", "gyroY", "gy", "gyro pitch", "angular velocity y", "Nickrate", "gyro[1]"),
    Q.YAW_RATE: ("yaw_rate", "gyroZ", "gz", "gyro yaw", "angular velocity z", "Gierrate", "gyro[2]"),
    Q.ROLL_RATE_DEMAND: ("roll rate setpoint", "rollRateTarget", "rate demand roll"),
    Q.PITCH_RATE_DEMAND: ("pitch rate setpoint", "pitchRateTarget", "rate demand pitch"),
    Q.YAW_RATE_DEMAND: ("yaw rate setpoint", "yawRateTarget", "rate demand yaw"),
    Q.ACCELERATION_X: ("acc_x", "accelX", "ax"), Q.ACCELERATION_Y: ("acc_y", "accelY", "ay"),
    Q.ACCELERATION_Z: ("acc_z", "accelZ", "az"),
    Q.ROLL: ("roll", "Roll angle", "phi"), Q.PITCH: ("pitch", "Pitch angle", "theta"),
    Q.HEADING: ("yaw", "Heading", "psi"),
    Q.OUTPUT: ("motor {}", "m{}", "output{}", "motorOutput[{}]"),
    Q.ROTOR_SPEED: ("rpm {}", "rotor speed {}", "Drehzahl {}"),
    Q.ROLL_STICK: ("roll stick", "rc_roll"), Q.PITCH_STICK: ("pitch stick", "rc_pitch"),
    Q.YAW_STICK: ("yaw stick", "rc_yaw"), Q.THROTTLE: ("throttle", "Throttle stick", "gas"),
    Q.ARMED: ("armed", "is_armed"), Q.PACK_VOLTS: ("pack voltage", "vbat", "Akkuspannung"),
    Q.CELL_VOLTS: ("cell {}", "cell{} voltage", "Zelle {}"), Q.CURRENT: ("current", "Battery current", "Strom"),
    Q.CHARGE_USED: ("charge used", "consumed"), Q.POWER: ("power", "electrical power", "Leistung"),
    Q.SUPPLY_VOLTS: ("board voltage", "supply voltage"), Q.PACK_TEMPERATURE: ("battery temperature", "pack temp"),
    Q.BOARD_TEMPERATURE: ("board temperature", "imu temp"), Q.LINK_LEVEL: ("rssi", "link level", "signal strength"),
    Q.LINK_LEVEL_BACK: ("downlink rssi", "telemetry signal level"), Q.LINK_QUALITY: ("link quality", "LQ"),
    Q.SIGNAL_TO_NOISE: ("SNR",), Q.TRANSMIT_POWER: ("tx power", "transmit power"),
    Q.VIDEO_LEVEL: ("video level", "video rssi"), Q.LATITUDE: ("lat", "GPS latitude", "Breite"),
    Q.LONGITUDE: ("lon", "GPS longitude", "Länge"), Q.LAUNCH_LATITUDE: ("home lat", "launch latitude"),
    Q.LAUNCH_LONGITUDE: ("home lon", "launch longitude"),
    Q.HEIGHT_SEA_LEVEL: ("GPS altitude", "altitude msl"), Q.HEIGHT_LAUNCH: ("height above launch", "relative altitude"),
    Q.PRESSURE: ("pressure", "Luftdruck"), Q.GROUND_SPEED: ("ground speed", "GPS speed", "speed"),
    Q.COURSE: ("course", "course over ground"), Q.CLIMB_RATE: ("climb rate", "vertical speed", "vario"),
    Q.VELOCITY_NORTH: ("velocity north", "vn"), Q.VELOCITY_EAST: ("velocity east", "ve"),
    Q.VELOCITY_DOWN: ("velocity down", "vd"), Q.FIX_UNCERTAINTY: ("gps accuracy", "horizontal accuracy"),
    Q.SATELLITES: ("satellites", "sats"), Q.DISTANCE_LAUNCH: ("distance to home", "distance from launch"),
    Q.BEARING_LAUNCH: ("bearing to launch", "direction to home"), Q.ROW: ("row", "loop iteration"),
}  # fmt: skip
OTHERS = (
    "cpu load",
    "roll_error",
    "debug[0]",
    "pid sum yaw",
    "flags",
    "heap free",
    "battery percent",
    "hdop",
    "latency",
)
TOGETHER = (
    RATES, RATE_DEMANDS, ACCELERATIONS, (Q.ROLL, Q.PITCH, Q.HEADING), (Q.ROLL_STICK, Q.PITCH_STICK, Q.YAW_STICK),
    (Q.LATITUDE, Q.LONGITUDE), (Q.LAUNCH_LATITUDE, Q.LAUNCH_LONGITUDE),
    (Q.VELOCITY_NORTH, Q.VELOCITY_EAST, Q.VELOCITY_DOWN),
)  # fmt: skip


def messy(seed: int, says_unit: float) -> tuple[RawTable, list[Truth]]:
    """Return a table of some channels of a flight, in one style and unit for each kind, and what its columns are.

    Parameters
    ----------
    seed : int
    says_unit : float
        Share of kinds that say their unit.
    """
    rng = np.random.default_rng([seed, 1])
    channels = flight(seed)
    kinds = {quantity: row[0] for row in TOGETHER for quantity in row}
    chosen: dict[Quantity, tuple[bool, int, Unit, bool]] = {}
    columns: list[tuple[str, str, Floats]] = []
    truths = []
    for channel, values in channels.items():
        kind = kinds.get(channel.quantity, channel.quantity)
        if kind not in chosen:
            units = [unit for unit in UNITS[channel.quantity] if unit.key != "moment" and unit.weight > 0.0]
            weights = np.array([unit.weight for unit in units])
            unit = units[int(rng.choice(len(units), p=weights / weights.sum()))]
            kept = bool(rng.random() < 0.6) or channel.quantity is Q.TIME
            chosen[kind] = (kept, int(rng.integers(60)), unit, bool(rng.random() < says_unit))
        kept, style, unit, said = chosen[kind]
        if not kept:
            continue
        name = NAMES[channel.quantity][style % len(NAMES[channel.quantity])].format(channel.number)
        written = (values - unit.offset) / unit.scale
        columns.append((name, unit.key if said and unit.key not in {"1", "0/1"} else "", _rounded(channel, written)))
        truths.append(Truth(channel, unit.scale, unit.offset))
    rows = columns[0][2].size
    for name in rng.choice(OTHERS, 3, replace=False):
        columns.append((str(name), "", np.round(smooth(rng, rows, 100.0, 1.0, 10 ** rng.uniform(-1, 3)), 2)))
        truths.append(Truth(None))
    return table(columns), truths


def _rounded(channel: Channel, written: Floats) -> Floats:
    if channel.quantity in {Q.ROW, Q.ARMED, Q.SATELLITES, Q.LINK_QUALITY}:
        return np.round(written, 9)
    if channel.quantity in {Q.LATITUDE, Q.LONGITUDE, Q.LAUNCH_LATITUDE, Q.LAUNCH_LONGITUDE}:
        return np.round(written, 9 if abs(float(written[0])) < 1000.0 else 0)
    if channel.quantity is Q.TIME:
        return np.round(written, 9 if float(written[-1]) < 1e4 else 0)
    step = 10.0 ** np.floor(np.log10(max(float(np.std(written)), 1e-9)) - 1.5)
    return np.asarray(np.round(written / step) * step)
