"""What a pilot tells in words, and where a lost aircraft is looked for. Data only."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.belief import Lean
from turnback.records.debrief_seen import Array, RecordSign
from turnback.records.finding import Spread
from turnback.records.heard import Heard

# --- what was told ---------------------------------------------------------------------------------------------------


class Reading(Enum):
    """What a typed number is of."""

    PACK_VOLTS = "pack volts"
    CELL_VOLTS = "volts of one cell"
    CURRENT = "current"
    CHARGE = "charge used"
    DISTANCE = "distance from the launch point"
    HEIGHT = "height above the launch point"
    SPEED = "speed over ground"
    WIND = "wind"
    BEARING = "direction from the launch point"
    LEVEL = "link level"  # as the aircraft receives it
    LEVEL_BACK = "link level at the pilot's end"
    QUALITY = "link quality"
    TIME = "time since take-off"
    TEMPERATURE = "temperature of the air"
    PUT_BACK = "charge that the charger put back"


@dataclass(frozen=True, slots=True)
class TypedReading:
    """One number out of the pilot's words, in SI but volts, amperes, ampere-hours, dBm and degrees.

    Parameters
    ----------
    of : Reading
    value : float
    at_s : float or None
        Time since take-off that it was told with ("1:40, 14.2 V").
    start, end : int
        Where in the words.
    """

    of: Reading
    value: float
    at_s: float | None = None
    start: int = 0
    end: int = 0


class Hurt(Enum):
    """Whether somebody was hurt."""

    YES = "yes"
    NO = "no"
    NOT_TOLD = "not told"


class PackState(Enum):
    """What the pack is like after it."""

    DAMAGED = "damaged"  # dented, swollen, hot, smoking, wet, cut, or lost with the aircraft
    FINE = "fine"
    NOT_TOLD = "not told"


class Whereabouts(Enum):
    """Where the aircraft is."""

    LOST = "lost"
    FOUND = "found"
    NOT_TOLD = "not told"


@dataclass(frozen=True, slots=True)
class ToldInWords:
    """All that the pilot's own words tell.

    Parameters
    ----------
    heard : tuple of Heard
        Signs of the book; they count as words do until they are confirmed or denied.
    readings : tuple of TypedReading
    hurt, pack, whereabouts
        The most careful reading of the words; `Hurt.NO` only where it is said in so many words.
    signs : tuple of RecordSign
        What the typed readings say of signs of the book (14.2 V of four cells after 100 s).
    lean : Lean
        Causes that the words are like, by how others tell of them.
    """

    heard: tuple[Heard, ...] = ()
    readings: tuple[TypedReading, ...] = ()
    hurt: Hurt = Hurt.NOT_TOLD
    pack: PackState = PackState.NOT_TOLD
    whereabouts: Whereabouts = Whereabouts.NOT_TOLD
    signs: tuple[RecordSign, ...] = ()
    lean: Lean = ()


# --- where to look for it --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class SearchArea:
    """Where a lost aircraft came down.

    Metres, x east and y north of the launch point; rings are closed outlines, shape ``(n,)``.

    Parameters
    ----------
    last_x_m, last_y_m, last_height_m, last_speed_mps, last_course_deg : float
        The last that is known, at `last_s`; height above the launch point.
    last_s : float
        Seconds of the record, or since take-off.
    centre_x_m, centre_y_m : float
        Where it most likely lies.
    distance_m, bearing_deg : Spread
        Of that from the launch point; the bearing clockwise from north.
    half_x_m, half_y_m, most_x_m, most_y_m : ndarray
        Outlines that hold half and nine tenths of what can be.
    area_m2 : float
        Of the outer one.
    flies_on : bool
        It may have flown on after the last that is known.
    launch_latitude_deg, launch_longitude_deg : float or None
        None where no place on the globe is known; directions from the launch point still hold.
    impact_speed_mps : Spread
    """

    last_x_m: float
    last_y_m: float
    last_height_m: float
    last_speed_mps: float
    last_course_deg: float
    last_s: float
    centre_x_m: float
    centre_y_m: float
    distance_m: Spread
    bearing_deg: Spread
    half_x_m: Array
    half_y_m: Array
    most_x_m: Array
    most_y_m: Array
    area_m2: float
    flies_on: bool
    launch_latitude_deg: float | None
    launch_longitude_deg: float | None
    impact_speed_mps: Spread
