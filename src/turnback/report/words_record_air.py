"""What can happen in the air and on coming down, in words: place, wind, return, falls and impacts."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.record_event_words import EventWords

AIR: Final[dict[str, EventWords]] = {
    "IMPACT": EventWords(
        mark("Hard knocks"),
        95,
        (
            mark("At {time} something knocked it hard: {peak_mps2}, at {speed_mps}."),
            mark("At {time} something knocked it hard: {peak_mps2}."),
            mark("At {time} it came from {before_mps} to rest at once."),
            mark("At {time} something knocked it hard."),
        ),
        "peak_mps2",
        {
            "at_least=1": (
                mark("At {time} something knocked it hard: {peak_mps2} at least, more than the sensor shows."),
            )
        },
    ),
    "FREE_FALL": EventWords(
        mark("Free fall"),
        93,
        (
            mark("At {time} it fell for {duration_s}, and lost {height_lost_m} of height."),
            mark("At {time} it fell freely for {lasting}: from standing still that is about {height_m}."),
            mark("At {time} it fell freely for {lasting}."),
            mark("At {time} it fell freely."),
        ),
    ),
    "ENDS_ALOFT": EventWords(
        mark("A record that ends in the air"),
        90,
        (
            mark("At {time} the record ends while it is still in the air, at a height of {height_m}."),
            mark("At {time} the record ends while it is still in the air."),
        ),
        apart={
            "runs=0": (
                mark("At {time} the record ends in the air with the motors off, at a height of {height_m}."),
                mark("At {time} the record ends in the air with the motors off."),
            ),
        },
    ),
    "WIND": EventWords(
        mark("Wind"),
        30,
        (
            mark("The wind was about {wind_mps} from {from_rad}, give or take {width_mps}, told by speed and lean."),
            mark("The wind was about {wind_mps} from {from_rad}, told by speed over ground on several courses."),
            mark("The wind was about {wind_mps}, told by speed over ground on several courses."),
            mark("There was wind, told by speed over ground on several courses."),
        ),
        "wind_mps",
        {
            "along+speed": (
                mark(
                    "Along its way the wind was about {wind_mps} from {from_rad}, give or take {width_mps}, if it flew "
                    "as fast through the air both ways; what blew across it is not told."
                ),
            ),
            "along": (
                mark(
                    "Along its way the wind was about {wind_mps} from {from_rad}, give or take {width_mps}; what blew "
                    "across it is not told."
                ),
            ),
            "speed": (
                mark(
                    "The wind was about {wind_mps} from {from_rad}, give or take {width_mps}, if it flew as fast "
                    "through the air on every course."
                ),
            ),
        },
    ),
    "LAUNCH_POINT_OFF": EventWords(
        mark("How far off the stored launch point is"),
        68,
        (
            mark("The stored launch point lies {off_m} from where it took off, seen at {time}."),
            mark("The stored launch point does not lie where it took off, seen at {time}."),
        ),
        "off_m",
        {"moved": (mark("At {time} the stored launch point moved by {off_m} while it flew."),)},
    ),
    "RETURN_TRACK_OFF": EventWords(
        mark("How straight the automatic return flies"),
        59,
        (
            mark("At {time} the automatic return flew {off_rad} off the way to launch, for {lasting}."),
            mark("At {time} the automatic return flew up to {off_m} beside the straight way to launch."),
            mark("At {time} the automatic return did not fly straight to launch."),
        ),
        "off_rad",
    ),
    "POSITION_JUMP": EventWords(
        mark("Jumps of the position"),
        56,
        (
            mark("At {time} the position jumped {jump_m} farther than it can have flown."),
            mark("At {time} the position was known to {uncertainty_m} only, for {lasting}."),
            mark("At {time} the position jumped farther than it can have flown."),
        ),
        "jump_m",
        {"uncertainty": (mark("At {time} the position was known to {uncertainty_m} only."),)},
    ),
}
