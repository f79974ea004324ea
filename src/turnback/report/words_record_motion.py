"""What can happen to outputs, rotors and motion, and what shakes, in words."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.record_event_words import EventWords

MOTION: Final[dict[str, EventWords]] = {
    "OUTPUT_SATURATED": EventWords(
        mark("Outputs at their end"),
        62,
        (
            mark("At {time} the output at {corners} stood at its upper end, for {lasting}."),
            mark("At {time} this stood at its upper end, for {lasting}: {first}."),
            mark("At {time} an output stood at its upper end."),
        ),
        apart={
            "floor": (
                mark("At {time} the output at {corners} stood at its lower end while another was full, for {lasting}."),
                mark("At {time} this stood at its lower end while another was full, for {lasting}: {first}."),
            ),
            "all": (mark("At {time} all outputs stood at their upper end, for {lasting}."),),
        },
    ),
    "LEAVES_QUIET": EventWords(
        mark("The first channel to leave its quiet band"),
        60,
        (
            mark("At {time}, {lead_s} before the trouble, this was the first to leave its quiet band: {first}."),
            mark("At {time} this was the first to leave its quiet band: {first}."),
            mark("At {time} a first channel left its quiet band."),
        ),
    ),
    "SPEED_COLLAPSE": EventWords(
        mark("Rotors slower than asked"),
        88,
        (
            mark("At {time} the rotor at {corners} fell to {least_per_s}, far below what its output asked for."),
            mark("At {time} the rotor at {corners} fell far below what its output asked for, for {lasting}."),
            mark("At {time} the rotor at {corners} fell far below what its output asked for."),
            mark("At {time} this fell far below what its output asked for: {first}."),
            mark("At {time} a rotor fell far below what its output asked for."),
        ),
        apart={
            "rule=record.outputs.stands_share": (
                mark("At {time} the rotor at {corners} turned slower than it idles, while the others were driven."),
                mark("At {time} this turned slower than it idles, while the others were driven: {first}."),
            ),
            "least_per_s=0": (mark("At {time} the rotor at {corners} stopped, though its output asked it to turn."),),
        },
    ),
    "SPEED_EXCESS": EventWords(
        mark("Rotors faster than asked"),
        65,
        (
            mark(
                "At {time} the rotor at {corners} turned {mean_ratio} times as fast as its output asks, for {lasting}."
            ),
            mark("At {time} the rotor at {corners} turned faster than its output asks, for {lasting}."),
            mark("At {time} the rotor at {corners} turned faster than its output asks."),
            mark("At {time} this was faster than its output asks: {first}."),
            mark("At {time} a rotor turned faster than its output asks."),
        ),
    ),
    "IMBALANCE": EventWords(
        mark("Balance of the outputs"),
        45,
        (
            mark("In steady flight these worked harder than the others, by up to {most_share}: {corners}."),
            mark("In steady flight the four outputs were not balanced: up to {most_share} off their mean."),
            mark("In steady flight the four outputs were not balanced."),
        ),
        apart={
            "less": (mark("In steady flight this worked less than the others, by {most_share}: {corners}."),),
            "corners=1": (mark("In steady flight this worked harder than the others, by {most_share}: {corners}."),),
        },
    ),
    "IMBALANCE_STEP": EventWords(
        mark("Steps in the balance of the outputs"),
        66,
        (
            mark("At {time} these began at once to work harder, by up to {most_share}, and stayed so: {corners}."),
            mark("At {time} the balance of the four outputs changed at once, by up to {most_share}."),
            mark("At {time} the balance of the four outputs changed at once."),
        ),
        apart={
            "less": (mark("At {time} this began at once to work less, by {most_share}, and stayed so: {corners}."),),
            "corners=1": (
                mark("At {time} this began at once to work harder, by {most_share}, and stayed so: {corners}."),
            ),
        },
    ),
    "OSCILLATION": EventWords(
        mark("Oscillation"),
        64,
        (
            mark("At {time} it oscillated at {frequency_hz}, for {lasting}: {channels}."),
            mark("At {time} it oscillated, for {lasting}: {channels}."),
            mark("At {time} it oscillated."),
        ),
        "most_rad_s",
        {"growing=1": (mark("At {time} it oscillated at {frequency_hz}, more and more, for {lasting}: {channels}."),)},
    ),
    "OPPOSITE_RESPONSE": EventWords(
        mark("Turning against what was asked"),
        87,
        (
            mark("At {time} it turned against what was asked, for {lasting}: {first}."),
            mark("At {time} it turned against what was asked: {first}."),
            mark("At {time} it turned against what was asked."),
        ),
    ),
    "RATE_RUN_AWAY": EventWords(
        mark("Turning faster and faster, unasked"),
        91,
        (
            mark("At {time} it tipped toward {corners}, up to {rate_rad_s}, and nothing had asked for it."),
            mark("At {time} it turned faster and faster, up to {rate_rad_s}, and nothing had asked for it."),
            mark("At {time} it turned faster and faster, and nothing had asked for it."),
        ),
        "rate_rad_s",
    ),
    "FOLLOWS_DEMAND": EventWords(
        mark("Following what is asked to the end"),
        42,
        (
            mark("To the end of the flight it turned as it was asked: {channels}."),
            mark("To the end of the flight it turned as it was asked."),
        ),
    ),
    "ONCE_PER_REV": EventWords(
        mark("Shaking once in each turn of a rotor"),
        35,
        (
            mark("At {time} it shook once in each turn of the rotor at {corners}, at {frequency_hz}."),
            mark("At {time} it shook once in each turn of the rotors, at {frequency_hz}."),
            mark("At {time} it shook once in each turn of a rotor."),
        ),
        apart={
            "unknown": (mark("At {time} it shook strongly at {frequency_hz}, as once in each turn of a rotor would."),)
        },
    ),
    "BLADE_PASS": EventWords(
        mark("Shaking as the blades pass"),
        20,
        (
            mark("At {time} it shook as the blades of the rotor at {corners} passed, at {frequency_hz}."),
            mark("At {time} it shook as the blades passed, at {frequency_hz}."),
            mark("At {time} it shook as the blades passed."),
        ),
    ),
    "NOISE_FLOOR": EventWords(
        mark("Noise between the lines of the rotors"),
        20,
        (
            mark("At {time} it shook all over, between the lines of the rotors too: {channels}."),
            mark("At {time} it shook all over, between the lines of the rotors too."),
        ),
    ),
}
