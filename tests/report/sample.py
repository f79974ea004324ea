"""A brief made by hand for the faces: round numbers that look like a real hillside; nothing here was computed."""

from __future__ import annotations

import numpy as np

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.records.result import (
    AirResult,
    Assumption,
    BriefResult,
    EnergyResult,
    LinkResult,
    ProfileResult,
    ReturnResult,
)
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.records.world import Origin

STATIONS = 600


def link(name: str, frequency_mhz: float, worst_db: float, chance: Spread) -> LinkResult:
    """Return a link whose margin falls with distance and drops behind a ridge at 900 m."""
    distance = np.linspace(5.0, 1200.0, STATIONS)
    hidden = distance > 900.0
    mid = 45.0 - 20.0 * np.log10(distance / 5.0) * (45.0 - worst_db) / 48.0 - np.where(hidden, 9.0, 0.0)
    return LinkResult(
        name=name,
        frequency_mhz=frequency_mhz,
        distance_m=distance,
        from_launch_m=distance,
        margin_mid_db=mid,
        margin_low_db=mid - 7.5,
        margin_high_db=mid + 6.0,
        sigma_db=np.where(hidden, 9.0, 5.5),
        probability=chance,
        worst=STATIONS - 1,
        to_aircraft_mid_db=mid + 4.0,
        to_ground_mid_db=mid,
        weaker_direction="to ground",
        line_of_sight=~hidden,
        clearance_ratio=np.where(hidden, -0.4, 1.2),
        obstacle_from_launch_m=np.where(hidden, 880.0, np.nan),
        obstacle_height_m=np.where(hidden, 431.0, np.nan),
        free_space_db=20.0 * np.log10(distance) + 20.0 * np.log10(frequency_mhz) - 27.55,
        diffraction_db=np.where(hidden, 9.0, 0.0),
        knife_edge_db=np.where(hidden, 8.2, 0.0),
        trees_db=np.zeros(STATIONS),
        reach_m=Spread(1080.0, 760.0, 1200.0),
        canopy_that_breaks_m=12.4,
    )


def energy() -> EnergyResult:
    """Return a pack's run of four minutes."""
    time = np.linspace(0.0, 240.0, STATIONS)
    rest = 4.18 - 0.6 * (time / 240.0) ** 0.9
    load = 0.14 + 0.05 * np.sin(time / 9.0) ** 2
    return EnergyResult(
        time_s=time,
        distance_m=np.interp(time, [0.0, 110.0, 130.0, 240.0], [0.0, 1200.0, 1200.0, 2400.0]),
        rest_mid_v=rest,
        rest_low_v=rest - 0.06 * time / 240.0,
        rest_high_v=rest + 0.05 * time / 240.0,
        loaded_mid_v=rest - load,
        used_mid_ah=1.1 * time / 240.0,
        landing_rest_v=Spread(3.58, 3.52, 3.63),
        lowest_loaded_v=Spread(3.41, 3.33, 3.47),
        land_by_rest_v=3.5,
        land_by_loaded_v=Spread(3.36, 3.31, 3.402),
        turn_back_loaded_v=Spread(3.71, 3.66, 3.76),
        flight_s=Spread(240.0, 221.0, 268.0),
        time_to_land_by_s=Spread(262.0, 231.0, 300.0),
        distance_to_land_by_m=Spread(2700.0, 2310.0, 3200.0),
        hover_current_a=Spread(9.4, 8.0, 11.3),
        cruise_current_a=Spread(13.2, 10.9, 16.4),
        full_current_a=Spread(92.0, 74.0, 115.0),
        sag_v=Spread(0.55, 0.38, 0.81),
        thrust_margin=Spread(5.1, 4.0, 6.4),
        hover_output_fraction=Spread(0.31, 0.26, 0.37),
        pack_c=Spread(61.3, 49.0, 77.0),
        capacity_ah=Spread(1.43, 1.31, 1.5),
        used_fraction=Spread(0.77, 0.69, 0.86),
        probability=Spread(0.991, 0.962, 0.998),
    )


def findings() -> tuple[Finding, ...]:
    """Return findings of every severity, with and without numbers."""
    return (
        Finding(
            "link.control_chance", Severity.UNKNOWN, 0.967, "", 0.99, 0.91, 0.995, "our-choice",
            "measure:control.interference_rise_db", {"obstacle_m": 880.0, "obstacle_height_m": 431.0},
        ),
        Finding(
            "weather.unknown", Severity.LIMIT, None, "", None, None, None, "our-choice", "measure_wind",
            {"largest_wind_mps": 5.8, "stale": "no"},
        ),
        Finding(
            "return.clearance", Severity.LIMIT, 9.0, "m", 15.0, 5.0, 13.0, "our-choice", "raise_return_height",
            {"obstacle_m": 880.0, "obstacle_height_m": 48.0, "lowest_m": 75.2},
        ),
        Finding("return.untested", Severity.LIMIT, None, "", None, None, None, "common-practice", "test_return"),
        Finding("observer.orientation", Severity.LIMIT, 1200.0, "m", 137.7, None, None, "easa-alos", "shorten"),
        Finding(
            "energy.landing_chance", Severity.LIMIT, 0.991, "", 0.99, 0.962, 0.998, "our-choice", "shorten_or_charge"
        ),
        Finding("site.look_for", Severity.NOTE, None, "", None, None, None, "common-practice", "look_for_wires"),
        Finding("return.does_not_land", Severity.NOTE, None, "", None, None, None, "common-practice", "take_over"),
    )  # fmt: skip


def profile() -> ProfileResult:
    """Return a valley with a ridge at 880 m."""
    distance = np.linspace(0.0, 1300.0, 900)
    ground = 380.0 - 25.0 * np.sin(distance / 280.0) + 58.0 * np.exp(-(((distance - 880.0) / 90.0) ** 2))
    ground += 2.0 * np.sin(distance / 17.0)
    share = np.clip(distance / 1200.0, 0.0, 1.0)
    fresnel = np.sqrt(0.1229 * 1200.0 * share * (1.0 - share))
    out = np.linspace(0.0, 1200.0, 120)
    return ProfileResult(
        distance_m=distance,
        ground_m=ground,
        canopy_m=12.0,
        antenna_m=float(ground[0]) + 2.0,
        aircraft_distance_m=1200.0,
        aircraft_m=float(ground[0]) + 60.0,
        fresnel_radius_m=fresnel,
        ray_link="control",
        return_m=float(ground[0]) + 70.0,
        route_distance_m=out,
        route_m=np.where(out < 60.0, ground[0] + out, ground[0] + 60.0),
    )


def assumptions() -> tuple[Assumption, ...]:
    """Return the gaps that were filled."""
    return (
        Assumption("aircraft.mass_kg", 0.44, 0.37, 0.54, "kg", Origin.TYPICAL, "our-choice", 0.08, "energy"),
        Assumption("pack.resistance_ohm", 0.006, 0.0041, 0.0094, "ohm", Origin.TYPICAL, "our-choice", 0.31, "energy"),
        Assumption("control.interference_rise_db", 3.0, 0.5, 12.0, "dB", Origin.TYPICAL, "our-choice", 0.62, "control"),
        Assumption("video.aircraft.gain_dbi", 1.0, -1.0, 2.0, "dBi", Origin.TYPICAL, "our-choice", 0.12, "video"),
        Assumption("site.wind_mps", 4.0, 0.5, 9.0, "m/s", Origin.ASSUMED, "our-choice", 0.41, "energy"),
        Assumption("site.canopy_height_m", 12.0, 0.0, 25.0, "m", Origin.ASSUMED, "our-choice", 0.0, ""),
    )


def brief(
    verdict: Verdict = Verdict.CANNOT_SAY,
    title: str = "Ridge walk, first flight over the saddle",
    found: tuple[Finding, ...] | None = None,
) -> BriefResult:
    """Return a whole brief."""
    found = findings() if found is None else found
    return BriefResult(
        verdict=verdict,
        findings=found,
        deciding=found[0] if verdict is Verdict.CANNOT_SAY and found else None,
        home=Spread(0.962, 0.9, 0.993),
        air=AirResult(
            density_kg_m3=1.153,
            density_altitude_m=640.0,
            temperature_c=18.0,
            pressure_hpa=968.0,
            wind_mps=Spread(4.0, 0.5, 9.0),
            wind_at_height_mps=Spread(5.6, 0.7, 12.4),
            wind_from_deg=290.0,
            gust_mps=Spread(6.8, 1.0, 14.0),
        ),
        energy=energy(),
        control=link("control", 2440.0, 6.0, Spread(0.967, 0.91, 0.995)),
        video=link("video", 5800.0, 11.0, Spread(0.984, 0.94, 0.997)),
        back=ReturnResult(
            action=RadioLossAction.AUTOMATIC_RETURN,
            turn_back_m=Spread(905.0, 643.0, 1200.0),
            turn_back_s=Spread(88.0, 67.0, 110.0),
            turn_back_reason="control",
            planned_m=1200.0,
            set_height_m=70.0,
            lowest_height_m=75.2,
            clearance_m=9.0,
            obstacle_from_launch_m=880.0,
            obstacle_height_m=48.0,
            headwind_mps=Spread(5.6, 0.7, 12.4),
            beatable_headwind_mps=Spread(9.1, 6.2, 12.0),
            largest_wind_mps=5.8,
            seconds_home_s=Spread(131.0, 104.0, 190.0),
        ),
        profile=profile(),
        assumed=assumptions(),
        terrain_source="hills.tif, 90 m grid",
        terrain_assumed=False,
        terrain_notes=(TerrainNote(TerrainNoteKind.VOIDS_FILLED, 12.0),),
        draws=10_000,
        seed=1,
        title=title,
    )
