"""What is written of a flight of the second generator: channels by kit, with noise, vibration and slow sensors.

Which channels a kit has, and at which rates, is shared with the first generator (`kits`); so are the shapes that hold
values (`studies.record_flown.sensors`). What a sensor sees is made here.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from studies.debrief_flown.kits import KITS
from studies.debrief_flown.rotorpy_board import STEP_S
from studies.debrief_flown.rotorpy_flight import PLACE, Flight
from studies.debrief_flown.rotorpy_world import NEVER, Floats, Rng, rest_v
from studies.record_flown.sensors import MODE_WORDS, Made, Seen, hold, slow, ticks

STEADY: Final = frozenset({"mode", "armed", "lost", "board_alive"})
LATEST_BACK: Final = frozenset(
    {"roll_stick", "pitch_stick", "yaw_stick", "throttle", "link_level_back", "link_quality_back", "transmit_power"}
)
"""What the pilot's radio knows by itself."""
FIELD: Final = (21.0, 41.0)
"""Of the earth, north and down, in microtesla."""


class Rows:
    """A flight's log at the rows of a record."""

    def __init__(self, flight: Flight, log: Floats, t_s: Floats) -> None:
        """Interpolate; switches hold."""
        own = np.arange(len(log)) * STEP_S
        held = np.minimum((t_s / STEP_S + 1e-9).astype(int), len(log) - 1)
        log = log.copy()
        for name in ("heading", "true_heading"):
            log[:, PLACE[name]] = np.unwrap(log[:, PLACE[name]])
        self.flight, self.t_s, self.n = flight, t_s, len(t_s)
        self.columns = {
            name: log[held, place] if name in STEADY or len(t_s) < len(log) / 4 else np.interp(t_s, own, log[:, place])
            for name, place in PLACE.items()
        }
        spins = np.cumsum(log[:, [PLACE[f"s{k}"] for k in range(4)]], axis=0) * STEP_S
        self.phase = np.column_stack([np.interp(t_s, own, spins[:, k]) for k in range(4)])

    def __getitem__(self, name: str) -> Floats:
        """Return one column."""
        return np.asarray(self.columns[name])


def see(flight: Flight, log: Floats, kit: str, rng: Rng) -> Seen:
    """Return the record of one kit.

    Parameters
    ----------
    flight : Flight
    log : ndarray
        Of `Flight.fly`.
    kit : str
    rng : Generator
    """
    how = KITS[kit]
    rate = int(rng.choice(how.rates_hz))
    begin = max(flight.way.arm_s - 0.3, 0.0) if how.on_board and rng.random() < 0.3 and kit != "track" else 0.0
    end = len(log) * STEP_S
    if not how.on_board and flight.wrong.dies_s < NEVER:
        end += 3.0
    t_s = np.arange(begin, end, 1.0 / rate)
    rows = Rows(flight, log, np.minimum(t_s, len(log) * STEP_S - STEP_S))
    dead = t_s > len(log) * STEP_S
    made = [*_motion(rows, rate, rng), *_corners(rows, rng), *_hands(rows, rng), *_pack(rows, rate, rng),
            *_radio(rows, rate, rng, dead), *_place(rows, rate, rng)]  # fmt: skip
    made = [each for each in made if each.quantity in how.quantities]
    if not how.on_board:
        made = _by_radio(rows, made, rate, rng, dead)
    return Seen(t_s, float(rate), made)


def _by_radio(rows: Rows, made: list[Made], rate: int, rng: Rng, dead: np.ndarray) -> list[Made]:
    """Return channels as the pilot's radio has them: the last that came back, some times a second."""
    heard = (rows["quality_back"] > 0.08) & ~dead
    heard[0] = True
    some = ticks(rng, rows.n, rate, float(rng.choice([5.0, 10.0])))
    fresh = heard if some is None else heard & some
    fresh[0] = True
    found = []
    for each in made:
        if each.quantity in LATEST_BACK:
            found.append(each)
        else:
            values = hold(each.values, fresh)
            values = np.where(heard, values, 0.0) if each.quantity == "link_quality" else values
            found.append(Made(each.quantity, values, each.corner, each.cell, fresh, each.labels))
    return found


def shaken(rows: Rows, rng: Rng) -> tuple[Floats, Floats]:
    """Return what the rotors shake: rates in rad/s and acceleration in m/s², shape (n, 3).

    Once a turn by unbalance, once a blade by lift, with the square of the speed; and broad where something is rough.
    """
    build, wrong = rows.flight.build, rows.flight.wrong
    turn, push = np.zeros((rows.n, 3)), np.zeros((rows.n, 3))
    hover = build.speed_most * math.sqrt(build.mass * 9.81 / 4.0 / build.force_most)
    for k in range(4):
        size = (rows[f"s{k}"] / hover) ** 2 * build.shake[k] * wrong.shakes_at[k] * wrong.shakes_all
        angle = rows.phase[:, k] + float(rng.uniform(0.0, 6.28))
        blade = 0.25 * (1.0 + 5.0 * float(wrong.notes.get("blade_at") == k))
        wave, cross = np.sin(angle), np.cos(angle)
        beat = blade * np.sin(build.blades * angle + 0.4) / max(wrong.shakes_at[k], 1.0)
        turn += size[:, None] * np.column_stack([0.10 * wave, 0.10 * cross, 0.03 * wave])
        push += size[:, None] * np.column_stack([1.1 * wave, 1.1 * cross, 0.5 * wave + 2.0 * beat])
    if wrong.rough > 0.0:
        noise = rng.normal(0.0, 1.0, (rows.n, 6)) * (rows["s0"] / hover)[:, None]
        turn += 0.10 * wrong.rough * noise[:, :3]
        push += 1.3 * wrong.rough * noise[:, 3:]
    return turn, push


def _motion(rows: Rows, rate: int, rng: Rng) -> list[Made]:
    """Return rates, demands, acceleration, attitude and field."""
    build, wrong, n = rows.flight.build, rows.flight.wrong, rows.n
    turn, push = shaken(rows, rng)
    rough = wrong.volts_noise / 0.03 * rows["amps"] / max(build.watt_hover / (3.8 * build.cells), 0.1)
    found = []
    for k, (rate_name, demand, felt) in enumerate(zip("pqr", ("dp", "dq", "dr"), ("ax", "ay", "az"), strict=True)):
        name = ("roll", "pitch", "yaw")[k]
        size = build.wobble * (1.0 + 6.0 * rough if wrong.volts_noise > 0.0 else 1.0)
        noise = rng.normal(0.0, 1.0, n) * size + rng.uniform(-0.008, 0.008)
        found.append(Made(f"{name}_rate", rows[rate_name] + turn[:, k] + noise))
        found.append(Made(f"{name}_rate_demand", rows[demand]))
        values = rows[felt] + push[:, k] + rng.normal(0.0, build.felt, n)
        found.append(Made(f"acceleration_{'xyz'[k]}", np.clip(values, -160.0, 160.0)))
    roll, pitch = rows["roll"] + slow(rng, n, 0.006, rate * 5.0), rows["pitch"] + slow(rng, n, 0.006, rate * 5.0)
    heading = rows["heading"] + slow(rng, n, 0.02, rate * 8.0)
    found += [Made("roll", roll), Made("pitch", pitch), Made("heading", np.mod(heading, 2.0 * math.pi))]
    if not rows.flight.way.rate_mode:
        found += [Made("roll_demand", rows["roll_d"]), Made("pitch_demand", rows["pitch_d"])]
    return [*found, *_field(rows, rate, rng)]


def _field(rows: Rows, rate: int, rng: Rng) -> list[Made]:
    """Return the magnetic field: what the heading is read from, so that its error stands in it."""
    wrong, n = rows.flight.wrong, rows.n
    psi, phi, theta = rows["heading"], rows["roll"], rows["pitch"]
    north = np.full(n, FIELD[0])
    if wrong.heading_by_current != 0.0 or wrong.heading_near_ground != 0.0:
        off = np.abs(rows["heading"] - rows["true_heading"])
        north = FIELD[0] * (1.0 + 0.9 * np.abs(np.sin(off / 2.0)) * 2.0)
    sp, cp, st, ct = np.sin(phi), np.cos(phi), np.sin(theta), np.cos(theta)
    fields = (
        ct * np.cos(psi) * north - st * FIELD[1],
        (sp * st * np.cos(psi) - cp * np.sin(psi)) * north + sp * ct * FIELD[1],
        (cp * st * np.cos(psi) + sp * np.sin(psi)) * north + cp * ct * FIELD[1],
    )
    fresh = ticks(rng, n, rate, 50.0)
    return [Made(f"magnetic_{'xyz'[k]}", hold(one + rng.normal(0.0, 0.4, n) + rng.normal(0.0, 1.0), fresh), fresh=fresh)
            for k, one in enumerate(fields)]  # fmt: skip


def _corners(rows: Rows, rng: Rng) -> list[Made]:
    found = []
    for k in range(4):
        found.append(Made("output", np.round(rows[f"o{k}"], 4), corner=k))
        turns = rows[f"s{k}"] / (2.0 * math.pi) + rng.normal(0.0, 0.3, rows.n)
        found.append(Made("rotor_speed", np.where(turns < 6.0, 0.0, turns), corner=k))
    return found


def _hands(rows: Rows, rng: Rng) -> list[Made]:
    words = MODE_WORDS[int(rng.integers(0, len(MODE_WORDS)))]
    return [
        *(Made(name, np.round(rows[key], 3)) for name, key in
          (("roll_stick", "sr"), ("pitch_stick", "sp"), ("yaw_stick", "sy"), ("throttle", "st"))),
        Made("armed", (rows["armed"] > 0.5).astype(np.float64)),
        Made("mode", rows["mode"], labels=words),
        Made("return_active", (rows["mode"] == 2.0).astype(np.float64)),
        Made("link_loss", (rows["lost"] > 0.5).astype(np.float64)),
    ]  # fmt: skip


def _pack(rows: Rows, rate: int, rng: Rng) -> list[Made]:
    """Return volts, current, charge, temperatures."""
    build, wrong, n = rows.flight.build, rows.flight.wrong, rows.n
    fresh = ticks(rng, n, rate, float(rng.choice([50.0, 100.0])))
    amps = rows["amps"]
    hover = max(build.watt_hover / (3.8 * build.cells), 0.1)
    ripple = wrong.volts_noise * build.cells * 3.9 * np.minimum(amps / hover, 3.0)
    ohm = build.ohm * wrong.ohm
    loaded = rows["volts"] + amps * wrong.lead_ohm
    share = build.charge - rows["used"] / (build.capacity * wrong.capacity)
    fall = np.zeros(n)
    if wrong.cell_low > 0.0:
        fall = np.array([rest_v(float(one)) - rest_v(max(float(one) - wrong.cell_low, 0.0)) for one in share[::50]])
        fall = np.repeat(fall, 50)[:n]
    more = 0.9 * ohm / build.cells * amps if wrong.cell_low > 0.0 else np.zeros(n)  # the weak cell's own resistance
    weak = int(rng.integers(0, build.cells))
    found = []
    for k in range(build.cells):
        own = (loaded + fall) / build.cells - (fall + more if k == weak else 0.0) + rng.normal(0.0, 0.004)
        own = own + rng.normal(0.0, 0.004, n) + rng.normal(0.0, 1.0, n) * ripple / build.cells
        found.append(Made("cell_volts", hold(own, fresh), cell=k + 1, fresh=fresh))
    pack = (rows["volts"] - more) * wrong.volts_scale
    pack = pack * rng.uniform(0.998, 1.002) + rng.normal(0.0, 0.01, n) + rng.normal(0.0, 1.0, n) * ripple
    felt = np.maximum(0.0, amps * rng.uniform(0.97, 1.03) + rng.normal(0.0, 0.15, n))
    supply = 5.03 + rng.normal(0.0, 0.015, n) + 0.12 * rng.normal(0.0, 1.0, n) * ripple
    if "supply_falls" in wrong.notes:
        since = rows.t_s - float(wrong.notes["supply_falls"])
        down = np.where(since > 0.0, np.exp(-np.maximum(since, 0.0) / 0.02), 1.0)
        supply, pack, felt = supply * down, pack * down, np.where(since > 0.0, 0.0, felt)
    warm = build.temperature_c + 45.0 * rows["warm"] * (1.4 if wrong.ohm_cold > 0.0 else 0.6)
    return [
        *found,
        Made("pack_volts", hold(pack, fresh), fresh=fresh), Made("current", hold(felt, fresh), fresh=fresh),
        Made("charge_used", hold(rows["used"] * rng.uniform(0.98, 1.02), fresh), fresh=fresh),
        Made("power", hold(pack * felt, fresh), fresh=fresh), Made("supply_volts", hold(supply, fresh), fresh=fresh),
        Made("pack_temperature", warm + rng.normal(0.0, 0.8) + slow(rng, n, 0.2, rate * 6.0)),
        Made("board_temperature", build.temperature_c + 15.0 + slow(rng, n, 1.0, rate * 20.0)),
    ]  # fmt: skip


def _radio(rows: Rows, rate: int, rng: Rng, dead: np.ndarray) -> list[Made]:
    """Return levels, packets, ratio of signal to noise and power; dead: the aircraft is silent."""
    wrong, n = rows.flight.wrong, rows.n
    fresh = ticks(rng, n, rate, float(rng.choice([10.0, 25.0, 50.0])))
    level: Floats = np.maximum(np.round(rows["level"] + rng.normal(0.0, 0.5, n)), -130.0)
    quality: Floats = np.asarray(np.round(np.where(rows["lost"] > 0.5, 0.0, rows["quality"]), 2), np.float64)
    ratio: Floats = np.round(rows["ratio"])
    if wrong.notes.get("wire"):
        stuck = np.zeros(n, dtype=bool)
        for begin, end in wrong.frozen:
            stuck |= (rows.t_s >= begin) & (rows.t_s < end)
        stuck[0] = False
        level, quality, ratio = (hold(one, ~stuck) for one in (level, quality, ratio))
    back = np.round(np.where(dead, -130.0, rows["back"]) + rng.normal(0.0, 0.5, n))
    made = {
        "link_level": level, "link_quality": quality, "signal_to_noise": ratio,
        "link_level_back": np.maximum(back, -130.0),
        "link_quality_back": np.round(np.where(dead, 0.0, rows["quality_back"]), 2),
        "video_level": np.round(rows["back"] - rng.uniform(0.0, 8.0) + rng.normal(0.0, 1.0, n)),
        "transmit_power": np.round(rows["watt"], 4),
    }  # fmt: skip
    return [Made(key, hold(np.asarray(values), fresh), fresh=fresh) for key, values in made.items()]


def _place(rows: Rows, rate: int, rng: Rng) -> list[Made]:
    """Return the satellite position, heights, speeds, the stored launch point, pressure and airspeed."""
    flight, n = rows.flight, rows.n
    wrong, notes = flight.wrong, flight.wrong.notes
    fresh = ticks(rng, n, rate, float(rng.choice([5.0, 10.0])))
    bad = (rows.t_s >= wrong.at_s) if wrong.jumps else np.zeros(n, dtype=bool)
    leap: list[Floats] = [hold(rng.normal(0.0, 22.0, n), _some(rng, n, rate, 1.2)) * bad for _ in range(2)]
    north = rows["north"] + slow(rng, n, 0.5, rate * 15.0) + leap[0] + rng.normal(0.0, 0.1, n)
    east = -rows["west"] + slow(rng, n, 0.5, rate * 15.0) + leap[1] + rng.normal(0.0, 0.1, n)
    up = rows["up"]
    v = np.column_stack([rows["v_north"], -rows["v_west"], -rows["v_up"]])
    v = v + rng.normal(0.0, 1.0, (n, 3)) * np.where(bad, 1.5, 0.07)[:, None]
    lat0, lon0, ground = notes["latitude_deg"], notes["longitude_deg"], flight.build.ground_m
    east_m = 111_320.0 * math.cos(math.radians(lat0))
    home = (wrong.launch[0], -wrong.launch[1])
    dn, de = home[0] - north, home[1] - east
    sure = np.abs(1.0 + slow(rng, n, 0.2, rate * 10.0))
    sure = sure + np.where(bad, 6.0 + np.abs(slow(rng, n, 4.0, rate * 2.0)), 0.0)
    many = np.where(bad, 5.0, 15.0) + slow(rng, n, 1.0, rate * 10.0)
    made = {
        "latitude": lat0 + north / 111_320.0, "longitude": lon0 + east / east_m,
        "launch_latitude": np.full(n, lat0 + home[0] / 111_320.0),
        "launch_longitude": np.full(n, lon0 + home[1] / east_m),
        "height_sea_level": ground + up + slow(rng, n, 0.9, rate * 20.0), "ground_speed": np.hypot(v[:, 0], v[:, 1]),
        "course": np.mod(np.arctan2(v[:, 1], v[:, 0]), 2.0 * math.pi), "velocity_north": v[:, 0],
        "velocity_east": v[:, 1], "velocity_down": v[:, 2], "fix_uncertainty": np.round(sure, 1),
        "satellites": np.round(np.clip(many, 3.0, 24.0)), "distance_launch": np.hypot(dn, de),
        "bearing_launch": np.mod(np.arctan2(de, dn), 2.0 * math.pi),
    }  # fmt: skip
    found = [Made(key, hold(np.asarray(values), fresh), fresh=fresh) for key, values in made.items()]
    baro = ticks(rng, n, rate, float(rng.choice([25.0, 50.0])))
    low = up + slow(rng, n, 0.2, rate * 10.0)
    kelvin = flight.build.temperature_c + 273.15
    base = wrong.density * 1.225 * 287.05 * kelvin if wrong.density != 1.0 else 101_325.0 * math.exp(-ground / 8430.0)
    air = np.hypot(np.hypot(rows["v_north"] - rows["wind_n"], rows["v_west"] - rows["wind_w"]), rows["v_up"])
    return [
        *found,
        Made("height_launch", hold(low + rng.normal(0.0, 0.05, n), baro), fresh=baro),
        Made("pressure", hold(base * np.exp(-9.81 * low / (287.05 * kelvin)) + rng.normal(0.0, 1.0, n), baro),
             fresh=baro),
        Made("climb_rate", hold(rows["v_up"] + rng.normal(0.0, 0.08, n), baro), fresh=baro),
        Made("airspeed", hold(np.maximum(0.0, air + rng.normal(0.0, 0.3, n)), baro), fresh=baro),
    ]  # fmt: skip


def _some(rng: Rng, n: int, rate: int, every_s: float) -> np.ndarray:
    """Return rows some seconds apart."""
    fresh = rng.random(n) < 1.0 / (every_s * rate)
    fresh[0] = True
    return np.asarray(fresh)
