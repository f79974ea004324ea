"""What can happen to outputs, rotors and motion, and what shakes, in words."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.record_event_words import EventWords

MOTION: Final[dict[str, EventWords]] = {
    "OUTPUT_SATURATED": EventWords(
        mark("Outputs at their upper end"),
        62,
        (
            mark("At {time} the output at {corners} stood at its upper end, for {lasting}."),
            mark("At {time} the output at {corners} stood at its upper end."),
            mark("At {time} an output stood at its upper end, for {lasting}."),
            mark("At {time} an output stood at its upper end."),
        ),
    ),
    "LEAVES_QUIET": EventWords(
        mark("The first channel to leave its quiet band"),
        60,
        (
            mark("At {time} this was the first to leave the band in which it had been quiet: {channels}."),
            mark("At {time} a first channel left the band in which it had been quiet."),
        ),
    ),
    "SPEED_COLLAPSE": EventWords(
        mark("Rotors slower than asked"),
        88,
        (
            mark("At {time} the rotor at {corners} fell to {least_hz}, although its output asked for more."),
            mark("At {time} the rotor at {corners} fell far below what its output asked for, for {lasting}."),
            mark("At {time} the rotor at {corners} fell far below what its output asked for."),
            mark("At {time} a rotor fell far below what its output asked for."),
        ),
    ),
    "SPEED_EXCESS": EventWords(
        mark("Rotors faster than asked"),
        65,
        (
            mark("At {time} the rotor at {corners} turned faster than its output asked for, for {lasting}."),
            mark("At {time} the rotor at {corners} turned faster than its output asked for."),
            mark("At {time} a rotor turned faster than its output asked for."),
        ),
    ),
    "IMBALANCE": EventWords(
        mark("Balance of the outputs"),
        45,
        (
            mark("In steady flight the output at {corners} was {over_share} away from the mean of the four."),
            mark("In steady flight the output at {corners} was away from the mean of the four."),
            mark("In steady flight the four outputs were not balanced."),
        ),
    ),
    "IMBALANCE_STEP": EventWords(
        mark("Steps in the balance of the outputs"),
        66,
        (
            mark("At {time} the output at {corners} stepped by {step_share} against the others, and stayed there."),
            mark("At {time} the balance of the four outputs changed at once, at {corners}."),
            mark("At {time} the balance of the four outputs changed at once."),
        ),
    ),
    "OSCILLATION": EventWords(
        mark("Oscillation"),
        64,
        (
            mark("At {time} it oscillated at {frequency_hz}, for {lasting}, in {channels}."),
            mark("At {time} it oscillated, for {lasting}, in {channels}."),
            mark("At {time} it oscillated."),
        ),
    ),
    "OPPOSITE_RESPONSE": EventWords(
        mark("Turning against what was asked"),
        87,
        (
            mark("At {time} it turned against what was asked, for {lasting}: {channels}."),
            mark("At {time} it turned against what was asked."),
        ),
    ),
    "RATE_RUN_AWAY": EventWords(
        mark("Turning faster and faster, unasked"),
        91,
        (
            mark("At {time} it turned faster and faster, up to {peak_radps}, and nothing had asked for it."),
            mark("At {time} it turned faster and faster, and nothing had asked for it."),
        ),
    ),
    "FOLLOWS_DEMAND": EventWords(
        mark("How it follows what is asked"),
        15,
        (
            mark("It followed what was asked after {lag_s}: {channels}."),
            mark("It followed what was asked: {channels}."),
            mark("It followed what was asked."),
        ),
    ),
    "ONCE_PER_REV": EventWords(
        mark("Shaking once in each turn of a rotor"),
        35,
        (
            mark("It shook once in each turn of the rotor at {corners}, at {frequency_hz}."),
            mark("It shook once in each turn of a rotor, at {frequency_hz}."),
            mark("It shook once in each turn of a rotor."),
        ),
    ),
    "BLADE_PASS": EventWords(
        mark("Shaking as the blades pass"),
        20,
        (
            mark("It shook as the blades of the rotor at {corners} passed, at {frequency_hz}."),
            mark("It shook as the blades passed, at {frequency_hz}."),
            mark("It shook as the blades passed."),
        ),
    ),
    "NOISE_FLOOR": EventWords(
        mark("Noise between the lines of the rotors"),
        20,
        (
            mark("Between the lines of the rotors its noise was high: {channels}."),
            mark("Between the lines of the rotors its noise was high."),
        ),
    ),
}
