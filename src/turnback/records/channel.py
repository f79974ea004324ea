"""What a flight record may hold: canonical channels, their units and their signs.

Body axes are x forward, y to the right, z down (ISO 1151). A positive roll rate lowers the right side, a positive pitch
rate raises the nose, a positive yaw rate turns the nose to the right. Measured acceleration is specific force: at rest
and level it is (0, 0, -9.80665) m/s². Demands and sticks are positive where they ask for a positive rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from turnback.records.bench import At


class Quantity(Enum):
    """One kind of channel; its value is its name in files and messages."""

    TIME = "time"
    ROLL_RATE = "roll_rate"
    PITCH_RATE = "pitch_rate"
    YAW_RATE = "yaw_rate"
    ROLL_RATE_DEMAND = "roll_rate_demand"
    PITCH_RATE_DEMAND = "pitch_rate_demand"
    YAW_RATE_DEMAND = "yaw_rate_demand"
    ACCELERATION_X = "acceleration_x"
    ACCELERATION_Y = "acceleration_y"
    ACCELERATION_Z = "acceleration_z"
    ROLL = "roll"
    PITCH = "pitch"
    HEADING = "heading"  # clockwise from north
    ROLL_DEMAND = "roll_demand"
    PITCH_DEMAND = "pitch_demand"
    MAGNETIC_X = "magnetic_x"
    MAGNETIC_Y = "magnetic_y"
    MAGNETIC_Z = "magnetic_z"
    OUTPUT = "output"  # of one corner, 0 to 1
    ROTOR_SPEED = "rotor_speed"  # of one corner, revolutions a second
    ROLL_STICK = "roll_stick"  # -1 to 1
    PITCH_STICK = "pitch_stick"
    YAW_STICK = "yaw_stick"
    THROTTLE = "throttle"  # 0 to 1
    ARMED = "armed"  # 0 or 1
    MODE = "mode"  # words, or a number whose meaning is not known
    RETURN_ACTIVE = "return_active"  # 0 or 1: automatic return
    LINK_LOSS = "link_loss"  # 0 or 1: the record itself says that the control link is lost
    PACK_VOLTS = "pack_volts"
    CELL_VOLTS = "cell_volts"  # of one cell, numbered from 1; without a number the mean of the cells
    CURRENT = "current"
    CHARGE_USED = "charge_used"
    POWER = "power"
    SUPPLY_VOLTS = "supply_volts"  # of the flight board
    PACK_TEMPERATURE = "pack_temperature"
    BOARD_TEMPERATURE = "board_temperature"
    LINK_LEVEL = "link_level"  # as the aircraft receives it
    LINK_LEVEL_BACK = "link_level_back"  # as the pilot's radio receives the aircraft
    LINK_QUALITY = "link_quality"  # share of packets received, 0 to 1
    LINK_QUALITY_BACK = "link_quality_back"
    SIGNAL_TO_NOISE = "signal_to_noise"
    TRANSMIT_POWER = "transmit_power"
    VIDEO_LEVEL = "video_level"
    LATITUDE = "latitude"
    LONGITUDE = "longitude"
    LAUNCH_LATITUDE = "launch_latitude"  # the stored launch point
    LAUNCH_LONGITUDE = "launch_longitude"
    HEIGHT_SEA_LEVEL = "height_sea_level"
    HEIGHT_LAUNCH = "height_launch"  # above the launch point
    PRESSURE = "pressure"
    GROUND_SPEED = "ground_speed"
    COURSE = "course"  # direction of travel over ground, clockwise from north
    AIRSPEED = "airspeed"
    CLIMB_RATE = "climb_rate"  # positive upward
    VELOCITY_NORTH = "velocity_north"
    VELOCITY_EAST = "velocity_east"
    VELOCITY_DOWN = "velocity_down"
    FIX_UNCERTAINTY = "fix_uncertainty"  # of the position
    SATELLITES = "satellites"
    DISTANCE_LAUNCH = "distance_launch"
    BEARING_LAUNCH = "bearing_launch"  # toward the launch point
    ROW = "row"  # a running count of rows or loops
    OTHER = "other"  # understood as none of these


RATES: Final = (Quantity.ROLL_RATE, Quantity.PITCH_RATE, Quantity.YAW_RATE)
RATE_DEMANDS: Final = (Quantity.ROLL_RATE_DEMAND, Quantity.PITCH_RATE_DEMAND, Quantity.YAW_RATE_DEMAND)
ACCELERATIONS: Final = (Quantity.ACCELERATION_X, Quantity.ACCELERATION_Y, Quantity.ACCELERATION_Z)
ANGLES: Final = (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)
STICKS: Final = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK, Quantity.THROTTLE)
OF_CORNERS: Final = frozenset({Quantity.OUTPUT, Quantity.ROTOR_SPEED})
SWITCHES: Final = frozenset({Quantity.ARMED, Quantity.RETURN_ACTIVE, Quantity.LINK_LOSS})

UNIT_OF: Final[dict[Quantity, str]] = {
    Quantity.TIME: "s",
    **dict.fromkeys((*RATES, *RATE_DEMANDS), "rad/s"),
    **dict.fromkeys(ACCELERATIONS, "m/s²"),
    **dict.fromkeys((*ANGLES, Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND), "rad"),
    **dict.fromkeys((Quantity.COURSE, Quantity.BEARING_LAUNCH), "rad"),
    **dict.fromkeys((Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z), "µT"),
    **dict.fromkeys((Quantity.OUTPUT, *STICKS, Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK), ""),
    **dict.fromkeys((*SWITCHES, Quantity.MODE, Quantity.SATELLITES, Quantity.ROW, Quantity.OTHER), ""),
    Quantity.ROTOR_SPEED: "1/s",
    **dict.fromkeys((Quantity.PACK_VOLTS, Quantity.CELL_VOLTS, Quantity.SUPPLY_VOLTS), "V"),
    Quantity.CURRENT: "A",
    Quantity.CHARGE_USED: "Ah",
    Quantity.POWER: "W",
    **dict.fromkeys((Quantity.PACK_TEMPERATURE, Quantity.BOARD_TEMPERATURE), "°C"),
    **dict.fromkeys((Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK, Quantity.VIDEO_LEVEL), "dBm"),
    Quantity.SIGNAL_TO_NOISE: "dB",
    Quantity.TRANSMIT_POWER: "W",
    **dict.fromkeys((Quantity.LATITUDE, Quantity.LONGITUDE), "°"),
    **dict.fromkeys((Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE), "°"),
    **dict.fromkeys((Quantity.HEIGHT_SEA_LEVEL, Quantity.HEIGHT_LAUNCH, Quantity.DISTANCE_LAUNCH), "m"),
    Quantity.FIX_UNCERTAINTY: "m",
    Quantity.PRESSURE: "Pa",
    **dict.fromkeys((Quantity.GROUND_SPEED, Quantity.AIRSPEED, Quantity.CLIMB_RATE), "m/s"),
    **dict.fromkeys((Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.VELOCITY_DOWN), "m/s"),
}
"""The one unit that each quantity has inside; all unit conversion is linear and done on reading."""


@dataclass(frozen=True, slots=True)
class Channel:
    """One canonical channel.

    Parameters
    ----------
    quantity : Quantity
    at : At, optional
        The corner, of outputs and rotor speeds whose corner is known.
    number : int, optional
        As the record counts, from 0 or 1: of a cell, or of an output whose corner is not known.
    """

    quantity: Quantity
    at: At | None = None
    number: int | None = None

    @property
    def key(self) -> str:
        """Name in files and messages: ``roll_rate``, ``output at front-left``, ``cell_volts 3``."""
        if self.at is not None:
            return f"{self.quantity.value} at {self.at.value}"
        return self.quantity.value if self.number is None else f"{self.quantity.value} {self.number}"
