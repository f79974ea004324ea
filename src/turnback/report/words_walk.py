"""A range walk in words: five plain lines, and what has to be told about its readings."""

from __future__ import annotations

from typing import Final

from turnback.records.finding import Severity
from turnback.records.walk import WalkEnd, WalkMode
from turnback.records.walk_answer import WalkAnswer, WalkCause
from turnback.records.walk_read import FloorFrom
from turnback.report import numbers, words
from turnback.report.five import LEAST_TURN_BACK_M, Line
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.rules.walk import FEW_READINGS

LEAST_TOLD_DB: Final = 0.5
RESULTS: Final[dict[WalkCause, str]] = {
    WalkCause.LOW: mark(
        "Everything arrives about {loss} lower than predicted, near and far alike: look at the antenna, its connector "
        "and the transmit power."
    ),
    WalkCause.FALLS: mark(
        "It falls faster with distance than predicted: something stands in the way, or there is noise."
    ),
    WalkCause.BOTH: mark(
        "Everything arrives about {loss} lower than predicted, and it falls faster with distance: look at antenna, "
        "connector and power first, then at what stands in the way."
    ),
    WalkCause.AS_PREDICTED: mark("It arrives about as predicted: the model holds at this place, as far as you walked."),
    WalkCause.STRONGER: mark("Everything arrives about {loss} stronger than predicted."),
}
UNSURE_LOW: Final = mark(
    "It arrives about {loss} lower than predicted at {distance}. These readings cannot tell whether the cause is power "
    "and antenna, or something in the way."
)
UNSURE_HIGH: Final = mark(
    "It arrives about {loss} stronger than predicted at {distance}, but these readings are not sure of it."
)
NOTHING_READ: Final = mark(
    "No reading is above the receiver's floor: the walk shows that little arrives, and not how little."
)
UNSURE: Final = mark("It arrives about as predicted in the middle, but these readings leave much open.")
TO_DO: Final[dict[WalkCause, str]] = {
    WalkCause.LOW: mark(
        "Look at antenna, cable and connector at both ends, and at the power that is set; mend it, and walk again."
    ),
    WalkCause.FALLS: mark(
        "Look along the way for trees, a rise or a wall. Move the pilot to higher open ground, or plan a shorter way "
        "out; then walk again."
    ),
    WalkCause.BOTH: mark(
        "Look at antenna, cable, connector and power first. Walk again, and only then look for what stands in the way."
    ),
    WalkCause.AS_PREDICTED: mark("Nothing to mend. Keep inside the distances of the brief."),
    WalkCause.STRONGER: mark(
        "Nothing to mend. Another day or another antenna may give less: do not fly on the surplus."
    ),
    WalkCause.UNSURE: mark("Take more readings: near and far, on more than one bearing, each at one fixed power."),
}
HOLDS_NEARER: Final[dict[str, str]] = {
    "control": mark("With the walk the control link surely holds to {after} instead of {before}."),
    "video": mark("With the walk the picture surely holds to {after} instead of {before}."),
}
HOLDS_NOWHERE: Final[dict[str, str]] = {
    "control": mark("With the walk the control link surely holds nowhere on this route; without it, to {before}."),
    "video": mark("With the walk the picture surely holds nowhere on this route; without it, to {before}."),
}
HOLDS_ALIKE: Final[dict[str, str]] = {
    "control": mark("With the walk and without it, the control link surely holds to {after}."),
    "video": mark("With the walk and without it, the picture surely holds to {after}."),
}
HOLDS_NEVER: Final[dict[str, str]] = {
    "control": mark("With the walk and without it, the control link surely holds nowhere on this route."),
    "video": mark("With the walk and without it, the picture surely holds nowhere on this route."),
}


def walk_lines(answer: WalkAnswer, units: Units) -> tuple[Line, ...]:
    """Return the five plain lines of a range walk."""
    return (
        Line(text("What it says"), result_words(answer, units)),
        Line(text("How sure"), sure_words(answer)),
        Line(text("What changed"), changed_words(answer, units)),
        Line(text("How far it holds"), beyond_words(answer, units)),
        Line(text("What to do"), text(TO_DO[answer.cause])),
    )


def result_words(answer: WalkAnswer, units: Units) -> str:
    """Say in one sentence what the walk found."""
    offset_db, fit = answer.fit.offset_db.mid, answer.fit
    loss = numbers.words(abs(offset_db), "dB", units)
    if answer.cause is not WalkCause.UNSURE:
        return text(RESULTS[answer.cause], loss=loss)
    if fit.censored >= fit.readings:
        return text(NOTHING_READ)
    distance = numbers.words(fit.reference_m, "m", units)
    if abs(offset_db) < LEAST_TOLD_DB:
        return text(UNSURE)
    return text(UNSURE_LOW if offset_db > 0.0 else UNSURE_HIGH, loss=loss, distance=distance)


def sure_words(answer: WalkAnswer) -> str:
    """Say how likely each of the two causes is, and what the readings are worth."""
    fit = answer.fit
    causes = text(
        "That power or antenna is weak: {low}. That it falls too fast: {falls}.",
        low=numbers.percent(fit.power_or_antenna),
        falls=numbers.percent(fit.falls_too_fast),
    )
    worth = plural(
        "The walk has one reading.",
        "The {count} readings are worth {worth} that stand alone: neighbours repeat each other.",
        fit.readings,
        worth=max(1, round(fit.effective)),
    )
    return f"{causes} {worth}"


def changed_words(answer: WalkAnswer, units: Units) -> str:
    """Say how far the link holds, where the turn-back point lies, and the verdict, with the walk and without it."""
    if not answer.teaches:
        return text("Nothing: brief and map of this place stay as they are without this walk.")
    said = [_holds(answer, units), _turn_back(answer, units)]
    before, after = answer.before.verdict, answer.after.verdict
    if before is not after:
        said.append(
            text(
                "The verdict of this plan changes from “{before}” to “{after}”.",
                before=text(words.VERDICT_WORDS[before]),
                after=text(words.VERDICT_WORDS[after]),
            )
        )
    return " ".join(said)


def nothing_kept(answer: WalkAnswer) -> str:
    """Say in one sentence why a walk that teaches nothing is not kept."""
    fit = answer.fit
    above, few = fit.readings - fit.censored, int(FEW_READINGS.value)
    if above < few:
        return plural(
            "Nothing is kept: {count} reading is above the receiver's floor, and a correction takes at least {few}.",
            "Nothing is kept: {count} readings are above the receiver's floor, and a correction takes at least {few}.",
            above,
            few=few,
        )
    return text(
        "Nothing is kept: {censored} of {readings} readings stand at the receiver's floor, and with more than half "
        "there a walk cannot say how much is lost.",
        censored=f"{fit.censored:,}",
        readings=f"{fit.readings:,}",
    )


def _holds(answer: WalkAnswer, units: Units) -> str:
    link = answer.fit.link
    results = [brief.control if link == "control" else brief.video for brief in (answer.before, answer.after)]
    before_m, after_m = (0.0 if result is None else result.reach_m.low for result in results)
    before, after = (numbers.words(reach, "m", units, Toward.DOWN) for reach in (before_m, after_m))
    if after_m < LEAST_TURN_BACK_M:
        return text((HOLDS_NEVER if before_m < LEAST_TURN_BACK_M else HOLDS_NOWHERE)[link], before=before)
    return text((HOLDS_ALIKE if before == after else HOLDS_NEARER)[link], before=before, after=after)


def _turn_back(answer: WalkAnswer, units: Units) -> str:
    before_m, after_m = (brief.back.turn_back_m.low for brief in (answer.before, answer.after))
    before, after = (numbers.words(each, "m", units, Toward.DOWN) for each in (before_m, after_m))
    if not after_m >= LEAST_TURN_BACK_M:
        if not before_m >= LEAST_TURN_BACK_M:
            return text("There is no place on this route from which it surely comes home, as before.")
        return text("There is no place left on this route from which it surely comes home.")
    if before == after:
        return text("The turn-back point stays at {after}.", after=after)
    if after_m < before_m:
        return text("The turn-back point moves in to {after}.", after=after)
    return text("The turn-back point moves out to {after}.", after=after)


def beyond_words(answer: WalkAnswer, units: Units) -> str:
    """Say how far it was measured, and that nobody knows what lies beyond."""
    walked = numbers.words(answer.fit.walked_m, "m", units, Toward.DOWN)
    if not answer.teaches:
        return text("It was measured out to {distance} from launch.", distance=walked)
    return text(
        "It was measured out to {distance} from launch. Beyond that it is not measured: the band is wider.",
        distance=walked,
    )


def told_lines(answer: WalkAnswer, units: Units) -> tuple[str, ...]:
    """Return what has to be told about the readings: what limits them, and how they were understood."""
    said = [
        text("{sentence} {do}", sentence=words.sentence(finding, units), do=words.action(finding.do))
        if finding.severity is not Severity.NOTE
        else words.sentence(finding, units)
        for finding in answer.findings
        if finding.rule not in ("walk.power_low", "walk.falls_fast")
    ]
    return tuple(said + _read_lines(answer, units) + _place_lines(answer))


def _read_lines(answer: WalkAnswer, units: Units) -> list[str]:
    read, said = answer.read, []
    if read.floor_dbm is not None and read.floor_from is FloorFrom.DETECTED:
        floor = numbers.words(read.floor_dbm, "dBm", units)
        said.append(
            text(
                "{floor} is taken for the receiver's floor: readings there say “no more than that”. If it is none, "
                "give the true one with --floor.",
                floor=floor,
            )
        )
    if answer.lost_below_dbm is not None:
        below = numbers.words(answer.lost_below_dbm, "dBm", units)
        said.append(
            text("Where nothing came, the level is taken to be below {level}, the limit of the receiver.", level=below)
        )
    if read.power_varies:
        said.append(text("The transmit power changed during the walk; each reading is held against its own."))
    if read.other:
        said.append(
            plural(
                "One reading of another link or end was left out.",
                "{count} readings of another link or end were left out.",
                read.other,
            )
        )
    if read.unused:
        said.append(text("Not understood and not used: {columns}.", columns=", ".join(read.unused[:8])))
    return said


def _place_lines(answer: WalkAnswer) -> list[str]:
    said = []
    read = answer.read
    if answer.fit.mode is WalkMode.ON_FOOT:
        said.append(text("From a walk on foot only what is worse than predicted is carried over to a flight."))
    if not read.bearing_known.all():
        said.append(text("Spots without a bearing are laid due north: on flat ground every bearing is the same."))
    if answer.before.terrain_assumed:
        said.append(
            text("The ground is assumed, not measured: what the walk finds holds the shape of the ground in it, too.")
        )
    usual = WalkEnd.AIRCRAFT if answer.fit.link == "control" else WalkEnd.GROUND
    if read.walk.read_at is not usual:
        said.append(
            text("The level was read at the end that answers: the power of the other end stays as unknown as it was.")
        )
    if answer.typed_in:
        said.append(
            text(
                "The plan itself says what a walk found, and that goes first: take it out of the plan if this walk is "
                "to count."
            )
        )
    return said
