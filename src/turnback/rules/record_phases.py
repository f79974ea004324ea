"""Thresholds that tell the phases of a flight record. Each is held against channels where they are there."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

STEP: Final = Threshold(
    "record.phase.step_s", 0.02, "s", "our-choice",
    "Phases last seconds and onsets are wanted within 50 ms: 50 steps a second carry both.",
)  # fmt: skip
STALE: Final = Threshold(
    "record.phase.stale_s", 2.0, "s", "our-choice",
    "A value older than this, and older than three of its own steps, says nothing about now.",
)  # fmt: skip
GAP: Final = Threshold(
    "record.phase.gap_s", 5.0, "s", "our-choice",
    "In a longer hole of all channels an aircraft may land and take off again.",
)  # fmt: skip
NO_CHANNEL: Final = Threshold(
    "record.phase.no_channel", 1.0, "", "our-choice",
    "Nothing in the record tells of motors or of motion.",
)  # fmt: skip
DISARMED: Final = Threshold(
    "record.phase.armed", 0.5, "", "our-choice",
    "The record says itself whether the motors are allowed to run.",
)  # fmt: skip
OUTPUT_OFF: Final = Threshold(
    "record.phase.output_off", 0.015, "", "our-choice",
    "Idle speed takes some hundredths of full output: less at all corners together is no demand.",
)  # fmt: skip
ROTOR_OFF: Final = Threshold(
    "record.phase.rotor_off_hz", 5.0, "1/s", "our-choice",
    "Driven motors idle at tens of turns a second: slower they only turn in the wind.",
)  # fmt: skip
BUZZ: Final = Threshold(
    "record.phase.buzz_rad_s", 0.05, "rad/s", "our-choice",
    "Running motors shake the rates from sample to sample by more than this, hands and wind by less.",
)  # fmt: skip
BUZZ_RATE: Final = Threshold(
    "record.phase.buzz_rate_hz", 90.0, "1/s", "our-choice",
    "Below it, a turn by hand and the shake of motors look the same from sample to sample.",
)  # fmt: skip
LOAD: Final = Threshold(
    "record.phase.load_share", 0.55, "", "our-choice",
    "Idling takes a small part of the output of the record's own flight; half of it carries no aircraft.",
)  # fmt: skip
UNCARRIED: Final = Threshold(
    "record.phase.uncarried_share", 0.2, "", "our-choice",
    "A fifth of the load in flight lifts a tenth of the weight: if it does not sink fast within a second, it stands.",
)  # fmt: skip
CURRENT_RISE: Final = Threshold(
    "record.phase.current_rise_ratio", 4.0, "", "our-choice",
    "Flying takes several times the current of an idling aircraft: less contrast does not part the two.",
)  # fmt: skip
SHAKE_RISE: Final = Threshold(
    "record.phase.shake_rise_ratio", 2.5, "", "our-choice",
    "Motors that carry shake the board more than motors that idle; less contrast does not part the two.",
)  # fmt: skip
HEIGHT: Final = Threshold(
    "record.phase.height_m", 1.5, "m", "our-choice",
    "Pressure and satellite heights wander by a metre on the ground within minutes.",
)  # fmt: skip
HEIGHT_SURE: Final = Threshold(
    "record.phase.height_sure_m", 3.0, "m", "our-choice",
    "Twice the wander of a height that stands still: this high it flies.",
)  # fmt: skip
CLIMB: Final = Threshold(
    "record.phase.climb_mps", 0.7, "m/s", "our-choice",
    "On the ground a height of pressure wanders slower than this.",
)  # fmt: skip
STILL_SPEED: Final = Threshold(
    "record.phase.still_speed_mps", 0.7, "m/s", "our-choice",
    "The speed of a satellite fix at rest stays mostly below this.",
)  # fmt: skip
MOVING_SPEED: Final = Threshold(
    "record.phase.moving_speed_mps", 3.0, "m/s", "our-choice",
    "Faster than a walk, and faster than a satellite fix wanders at rest.",
)  # fmt: skip
WOBBLE: Final = Threshold(
    "record.phase.wobble_rad_s", 0.12, "rad/s", "our-choice",
    "Air and sticks turn a flying aircraft to and fro by this; one that stands does not turn.",
)  # fmt: skip
QUIET_WOBBLE: Final = Threshold(
    "record.phase.quiet_wobble_rad_s", 0.03, "rad/s", "our-choice",
    "Averaged over a fifth of a second, what stands turns by less than two degrees a second.",
)  # fmt: skip
LIFT: Final = Threshold(
    "record.phase.lift_mps2", 0.5, "m/s²", "our-choice",
    "A mean of 0.5 m/s² above gravity over 0.8 s makes 0.4 m/s of climb: the least that leaves the ground.",
)  # fmt: skip
SURE_WOBBLE: Final = Threshold(
    "record.phase.sure_wobble_rad_s", 0.15, "rad/s", "our-choice",
    "Nine degrees a second to and fro with motors running is no stand on the ground.",
)  # fmt: skip
BENCH_OUTPUT: Final = Threshold(
    "record.phase.bench_output", 0.12, "", "our-choice",
    "Above idle speed; an aircraft with propellers would at least stir.",
)  # fmt: skip
FREE: Final = Threshold(
    "record.phase.free_mps2", 3.4, "m/s²", "our-choice",
    "A third of gravity: what falls feels next to nothing, what flies feels its thrust.",
)  # fmt: skip
FREE_TIME: Final = Threshold(
    "record.phase.free_s", 0.35, "s", "our-choice",
    "Shorter is a bump, a bounce or a gust: 0.35 s of falling is 0.6 m.",
)  # fmt: skip
FREE_LONG: Final = Threshold(
    "record.phase.free_long_s", 0.8, "s", "our-choice",
    "With motors running and no ground behind it, a shorter drop is part of flying.",
)  # fmt: skip
TUMBLE: Final = Threshold(
    "record.phase.tumble_rad_s", 9.0, "rad/s", "our-choice",
    "Two turns in 1.4 s: a flip flown on purpose ends after one or two, a tumble ends on the ground.",
)  # fmt: skip
SINK: Final = Threshold(
    "record.phase.sink_mps", 4.0, "m/s", "our-choice",
    "Without motors a multirotor sinks faster than this within half a second.",
)  # fmt: skip
SINK_FAST: Final = Threshold(
    "record.phase.sink_fast_mps", 8.0, "m/s", "our-choice",
    "Faster than a descent flown on rotors; it counts only if the ground ends it.",
)  # fmt: skip
HOVER_SPEED: Final = Threshold(
    "record.phase.hover_speed_mps", 2.0, "m/s", "our-choice",
    "A pilot who holds a place drifts by a metre a second or two.",
)  # fmt: skip
HOVER_CLIMB: Final = Threshold(
    "record.phase.hover_climb_mps", 3.0, "m/s", "our-choice",
    "Straight up or down at walking pace still stays over one place; faster is a flight.",
)  # fmt: skip
NO_SPEED: Final = Threshold(
    "record.phase.no_speed", 1.0, "", "our-choice",
    "Neither speed nor place is there: lean holds it against the wind as it moves it along, so it is only aloft.",
)  # fmt: skip
HOVER_FORCE: Final = Threshold(
    "record.phase.hover_force_mps2", 0.6, "m/s²", "our-choice",
    "Specific force this near to gravity: the climb of a take-off is over, or steady.",
)  # fmt: skip
HOVER_TIME: Final = Threshold(
    "record.phase.hover_s", 2.0, "s", "our-choice",
    "A slow moment in a turn is no hover.",
)  # fmt: skip
RETURN_ON: Final = Threshold(
    "record.phase.return_active", 0.5, "", "our-choice",
    "Automatic return is taken from the record's own word, never guessed from the track.",
)  # fmt: skip
TAKE_OFF_HEIGHT: Final = Threshold(
    "record.phase.take_off_height_m", 2.0, "m", "our-choice",
    "Above two metres ground effect is over and the flight begins.",
)  # fmt: skip
TAKE_OFF_TIME: Final = Threshold(
    "record.phase.take_off_s", 20.0, "s", "our-choice",
    "A straight climb that lasts longer is a flight of its own.",
)  # fmt: skip
AFTER_FLIGHT: Final = Threshold(
    "record.phase.after_flight_s", 3.0, "s", "our-choice",
    "What slides, bounces or rolls on after a flight is not carried.",
)  # fmt: skip
CARRIED: Final = Threshold(
    "record.phase.carried_s", 1.0, "s", "our-choice",
    "A push or a bump is shorter than being carried.",
)  # fmt: skip
SWITCH: Final = Threshold(
    "record.phase.switch", 1.2, "", "our-choice",
    "Evidence, in weights times seconds, that it takes to believe in a take-off or a landing.",
)  # fmt: skip
LEAST: Final = Threshold(
    "record.phase.least_s", 0.3, "s", "our-choice",
    "Shorter pieces belong to what is around them.",
)  # fmt: skip

RULES: Final = (
    STEP, STALE, GAP, NO_CHANNEL, DISARMED, OUTPUT_OFF, ROTOR_OFF, BUZZ, BUZZ_RATE, LOAD, CURRENT_RISE, SHAKE_RISE,
    HEIGHT, HEIGHT_SURE, CLIMB, STILL_SPEED, MOVING_SPEED, WOBBLE, QUIET_WOBBLE, LIFT, SURE_WOBBLE, BENCH_OUTPUT,
    FREE, FREE_TIME, FREE_LONG, TUMBLE, SINK, SINK_FAST, HOVER_SPEED, HOVER_CLIMB, NO_SPEED, HOVER_FORCE, UNCARRIED,
    HOVER_TIME, RETURN_ON, TAKE_OFF_HEIGHT, TAKE_OFF_TIME, AFTER_FLIGHT, CARRIED, SWITCH, LEAST,
)  # fmt: skip
