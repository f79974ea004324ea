"""The two drills of the card: picture lost, control lost. Short steps, in the order in which they are done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Severity
from turnback.records.result import BriefResult
from turnback.report import numbers
from turnback.report.five import find
from turnback.report.language import mark, text
from turnback.report.numbers import Units

UNTESTED: Final = "return.untested"
CLEARANCE: Final = "return.clearance"
GROUND_UNKNOWN: Final = ("terrain.assumed", "terrain.uncovered")  # flat ground that nobody knows clears nothing
HEADWIND: Final = "return.headwind"
RETURN_DOUBTS: Final = (UNTESTED, CLEARANCE, *GROUND_UNKNOWN, HEADWIND, "law.return_height")


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill: what it is for, what the aircraft does meanwhile, and the steps."""

    title: str
    happens: str
    steps: tuple[str, ...]


PICTURE_FIRST: Final = (
    mark("Say “Picture lost”. No hard turn."),
    mark("Level it. Air above clear? Climb a little."),
    mark("Observer: point at it, talk it home."),
)
PICTURE_BY_RETURN: Final = mark("Still none after a count of five: return on.")
PICTURE_BY_OBSERVER: Final = mark("Still none: land by the observer’s words.")
PICTURE_LAST: Final = mark("Unseen, or nearing people: motors stop while the ground below is empty.")

HAPPENS: Final[dict[RadioLossAction, str]] = {
    RadioLossAction.MOTORS_STOP: mark("Its motors stop and it falls."),
    RadioLossAction.KEEP_LAST_STICKS: mark("It flies on as it was."),
    RadioLossAction.DESCEND_IN_PLACE: mark("It comes down and drifts with the wind."),
    RadioLossAction.UNKNOWN: mark("Nobody knows: it may fall or fly on."),
}
RETURNS: Final = mark("It should fly home at {height}. It does not land.")
RETURNS_UNTESTED: Final = mark("It may fly home at {height}: never tested.")
RETURNS_CLOSE: Final = mark("It may fly home at {height}: close to the ground.")
RETURNS_INTO: Final = mark("It may fly home at {height}: into higher ground.")
RETURNS_WINDY: Final = mark("It may fly home at {height}: if the wind lets it.")
RETURNS_UNSEEN: Final = mark("It may fly home at {height}: ground not known.")
RETURNS_SOMEHOW: Final = mark("It may fly home; nobody knows how high.")

KEEP_ON: Final = mark("Transmitter on, antenna high; stand still.")
WATCH: Final = mark("Observer: eyes on it, say where it is.")
LAND: Final = mark("It answers: level it, slow down, land.")
DOWN: Final = mark("Down: motor switch off. Look for smoke first.")
CONTROL_STEPS: Final[dict[RadioLossAction, tuple[str, ...]]] = {
    RadioLossAction.AUTOMATIC_RETURN: (
        mark("Say “Control lost”. Clear the launch point."),
        KEEP_ON,
        WATCH,
        mark("It answers, and you see it: take over, land."),
        mark("It stays away: note the time, and where it was last seen."),
    ),
    RadioLossAction.MOTORS_STOP: (
        mark("Shout “Control lost, it falls!”"),
        mark("Motor switch off; transmitter stays on."),
        mark("Observer: watch it down. Keep people back."),
        mark("Walk there, goggles off. Look for smoke."),
        mark("No smoke: disconnect the pack first."),
    ),
    RadioLossAction.KEEP_LAST_STICKS: (
        mark("Shout “Control lost, it flies on!”"),
        KEEP_ON,
        WATCH,
        LAND,
        mark("Out of sight: note the time and the way, and tell whoever must know."),
    ),
    RadioLossAction.DESCEND_IN_PLACE: (
        mark("Shout “Control lost, it comes down!”"),
        KEEP_ON,
        WATCH,
        LAND,
        DOWN,
    ),
    RadioLossAction.UNKNOWN: (mark("Shout “Control lost!” Take cover."), KEEP_ON, WATCH, LAND, DOWN),
}


def drills(result: BriefResult, units: Units) -> tuple[Drill, Drill]:
    """Return the drill for a lost picture and the one for a lost control link, by the radio-loss action as set."""
    by_return = return_is_sure(result)
    picture = (*PICTURE_FIRST, PICTURE_BY_RETURN if by_return else PICTURE_BY_OBSERVER, PICTURE_LAST)
    control = CONTROL_STEPS[result.back.action]
    return (
        Drill(text("Picture lost"), text("Control still works."), tuple(text(step) for step in picture)),
        Drill(text("Control lost"), _happens(result, units), tuple(text(step) for step in control)),
    )


def return_is_sure(result: BriefResult) -> bool:
    """True where the automatic return is set, was tested on this build, clears known ground and beats the wind."""
    back = result.back
    returns = back.action is RadioLossAction.AUTOMATIC_RETURN and back.set_height_m is not None
    return returns and not any(find(result, rule) for rule in RETURN_DOUBTS)


def _happens(result: BriefResult, units: Units) -> str:
    back = result.back
    if back.action is not RadioLossAction.AUTOMATIC_RETURN:
        return text(HAPPENS[back.action])
    if back.set_height_m is None:
        return text(RETURNS_SOMEHOW)
    return text(_returning(result), height=numbers.words(back.set_height_m, "m", units))


def _returning(result: BriefResult) -> str:
    """Return what is to be said of the way home, the worst first."""
    low = find(result, CLEARANCE)
    if low is not None:
        return RETURNS_INTO if low.severity is Severity.STOP else RETURNS_CLOSE
    if find(result, UNTESTED) is not None:
        return RETURNS_UNTESTED
    if find(result, HEADWIND) is not None:
        return RETURNS_WINDY
    return RETURNS_UNSEEN if any(find(result, rule) for rule in GROUND_UNKNOWN) else RETURNS
