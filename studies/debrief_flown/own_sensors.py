"""What a recorder aboard, the pilot's radio or a tracker writes of a flight: canonical channels, SI."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.kits import KITS
from studies.debrief_flown.own_flights import Draft
from studies.debrief_flown.own_world import Floats
from studies.record_flown import columns as at
from studies.record_flown.kernel import REST_S, REST_V
from studies.record_flown.sensors import MODE_WORDS, Made, Seen, hold, slow, ticks

Rng = np.random.Generator
GAS: Final = 287.05
NAMES: Final = ("roll", "pitch", "yaw")
FROM_RADIO: Final = frozenset(
    {"roll_stick", "pitch_stick", "yaw_stick", "throttle", "link_level_back", "link_quality_back", "transmit_power"}
)
"""What the radio itself knows; all else has to come back from the aircraft."""


def inside(t: Floats, spans: Floats) -> NDArray[np.bool_]:
    """Return where times lie in one of the spans."""
    found = np.zeros(len(t), bool)
    for row in spans:
        found |= (t >= row[0]) & (t < row[1])
    return found


def see(d: Draft, log: NDArray[np.float32], kit: str, rng: Rng) -> Seen:
    """Return the record of one flight.

    Parameters
    ----------
    d : Draft
    log : ndarray, shape (n, own_columns.WIDE)
        A row a millisecond.
    kit : str
    rng : numpy.random.Generator
    """
    how = KITS[kit]
    rate = int(rng.choice(how.rates_hz))
    if how.on_board and rate == 1000 and len(log) > 90_000:
        rate = 500
    rows = np.arange(0, len(log), 1000 // rate)
    again = None
    if how.on_board:
        if kit != "track" and rng.random() < 0.4 and d.world.arms > 0.0 and d.world.linked > 0.0:
            rows = rows[rows >= int(d.plan.arm_at * 1000)]
        on = log[rows, to.BOARD_ON] > 0.5
        gone = np.flatnonzero(~on)
        if gone.size:
            after = rows[gone[0] :][on[gone[0] :]]
            rows = np.concatenate([rows[: gone[0]], after])
            again = int(gone[0]) if after.size else None
    part = log[rows].astype(np.float64)
    t = rows.astype(np.float64) * 1e-3
    made = [
        *motion(part, rate, rng), *outputs(part, rng), *switches(d, part, kit, rng), *pack(d, part, rate, rng),
        *radio(d, t, part, rate, rng), *position(d, t, part, rate, rng),
    ]  # fmt: skip
    made = [each for each in made if each.quantity in how.quantities]
    if kit == "radio":
        made = as_heard(made, part, rate, rng)
    return Seen(t, float(rate), made, again)


def as_heard(made: list[Made], log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return channels as the radio has them: of the aircraft only what comes back, a few times a second."""
    heard = log[:, to.HEARD_BACK] > 0.5
    heard[0] = True
    came = ticks(rng, len(log), rate, float(rng.choice([4.0, 8.0])))
    fresh = heard if came is None else heard & came
    fresh[0] = True
    found = []
    for each in made:
        if each.quantity in FROM_RADIO:
            found.append(each)
            continue
        values = hold(each.values, fresh)
        if each.quantity == "link_quality":
            values = np.where(heard, values, 0.0)
        found.append(Made(each.quantity, values, each.corner, each.cell, fresh, each.labels))
    return found


def motion(log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return rates, demands, accelerations, angles, field."""
    n, found = len(log), []
    for k, name in enumerate(NAMES):
        found.append(Made(f"{name}_rate", log[:, at.GYRO + k]))
        found.append(Made(f"{name}_rate_demand", log[:, at.DEMAND + k]))
        found.append(Made(f"acceleration_{'xyz'[k]}", log[:, at.ACC + k]))
    for k, name in enumerate(("roll", "pitch")):
        found.append(Made(name, log[:, to.ATT_SEEN + k] + slow(rng, n, 0.008, rate * 4.0)))
        if log[0, at.MODE] > 0.5:
            found.append(Made(f"{name}_demand", log[:, at.TILT_DEMAND + k]))
    found.append(Made("heading", np.mod(log[:, to.HEADING_SEEN] + slow(rng, n, 0.03, rate * 8.0), 2 * math.pi)))
    fresh = ticks(rng, n, rate, 50.0)
    for k in range(3):
        noisy = log[:, to.MAG + k] + rng.normal(0.0, 0.4, n) + rng.normal(0.0, 1.5)
        found.append(Made(f"magnetic_{'xyz'[k]}", hold(noisy, fresh), fresh=fresh))
    return found


def outputs(log: Floats, rng: Rng) -> list[Made]:
    """Return corner outputs and rotor speeds."""
    found = []
    for c in range(4):
        found.append(Made("output", log[:, at.OUT + c], corner=c))
        turns = np.maximum(0.0, log[:, at.SPEED + c] / (2 * math.pi) + rng.normal(0.0, 0.3, len(log)))
        found.append(Made("rotor_speed", np.where(turns < 8.0, 0.0, turns), corner=c))
    return found


def switches(d: Draft, log: Floats, kit: str, rng: Rng) -> list[Made]:
    """Return sticks, what is on or off, and the mode in words."""
    first = to.SENT if kit == "radio" else at.STICK
    found = [Made(name, log[:, first + k]) for k, name in enumerate(("roll_stick", "pitch_stick", "yaw_stick"))]
    words = MODE_WORDS[int(rng.integers(0, len(MODE_WORDS)))]
    del d
    return [
        *found,
        Made("throttle", log[:, first + 3]),
        Made("armed", (log[:, at.ARMED] > 0.5).astype(np.float64)),
        Made("mode", log[:, at.MODE], labels=words),
        Made("return_active", (log[:, at.MODE] == at.RETURN).astype(np.float64)),
        Made("link_loss", (log[:, at.LOST] > 0.5).astype(np.float64)),
    ]


def pack(d: Draft, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return volts, current, charge and temperatures; ripple where the supply has it."""
    craft, w, n = d.craft, d.world, len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([50.0, 100.0, 200.0])))
    cells, current = int(craft.cells), log[:, at.CURRENT]
    share = np.maximum(0.0, craft.charge0 - log[:, at.CHARGE] / craft.capacity)
    weak = np.maximum(0.0, share - w.cell_low)
    fall = np.interp(share, REST_S, REST_V) - np.interp(weak, REST_S, REST_V)
    fall = fall + np.where(weak < 0.06, 1.2 * (0.06 - weak) / 0.06, 0.0) if w.cell_low > 0.0 else np.zeros(n)
    fall = fall + (current * craft.r_pack / cells if d.seen.get("weak_ohm") else 0.0)
    which = int(rng.integers(0, cells))
    ripple = w.ripple_v * current
    by = float(d.seen.get("volts_by", 1.0))
    total = (log[:, at.VOLTS] + rng.normal(0.0, 1.0, n) * ripple) * by + rng.normal(0.0, 0.012, n)
    total = total * rng.uniform(0.997, 1.003)
    amps = np.maximum(0.0, current * rng.uniform(0.97, 1.03) + rng.normal(0.0, 0.15, n))
    found = []
    for k in range(cells):
        own = log[:, to.CELL] + fall / cells - (fall if k == which else 0.0) + rng.normal(0.0, 0.005)
        own = own + (rng.normal(0.0, 1.0, n) * ripple) / cells + rng.normal(0.0, 0.004, n)
        found.append(Made("cell_volts", hold(own, fresh), cell=k + 1, fresh=fresh))
    board = log[:, to.SUPPLY] + rng.normal(0.0, 0.015, n) + rng.normal(0.0, 0.15, n) * ripple
    return [
        *found,
        Made("pack_volts", hold(total, fresh), fresh=fresh),
        Made("current", hold(amps, fresh), fresh=fresh),
        Made("charge_used", hold(log[:, at.CHARGE] * rng.uniform(0.97, 1.03), fresh), fresh=fresh),
        Made("power", hold(total * amps, fresh), fresh=fresh),
        Made("supply_volts", hold(board, fresh), fresh=fresh),
        Made("pack_temperature", log[:, to.PACK_C] + rng.normal(0.0, 1.0) + slow(rng, n, 0.2, rate * 5.0)),
        Made("board_temperature", d.air_c + rng.uniform(12.0, 22.0) + slow(rng, n, 1.0, rate * 20.0)),
    ]


def radio(d: Draft, t: Floats, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return levels, qualities and what goes with them; what the wire does not bring stands still."""
    n = len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([10.0, 20.0, 50.0])))
    level = np.maximum(np.round(log[:, at.LEVEL] + rng.normal(0.0, 0.5, n)), -130.0)
    off = (log[:, to.OFF] > 0.5) | (d.world.linked == 0.0)
    quality = np.round(np.where(off, 0.0, log[:, at.QUALITY]), 2)
    snr = np.clip(np.round(level - (rng.uniform(-112.0, -108.0)) - log[:, to.NOISE]), -20.0, 45.0)
    stuck = ~inside(t, d.world.wire)
    if n:
        stuck[0] = True
    set_power = float(rng.choice([0.1, 0.25]) if d.world.sent_db.size else rng.choice([0.025, 0.05, 0.1, 0.25]))
    made = {
        "link_level": hold(np.asarray(level, np.float64), stuck),
        "link_quality": hold(np.asarray(quality, np.float64), stuck),
        "signal_to_noise": hold(np.asarray(snr, np.float64), stuck),
        "link_level_back": np.maximum(np.round(log[:, to.LEVEL_BACK] + rng.normal(0.0, 0.6, n)), -130.0),
        "link_quality_back": np.round(np.clip(log[:, to.QUALITY_BACK], 0.0, 1.0), 2),
        "video_level": np.round(log[:, to.LEVEL_BACK] - rng.uniform(0.0, 6.0) + rng.normal(0.0, 1.0, n)),
        "transmit_power": np.round(set_power * 10.0 ** (-log[:, to.POWER_DB] / 10.0), 4),
    }
    return [Made(key, hold(values, fresh), fresh=fresh) for key, values in made.items()]


def position(d: Draft, t: Floats, log: Floats, rate: int, rng: Rng) -> list[Made]:
    """Return the satellite position, heights, speeds and the stored launch point."""
    n = len(log)
    fresh = ticks(rng, n, rate, float(rng.choice([5.0, 10.0])))
    bad = t >= float(d.seen.get("few_from", 1e9))
    north = log[:, at.NORTH] + log[:, to.ERR] + slow(rng, n, 0.6, rate * 15.0) + rng.normal(0.0, 0.1, n)
    east = log[:, at.EAST] + log[:, to.ERR + 1] + slow(rng, n, 0.6, rate * 15.0) + rng.normal(0.0, 0.1, n)
    v = log[:, at.VEL : at.VEL + 3] + rng.normal(0.0, 1.0, (n, 3)) * np.where(bad, 0.8, 0.08)[:, None]
    lat0, lon0, ground = (float(d.seen[key]) for key in ("latitude_deg", "longitude_deg", "ground_m"))
    east_m = 111_320.0 * math.cos(math.radians(lat0))
    height = -log[:, at.DOWN]
    dn, de = d.launch[0] - north, d.launch[1] - east
    unsure = np.abs(1.1 + slow(rng, n, 0.2, rate * 10.0))
    unsure = unsure + np.where(bad, np.abs(slow(rng, n, 5.0, rate * 3.0)) + 3.0, 0.0)
    count = np.where(bad, np.clip(5.0 + slow(rng, n, 1.0, rate * 4.0), 3.0, 8.0),
                     np.clip(14.0 + slow(rng, n, 1.5, rate * 15.0), 9.0, 24.0))  # fmt: skip
    made: dict[str, Floats] = {
        "latitude": lat0 + north / 111_320.0,
        "longitude": lon0 + east / east_m,
        "launch_latitude": np.full(n, lat0 + d.launch[0] / 111_320.0),
        "launch_longitude": np.full(n, lon0 + d.launch[1] / east_m),
        "height_sea_level": ground + height + slow(rng, n, 1.0, rate * 20.0),
        "ground_speed": np.hypot(v[:, 0], v[:, 1]),
        "course": np.mod(np.arctan2(v[:, 1], v[:, 0]), 2 * math.pi),
        "velocity_north": v[:, 0],
        "velocity_east": v[:, 1],
        "velocity_down": v[:, 2],
        "fix_uncertainty": np.asarray(np.round(unsure, 1), np.float64),
        "satellites": np.asarray(np.round(count), np.float64),
        "distance_launch": np.hypot(dn, de),
        "bearing_launch": np.mod(np.arctan2(de, dn), 2 * math.pi),
    }
    found = [Made(key, hold(values, fresh), fresh=fresh) for key, values in made.items()]
    baro = ticks(rng, n, rate, float(rng.choice([25.0, 50.0])))
    low = height + slow(rng, n, 0.25, rate * 10.0)
    air = np.hypot(np.hypot(log[:, at.VEL] - log[:, at.WIND], log[:, at.VEL + 1] - log[:, at.WIND + 1]), v[:, 2])
    kelvin = d.air_c + 273.15
    base = d.world.air * 1.225 * GAS * kelvin
    found += [
        Made("height_launch", hold(low + rng.normal(0.0, 0.05, n), baro), fresh=baro),
        Made("pressure", hold(base * np.exp(-9.80665 * low / (GAS * kelvin)) + rng.normal(0.0, 1.0, n), baro),
             fresh=baro),
        Made("climb_rate", hold(-log[:, at.VEL + 2] + rng.normal(0.0, 0.1, n), baro), fresh=baro),
        Made("airspeed", hold(np.maximum(0.0, air + rng.normal(0.0, 0.4, n)), baro), fresh=baro),
    ]  # fmt: skip
    return found
