"""What each channel of a flight record is called, with the unit in which people read it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from turnback.records.channel import Channel, Quantity
from turnback.report.language import mark, text
from turnback.report.words_bench_slips import corner, together_all

QUANTITIES: Final[dict[Quantity, str]] = {
    Quantity.TIME: mark("time"),
    Quantity.ROLL_RATE: mark("roll rate"),
    Quantity.PITCH_RATE: mark("pitch rate"),
    Quantity.YAW_RATE: mark("yaw rate"),
    Quantity.ROLL_RATE_DEMAND: mark("roll rate demand"),
    Quantity.PITCH_RATE_DEMAND: mark("pitch rate demand"),
    Quantity.YAW_RATE_DEMAND: mark("yaw rate demand"),
    Quantity.ACCELERATION_X: mark("acceleration forward"),
    Quantity.ACCELERATION_Y: mark("acceleration to the right"),
    Quantity.ACCELERATION_Z: mark("acceleration downward"),
    Quantity.ROLL: mark("roll angle"),
    Quantity.PITCH: mark("pitch angle"),
    Quantity.HEADING: mark("heading"),
    Quantity.ROLL_DEMAND: mark("roll angle demand"),
    Quantity.PITCH_DEMAND: mark("pitch angle demand"),
    Quantity.MAGNETIC_X: mark("magnetic field forward"),
    Quantity.MAGNETIC_Y: mark("magnetic field to the right"),
    Quantity.MAGNETIC_Z: mark("magnetic field downward"),
    Quantity.OUTPUT: mark("corner output"),
    Quantity.ROTOR_SPEED: mark("rotor speed"),
    Quantity.ROLL_STICK: mark("roll stick"),
    Quantity.PITCH_STICK: mark("pitch stick"),
    Quantity.YAW_STICK: mark("yaw stick"),
    Quantity.THROTTLE: mark("throttle stick"),
    Quantity.ARMED: mark("armed or not"),
    Quantity.MODE: mark("flight mode"),
    Quantity.RETURN_ACTIVE: mark("automatic return on or off"),
    Quantity.LINK_LOSS: mark("control link lost or not"),
    Quantity.PACK_VOLTS: mark("pack volts"),
    Quantity.CELL_VOLTS: mark("cell volts"),
    Quantity.CURRENT: mark("current"),
    Quantity.CHARGE_USED: mark("charge used"),
    Quantity.POWER: mark("power"),
    Quantity.SUPPLY_VOLTS: mark("supply volts of the flight board"),
    Quantity.PACK_TEMPERATURE: mark("pack temperature"),
    Quantity.BOARD_TEMPERATURE: mark("board temperature"),
    Quantity.LINK_LEVEL: mark("link level at the aircraft"),
    Quantity.LINK_LEVEL_BACK: mark("link level at the pilot's radio"),
    Quantity.LINK_QUALITY: mark("link quality at the aircraft"),
    Quantity.LINK_QUALITY_BACK: mark("link quality at the pilot's radio"),
    Quantity.SIGNAL_TO_NOISE: mark("signal over noise"),
    Quantity.TRANSMIT_POWER: mark("transmit power"),
    Quantity.VIDEO_LEVEL: mark("video level"),
    Quantity.LATITUDE: mark("latitude"),
    Quantity.LONGITUDE: mark("longitude"),
    Quantity.LAUNCH_LATITUDE: mark("latitude of the stored launch point"),
    Quantity.LAUNCH_LONGITUDE: mark("longitude of the stored launch point"),
    Quantity.HEIGHT_SEA_LEVEL: mark("height above sea level"),
    Quantity.HEIGHT_LAUNCH: mark("height above launch"),
    Quantity.PRESSURE: mark("air pressure"),
    Quantity.GROUND_SPEED: mark("ground speed"),
    Quantity.COURSE: mark("course over ground"),
    Quantity.AIRSPEED: mark("airspeed"),
    Quantity.CLIMB_RATE: mark("climb rate"),
    Quantity.VELOCITY_NORTH: mark("speed toward north"),
    Quantity.VELOCITY_EAST: mark("speed toward east"),
    Quantity.VELOCITY_DOWN: mark("speed downward"),
    Quantity.FIX_UNCERTAINTY: mark("uncertainty of the position fix"),
    Quantity.SATELLITES: mark("satellites"),
    Quantity.DISTANCE_LAUNCH: mark("distance from launch"),
    Quantity.BEARING_LAUNCH: mark("bearing to launch"),
    Quantity.ROW: mark("count of rows"),
    Quantity.OTHER: mark("something else"),
}

CELL: Final = mark("{name} of cell {number}")
AT_CORNER: Final = mark("{name} at {corner}")
COLUMN: Final = mark("{name}, number {number} in the record, corner not known")


def quantity_words(quantity: Quantity) -> str:
    """Return what a quantity is called."""
    return text(QUANTITIES[quantity])


def channel_words(channel: Channel) -> str:
    """Return what a channel is called: "roll rate", "corner output at front-left", "cell volts of cell 3"."""
    name = quantity_words(channel.quantity)
    if channel.at is not None:
        return text(AT_CORNER, name=name, corner=corner(channel.at))
    if channel.number is None:
        return name
    return text(CELL if channel.quantity is Quantity.CELL_VOLTS else COLUMN, name=name, number=channel.number)


def channels_words(channels: Iterable[Channel]) -> str:
    """Return channels in a row, those of the four corners as one: "roll rate, pitch rate and corner output"."""
    names = list(dict.fromkeys(quantity_words(each.quantity) for each in channels))
    return together_all(names)
