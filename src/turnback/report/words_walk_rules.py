"""Words of the rules on range walks, and of what to do about them."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.rule_words import Kind, RuleWords

WALK: Final[dict[str, RuleWords]] = {
    "walk.measured": RuleWords(
        mark("Reception measured here"),
        mark("A range walk at this place corrects the predicted reception."),
    ),
    "walk.floor_share": RuleWords(
        mark("Levels at the receiver's floor"),
        mark("Many readings share the lowest level: the receiver shows nothing less."),
        mark("Of all readings, {value} share the lowest level{band}; from {limit} on it is taken for the floor."),
        kind=Kind.SHARE,
    ),
    "walk.packets_least": RuleWords(
        mark("Packets lost"),
        mark("Packets were lost: the true level is lower than the one that is shown."),
        mark("Of the packets {value} came through{band}; under {limit} the true level is lower than the one shown."),
        kind=Kind.SHARE,
    ),
    "walk.few_readings": RuleWords(
        mark("Few readings"),
        mark("The walk has few readings above the receiver's floor: they hardly move what was thought before."),
        mark("The walk has {value} readings above the receiver's floor{band}; fewer than {limit} hardly say anything."),
        kind=Kind.COUNT,
    ),
    "walk.distance_ratio": RuleWords(
        mark("Readings at nearly one distance"),
        mark("All readings were taken at nearly one distance: a weak transmitter and a level that falls look alike."),
        mark(
            "The farthest readings are only {value} times as far away as the nearest{band}; from {limit} times on the "
            "walk can tell a weak transmitter from a level that falls too fast."
        ),
    ),
    "walk.censored": RuleWords(
        mark("Most readings at the floor"),
        mark("Most readings stand at the receiver's floor: the walk says how much is lost at least, hardly how much."),
        mark(
            "Of the readings, {value} stand at the receiver's floor{band}; from {limit} on the walk says how much is "
            "lost at least, and hardly how much."
        ),
        kind=Kind.SHARE,
    ),
    "walk.power_low": RuleWords(
        mark("Everything arrives low"),
        mark("Everything arrives lower than predicted, near and far alike."),
        mark("Everything arrives {value} lower than predicted{band}; {limit} would be ordinary."),
    ),
    "walk.falls_fast": RuleWords(
        mark("It falls faster than predicted"),
        mark("The level falls faster with distance than predicted."),
        mark(
            "The level falls faster with distance than predicted, by an exponent of {value}{band}; {limit} would be "
            "ordinary."
        ),
    ),
    "walk.spread_most": RuleWords(
        mark("Widest spread that is kept"),
        mark("A spread beyond twice the model's is not carried over to a flight."),
        mark("The readings spread {value} times as wide as the model says{band}; no more than {limit} times is kept."),
    ),
    "walk.said": RuleWords(
        mark("When a cause is named"),
        mark("A cause is named when the walk makes it four times as likely as not."),
        mark("The walk makes it {value} likely{band}; a cause is named from {limit} on."),
        kind=Kind.SHARE,
    ),
}
WALK_ACTIONS: Final[dict[str, str]] = {
    "walk_nearer": mark("Take more readings nearer by, where packets still arrive."),
    "walk_more": mark("Walk on, and take readings at many places: near and far, and on more than one bearing."),
    "walk_farther": mark("Take readings near by and far out: the farthest at least three times as far as the nearest."),
    "inspect_power_and_antenna": mark(
        "Look at the antenna, its connector and its cable on both ends, and at the transmit power that is set; then "
        "walk again."
    ),
    "look_for_what_stands_between": mark(
        "Look for what stands between: trees, a rise, a wall. If nothing does, look for what else sends there. Then "
        "move the pilot, or plan a shorter way out."
    ),
}
