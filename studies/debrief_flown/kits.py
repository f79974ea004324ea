"""Which channels a record has, which causes they can tell apart, and what a plan knows. Decided before flying."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from turnback.knowledge.look_alikes import Kit as LookAlikeKit
from turnback.knowledge.look_alikes import look_alike_table, look_alikes

HERE: Final = Path(__file__).parent
RATES: Final = ("roll_rate", "pitch_rate", "yaw_rate")
DEMANDS: Final = tuple(f"{each}_demand" for each in RATES)
FELT: Final = ("acceleration_x", "acceleration_y", "acceleration_z")
STICKS: Final = ("roll_stick", "pitch_stick", "yaw_stick", "throttle")
PLACE: Final = ("latitude", "longitude", "height_sea_level", "ground_speed", "course")
BOARD: Final = (
    *RATES, *DEMANDS, *FELT, "roll", "pitch", "roll_demand", "pitch_demand", "output", *STICKS, "armed", "mode",
    "link_loss", "pack_volts", "current", "charge_used", "link_level", "link_quality",
)  # fmt: skip
FULL: Final = (
    *BOARD, "heading", "magnetic_x", "magnetic_y", "magnetic_z", "rotor_speed", "return_active", "cell_volts", "power",
    "supply_volts", "pack_temperature", "board_temperature", "link_level_back", "link_quality_back", "signal_to_noise",
    "transmit_power", "video_level", *PLACE, "launch_latitude", "launch_longitude", "height_launch", "pressure",
    "airspeed", "climb_rate", "velocity_north", "velocity_east", "velocity_down", "fix_uncertainty", "satellites",
    "distance_launch", "bearing_launch",
)  # fmt: skip
RADIO: Final = (
    *STICKS, "armed", "mode", "roll", "pitch", "heading", "pack_volts", "current", "charge_used", "link_level",
    "link_level_back", "link_quality", "link_quality_back", "signal_to_noise", "transmit_power", *PLACE, "satellites",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kit:
    """What one kind of record holds.

    Parameters
    ----------
    quantities : tuple of str
        Values of `turnback.records.channel.Quantity`.
    rates_hz : tuple of int
        One is drawn; each divides 1000.
    on_board : bool
        Written in the aircraft; else by the radio, which holds the last it heard while nothing comes back.
    """

    quantities: tuple[str, ...]
    rates_hz: tuple[int, ...]
    on_board: bool


KITS: Final[dict[str, Kit]] = {
    "full": Kit(FULL, (500, 1000), True),
    "board": Kit(BOARD, (500, 1000), True),
    "radio": Kit(RADIO, (5, 10, 20), False),
    "track": Kit(PLACE, (1, 2, 5, 10), True),
}

PLAN_ERRORS: Final[dict[str, tuple[float, float]]] = {
    # half of the 90 % band: share of the value, and a part that is always there
    "hover_output_fraction": (0.15, 0.0),  # from mass and a stated thrust
    "hover_current_a": (0.20, 0.0),
    "cruise_current_a": (0.25, 0.0),
    "resistance_mohm_per_cell": (0.35, 0.3),  # of a sound pack of that size, at 25 degrees
    "capacity_ah": (0.08, 0.0),  # of a sound pack: the label
    "rated_current_a": (0.0, 0.0),  # the label, whatever it is worth
    "margin_db": (0.0, 9.0),  # least on the way flown; ITU-R P.526 on a 90 m grid, and antennas nobody measured
    "level_offset_db": (0.0, 5.0),  # of a set that was measured once, else 9
    "wind_mps": (0.30, 1.5),  # a forecast for the place
    "temperature_c": (0.0, 3.0),
    "density_kg_m3": (0.02, 0.0),
    "land_by_rest_v": (0.0, 0.0),  # chosen
    "home_height_m": (0.0, 9.0),  # radar heights, and trees that nobody measured
    "clearance_m": (0.0, 8.0),
    "loaded_volts": (0.0, 0.10),  # volts of one cell
    "power": (0.25, 0.0),
}
"""What a real plan is wrong by. The truth lies in the band nine times in ten; its mid is drawn, never the truth."""

NO_PLAN_SHARE: Final = 0.2
"""Share of the flights whose record comes without a plan."""


@cache
def separable() -> dict[str, dict[str, Any]]:
    """Return look-alikes by kit of each cause, with a reason: the product's own table, decided before any flight."""
    return look_alike_table()


def group_of(cause: str | None, kit: str, has_plan: bool) -> tuple[str, ...]:
    """Return the look-alikes of a cause in a kit, itself among them; () where it leaves no trace.

    Parameters
    ----------
    cause : str or None
        None of a healthy flight.
    kit : str
        Key of `KITS`.
    has_plan : bool
        Whether a plan comes with the record.
    """
    if cause is None:
        return ()
    return look_alikes(cause, LookAlikeKit(kit), has_plan=has_plan)
