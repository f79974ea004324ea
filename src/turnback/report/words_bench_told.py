"""What the bench takes for granted, what it cannot know, why motors run up by themselves, and what to be careful of."""

from __future__ import annotations

from typing import Final

from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchAnswer, WindUp
from turnback.report import numbers
from turnback.report.cautions import CAUTIONS
from turnback.report.language import mark, text
from turnback.report.words_bench_slips import corners, declared, other, rotation_words
from turnback.rules.bench import REVERSE_SHARE, THRUST_MARGIN

CAUTIONS_BENCH: Final = (
    mark("Unplug the pack before you touch anything. Connect the pack last, and disconnect it first."),
    mark(
        "Propellers off for anything powered: the aircraft strapped down, a second or two, no throttle, hands, hair "
        "and sleeves away."
    ),
    mark(
        "Never hold an aircraft with propellers on while a pack is connected, not even for a moment, and never spin "
        "fitted propellers to find out which one is wrong."
    ),
    mark(
        "After mending, look at all four corners once more. Then the first hop: low, short, on open ground, everybody "
        "well away and behind you, a finger on disarm."
    ),
    mark(
        "LiPo packs burn. A swollen, dented, hot or wet pack is not connected or charged again: put it outdoors, and "
        "watch it."
    ),
    mark("If somebody is hurt, see to the wound before the aircraft. Stop the motors first, and call for help."),
    mark("This does not know your local law. Look it up."),
)
CANNOT_KNOW: Final = (
    mark("It sees nothing. It knows only what was told, and takes that for true but for a slip now and then."),
    mark(
        "A wrong propeller and a wrong motor direction at one corner look alike in flight: only looking and turning "
        "the motor alone tells them apart."
    ),
    mark(
        "A loose propeller, a motor that falls out of step, a broken lead, a bent shaft or a wrong set-up are "
        "“something else” here: they are not told apart."
    ),
    mark("It is made for aircraft with four motors, one at each corner, all pushing up."),
    mark("How often each error is made is our guess; what was seen soon weighs more."),
    mark("It knows nothing of your aircraft's weight, motors or speed controls but what was given."),
)
RUN_UP: Final = (
    mark(
        "An armed aircraft without propellers runs its motors up by itself, faster and faster. That is normal and no "
        "fault: do not do it."
    ),
    mark(
        "Why: it stands a little tilted, and the flight board asks the motors to level it. Without propellers nothing "
        "levels it, so the board asks for more and more."
    ),
    mark(
        "Do not arm it like that: a motor without load gets very fast and its bell catches hair, sleeves and wires. "
        "To see motors turn, let the set-up turn one of them at idle speed."
    ),
)


def assumed_lines(answer: BenchAnswer) -> tuple[str, ...]:
    """Return what is taken for granted."""
    scheme = text(
        "Motors and propellers at {one} should turn {direction}, at {two} {against}, all seen from above.",
        one=corners(each for each in At if declared(answer.front_left, each) is answer.front_left),
        direction=rotation_words(answer.front_left),
        two=corners(each for each in At if declared(answer.front_left, each) is not answer.front_left),
        against=rotation_words(other(answer.front_left)),
    )
    if answer.scheme_assumed:
        scheme = text(
            "{scheme} Nobody said so: it is assumed. Look it up in your set-up; if it is the other way round, say so, "
            "or every portrait is the wrong way round.",
            scheme=scheme,
        )
    return (
        scheme,
        text(
            "Full throttle pushes up with {low} to {high} times the weight: how much exactly is not known.",
            low=min(THRUST_MARGIN.values, key=float),
            high=max(THRUST_MARGIN.values, key=float),
        ),
        text(
            "A propeller that turns against its direction pushes down with {low} to {high} of what it would lift.",
            low=numbers.percent(min(float(each) for each in REVERSE_SHARE.values)),
            high=numbers.percent(max(float(each) for each in REVERSE_SHARE.values)),
        ),
        text("A propeller upside down keeps its direction: it still lifts, but weakly, loud and hot."),
    )


def cannot_know() -> tuple[str, ...]:
    """Return what the bench cannot know."""
    return tuple(text(said) for said in CANNOT_KNOW)


def bench_cautions() -> tuple[str, ...]:
    """Return what to be careful of."""
    return tuple(text(said) for said in (*CAUTIONS_BENCH, CAUTIONS[-1]))


def run_up_lines(wind_up: WindUp | None) -> tuple[str, ...]:
    """Say why motors run up without propellers, and after how long they stand at their limit."""
    said = [text(each) for each in RUN_UP]
    if wind_up is None:
        return tuple(said)
    tilt = numbers.words(wind_up.tilt_deg, "°")
    if wind_up.seconds is None:
        said.append(text("How long that takes is not known: no gain was given."))
    elif wind_up.from_gains:
        said.append(
            text(
                "With your gains it takes about {time} at a tilt of {tilt} until the board's demand stands at its "
                "limit.",
                time=numbers.words(wind_up.seconds, "s"),
                tilt=tilt,
            )
        )
    else:
        said.append(
            text(
                "With usual gains it takes about {time} at a tilt of {tilt} until the board's demand stands at its "
                "limit; yours may differ.",
                time=numbers.words(wind_up.seconds, "s"),
                tilt=tilt,
            )
        )
    return tuple(said)


def wind_up_rows(wind_up: WindUp) -> tuple[tuple[str, str], ...]:
    """Return the numbers behind the wind-up time, for those who open them."""
    return (
        (text("Limit of the integral's part"), numbers.ratio(wind_up.limit)),
        (text("Integral gain"), numbers.ratio(wind_up.integral_gain)),
        (text("Gain of self-level"), numbers.ratio(wind_up.attitude_gain)),
        (text("Tilt"), numbers.words(wind_up.tilt_deg, "°")),
        (text("Time = limit ÷ (integral gain × gain of self-level × tilt in radians)"),
         text("not known") if wind_up.seconds is None else numbers.words(wind_up.seconds, "fall s")),
    )  # fmt: skip


def scheme_words(front_left: Rotation) -> str:
    """Return the declared scheme in a few words."""
    return text("front-left {direction}, seen from above", direction=rotation_words(front_left))


def scheme_note(answer: BenchAnswer) -> str:
    """Return the warning above portraits of a scheme that nobody declared; empty where it was declared."""
    if not answer.scheme_assumed:
        return ""
    return text(
        "The scheme is assumed: {scheme}. Look it up in your set-up before you trust the portraits.",
        scheme=scheme_words(answer.front_left),
    )


def take_back() -> str:
    """Say how something told is taken back."""
    return text(
        "Is one of these not so? Give the command again without it, or go on from a saved answer with --go-on and "
        "--take-back."
    )


def counts_less() -> str:
    """Say that heard words count for less until they are confirmed."""
    return text("This was heard in your words. Before you confirm it, it counts for less.")
