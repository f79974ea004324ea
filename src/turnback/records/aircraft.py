"""The aircraft as its owner writes it down."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field, StrictBool

from turnback.records.common import Answer, FileRecord, Id, Number, Reading, Text, quantity


class AircraftClass(Enum):
    """Classes told apart by span, mass and ducts; each has typical values in ``rules/typical.toml``."""

    DUCTED_MICRO = "ducted micro"
    THREE_INCH = "3-inch"
    FIVE_INCH_FOUR_CELLS = "5-inch, 4 cells"
    FIVE_INCH_SIX_CELLS = "5-inch, 6 cells"
    SEVEN_INCH = "7-inch"


class Rotation(Enum):
    """A direction of turning, always seen from above."""

    CLOCKWISE = "clockwise"
    ANTICLOCKWISE = "anticlockwise"


class WayUp(Enum):
    """Which face of a propeller is on top: a propeller turned over keeps its direction but lifts weakly."""

    UPRIGHT = "upright"
    TURNED_OVER = "turned over"


class RadioLossAction(Enum):
    """What the aircraft does with no control link."""

    MOTORS_STOP = "motors stop"
    KEEP_LAST_STICKS = "keep last sticks"
    AUTOMATIC_RETURN = "automatic return"
    DESCEND_IN_PLACE = "descend in place"
    UNKNOWN = "don't know"


class HeightAbove(Enum):
    """What a height is counted from."""

    LAUNCH = "launch"
    GROUND = "ground"


class Corner(FileRecord):
    """One motor position. Directions are seen from above."""

    motor: Rotation | None = None
    propeller: Rotation | None = None
    way_up: WayUp | None = None
    forward_mm: Number | None = quantity(-2000, 2000, "mm", "distance ahead of the centre of mass")
    right_mm: Number | None = quantity(-2000, 2000, "mm", "distance to the right of the centre of mass")


class Corners(FileRecord):
    """The four corners, by name."""

    front_left: Corner
    front_right: Corner
    rear_left: Corner
    rear_right: Corner


class Propeller(FileRecord):
    """One of the four propellers."""

    diameter_in: Number | None = quantity(0.8, 16, "in", "propeller diameter", "enter inches, not millimetres")
    pitch_in: Number | None = quantity(0.3, 12, "in", "propeller pitch", "enter inches, not millimetres")
    blades: Annotated[int, Field(strict=True)] | None = quantity(2, 8, "", "number of blades")


class Motor(FileRecord):
    """One of the four motors, by its three constants."""

    speed_constant_rpm_per_v: Reading | None = quantity(100, 40000, "rpm/V", "speed constant on the motor's label")
    resistance_mohm: Reading | None = quantity(1, 2000, "mΩ", "winding resistance", "enter milliohms, not ohms")
    no_load_current_a: Reading | None = quantity(0.01, 10, "A", "current with no propeller")
    current_limit_a: Reading | None = quantity(1, 200, "A", "greatest current of motor and speed control")


class AutomaticReturn(FileRecord):
    """How the automatic return is set."""

    height_m: Number | None = quantity(0, 500, "m", "height at which it flies home, above the launch point")
    speed_mps: Reading | None = quantity(1, 40, "m/s", "speed it is set to, taken as airspeed", "enter m/s, not km/h")
    needs_position_fix: Answer = Answer.YES


class ThrustPoint(FileRecord):
    """One line of a declared thrust curve: one motor on its propeller."""

    output_percent: Annotated[Number, Field(ge=0, le=100)]
    thrust_g: Annotated[Number, Field(ge=0, le=20000)]
    current_a: Annotated[Number, Field(ge=0, le=300)]


class AircraftFile(FileRecord):
    """An aircraft. Only its class is needed; every gap is filled with values typical of the class, and said."""

    id: Id | None = None
    note: Text | None = None
    class_: AircraftClass = Field(alias="class", description="class of aircraft")
    mass_g: Reading | None = quantity(
        15, 10000, "g", "mass ready to fly, without the pack", "enter grams, not kilograms"
    )
    corners: Corners | None = None
    propeller: Propeller | None = None
    motor: Motor | None = None
    drag_area_cm2: Reading | None = quantity(5, 5000, "cm²", "drag coefficient times frontal area")
    ducts: StrictBool | None = None
    cruise_mps: Reading | None = quantity(1, 40, "m/s", "airspeed of unhurried forward flight", "enter m/s, not km/h")
    hover_current_a: Reading | None = quantity(0.3, 150, "A", "pack current measured in still hover")
    cruise_current_a: Reading | None = quantity(0.3, 200, "A", "pack current measured at cruise")
    on_radio_loss: RadioLossAction = RadioLossAction.UNKNOWN
    automatic_return: AutomaticReturn | None = None
    thrust_curve: Annotated[tuple[ThrustPoint, ...], Field(min_length=2, max_length=200)] | None = None
