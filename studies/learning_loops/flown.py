"""A light simulator of one flight: own momentum theory, own cell, own radio. It shares no code with the product."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEP_S: Final = 0.1
GRAVITY: Final = 9.80665
Z90: Final = 1.6448536
SOC: Final = np.array([0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])
OCV: Final = np.array([3.27, 3.61, 3.69, 3.73, 3.77, 3.80, 3.84, 3.87, 3.95, 4.02, 4.11, 4.20])
"""The trade's table of rest volts: common practice."""
CURVE_SD_V: Final = 0.02
"""Of rest volts of one pack off the table, as the project's own rule has it."""
SITE_SD_DB: Final = 3.0
"""Of what every level of a site is off; with shadowing, what the brief's own spread of 5.5 dB in clear sight holds."""
FIELD_M: Final = 5.0
BEARING_DEG: Final = 285.0
HEIGHT_M: Final = 40.0
FAR_M: Final = 380.0
ACROSS_M: Final = 220.0
"""A flight's first and second way out."""
GROUND_S: Final = 6.0
HOVER_S: Final = 25.0
LOOK_S: Final = 15.0
MOST_ROUNDS: Final = 3
NOMINAL_V: Final = 22.2
ACCEL_MPS2: Final = 2.0
CLIMB_MPS: Final = 3.0


@dataclass(frozen=True)
class Truth:
    """What is so, of one loop.

    Parameters
    ----------
    value : mapping
        By the plan's own keys, SI.
    ohm_ratio : tuple of float
        Slow shares of the cell over its ohmic one, of seconds and of a minute.
    curve_v : ndarray
        How far this pack's rest volts lie off the trade's table, at its nodes.
    sensor_ratio, volts_ratio : float
        Recorded over true current and volts, in every flight.
    forward_ratio : float
        Power of cruise over what momentum theory gives.
    site_db : float
        Loss at this site beyond free space.
    shadow_db : ndarray, shape (2, k)
        Along the two ways flown, every `FIELD_M`; the same on every day.
    """

    value: Mapping[str, float]
    ohm_ratio: tuple[float, float]
    curve_v: Floats
    sensor_ratio: float
    volts_ratio: float
    forward_ratio: float
    site_db: float
    shadow_db: Floats


def drawn(bands: Mapping[str, tuple[float, float, float]], rng: np.random.Generator) -> Truth:
    """Draw a truth within a plan's bands, and what no plan tells.

    Parameters
    ----------
    bands : mapping of str to (low, middle, high)
        The ends hold 90 %.
    rng : Generator
    """
    value = {}
    for key, (low, mid, high) in sorted(bands.items()):
        z = float(np.clip(rng.normal(), -2.5, 2.5)) / Z90
        if low > 0.0 and high > 1.5 * low and not key.endswith(("_c", "_db", "_dbi", "_dbm", "_deg")):
            value[key] = mid * (high / mid) ** z if z > 0.0 else mid * (mid / low) ** z
        else:
            value[key] = mid + z * (high - mid if z > 0.0 else mid - low)
    cells = 200
    shadow = np.empty((2, cells))
    keep = float(np.exp(-FIELD_M / 25.0))
    shadow[:, 0] = rng.normal(size=2)
    for k in range(1, cells):
        shadow[:, k] = keep * shadow[:, k - 1] + np.sqrt(1.0 - keep * keep) * rng.normal(size=2)
    return Truth(
        value=value,
        ohm_ratio=(float(rng.uniform(0.3, 0.7)), float(rng.uniform(0.2, 0.9))),
        curve_v=np.interp(SOC, [0.0, 0.25, 0.5, 0.75, 1.0], [0.0, *rng.normal(0.0, CURVE_SD_V, 3), 0.0]),
        sensor_ratio=float(np.exp(rng.normal(0.0, 0.05))),
        volts_ratio=float(1.0 + rng.normal(0.0, 0.005)),
        forward_ratio=float(np.exp(rng.normal(0.0, 0.025))),
        site_db=float(rng.normal(0.0, SITE_SD_DB)),
        shadow_db=shadow * rng.uniform(2.5, 5.5),
    )


def with_facts(truth: Truth, facts: Mapping[str, float]) -> Truth:
    """Return a truth that also holds what is certain in the plan."""
    return replace(truth, value={**truth.value, **facts})


# --- power ---


def rotor_w(truth: Truth, airspeed_mps: Floats, climb_mps: Floats) -> Floats:
    """Return electrical power of the rotors in steady flight: Glauert's induced velocity by repeated insertion."""
    of = truth.value
    mass = of["aircraft.mass_kg"] + of["pack.mass_kg"]
    air, disc, merit = of["density_kg_m3"], of["disc_m2"], of["aircraft.figure_of_merit"]
    drag = 0.5 * air * of["aircraft.drag_area_m2"] * airspeed_mps**2
    thrust = np.hypot(mass * GRAVITY, drag)
    tilt = np.arctan2(drag, mass * GRAVITY)
    hover = np.sqrt(thrust / (2.0 * air * disc))
    through = airspeed_mps * np.sin(tilt) + climb_mps * np.cos(tilt)
    along = airspeed_mps * np.cos(tilt)
    induced = hover.copy()
    for _ in range(60):
        induced = 0.5 * induced + 0.5 * hover**2 / np.hypot(along, through + induced)
    kappa = min(1.12, 0.98 / merit)
    profile = thrust * hover * (1.0 / merit - kappa) * (1.0 + 0.02 * (along / hover) ** 2)
    shaft = thrust * (kappa * induced + through) + profile
    still = mass * GRAVITY * np.sqrt(mass * GRAVITY / (2.0 * air * disc)) / merit
    shaft = np.maximum(shaft, 0.5 * still)
    share = np.clip(airspeed_mps / of["aircraft.cruise_mps"], 0.0, 1.0)
    return np.asarray(shaft / of["aircraft.electrical_efficiency"] * truth.forward_ratio**share)


def steady_w(truth: Truth, airspeed_mps: float, climb_mps: float = 0.0) -> float:
    """Return power from the pack in steady flight, board and radios included."""
    rotors = rotor_w(truth, np.array([airspeed_mps]), np.array([climb_mps]))
    return float(rotors[0]) + truth.value["aircraft.auxiliary_w"]


# --- pack ---


@njit(cache=True)  # type: ignore[untyped-decorator]
def _march(
    power_w: Floats, seconds: Floats, of: Floats, soc_nodes: Floats, ocv_v: Floats
) -> tuple[Floats, Floats, float]:  # pragma: no cover - compiled
    """Draw power step by step; `of` is start charge, cells, start and air temperature, ohm, Ah, ratios, heat."""
    soc, cells, celsius, air_c, warm_ohm, capacity_ah, ratio1, ratio2, heat = of
    lag1 = lag2 = 0.0
    volts, current = np.empty(power_w.size), np.empty(power_w.size)
    for k in range(power_w.size):
        step = seconds[k]
        ohm = warm_ohm * np.exp(20_000.0 / 8.314 * (1.0 / (celsius + 273.15) - 1.0 / 298.15))
        if soc < 0.2:
            ohm *= 1.0 + 6.0 * (0.2 - soc) ** 1.5 / 0.2**0.5
        behind = np.interp(soc, soc_nodes, ocv_v) - lag1 - lag2
        root = max(behind * behind - 4.0 * ohm * power_w[k] / cells, 0.0)
        amperes = (behind - np.sqrt(root)) / (2.0 * ohm)
        keep1, keep2 = np.exp(-step / 3.0), np.exp(-step / 40.0)
        lag1 = keep1 * lag1 + (1.0 - keep1) * ratio1 * ohm * amperes
        lag2 = keep2 * lag2 + (1.0 - keep2) * ratio2 * ohm * amperes
        volts[k], current[k] = behind - ohm * amperes, amperes
        soc = max(soc - amperes * step / 3600.0 / capacity_ah, 0.0)
        loss_w = amperes * amperes * ohm + (lag1 + lag2) * amperes
        celsius += (loss_w - 1.5e-3 * heat * (celsius - air_c)) * step / heat
    return volts, current, soc


def drawn_from(truth: Truth, start_soc: float, power_w: Floats, seconds: Floats) -> tuple[Floats, Floats, float]:
    """Draw power from a rested pack, step by step; return volts of one cell, amperes, and the charge left."""
    of = truth.value
    numbers = np.array([
        start_soc, of["cells"], of["pack.temperature_c"], of["site.temperature_c"], of["pack.resistance_ohm"],
        of["pack.capacity_ah"], *truth.ohm_ratio, of["pack.mass_kg"] / of["cells"] * 1000.0,
    ])  # fmt: skip
    volts, current, soc = _march(power_w, seconds, numbers, SOC, OCV + truth.curve_v)
    return volts, current, float(soc)


# --- the planned flight, for the volts it lands with ---


def landing_rest_v(truth: Truth, distance_m: float, hover_s: float, start_soc: float) -> tuple[float, float]:
    """Fly the plan as it is written, in the day's mean wind and with an even hand; return rest volts at landing.

    By the trade's table, and by this pack's own curve.
    """
    of = truth.value
    wind, to = wind_at(of, HEIGHT_M), np.radians(of["site.wind_from_deg"] + 180.0)
    low = wind_at(of, HEIGHT_M / 2.0)
    bearing = np.radians(BEARING_DEG)
    parts = [(low, CLIMB_MPS, HEIGHT_M / CLIMB_MPS)]
    for turned, stay_s in ((0.0, hover_s), (np.pi, 0.0)):
        along, cross = wind * np.cos(to - bearing - turned), wind * np.sin(to - bearing - turned)
        speed = of["aircraft.cruise_mps"]
        parts.append((speed, 0.0, distance_m / (np.sqrt(max(speed**2 - cross**2, 1.0)) + along)))
        parts.append((wind, 0.0, stay_s))
    parts += [(low, -CLIMB_MPS, HEIGHT_M / CLIMB_MPS), (wind_at(of, 5.0), 0.0, 20.0)]
    power, lasts = [], []
    for airspeed, climb, seconds in parts:
        steps = int(seconds) + 1
        power += [steady_w(truth, float(airspeed), climb)] * steps
        lasts += [seconds / steps] * steps
    soc = drawn_from(truth, start_soc, np.array(power), np.array(lasts))[2]
    return float(np.interp(soc, SOC, OCV)), float(np.interp(soc, SOC, OCV + truth.curve_v))


def wind_at(of: Mapping[str, float], height_m: float) -> float:
    """Return the mean wind at a height by the logarithmic law over low crops (roughness 0.1 m)."""
    return of["site.wind_mps"] * float(np.log(max(height_m, 2.0) / 0.1) / np.log(10.0 / 0.1))


# --- radio ---


def mean_level_dbm(truth: Truth, away_m: Floats, height_m: Floats) -> Floats:
    """Return the level at the aircraft without shadowing: free space, two short vertical antennas, bodies, site."""
    of = truth.value
    up = height_m - of["site.antenna_height_m"]
    slant = np.maximum(np.hypot(away_m, up), 3.0)
    free = 20.0 * np.log10(slant / 1e3) + 20.0 * np.log10(of["frequency_mhz"]) + 32.447783
    angle = np.arctan2(np.abs(up), np.maximum(away_m, 1.0))
    null = np.minimum(-20.0 * np.log10(np.maximum(np.cos(angle), 1e-3)), 6.0)
    tilted = np.minimum(-20.0 * np.log10(np.maximum(np.cos(angle + 0.2), 1e-3)), 8.0)
    gains = of["control.ground.gain_dbi"] + of["control.aircraft.gain_dbi"] - of["control.body_loss_db"]
    return np.asarray(of["control.ground_power_dbm"] + gains - free - null - tilted - truth.site_db)


def level_dbm(truth: Truth, away_m: float, height_m: float) -> float:
    """Return the level at one place of the first way flown, its shadowing included."""
    mean = float(mean_level_dbm(truth, np.array([away_m]), np.array([height_m]))[0])
    return mean + float(truth.shadow_db[0, int(away_m / FIELD_M)])


# --- one flight, recorded ---


def flown(truth: Truth, rng: np.random.Generator, start_soc: float, *, rests: bool) -> tuple[dict[str, Floats], float]:
    """Fly out and back twice with punches and hovers, land, rest, and record.

    Parameters
    ----------
    truth : Truth
    rng : Generator
    start_soc : float
    rests : bool
        The record runs on for a while after landing.

    Returns
    -------
    columns, end_soc
        Columns by name, 10 rows a second: t_s, east_m, north_m, height_m, vx_mps, vy_mps, climb_mps, volts_v,
        current_a, level_dbm, throttle.
    """
    of = truth.value
    ways = np.array(_commands(truth, rng))
    tail = int((rng.uniform(40.0, 90.0) if rests else 3.0) / STEP_S)
    ways = np.concatenate([ways, np.tile([[0.0, 0.0, 0.0, 0.0, 1.0]], (tail, 1))])
    count = len(ways)
    day = float(np.exp(rng.normal(0.0, 0.18)))
    hand = float(np.exp(rng.normal(0.0, 0.05)))
    to = float(np.radians(of["site.wind_from_deg"] + rng.normal(0.0, 5.0) + 180.0))
    state = _moved(ways, day * of["site.wind_mps"] / np.log(100.0), to, 1.0 + 0.1 * _rough(rng, count, 2.0))
    rotors = rotor_w(truth, state[:, 6], state[:, 5]) * (1.0 + 0.04 * _rough(rng, count, 1.0)) * hand
    power = of["aircraft.auxiliary_w"] + state[:, 7] * rotors * state[:, 8]
    volts, amperes, soc = drawn_from(truth, start_soc, power, np.full(count, STEP_S))
    return _recorded(truth, rng, state, volts, amperes), soc


@njit(cache=True)  # type: ignore[untyped-decorator]
def _moved(ways: Floats, friction: float, to: float, gust: Floats) -> Floats:  # pragma: no cover - compiled
    """Return place, height, ground velocity, climb, airspeed, on and punch at every step of the commands."""
    state = np.zeros((ways.shape[0], 9))
    x = y = height = east = north = 0.0
    most = ACCEL_MPS2 * STEP_S
    for k in range(ways.shape[0]):
        wind = friction * np.log(max(height, 2.0) / 0.1) * gust[k]
        wind_e, wind_n = wind * np.sin(to), wind * np.cos(to)
        speed_e = speed_n = 0.0
        if ways[k, 3] > 0.0:
            east += min(max(ways[k, 0] - wind_e - east, -most), most)
            north += min(max(ways[k, 1] - wind_n - north, -most), most)
            speed_e, speed_n = east + wind_e, north + wind_n
            x, y = x + speed_e * STEP_S, y + speed_n * STEP_S
            height = max(height + ways[k, 2] * STEP_S, 0.0)
        else:
            east, north = -wind_e, -wind_n
        air = np.hypot(east, north)
        state[k] = (x, y, height, speed_e, speed_n, ways[k, 2] * ways[k, 3], air, ways[k, 3], ways[k, 4])
    return state


def _commands(truth: Truth, rng: np.random.Generator) -> list[tuple[float, float, float, float, float]]:
    """Return wanted ground velocity, climb, on or off, and punch, for every step."""
    cruise = truth.value["aircraft.cruise_mps"]
    made: list[tuple[float, float, float, float, float]] = [(0.0, 0.0, 0.0, 0.0, 1.0)] * int(GROUND_S / STEP_S)

    def add(seconds: float, east: float, north: float, climb: float = 0.0, punch: float = 1.0) -> None:
        made.extend([(east, north, climb, 1.0, punch)] * int(seconds / STEP_S))

    add(HEIGHT_M / CLIMB_MPS, 0.0, 0.0, CLIMB_MPS)
    add(HOVER_S + rng.uniform(0.0, 10.0), 0.0, 0.0)
    most_s = rng.uniform(0.5, 0.75) * truth.value["pack.capacity_ah"] * 3600.0 / (steady_w(truth, 0.0) / NOMINAL_V)
    for out_m, turn in ((FAR_M, 0.0), (ACROSS_M, 80.0)) * MOST_ROUNDS:
        if len(made) * STEP_S > most_s and turn == 0.0:
            break
        angle = np.radians(BEARING_DEG + turn)
        for sign in (1.0, -1.0):
            speed = float(cruise * rng.uniform(0.9, 1.15))
            add(out_m / speed, sign * speed * np.sin(angle), sign * speed * np.cos(angle))
            add(3.0, 0.0, 0.0)
            for _ in range(int(rng.integers(1, 4))):
                add(float(rng.uniform(0.6, 1.6)), 0.0, 0.0, 1.5, float(rng.uniform(1.8, 3.5)))
                add(float(rng.uniform(1.5, 3.0)), 0.0, 0.0, -0.8)
            add(LOOK_S * float(rng.uniform(0.4, 1.2)), 0.0, 0.0)
    add(HEIGHT_M / CLIMB_MPS + 3.0, 0.0, 0.0, -CLIMB_MPS)
    return made


def _rough(rng: np.random.Generator, count: int, tau_s: float) -> Floats:
    return np.asarray(_remembered(rng.normal(size=count), float(np.exp(-STEP_S / tau_s))))


@njit(cache=True)  # type: ignore[untyped-decorator]
def _remembered(noise: Floats, keep: float) -> Floats:  # pragma: no cover - compiled
    made, last = np.empty(noise.size), 0.0
    for k in range(noise.size):
        last = keep * last + np.sqrt(1.0 - keep * keep) * noise[k]
        made[k] = last
    return made


def _recorded(
    truth: Truth, rng: np.random.Generator, state: Floats, volts: Floats, amperes: Floats
) -> dict[str, Floats]:
    count = len(state)
    cells = truth.value["cells"]
    away = np.hypot(state[:, 0], state[:, 1])
    way = (np.abs(np.degrees(np.arctan2(state[:, 0], state[:, 1])) - (BEARING_DEG - 360.0)) > 40.0).astype(int)
    place = np.minimum((away / FIELD_M).astype(int), truth.shadow_db.shape[1] - 1)
    level = mean_level_dbm(truth, away, np.maximum(state[:, 2], 0.3)) + truth.shadow_db[way, place]
    level = level + 1.5 * _rough(rng, count, 0.8)
    drift = rng.normal(0.0, 0.7, 2)[:, None] + 0.6 * np.stack([_rough(rng, count, 30.0) for _ in range(2)])
    late = np.concatenate([[amperes[0]], amperes[:-1]])
    return {
        "t_s": np.arange(count) * STEP_S,
        "east_m": state[:, 0] + drift[0],
        "north_m": state[:, 1] + drift[1],
        "height_m": np.round(state[:, 2] + 0.5 * _rough(rng, count, 20.0), 1),
        "vx_mps": state[:, 3] + rng.normal(0.0, 0.1, count),
        "vy_mps": state[:, 4] + rng.normal(0.0, 0.1, count),
        "climb_mps": state[:, 5] + rng.normal(0.0, 0.15, count),
        "volts_v": np.round(volts * cells * truth.volts_ratio + rng.normal(0.0, 0.02, count), 2),
        "current_a": np.maximum(np.round(late * truth.sensor_ratio + rng.normal(0.0, 0.2, count), 1), 0.0),
        "level_dbm": np.round(level),
        "throttle": np.clip(0.3 * state[:, 7] * np.sqrt(state[:, 8]), 0.0, 1.0),
        "armed": (np.arange(count) * STEP_S > 2.0) * (state[:, 7] > 0.0) * 1.0,
    }
