"""The words of parameters (band keys), what measuring one takes, and of origins and units."""

from __future__ import annotations

from typing import Final

from turnback.records.world import Origin
from turnback.report.language import mark

PARAMETER_WORDS: Final[dict[str, str]] = {
    "aircraft.mass_kg": mark("mass of the aircraft without its pack"),
    "aircraft.figure_of_merit": mark("how well the propellers lift (figure of merit)"),
    "aircraft.electrical_efficiency": mark("efficiency of motors and speed controls"),
    "aircraft.drag_area_m2": mark("drag area of the aircraft"),
    "aircraft.cruise_mps": mark("airspeed at cruise"),
    "aircraft.auxiliary_w": mark("power of board, camera and video"),
    "aircraft.speed_constant_rpm_per_v": mark("motor's speed constant"),
    "aircraft.motor_resistance_ohm": mark("motor's winding resistance"),
    "aircraft.no_load_current_a": mark("motor's current with no propeller"),
    "aircraft.current_limit_a": mark("greatest current of motor and speed control"),
    "aircraft.static_thrust_n": mark("greatest thrust of one motor"),
    "aircraft.hover_current_a": mark("pack current in hover"),
    "aircraft.cruise_current_a": mark("pack current at cruise"),
    "aircraft.return_height_m": mark("height of the automatic return"),
    "aircraft.return_mps": mark("airspeed of the automatic return"),
    "pack.capacity_ah": mark("capacity that the pack really gives"),
    "pack.resistance_ohm": mark("pack resistance per cell"),
    "pack.rest_v": mark("rest volts per cell now"),
    "pack.temperature_c": mark("temperature of the pack"),
    "pack.mass_kg": mark("mass of the pack"),
    "site.antenna_height_m": mark("height of the pilot's antennas"),
    "site.canopy_height_m": mark("height of the trees"),
    "site.tree_depth_fraction": mark("share of the way that runs through trees"),
    "site.wind_mps": mark("mean wind"),
    "site.gust_factor": mark("gusts over mean wind"),
    "site.wind_from_deg": mark("direction the wind comes from"),
    "site.temperature_c": mark("air temperature"),
    "site.qnh_pa": mark("air pressure reduced to sea level"),
    "site.edge_fraction": mark("how much a ridge weakens the signal behind it"),
    "route.speed_mps": mark("airspeed asked for on the route"),
}

LINK_WORDS: Final[dict[str, str]] = {
    "ground_power_dbm": mark("transmit power at the pilot's end"),
    "aircraft_power_dbm": mark("transmit power on the aircraft"),
    "ground.gain_dbi": mark("gain of the pilot's antenna"),
    "aircraft.gain_dbi": mark("gain of the aircraft's antenna"),
    "ground_sensitivity_dbm": mark("weakest usable level at the pilot's end"),
    "aircraft_sensitivity_dbm": mark("weakest usable level on the aircraft"),
    "interference_rise_db": mark("how much interference lifts the noise"),
    "body_loss_db": mark("loss by the pilot's body or the airframe"),
    "offset_db": mark("loss beyond the model that a range walk found"),
    "excess_exponent": mark("how much faster than the model it falls, by a range walk"),
    "sigma_ratio": mark("spread of readings over the model's own, by a range walk"),
    "beyond_exponent": mark("what the loss does farther out than anybody walked"),
}

LINK_NAMES: Final[dict[str, str]] = {"control": mark("control link"), "video": mark("video link")}

LINK_TITLES: Final[dict[str, str]] = {"control": mark("Control link"), "video": mark("Video link")}

PART_NAMES: Final[dict[str, str]] = {
    "aircraft": mark("aircraft"),
    "pack": mark("pack"),
    "site": mark("site"),
    "control": mark("control link"),
    "video": mark("video link"),
    "pilot": mark("pilot"),
    "route": mark("route"),
}

MEASURE_WORDS: Final[dict[str, str]] = {
    "aircraft.mass_kg": mark("Weigh the aircraft ready to fly, without the pack, and enter its mass."),
    "aircraft.figure_of_merit": mark("Hover a minute near and low, read the pack current, and enter it."),
    "aircraft.electrical_efficiency": mark("Hover a minute near and low, read the pack current, and enter it."),
    "aircraft.drag_area_m2": mark("Fly a minute at cruise near by, read the pack current, and enter it."),
    "aircraft.cruise_mps": mark("Note the airspeed you really fly at cruise, and enter it."),
    "aircraft.auxiliary_w": mark("Read the pack current armed with motors at rest, propellers off."),
    "aircraft.speed_constant_rpm_per_v": mark(
        "Read the speed constant on the motor's label or data sheet, and enter it."
    ),
    "aircraft.motor_resistance_ohm": mark("Look up the motor's winding resistance in its data sheet, and enter it."),
    "aircraft.no_load_current_a": mark(
        "Look up the motor's current with no propeller in its data sheet, and enter it."
    ),
    "aircraft.current_limit_a": mark(
        "Look up the greatest current of motor and speed control, and enter the lower one."
    ),
    "aircraft.static_thrust_n": mark("Look up the thrust curve of motor and propeller, and enter it."),
    "aircraft.hover_current_a": mark("Hover a minute near and low, read the pack current, and enter it."),
    "aircraft.cruise_current_a": mark("Fly a minute at cruise near by, read the pack current, and enter it."),
    "aircraft.return_mps": mark("Read the speed of the automatic return in the set-up sheet, and enter it."),
    "aircraft.return_height_m": mark("Read the height of the automatic return in the set-up sheet, and enter it."),
    "pack.capacity_ah": mark("Fly the pack to its land-by volts once, note the charger's mAh, and enter the capacity."),
    "pack.resistance_ohm": mark(
        "Let the charger measure the resistance of every cell, warm and half full, and enter it."
    ),
    "pack.rest_v": mark("Measure the rest volts of every cell now, and enter them."),
    "pack.temperature_c": mark("Measure the temperature of the pack before launch, and enter it."),
    "pack.mass_kg": mark("Weigh the pack, and enter its mass."),
    "site.wind_mps": mark("Measure the wind at the launch point now, for some minutes, and enter its mean and gusts."),
    "site.gust_factor": mark("Measure the gusts at the launch point for some minutes, and enter the strongest."),
    "site.wind_from_deg": mark("Look where the wind comes from, and enter the direction."),
    "site.temperature_c": mark("Measure the air temperature in the shade at the launch point, and enter it."),
    "site.qnh_pa": mark("Read the air pressure reduced to sea level in a weather report, and enter it."),
    "site.edge_fraction": mark(
        "Choose a route in line of sight; or carry the aircraft behind that ridge, propellers off, "
        "and note the weakest link level."
    ),
    "route.speed_mps": mark("Decide the airspeed of the route, and enter it."),
    "site.canopy_height_m": mark("Look how high the trees stand along the route, and enter it."),
    "site.tree_depth_fraction": mark("Look what grows along the route, and enter the canopy."),
    "site.antenna_height_m": mark("Measure how high the pilot's antennas stand above ground, and enter it."),
}

MEASURE_LINK_WORDS: Final[dict[str, dict[str, str]]] = {
    "control": {
        "interference_rise_db": mark(
            "Measure the interference on the control link's channel at the launch point, and enter it."
        ),
        "body_loss_db": mark(
            "Walk a circle round the aircraft, fifty paces off, and note the control link's weakest level."
        ),
        "ground_power_dbm": mark("Read the transmit power of the control link at the pilot's end, and enter it."),
        "aircraft_power_dbm": mark("Read the transmit power of the control link on the aircraft, and enter it."),
        "ground.gain_dbi": mark("Read the gain of the control link's antenna at the pilot's end, and enter it."),
        "aircraft.gain_dbi": mark("Read the gain of the control link's antenna on the aircraft, and enter it."),
        "ground_sensitivity_dbm": mark(
            "Walk the control link out at low power until it fails, note the level, and enter it."
        ),
        "aircraft_sensitivity_dbm": mark(
            "Walk the control link out at low power until it fails, note the level, and enter it."
        ),
        "offset_db": mark("Walk the control link's range again, with more readings on more bearings."),
        "excess_exponent": mark("Walk the control link's range again, near and far on the same bearing."),
        "sigma_ratio": mark("Walk the control link's range again, with more readings."),
        "beyond_exponent": mark("Walk the control link's range again, farther out."),
    },
    "video": {
        "interference_rise_db": mark(
            "Measure the interference on the video link's channel at the launch point, and enter it."
        ),
        "body_loss_db": mark(
            "Walk a circle round the aircraft, fifty paces off, and note the video link's weakest level."
        ),
        "ground_power_dbm": mark("Read the transmit power of the video link at the pilot's end, and enter it."),
        "aircraft_power_dbm": mark("Read the transmit power of the video link on the aircraft, and enter it."),
        "ground.gain_dbi": mark("Read the gain of the video link's antenna at the pilot's end, and enter it."),
        "aircraft.gain_dbi": mark("Read the gain of the video link's antenna on the aircraft, and enter it."),
        "ground_sensitivity_dbm": mark(
            "Walk the video link out at low power until it fails, note the level, and enter it."
        ),
        "aircraft_sensitivity_dbm": mark(
            "Walk the video link out at low power until it fails, note the level, and enter it."
        ),
        "offset_db": mark("Walk the video link's range again, with more readings on more bearings."),
        "excess_exponent": mark("Walk the video link's range again, near and far on the same bearing."),
        "sigma_ratio": mark("Walk the video link's range again, with more readings."),
        "beyond_exponent": mark("Walk the video link's range again, farther out."),
    },
}

ORIGIN_WORDS: Final[dict[Origin, str]] = {
    Origin.MEASURED: mark("measured"),
    Origin.DECLARED: mark("from the plan"),
    Origin.LEARNED: mark("learned from records"),
    Origin.TYPICAL: mark("typical of the class"),
    Origin.ASSUMED: mark("assumed"),
}

SHARE_OF_WORDS: Final[dict[str, str]] = {
    "energy": mark("{share} of what is open in the pack's answer"),
    "control": mark("{share} of what is open in the control link's answer"),
    "video": mark("{share} of what is open in the video link's answer"),
    "thrust": mark("{share} of what is open in the thrust margin"),
    "": mark("changes little"),
}
"""What `Assumption.of` names."""

UNIT_ENDINGS: Final = (
    "_ohm", "_kg", "_m2", "_mps", "_dbm", "_dbi", "_db", "_ah", "_hz", "_pa", "_deg", "_rpm_per_v",
    "_m", "_v", "_a", "_w", "_n", "_c", "_s",
)  # fmt: skip
"""Endings that a parameter's name carries and people need not read, longest first where one ends in another."""
