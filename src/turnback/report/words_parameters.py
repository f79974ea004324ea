"""The words of parameters (band keys), what measuring one takes, and of origins and units."""

from __future__ import annotations

from typing import Final

from turnback.records.world import Origin

PARAMETER_WORDS: Final[dict[str, str]] = {
    "aircraft.mass_kg": "mass of the aircraft without its pack",
    "aircraft.figure_of_merit": "how well the propellers lift (figure of merit)",
    "aircraft.electrical_efficiency": "efficiency of motors and speed controls",
    "aircraft.drag_area_m2": "drag area of the aircraft",
    "aircraft.cruise_mps": "airspeed at cruise",
    "aircraft.auxiliary_w": "power of board, camera and video",
    "aircraft.speed_constant_rpm_per_v": "motor's speed constant",
    "aircraft.motor_resistance_ohm": "motor's winding resistance",
    "aircraft.no_load_current_a": "motor's current with no propeller",
    "aircraft.current_limit_a": "greatest current of motor and speed control",
    "aircraft.static_thrust_n": "greatest thrust of one motor",
    "aircraft.hover_current_a": "pack current in hover",
    "aircraft.cruise_current_a": "pack current at cruise",
    "aircraft.return_height_m": "height of the automatic return",
    "aircraft.return_mps": "airspeed of the automatic return",
    "pack.capacity_ah": "capacity that the pack really gives",
    "pack.resistance_ohm": "pack resistance per cell",
    "pack.rest_v": "rest volts per cell now",
    "pack.temperature_c": "temperature of the pack",
    "pack.mass_kg": "mass of the pack",
    "site.antenna_height_m": "height of the pilot's antennas",
    "site.canopy_height_m": "height of the trees",
    "site.tree_depth_fraction": "share of the way that runs through trees",
    "site.wind_mps": "mean wind",
    "site.gust_factor": "gusts over mean wind",
    "site.wind_from_deg": "direction the wind comes from",
    "site.temperature_c": "air temperature",
    "site.qnh_pa": "air pressure reduced to sea level",
    "site.edge_fraction": "how much a ridge weakens the signal behind it",
    "route.speed_mps": "airspeed asked for on the route",
}

LINK_WORDS: Final[dict[str, str]] = {
    "ground_power_dbm": "transmit power at the pilot's end",
    "aircraft_power_dbm": "transmit power on the aircraft",
    "ground.gain_dbi": "gain of the pilot's antenna",
    "aircraft.gain_dbi": "gain of the aircraft's antenna",
    "ground_sensitivity_dbm": "weakest usable level at the pilot's end",
    "aircraft_sensitivity_dbm": "weakest usable level on the aircraft",
    "interference_rise_db": "how much interference lifts the noise",
    "body_loss_db": "loss by the pilot's body or the airframe",
}

LINK_NAMES: Final[dict[str, str]] = {"control": "control link", "video": "video link"}

PART_NAMES: Final[dict[str, str]] = {
    "aircraft": "aircraft",
    "pack": "pack",
    "site": "site",
    "control": "control link",
    "video": "video link",
    "pilot": "pilot",
    "route": "route",
}

MEASURE_WORDS: Final[dict[str, str]] = {
    "aircraft.mass_kg": "Weigh the aircraft ready to fly, without the pack, and enter its mass.",
    "aircraft.figure_of_merit": "Hover a minute near and low, read the pack current, and enter it.",
    "aircraft.electrical_efficiency": "Hover a minute near and low, read the pack current, and enter it.",
    "aircraft.drag_area_m2": "Fly a minute at cruise near by, read the pack current, and enter it.",
    "aircraft.cruise_mps": "Note the airspeed you really fly at cruise, and enter it.",
    "aircraft.auxiliary_w": "Read the pack current armed with motors at rest, propellers off.",
    "aircraft.speed_constant_rpm_per_v": "Read the speed constant on the motor's label or data sheet, and enter it.",
    "aircraft.motor_resistance_ohm": "Look up the motor's winding resistance in its data sheet, and enter it.",
    "aircraft.no_load_current_a": "Look up the motor's current with no propeller in its data sheet, and enter it.",
    "aircraft.current_limit_a": "Look up the greatest current of motor and speed control, and enter the lower one.",
    "aircraft.static_thrust_n": "Look up the thrust curve of motor and propeller, and enter it.",
    "aircraft.hover_current_a": "Hover a minute near and low, read the pack current, and enter it.",
    "aircraft.cruise_current_a": "Fly a minute at cruise near by, read the pack current, and enter it.",
    "aircraft.return_mps": "Read the speed of the automatic return in the set-up sheet, and enter it.",
    "aircraft.return_height_m": "Read the height of the automatic return in the set-up sheet, and enter it.",
    "pack.capacity_ah": "Fly the pack to its land-by volts once, note the charger's mAh, and enter the capacity.",
    "pack.resistance_ohm": "Let the charger measure the resistance of every cell, warm and half full, and enter it.",
    "pack.rest_v": "Measure the rest volts of every cell now, and enter them.",
    "pack.temperature_c": "Measure the temperature of the pack before launch, and enter it.",
    "pack.mass_kg": "Weigh the pack, and enter its mass.",
    "site.wind_mps": "Measure the wind at the launch point now, for some minutes, and enter its mean and gusts.",
    "site.gust_factor": "Measure the gusts at the launch point for some minutes, and enter the strongest.",
    "site.wind_from_deg": "Look where the wind comes from, and enter the direction.",
    "site.temperature_c": "Measure the air temperature in the shade at the launch point, and enter it.",
    "site.qnh_pa": "Read the air pressure reduced to sea level in a weather report, and enter it.",
    "site.edge_fraction": "Choose a route in line of sight; or carry the aircraft behind that ridge, propellers off, "
    "and note the weakest link level.",
    "route.speed_mps": "Decide the airspeed of the route, and enter it.",
    "site.canopy_height_m": "Look how high the trees stand along the route, and enter it.",
    "site.tree_depth_fraction": "Look what grows along the route, and enter the canopy.",
    "site.antenna_height_m": "Measure how high the pilot's antennas stand above ground, and enter it.",
}

MEASURE_LINK_WORDS: Final[dict[str, str]] = {
    "interference_rise_db": "Measure the interference on the {link}'s channel at the launch point, and enter it.",
    "body_loss_db": "Walk a circle round the aircraft, fifty paces off, and note the {link}'s weakest level.",
    "ground_power_dbm": "Read the transmit power of the {link} at the pilot's end, and enter it.",
    "aircraft_power_dbm": "Read the transmit power of the {link} on the aircraft, and enter it.",
    "ground.gain_dbi": "Read the gain of the {link}'s antenna at the pilot's end, and enter it.",
    "aircraft.gain_dbi": "Read the gain of the {link}'s antenna on the aircraft, and enter it.",
    "ground_sensitivity_dbm": "Walk the {link} out at low power until it fails, note the level, and enter it.",
    "aircraft_sensitivity_dbm": "Walk the {link} out at low power until it fails, note the level, and enter it.",
}

ORIGIN_WORDS: Final[dict[Origin, str]] = {
    Origin.MEASURED: "measured",
    Origin.DECLARED: "from the plan",
    Origin.LEARNED: "learned from records",
    Origin.TYPICAL: "typical of the class",
    Origin.ASSUMED: "assumed",
}

SHARE_OF_WORDS: Final[dict[str, str]] = {
    "energy": "the pack's answer",
    "control": "the control link's answer",
    "video": "the video link's answer",
    "thrust": "the thrust margin",
    "": "no answer by much",
}
"""What `Assumption.of` names."""

UNIT_ENDINGS: Final = (
    "_ohm", "_kg", "_m2", "_mps", "_dbm", "_dbi", "_db", "_ah", "_hz", "_pa", "_deg", "_rpm_per_v",
    "_m", "_v", "_a", "_w", "_n", "_c", "_s",
)  # fmt: skip
"""Endings that a parameter's name carries and people need not read, longest first where one ends in another."""
