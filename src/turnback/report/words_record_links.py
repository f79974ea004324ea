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
            mark("At {time} the link level fell by {depth_db} to {least_dbm}, for {lasting}."),
            mark("At {time} the link level fell to {least_dbm}, for {lasting}."),
            mark("At {time} the link level fell, for {lasting}."),
            mark("At {time} the link level fell."),
        ),
        "depth_db",
        {
            "link_level_back": (
                mark("At {time} the link level at the pilot's radio fell by {depth_db} to {least_dbm}, for {lasting}."),
                mark("At {time} the link level at the pilot's radio fell."),
            ),
            "video": (
                mark("At {time} the level of the video link fell by {depth_db} to {least_dbm}, for {lasting}."),
                mark("At {time} the level of the video link fell."),
            ),
            "back=0": (
                mark("At {time} the link level fell by {depth_db} to {least_dbm}, and did not come back in flight."),
            ),
        },
    ),
    "QUALITY_LOW_LEVEL_HIGH": EventWords(
        mark("Packets lost at a high level"),
        58,
        (
            mark("At {time} only {least_quality} of the packets arrived at a level of {level_dbm}, for {lasting}."),
            mark("At {time} packets were lost although the level was high, for {lasting}."),
            mark("At {time} packets were lost although the level was high."),
        ),
        apart={
            "link_quality_back": (
                mark(
                    "At {time} only {least_quality} of the packets to the pilot's radio arrived at a level of "
                    "{level_dbm}, for {lasting}."
                ),
                mark("At {time} packets to the pilot's radio were lost although the level was high."),
            )
        },
    ),
    "LINK_LOST": EventWords(
        mark("Loss of the control link"),
        94,
        (
            mark("At {time} the control link was lost, for {lasting}, {distance_m} from launch."),
            mark("At {time} the control link was lost, for {lasting}."),
            mark("At {time} the control link was lost."),
        ),
        apart={
            "back=0": (
                mark("At {time} the control link was lost, {distance_m} from launch; it did not come back in flight."),
                mark("At {time} the control link was lost; it did not come back in flight."),
            )
        },
    ),
    "CHANNELS_FROZEN": EventWords(
        mark("Channels that stand still"),
        57,
        (
            mark("At {time} these did not change any more, for {lasting}: {channels}."),
            mark("At {time} these did not change any more: {channels}."),
            mark("At {time} some channels did not change any more."),
        ),
        apart={
            "sticks": (mark("At {time} all sticks stood exactly still, for {lasting}."),),
            "position": (mark("At {time} the position did not change any more, for {lasting}, though it flew."),),
        },
    ),
    "RADIO_LOSS_ACTION": EventWords(
        mark("The radio-loss action"),
        92,
        (
            mark("At {time} the radio-loss action began: {action}."),
            mark("At {time} the radio-loss action began."),
        ),
        apart={
            "none-seen": (
                mark("At {time} the link was lost for {lost_s}, and no radio-loss action is seen."),
                mark("At {time} the link was lost, and no radio-loss action is seen."),
            )
        },
    ),
    "RESTART": EventWords(
        mark("The flight board starting again in the air"),
        96,
        (
            mark("At {time} the flight board started again in the air; nothing is recorded for {gap_s}."),
            mark("At {time} the flight board started again in the air."),
        ),
        apart={
            "gap-after-volts-fell": (
                mark("At {time} its supply volts fell to {supply_before_v}, and then nothing is recorded for {gap_s}."),
                mark("At {time} the volts fell, and then nothing is recorded for {gap_s}."),
            ),
            "gap-then-nothing-runs": (
                mark(
                    "At {time}, in the air, nothing is recorded for {gap_s}; after it the motors stand and nothing is "
                    "armed, as when a board starts again."
                ),
            ),
            "arming-lost-and-back": (
                mark("At {time} arming was lost in the air and came back after {gap_s}, as when a board starts again."),
            ),
        },
    ),
}
POWER: Final[dict[str, EventWords]] = {
    "SAG": EventWords(
        mark("Sag of the volts"),
        40,
        (
            mark(
                "At {time} the volts sagged most: by {sag_v}, {cell_sag_v} per cell, to {loaded_v} under {current_a}."
            ),
            mark("At {time} the volts sagged most: by {sag_v} to {loaded_v} under {current_a}."),
            mark("At {time} the volts sagged most: by {sag_v} to {loaded_v}."),
            mark("At {time} the volts sagged by {sag_v}, for {lasting}."),
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
                "At {time} the pack was below its land-by voltage of {limit_v} per cell, down to {least_v}, for "
                "{lasting}."
            ),
            mark("At {time} the pack was below its land-by voltage, for {lasting}."),
            mark("At {time} the pack fell below its land-by voltage."),
        ),
        apart={
            "loaded": (
                mark(
                    "At {time} the pack was below its land-by voltage under load of {limit_v} per cell, down to "
                    "{least_v}, for {lasting}."
                ),
            ),
            "rest-equivalent": (
                mark(
                    "At {time} the pack was below its land-by voltage at rest of {limit_v} per cell, load taken off: "
                    "down to {rest_equivalent_v}, for {lasting}."
                ),
            ),
        },
    ),
    "BELOW_DAMAGE": EventWords(
        mark("Volts that damage the pack"),
        85,
        (
            mark(
                "At {time} the pack was below the {limit_v} per cell that damage it, down to {least_v}, for {lasting}."
            ),
            mark("At {time} the pack was below the volts that damage it: {least_v} per cell, for {lasting}."),
            mark("At {time} the pack was below the volts that damage it, for {lasting}."),
            mark("At {time} the pack fell below the volts that damage it."),
        ),
    ),
    "VOLT_STEP": EventWords(
        mark("Jumps of the volts"),
        70,
        (
            mark("At {time} the volts jumped from {before_v} to {after_v}; the current does not account for it."),
            mark("At {time} the volts jumped by {step_v}; the current does not account for it."),
            mark("At {time} the volts jumped; the current does not account for it."),
        ),
        "step_v",
    ),
    "CELL_LOW": EventWords(
        mark("One low cell"),
        72,
        (
            mark("At {time} cell {number} of the pack was {gap_v} lower than the others, for {lasting}."),
            mark("At {time} one cell was {gap_v} lower than the others."),
            mark("At {time} one cell was lower than the others."),
        ),
        "gap_v",
        {
            "rest": (mark("At {time}, at rest, cell {number} of the pack was {gap_v} lower than the others."),),
            "load": (mark("At {time}, under load, cell {number} of the pack was {gap_v} lower than the others."),),
        },
    ),
}
STICKS: Final[dict[str, EventWords]] = {
    "STICK_REVERSALS": EventWords(
        mark("Sticks that go back and forth"),
        50,
        (
            mark("At {time} this went quickly back and forth, {turns} turns in {lasting}: {channels}."),
            mark("At {time} this went quickly back and forth, for {lasting}: {channels}."),
            mark("At {time} the sticks went quickly back and forth, for {lasting}."),
            mark("At {time} the sticks went quickly back and forth."),
        ),
        "turns",
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
        apart={
            "back=1": (
                mark("At {time} it was disarmed in the air, {height_m} above launch, and armed again after {off_s}."),
                mark("At {time} it was disarmed while in the air, and armed again after {off_s}."),
            )
        },
    ),
    "THROTTLE_CUT": EventWords(
        mark("Throttle cut in the air, then full"),
        66,
        (
            mark("At {time} the throttle was let go in the air for {cut_s}, and full {rise_s} later."),
            mark("At {time} the throttle was let go in the air, and then full."),
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
    "keeps-last-sticks": mark("it kept the last sticks"),
    "automatic-return": mark("it flew the automatic return"),
    "descends-in-place": mark("it came down in place"),
    "none-seen": mark("none is seen"),
}
"""What is said of the radio-loss action: keys that its finder uses."""
