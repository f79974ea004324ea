"""What can happen to link, pack and sticks, in words."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.record_event_words import EventWords

LINKS: Final[dict[str, EventWords]] = {
    "LEVEL_DIP": EventWords(
        mark("Dips of the link level"),
        55,
        (
            mark("At {time} the link level fell by {fall_db} to {least_dbm}, for {lasting}."),
            mark("At {time} the link level fell to {least_dbm}, for {lasting}."),
            mark("At {time} the link level fell, for {lasting}."),
            mark("At {time} the link level fell."),
        ),
        "fall_db",
    ),
    "QUALITY_LOW_LEVEL_HIGH": EventWords(
        mark("Packets lost at a high level"),
        58,
        (
            mark("At {time} only {least_share} of the packets arrived at a level of {level_dbm}, for {lasting}."),
            mark("At {time} packets were lost although the level was high, for {lasting}."),
            mark("At {time} packets were lost although the level was high."),
        ),
    ),
    "LINK_LOST": EventWords(
        mark("Loss of the control link"),
        94,
        (
            mark("At {time} the control link was lost, for {lasting}; the last level was {level_dbm}."),
            mark("At {time} the control link was lost, for {lasting}."),
            mark("At {time} the control link was lost."),
        ),
    ),
    "CHANNELS_FROZEN": EventWords(
        mark("Channels that stand still"),
        57,
        (
            mark("At {time} these did not change any more, for {lasting}: {channels}."),
            mark("At {time} these did not change any more: {channels}."),
            mark("At {time} some channels did not change any more."),
        ),
    ),
    "RADIO_LOSS_ACTION": EventWords(
        mark("The radio-loss action"),
        92,
        (
            mark("At {time} the radio-loss action began: {action}."),
            mark("At {time} the radio-loss action began."),
        ),
    ),
}
POWER: Final[dict[str, EventWords]] = {
    "SAG": EventWords(
        mark("Sag of the volts"),
        40,
        (
            mark("At {time} the volts sagged by {sag_v} to {least_v} under {load_a}, for {lasting}."),
            mark("At {time} the volts sagged by {sag_v} to {least_v}, for {lasting}."),
            mark("At {time} the volts sagged by {sag_v}."),
            mark("At {time} the volts sagged."),
        ),
        "sag_v",
    ),
    "BELOW_LAND_BY": EventWords(
        mark("Volts below the land-by voltage"),
        75,
        (
            mark(
                "From {time} on the pack was below its land-by voltage: {least_v} per cell, thought at rest, for "
                "{lasting}."
            ),
            mark("From {time} on the pack was below its land-by voltage, for {lasting}."),
            mark("At {time} the pack fell below its land-by voltage."),
        ),
    ),
    "BELOW_DAMAGE": EventWords(
        mark("Volts that damage the pack"),
        85,
        (
            mark(
                "From {time} on the pack was below the volts that damage it: {least_v} per cell, thought at rest, for "
                "{lasting}."
            ),
            mark("From {time} on the pack was below the volts that damage it, for {lasting}."),
            mark("At {time} the pack fell below the volts that damage it."),
        ),
    ),
    "VOLT_STEP": EventWords(
        mark("Jumps of the volts"),
        70,
        (
            mark("At {time} the volts jumped by {step_v}, and the current does not account for it."),
            mark("At {time} the volts jumped, and the current does not account for it."),
        ),
        "step_v",
    ),
    "CELL_LOW": EventWords(
        mark("One low cell"),
        72,
        (
            mark("At {time} cell {cell} was {under_v} lower than the others, for {lasting}."),
            mark("At {time} one cell was {under_v} lower than the others, for {lasting}."),
            mark("At {time} one cell was lower than the others."),
        ),
        "under_v",
    ),
}
STICKS: Final[dict[str, EventWords]] = {
    "STICK_REVERSALS": EventWords(
        mark("Sticks that go back and forth"),
        50,
        (
            mark("At {time} this went quickly back and forth, {reversals_count} times in {lasting}: {channels}."),
            mark("At {time} the sticks went quickly back and forth, for {lasting}."),
            mark("At {time} the sticks went quickly back and forth."),
        ),
    ),
    "STICK_AT_STOP": EventWords(
        mark("Sticks at their stop"),
        48,
        (
            mark("At {time} this stood at its stop, for {lasting}: {channels}."),
            mark("At {time} a stick stood at its stop."),
        ),
    ),
    "ARM_SWITCH_OFF_ALOFT": EventWords(
        mark("Disarming in the air"),
        97,
        (
            mark("At {time} it was disarmed while in the air, {height_m} above launch."),
            mark("At {time} it was disarmed while in the air."),
        ),
    ),
    "THROTTLE_CUT": EventWords(
        mark("Throttle cut in the air"),
        80,
        (
            mark("At {time} the throttle went to nothing in the air, for {lasting}."),
            mark("At {time} the throttle went to nothing in the air."),
        ),
    ),
    "MODE_CHANGE": EventWords(
        mark("Changes of the flight mode"),
        38,
        (
            mark("At {time} the flight mode changed from “{from}” to “{to}”."),
            mark("At {time} the flight mode changed to “{to}”."),
            mark("At {time} the flight mode changed."),
        ),
    ),
}
ACTIONS: Final[dict[str, str]] = {
    "motors-stop": mark("the motors stopped"),
    "keep-last-sticks": mark("it kept the last sticks"),
    "automatic-return": mark("it flew the automatic return"),
    "descend-in-place": mark("it came down in place"),
    "unknown": mark("the record does not tell which"),
}
"""What is said of `words` of an event: keys that the finders use."""
