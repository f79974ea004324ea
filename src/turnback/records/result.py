"""What a brief computed: numbers only, SI, for the judge, the report and scripts alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from turnback.records.aircraft import RadioLossAction
from turnback.records.care import CareResult
from turnback.records.changes import ChangesResult
from turnback.records.fall import FallResult
from turnback.records.finding import Finding, Spread, Verdict
from turnback.records.ground_plan import MapResult, RoseResult
from turnback.records.pilot_result import PilotResult
from turnback.records.terrain import TerrainNote
from turnback.records.world import Origin

Array = NDArray[np.float64]
HeightsAbove = Literal["sea level", "launch"]


@dataclass(frozen=True, slots=True)
class Assumption:
    """A gap that was filled, and what knowing the value would change.

    Parameters
    ----------
    key : str
        Parameter, such as ``"pack.resistance_ohm"``; worded in ``report/words.py``.
    value, low, high : float
        What was taken, in `unit`.
    unit : str
        SI unit.
    origin : Origin
        Typical of the class, or assumed.
    source : str
        Citation key.
    share_fraction : float
        Part of the variance over what is not known, of the figure named by `of`, that comes from this gap, 0 to 1.
    of : str
        The figure it moves most: ``"energy"``, ``"control"``, ``"video"`` or ``""`` where it moves none.
    """

    key: str
    value: float
    low: float
    high: float
    unit: str
    origin: Origin
    source: str
    share_fraction: float
    of: str


@dataclass(frozen=True, slots=True)
class LinkResult:
    """One link along the way out (the way back crosses the same places unless the route says otherwise).

    Arrays have one element for each station of the route, shape ``(n,)``.
    """

    name: str
    frequency_mhz: float
    distance_m: Array
    """Distance flown along the route at each station."""
    from_launch_m: Array
    """Horizontal distance from the launch point at each station."""
    margin_mid_db: Array
    margin_low_db: Array
    margin_high_db: Array
    sigma_db: Array
    probability: Spread
    """Chance that the link holds over the whole route and return."""
    worst: int
    """Index of the station that rules: least margin over sigma."""
    to_aircraft_mid_db: Array
    to_ground_mid_db: Array
    """Margin of each direction, at its best estimate; NaN where the link has no such direction."""
    weaker_direction: str
    """``"to aircraft"`` or ``"to ground"``."""
    line_of_sight: NDArray[np.bool_]
    clearance_ratio: Array
    """Least clearance over the first Fresnel radius at each station; 0.6 is clear."""
    obstacle_from_launch_m: Array
    obstacle_height_m: Array
    """Ruling obstacle of each station: distance from the launch point, height above what `heights_above` says."""
    free_space_db: Array
    diffraction_db: Array
    knife_edge_db: Array
    trees_db: Array
    reach_m: Spread
    """Distance from launch, along the route, to which the link holds with the limit probability."""
    canopy_that_breaks_m: float
    """Height of trees on the ruling obstacle that would break the link; NaN where none up to 40 m does."""


@dataclass(frozen=True, slots=True)
class EnergyResult:
    """The pack along the whole route and back. Volts are of one cell; arrays have shape ``(n,)`` over time."""

    time_s: Array
    distance_m: Array
    rest_mid_v: Array
    rest_low_v: Array
    rest_high_v: Array
    loaded_mid_v: Array
    used_mid_ah: Array
    landing_rest_v: Spread
    lowest_loaded_v: Spread
    land_by_rest_v: float
    land_by_loaded_v: Spread
    """What goggles show for one cell, under cruise load, when the rest volts reach the land-by voltage."""
    turn_back_loaded_v: Spread
    """What goggles show for one cell at the far point when the pack holds just enough for the way home: with less, turn
    back earlier."""
    flight_s: Spread
    time_to_land_by_s: Spread
    distance_to_land_by_m: Spread
    """Flown when the rest volts reach the land-by volts: the plan, then on at cruise in still air."""
    hover_current_a: Spread
    cruise_current_a: Spread
    full_current_a: Spread
    sag_v: Spread
    """Rest minus loaded volts of one cell at full output."""
    thrust_margin: Spread
    hover_output_fraction: Spread
    pack_c: Spread
    """Greatest current asked, over capacity."""
    capacity_ah: Spread
    """After anything the last flight taught."""
    used_fraction: Spread
    probability: Spread
    """Chance of landing above the land-by volts over the whole route and return."""


@dataclass(frozen=True, slots=True)
class ReturnResult:
    """How it comes home."""

    action: RadioLossAction
    turn_back_m: Spread
    """Farthest distance from launch, along the route, from which it still comes home with the limit probability."""
    turn_back_s: Spread
    turn_back_reason: str
    """``"energy"``, ``"control"``, ``"video"`` or ``"route"`` (the route ends first)."""
    planned_m: float
    """Greatest distance from launch that the route asks for."""
    set_height_m: float | None
    """Height of the automatic return above launch; None where there is none or it is not known."""
    lowest_height_m: float
    """Least return height above launch that clears ground, trees and the margin from every point of the route."""
    clearance_m: float | None
    """Least clearance of the straight return line at the set height, over ground and assumed trees."""
    obstacle_from_launch_m: float
    obstacle_height_m: float
    """The place that rules the return height; height above launch."""
    headwind_mps: Spread
    """Wind at return height that the return has to beat on its way."""
    beatable_headwind_mps: Spread
    largest_wind_mps: float
    """Largest wind at 10 m with which energy still brings it home at the unfavourable end; NaN if none."""
    seconds_home_s: Spread


@dataclass(frozen=True, slots=True)
class ProfileResult:
    """Side view along the straight line from launch to the ruling place, for drawing.

    Heights are above what `heights_above` says.
    """

    distance_m: Array
    ground_m: Array
    canopy_m: float
    antenna_m: float
    """Height of the pilot's antenna."""
    aircraft_distance_m: float
    aircraft_m: float
    fresnel_radius_m: Array
    """First Fresnel radius along the ray, for the link that rules."""
    ray_link: str
    return_m: float | None
    """Height of the return line."""
    route_distance_m: Array
    """Horizontal distance from launch of the route's stations."""
    route_m: Array
    """Heights of the route's stations."""


@dataclass(frozen=True, slots=True)
class AirResult:
    """The air and the wind at the site. Density and pressure are not a number in a brief that was redacted."""

    density_kg_m3: float
    density_altitude_m: float
    temperature_c: float
    pressure_hpa: float
    wind_mps: Spread
    wind_at_height_mps: Spread
    wind_from_deg: float
    gust_mps: Spread


@dataclass(frozen=True, slots=True)
class BriefResult:
    """The whole answer."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    """Worst first."""
    deciding: Finding | None
    """For *cannot say*: the finding whose ``do`` names the one check or measurement that would decide."""
    home: Spread
    """Chance that it comes home."""
    air: AirResult
    energy: EnergyResult
    control: LinkResult
    video: LinkResult | None
    back: ReturnResult
    profile: ProfileResult
    assumed: tuple[Assumption, ...]
    terrain_source: str
    terrain_assumed: bool
    terrain_notes: tuple[TerrainNote, ...]
    draws: int
    seed: int
    title: str
    fall: FallResult | None = None
    pilot: PilotResult | None = None
    care: CareResult | None = None
    changes: ChangesResult | None = None
    rose: RoseResult | None = None
    ground_plan: MapResult | None = None
    heights_above: HeightsAbove = "sea level"
    """What profile, obstacles of links and map count their heights from: the launch point where it was redacted."""
