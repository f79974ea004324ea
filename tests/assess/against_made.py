"""Made flights to hold against a plan: a steady out-and-back over a plan's ground, and what a pack does meanwhile."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from scipy.signal import lfilter
from tests.assess.record_makers import flat, make_record

from turnback.physics.geodesy import lat_lon_deg
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, RecordAnswer

LAUNCH: Final = (36.6021, -84.2185)
RATE_HZ: Final = 10.0
FLIES: Final = (10.0, 370.0)
LENGTH_S: Final = 440.0
SOC: Final = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
OCV_V: Final = (3.27, 3.69, 3.77, 3.84, 3.95, 4.11, 4.2)
"""The trade's table of rest volts: common practice."""


@dataclass
class Made:
    """One flight: hover, then out and back at a speed along one bearing; all may be changed."""

    hover_w: float = 130.0
    cruise_w: float = 150.0
    speed_mps: float = 13.0
    bearing_deg: float = 285.0
    height_m: float = 40.0
    cell_ohm: float = 0.006
    capacity_ah: float = 1.25
    start_soc: float = 0.99
    steady: bool = False
    sensor_ratio: float = 1.0
    rest_s: float = 70.0
    step_at_s: float | None = None
    launch: tuple[float, float] = LAUNCH
    events: list[Event] = field(default_factory=list)


def t_of(made: Made) -> Any:
    """Return the clock."""
    return np.arange(0.0, FLIES[1] + made.rest_s, 1.0 / RATE_HZ)


def columns(made: Made) -> dict[Channel | Quantity, tuple[Any, Any]]:
    """Return the channels of a flight."""
    rng = np.random.default_rng(5)
    t_s = t_of(made)
    on = (t_s >= FLIES[0]) & (t_s < FLIES[1])
    leg = np.floor((t_s - 70.0) / 30.0).astype(int)
    moves = on & (t_s >= 70.0) & (t_s < 340.0)
    along = np.where(moves, np.where(leg % 2 == 0, made.speed_mps, -made.speed_mps), 0.0)
    away = np.cumsum(along) / RATE_HZ
    angle = np.radians(made.bearing_deg)
    climb = np.where((t_s >= FLIES[0]) & (t_s < FLIES[0] + 13.4), made.height_m / 13.4, 0.0)
    climb = np.where((t_s >= 350.0) & (t_s < 363.4), -made.height_m / 13.4, climb)
    watts = np.where(on, np.where(moves, made.cruise_w, made.hover_w), 8.0)
    if not made.steady:
        watts = watts * np.where(on & (t_s % 11.0 < 1.5) & (t_s > 45.0), 2.2, 1.0)
    cells = 6
    amperes = watts / (cells * 3.8)
    soc = made.start_soc - np.cumsum(amperes) / RATE_HZ / 3600.0 / made.capacity_ah
    volts = np.interp(soc, SOC, OCV_V) - made.cell_ohm * amperes
    for share, tau_s in ((0.5, 3.0), (0.667, 40.0)):
        keep = float(np.exp(-1.0 / RATE_HZ / tau_s))
        volts = volts - share * made.cell_ohm * lfilter([1.0 - keep], [1.0, -keep], amperes)
    if made.step_at_s is not None:
        volts = volts - 2.0 * made.cell_ohm * amperes * (t_s >= made.step_at_s)
    lat, lon = lat_lon_deg(away * np.sin(angle), away * np.cos(angle), *made.launch)
    return {
        Quantity.PACK_VOLTS: (t_s, cells * volts + rng.normal(0.0, 0.01, t_s.size)),
        Quantity.CURRENT: (t_s, made.sensor_ratio * amperes + rng.normal(0.0, 0.05, t_s.size)),
        Quantity.LATITUDE: (t_s, lat),
        Quantity.LONGITUDE: (t_s, lon),
        Quantity.HEIGHT_LAUNCH: (t_s, np.cumsum(climb) / RATE_HZ),
        Quantity.CLIMB_RATE: (t_s, climb),
        Quantity.VELOCITY_EAST: (t_s, along * np.sin(angle)),
        Quantity.VELOCITY_NORTH: (t_s, along * np.cos(angle)),
    }


def answer_of(made: Made, *, without: tuple[Quantity, ...] = (), **more: Any) -> RecordAnswer:
    """Return the answer to a made record, without some channels and with more."""
    channels = {key: row for key, row in columns(made).items() if key not in without}
    channels |= {Quantity[key.upper()]: row for key, row in more.items()}
    end_s = float(t_of(made)[-1])
    phases: tuple[Phase, ...] = (
        flat(PhaseKind.GROUND, 0.0, FLIES[0]), flat(PhaseKind.TAKE_OFF, FLIES[0], 24.0),
        flat(PhaseKind.HOVER, 24.0, 70.0), flat(PhaseKind.CRUISE, 70.0, FLIES[1]),
        flat(PhaseKind.GROUND, FLIES[1], end_s),
    )  # fmt: skip
    flown = Flown(make_record(channels), phases, 6, "LiPo")
    return RecordAnswer(flown, tuple(made.events), (), ())


def event(kind: EventKind, at_s: float, **values: float) -> Event:
    """Return one event."""
    return Event(kind, at_s, at_s + 0.5, (), "record.made", values)
