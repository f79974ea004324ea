"""In which units strangers write a channel, and how they spell them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

DEG: Final = math.pi / 180.0


@dataclass(frozen=True, slots=True)
class Unit:
    """One way to write: canonical value = scale * written + offset.

    Parameters
    ----------
    key : str
        Our own name of it.
    scale, offset : float
        A scale that is not a number: written as the level over a milliwatt, in decibels.
    texts : tuple of str
        As in brackets or in a row of units; empty where people give none.
    suffixes : tuple of str
        As at the end of a name.
    weight : float
        How often, against the others.
    digits : int
        After the decimal point as written.
    """

    key: str
    scale: float
    offset: float
    texts: tuple[str, ...]
    suffixes: tuple[str, ...]
    weight: float
    digits: int


def u(key: str, scale: float, texts: str, suffixes: str, weight: float, digits: int, offset: float = 0.0) -> Unit:
    """Return a unit; spellings parted by a bar."""
    parted = [tuple(each for each in spelled.split("|") if each) for spelled in (texts, suffixes)]
    return Unit(key, scale, offset, parted[0], parted[1], weight, digits)


RATE = (
    u("deg/s", DEG, "deg/s|°/s|dps|degrees/s|deg/sec", "dps|deg_s|degs", 3, 2),
    u("rad/s", 1.0, "rad/s|rad/sec|radians/s|rad s^-1", "rad_s|radps|rads", 2, 4),
    u("mrad/s", 1e-3, "mrad/s", "mrad_s|mradps", 0.3, 0),
)
ACC = (
    u("m/s2", 1.0, "m/s²|m/s^2|m/s2|m s^-2|m/s/s", "mss|m_s2|mps2", 2, 3),
    u("g", 9.80665, "g|G", "g", 2, 4),
    u("mg", 9.80665e-3, "mg|milli-g", "mg", 0.4, 0),
)
ANGLE = (
    u("deg", DEG, "deg|°|degrees", "deg", 3, 2),
    u("rad", 1.0, "rad|radians", "rad", 1.5, 4),
    u("0.1 deg", DEG / 10, "0.1 deg|deci-degrees|ddeg", "ddeg|decideg", 0.4, 0),
    u("0.01 deg", DEG / 100, "0.01 deg|centi-degrees|cdeg", "cdeg|centideg", 0.4, 0),
)
SHARE = (
    u("0-1", 1.0, "0-1|0..1", "norm", 2, 4),
    u("%", 0.01, "%|percent|pct", "pct|percent", 2, 1),
    u("1000-2000", 1e-3, "us|µs|1000-2000", "us|pwm", 2, 0, -1.0),
    u("0-65535", 1 / 65535, "0-65535|16 bit", "u16", 0.5, 0),
    u("0-1000", 1e-3, "0-1000|permille|‰", "permille", 0.5, 0),
    u("0-255", 1 / 255, "0-255|8 bit", "u8", 0.3, 0),
)
STICK = (
    u("-1-1", 1.0, "-1..1|-1 to 1", "norm", 2, 4),
    u("%", 0.01, "%|percent|pct", "pct|percent", 1.5, 1),
    u("1000-2000", 2e-3, "us|µs|1000-2000", "us|pwm", 2, 0, -3.0),
    u("-500-500", 2e-3, "-500..500|-500 to 500", "", 0.6, 0),
)
SPEED = (
    u("m/s", 1.0, "m/s|mps|m/sec", "mps|m_s|ms", 3, 2),
    u("km/h", 1 / 3.6, "km/h|kph|kmh", "kmh|kph", 1.5, 1),
    u("mph", 0.44704, "mph|mi/h", "mph", 0.5, 1),
    u("kn", 1852 / 3600, "kn|kt|knots", "kt|kn", 0.5, 1),
    u("cm/s", 0.01, "cm/s", "cms|cm_s", 0.6, 0),
    u("ft/s", 0.3048, "ft/s|fps", "fps|ft_s", 0.3, 1),
)
VERTICAL = (*SPEED[:1], SPEED[4], u("ft/min", 0.3048 / 60, "ft/min|fpm", "fpm|ft_min", 0.3, 0))
LENGTH = (
    u("m", 1.0, "m|metres|meters", "m", 3, 2),
    u("ft", 0.3048, "ft|feet", "ft|feet", 1, 1),
    u("cm", 0.01, "cm", "cm", 0.7, 0),
    u("mm", 1e-3, "mm", "mm", 0.4, 0),
)
VOLTS = (
    u("V", 1.0, "V|volt|volts", "v|V|volts", 3, 2),
    u("mV", 1e-3, "mV|millivolt", "mv|mV", 1.5, 0),
    u("0.01 V", 0.01, "cV|10 mV|0.01 V", "cv", 0.4, 0),
)
CELSIUS = (
    u("C", 1.0, "°C|degC|deg C|C", "degC|c|C", 3, 1),
    u("F", 5 / 9, "°F|degF|F", "degF|f", 0.5, 1, -160 / 9),
    u("K", 1.0, "K|kelvin", "k|kelvin", 0.3, 1, -273.15),
)
LEVEL = (u("dBm", 1.0, "dBm|dBm", "dbm|dBm", 3, 0), u("-dBm", -1.0, "-dBm|dBm", "dbm", 0.7, 0))
QUALITY = (
    u("%", 0.01, "%|percent|pct", "pct|percent", 3, 0),
    u("0-1", 1.0, "0-1|0..1", "norm", 1.2, 2),
    u("0-255", 1 / 255, "0-255", "u8", 0.3, 0),
)
DEGREES = (
    u("deg", 1.0, "deg|°|degrees|decimal degrees", "deg", 3, 7),
    u("1e-7 deg", 1e-7, "1e-7 deg|deg*1e7|degE7|1e7", "e7|deg7", 1.5, 0),
)
ONE = (u("", 1.0, "", "", 1, 0),)
UNITS: Final[dict[str, tuple[Unit, ...]]] = {
    **dict.fromkeys(("roll_rate", "pitch_rate", "yaw_rate"), RATE),
    **dict.fromkeys(("roll_rate_demand", "pitch_rate_demand", "yaw_rate_demand"), RATE),
    **dict.fromkeys(("acceleration_x", "acceleration_y", "acceleration_z"), ACC),
    **dict.fromkeys(("roll", "pitch", "heading", "roll_demand", "pitch_demand"), ANGLE),
    **dict.fromkeys(("course", "bearing_launch"), ANGLE[:1] * 3 + ANGLE[1:]),
    **dict.fromkeys(
        ("magnetic_x", "magnetic_y", "magnetic_z"),
        (
            u("uT", 1.0, "µT|uT|microtesla", "ut", 2, 2),
            u("mG", 0.1, "mG|milligauss|mGauss", "mgauss", 1, 0),
            u("G", 100.0, "Gauss|gauss", "gauss", 0.5, 4),
        ),
    ),
    "output": SHARE,
    "throttle": SHARE[:3],
    **dict.fromkeys(("roll_stick", "pitch_stick", "yaw_stick"), STICK),
    "rotor_speed": (
        u("rpm", 1 / 60, "rpm|1/min|rev/min|U/min", "rpm", 3, 0),
        u("Hz", 1.0, "Hz|1/s|rev/s|rps", "hz|rps", 1, 1),
        u("rad/s", 1 / (2 * math.pi), "rad/s|rad/sec", "rad_s|radps", 0.7, 1),
    ),
    **dict.fromkeys(("pack_volts", "cell_volts", "supply_volts", "cell_mean"), VOLTS),
    "current": (
        u("A", 1.0, "A|amp|amps|ampere", "a|A|amps", 3, 2),
        u("mA", 1e-3, "mA|milliamp", "ma|mA", 1, 0),
        u("0.01 A", 0.01, "cA|10 mA|0.01 A", "ca", 0.4, 0),
    ),
    "charge_used": (
        u("mAh", 1e-3, "mAh|mA h", "mah|mAh", 3, 0),
        u("Ah", 1.0, "Ah|A h", "ah|Ah", 1, 4),
        u("As", 1 / 3600, "As|C|coulomb", "as|coulomb", 0.2, 1),
    ),
    "power": (u("W", 1.0, "W|watt|watts", "w|W|watts", 3, 1), u("mW", 1e-3, "mW", "mw", 0.3, 0)),
    **dict.fromkeys(("pack_temperature", "board_temperature"), CELSIUS),
    **dict.fromkeys(("link_level", "link_level_back", "video_level"), LEVEL),
    **dict.fromkeys(("link_quality", "link_quality_back"), QUALITY),
    "signal_to_noise": (u("dB", 1.0, "dB", "db|dB", 1, 0),),
    "transmit_power": (
        u("mW", 1e-3, "mW|milliwatt", "mw|mW", 3, 0),
        u("W", 1.0, "W|watt", "w|W", 1, 3),
        u("dBm", math.nan, "dBm", "dbm|dBm", 1, 0),
    ),
    **dict.fromkeys(("latitude", "longitude", "launch_latitude", "launch_longitude"), DEGREES),
    **dict.fromkeys(("height_sea_level", "height_launch"), LENGTH),
    "distance_launch": (*LENGTH[:2], u("km", 1e3, "km", "km", 0.4, 4)),
    "fix_uncertainty": LENGTH,
    "pressure": (
        u("Pa", 1.0, "Pa|pascal", "pa|Pa", 2, 0),
        u("hPa", 100.0, "hPa|mbar|mb", "hpa|mbar", 2, 2),
        u("kPa", 1e3, "kPa", "kpa", 0.4, 3),
    ),
    **dict.fromkeys(("ground_speed", "airspeed"), SPEED),
    **dict.fromkeys(("velocity_north", "velocity_east", "velocity_down"), (*SPEED[:1], SPEED[4], SPEED[1])),
    "climb_rate": VERTICAL,
}
UNITLESS: Final = ONE[0]


def draw_unit(rng: np.random.Generator, quantity: str) -> Unit:
    """Draw a unit for one quantity."""
    units = UNITS.get(quantity, ONE)
    weights = np.array([each.weight for each in units])
    return units[int(rng.choice(len(units), p=weights / weights.sum()))]
