"""The world as the physics needs it: SI, every gap filled, every value with its band and where it came from.

`low` and `high` of a band hold 90 % of what is possible; a band is sampled through one monotone map, so a draw of
0.05 gives `low`, 0.5 gives `value` and 0.95 gives `high`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from turnback.records.aircraft import RadioLossAction
from turnback.records.common import Answer
from turnback.records.pack import ChemistryName
from turnback.records.plan import People
from turnback.records.radio import PatternName, PolarisationName
from turnback.records.site import Canopy


class Origin(Enum):
    """Where a value came from."""

    MEASURED = "measured"
    DECLARED = "declared"
    LEARNED = "learned from records"
    TYPICAL = "typical of the class"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Band:
    """One uncertain quantity.

    Parameters
    ----------
    key : str
        Name of the parameter; it also names its random stream, such as ``"pack.resistance_ohm"``.
    value, low, high : float
        Best estimate and the 5 % and 95 % ends, in `unit`.
    unit : str
        SI unit.
    origin : Origin
        Where it came from.
    source : str
        Citation key.
    """

    key: str
    value: float
    low: float
    high: float
    unit: str
    origin: Origin
    source: str

    @property
    def known(self) -> bool:
        """True where somebody measured or declared it for this very build."""
        return self.origin in (Origin.MEASURED, Origin.DECLARED, Origin.LEARNED)

    @property
    def said(self) -> bool:
        """True where the plan or a record gives it, if only as a guess."""
        return self.known or self.source == "user"


@dataclass(frozen=True, slots=True)
class ThrustAt:
    """One point of a declared thrust curve: one motor on its propeller, on a fresh pack."""

    output_fraction: float
    thrust_n: float
    current_a: float


@dataclass(frozen=True, slots=True)
class AircraftWorld:
    """The aircraft, resolved."""

    name: str
    mass_kg: Band
    rotors: int
    span_m: float
    propeller_diameter_m: float
    propeller_pitch_m: float
    blades: int
    figure_of_merit: Band
    electrical_efficiency: Band
    drag_area_m2: Band
    cruise_mps: Band
    auxiliary_w: Band
    ducted: bool
    speed_constant_rpm_per_v: Band
    motor_resistance_ohm: Band
    no_load_current_a: Band
    current_limit_a: Band
    static_thrust_n: Band
    """One motor, full pack, on the ground."""
    thrust_curve: tuple[ThrustAt, ...]
    """Declared points by rising output; empty where none is known."""
    hover_current_a: Band | None
    cruise_current_a: Band | None
    action: RadioLossAction
    return_height_m: Band | None
    return_mps: Band
    return_tested: Answer


@dataclass(frozen=True, slots=True)
class PackWorld:
    """The pack, resolved. Volts, ohms are per cell; ampere-hours of the pack."""

    name: str
    chemistry: ChemistryName
    cells: int
    capacity_ah: Band
    resistance_ohm: Band
    rest_v: Band
    temperature_c: Band
    c_rating: float | None
    mass_kg: Band
    spread_v: float | None


@dataclass(frozen=True, slots=True)
class AntennaWorld:
    """One antenna, resolved."""

    gain_dbi: Band
    pattern: PatternName
    polarisation: PolarisationName


@dataclass(frozen=True, slots=True)
class LossWorld:
    """What a range walk measured of one link: loss beyond the model.

    At ``d`` metres from the launch point, at least 1, along the ground:
    ``offset + 10 exponent log10(d / reference) + 10 beyond log10(max(d / walked, 1))`` dB; the spread of shadowing is
    the model's times the ratio.
    """

    offset_db: Band
    excess_exponent: Band
    sigma_ratio: Band
    beyond_exponent: Band
    """What the excess may do where nobody walked."""
    reference_m: float
    walked_m: float
    on: date | None
    """When it was measured; None where the plan itself says the values."""


@dataclass(frozen=True, slots=True)
class LinkWorld:
    """One link, resolved. A direction without a power is not part of the link."""

    name: str
    frequency_mhz: float
    ground_power_dbm: Band | None
    aircraft_power_dbm: Band | None
    ground: AntennaWorld
    aircraft: AntennaWorld
    ground_sensitivity_dbm: Band
    aircraft_sensitivity_dbm: Band
    bandwidth_hz: float
    interference_rise_db: Band
    body_loss_db: Band
    measured: LossWorld | None = None


@dataclass(frozen=True, slots=True)
class SiteWorld:
    """Site and weather, resolved."""

    launch_height_m: float
    antenna_height_m: Band
    canopy: Canopy
    canopy_height_m: Band
    tree_depth_fraction: Band
    edge_fraction: Band
    """Where the loss behind an edge lies between the single edge and the full recommendation."""
    wind_mps: Band
    gust_factor: Band
    wind_from_deg: Band
    temperature_c: Band
    qnh_pa: Band
    wind_known: bool
    weather_stale: bool


@dataclass(frozen=True, slots=True)
class World:
    """Everything a brief computes from."""

    aircraft: AircraftWorld
    pack: PackWorld
    control: LinkWorld
    video: LinkWorld | None
    site: SiteWorld
    people: People
    propellers: Answer
    observer: Answer
    route_mps: Band | None
    """Airspeed asked for on the route; the aircraft's cruise where none is."""

    def bands(self) -> tuple[Band, ...]:
        """Return every uncertain quantity once, in a fixed order."""
        found: list[Band] = [] if self.route_mps is None else [self.route_mps]
        parts: list[object] = [self.aircraft, self.pack, self.control, self.site]
        if self.video is not None:
            parts.append(self.video)
        while parts:
            part = parts.pop(0)
            for name in part.__slots__:  # type: ignore[attr-defined]
                value = getattr(part, name)
                if isinstance(value, Band):
                    found.append(value)
                elif isinstance(value, (AntennaWorld, LossWorld)):
                    parts.append(value)
        return tuple(sorted(found, key=lambda band: band.key))
