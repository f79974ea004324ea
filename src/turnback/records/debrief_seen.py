"""What a record shows of the book's signs, alone and beside the plan's model. Data only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.channel import Channel
from turnback.records.finding import Spread
from turnback.records.happened import RecordAnswer, WhyNot

Array = NDArray[np.float64]


# --- what the record says of the book's signs ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RecordSign:
    """One sign of the book that a record could show, and whether it does.

    Parameters
    ----------
    sign : str
        Key in the book.
    seen : bool
        False where the record would have shown it, and does not.
    sure : float
        0.5 to 1.
    group : str
        Signs of one group share their error: one channel and span, such as ``"outputs"`` or ``"link 41 s"``.
    start_s, end_s : float or None
        Where in the record; None for what holds all along, or is not there.
    values : mapping
        Numbers in SI that it rests on, keyed by name and unit (``{"limit_v": 3.5, "least_v": 3.31}``).
    channels : tuple of Channel
    """

    sign: str
    seen: bool
    sure: float
    group: str
    start_s: float | None = None
    end_s: float | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    channels: tuple[Channel, ...] = ()


@dataclass(frozen=True, slots=True)
class SignNotLookedFor:
    """A sign of a record that this one cannot tell of, and why."""

    sign: str
    why: WhyNot
    needs: tuple[Channel, ...] = ()


@dataclass(frozen=True, slots=True)
class SignsTold:
    """What one teller of signs says; each of its signs is in one of both."""

    signs: tuple[RecordSign, ...] = ()
    not_looked_for: tuple[SignNotLookedFor, ...] = ()


# --- the record against the plan -------------------------------------------------------------------------------------


class Compare(Enum):
    """What is held against the model."""

    VOLTS = "rest volts of one cell"
    LOADED_VOLTS = "loaded volts of one cell"
    POWER = "electrical power"
    LEVEL = "link level"  # as the aircraft receives it
    LEVEL_BACK = "link level at the pilot's end"
    RETURN_LINE = "height of the way home"


@dataclass(frozen=True, slots=True, eq=False)
class Compared:
    """One channel beside what the plan's model says of the flight as it was flown.

    Parameters
    ----------
    what : Compare
    unit : str
        ``"V"``, ``"W"``, ``"dBm"`` or ``"m"``.
    t_s : ndarray, shape (n,)
        Seconds of the record.
    recorded, predicted, low, high : ndarray, shape (n,)
        `low` and `high` hold 90 % of what the model can mean. NaN where there is none.
    residual : Spread
        Recorded less predicted, typical of the flight.
    """

    what: Compare
    unit: str
    t_s: Array
    recorded: Array
    predicted: Array
    low: Array
    high: Array
    residual: Spread


@dataclass(frozen=True, slots=True)
class AtLoss:
    """The control link where it was lost, as the plan's ground and radio have it.

    Parameters
    ----------
    t_s : float
    distance_m, bearing_deg, height_m : float
        From and above the launch point.
    clearance_m : float
        Of the ray over the ruling obstacle; below zero it runs through the ground.
    obstacle_from_launch_m, obstacle_height_m : float
        NaN without an obstacle.
    margin_db : Spread
        Predicted there.
    line_of_sight : bool
    """

    t_s: float
    distance_m: float
    bearing_deg: float
    height_m: float
    clearance_m: float
    obstacle_from_launch_m: float
    obstacle_height_m: float
    margin_db: Spread
    line_of_sight: bool


@dataclass(frozen=True, slots=True, eq=False)
class GroundSeen:
    """The plan's ground under and around a flight, thinned; x east and y north of the plan's launch point.

    Parameters
    ----------
    x_west_m, y_north_m : float
        Of the first height.
    step_m : float
    heights_m : ndarray, shape (ny, nx)
        Above the launch point; row 0 is the north edge.
    known : ndarray of bool, shape (ny, nx)
    took_off_x_m, took_off_y_m : float
        Where the record took off: its own places count from there.
    """

    x_west_m: float
    y_north_m: float
    step_m: float
    heights_m: Array
    known: NDArray[np.bool_]
    took_off_x_m: float = 0.0
    took_off_y_m: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class AgainstPlan:
    """The plan's model beside the record.

    Parameters
    ----------
    compared : tuple of Compared
    at_loss : AtLoss or None
    expected : mapping of str to Spread
        What the plan says of this flight, whatever of it is known: ``hover_output_fraction``, ``hover_current_a``,
        ``cruise_current_a``, ``resistance_mohm_per_cell``, ``capacity_ah``, ``rated_current_a``, ``margin_db`` (least
        on the way flown), ``level_offset_db``, ``wind_mps`` (at flying height), ``temperature_c``, ``density_kg_m3``,
        ``land_by_rest_v``, ``home_height_m`` (least height of the straight way home over ground and trees, above
        launch).
    cells : int or None
    chemistry : str or None
    """

    compared: tuple[Compared, ...] = ()
    at_loss: AtLoss | None = None
    expected: Mapping[str, Spread] = field(default_factory=dict)
    cells: int | None = None
    chemistry: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """What every teller of signs gets.

    Parameters
    ----------
    answer : RecordAnswer
        Events, phases, spectra; the record itself is ``answer.flown.record``.
    ended_s : float
        Until when what is seen can be a cause: the first hard impact, the fall's onset plus one second, a landing, or
        the record's end.
    against : AgainstPlan or None
        None without a plan.
    earlier : tuple of RecordAnswer
        Healthy flights of the same aircraft, oldest first.
    """

    answer: RecordAnswer
    ended_s: float
    against: AgainstPlan | None = None
    earlier: tuple[RecordAnswer, ...] = ()
