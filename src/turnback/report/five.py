"""The five plain lines that come first: what to do, how far, how high, until which reading, what to look out for.

Numbers a pilot keeps to are taken at the unfavourable end of what is not known and rounded to the careful side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.result import BriefResult, LinkResult
from turnback.report import numbers, words
from turnback.report.language import text
from turnback.report.numbers import Toward, Units

LEAST_TURN_BACK_M = 1.0
UNDERNEATH = ("people.", "fall.area")
"""Rules about whom it may come down on."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line: a label of two or three words, and a sentence or two."""

    label: str
    text: str


def five_lines(result: BriefResult, units: Units) -> tuple[Line, ...]:
    """Return the five plain lines of a brief."""
    return (
        Line(text("What to do"), what_to_do(result)),
        Line(text("How far"), how_far(result, units)),
        Line(text("How high"), how_high(result, units)),
        Line(text("Until which reading"), until_which_reading(result, units)),
        Line(text("Look out for"), look_out_for(result, units)),
    )


def what_to_do(result: BriefResult) -> str:
    """Say fly, do not fly, and the first thing to do about it."""
    if result.verdict is Verdict.GO:
        return text("Fly it as planned, with your observer beside you.")
    if result.verdict is Verdict.CANNOT_SAY:
        deciding = result.deciding
        then = words.action(deciding.do) if deciding else text("Mend what stands below.")
        return " ".join([text("Do not fly yet."), then])
    severity = Severity.STOP if result.verdict is Verdict.NO_GO else Severity.LIMIT
    first = next((finding for finding in result.findings if finding.severity is severity), None)
    stops = severity is Severity.STOP
    head = text("Do not fly this plan.") if stops else text("Fly, but keep inside the limits below.")
    return f"{head} {words.action(first.do)}" if first is not None and first.do != "none" else head


def how_far(result: BriefResult, units: Units) -> str:
    """Say where to turn back, at the unfavourable end, never beyond a distance limit that was entered.

    Where an observer can no longer tell which way the aircraft points, a flight that may go ends there.
    """
    back = result.back
    planned = numbers.words(back.planned_m, "m", units)
    if back.planned_m < LEAST_TURN_BACK_M:
        return text("The plan stays over the launch point.")
    if not math.isfinite(back.turn_back_m.low) or back.turn_back_m.low < LEAST_TURN_BACK_M:
        return text("Nowhere on this route is coming home sure enough; the plan asks for {planned}.", planned=planned)
    entered, tells = _limit_of(result, "law.distance"), _limit_of(result, "observer.orientation")
    least = min(back.turn_back_m.low, back.planned_m)
    if entered is not None and entered < min(least, math.inf if tells is None else tells):
        limit = numbers.words(entered, "m", units, Toward.DOWN)
        return text("No farther than {limit}, the limit you entered.", limit=limit)
    if tells is None:
        return _turn_back(result, units)
    tells_words = numbers.words(tells, "m", units, Toward.DOWN)
    if result.verdict is Verdict.GO_WITH_LIMITS and tells < least:
        return text(
            "Turn back at {distance} from launch at the latest: beyond that your observer cannot tell which way it "
            "points. The plan asks for {planned}.",
            distance=tells_words,
            planned=planned,
        )
    beyond = text("Beyond {distance} your observer cannot tell which way it points.", distance=tells_words)
    return f"{_turn_back(result, units)} {beyond}"


def _turn_back(result: BriefResult, units: Units) -> str:
    back = result.back
    planned = numbers.words(back.planned_m, "m", units)
    if back.turn_back_m.low >= back.planned_m:
        if _pack_is_not_sure(result):  # a turn back counts no time spent at the far end
            return text(
                "{planned} from launch is near enough, but the pack does not surely last for all that is planned.",
                planned=planned,
            )
        return text("{planned} from launch, as planned; it comes home from there.", planned=planned)
    turn = numbers.words(back.turn_back_m.low, "m", units, Toward.DOWN)
    if result.verdict in (Verdict.NO_GO, Verdict.CANNOT_SAY):
        return text(
            "It comes home surely enough only from {turn} or nearer; the plan asks for {planned}.",
            turn=turn,
            planned=planned,
        )
    if math.isfinite(back.turn_back_s.low) and back.turn_back_s.low > 0.0:
        return text(
            "Turn back at {turn} from launch at the latest, {time} after launch. The plan asks for {planned}.",
            turn=turn,
            time=numbers.minutes(back.turn_back_s.low, Toward.DOWN),
            planned=planned,
        )
    return text(
        "Turn back at {turn} from launch at the latest. The plan asks for {planned}.", turn=turn, planned=planned
    )


def how_high(result: BriefResult, units: Units) -> str:
    """Say the height of the route and of the automatic return, never above a height limit that was entered."""
    return f"{_route_height(result, units)} {_return_height(result, units)}".strip()


def _pack_is_not_sure(result: BriefResult) -> bool:
    landing = find(result, "energy.landing_chance")
    return landing is not None and landing.severity in (Severity.STOP, Severity.UNKNOWN)


def until_which_reading(result: BriefResult, units: Units) -> str:
    """Say the volts, as goggles show them, at which to be on the ground and to turn back."""
    energy = result.energy
    loaded = numbers.words(energy.land_by_loaded_v.high, "V", units, Toward.UP)
    rest = numbers.words(energy.land_by_rest_v, "V", units, Toward.UP)
    turn = numbers.words(energy.turn_back_loaded_v.high, "V", units, Toward.UP)
    return text(
        "Be on the ground before your goggles show {loaded} for one cell in steady flight (that is {rest} at rest). "
        "On the way out, turn back when they show {turn}.",
        loaded=loaded,
        rest=rest,
        turn=turn,
    )


def look_out_for(result: BriefResult, units: Units) -> str:
    """Say what no map shows, the ground that rules, and who may be below."""
    parts = [text("Wires, masts, cranes and single trees: no map of heights shows them.")]
    link = ruling_link(result)
    place = obstacle(link)
    if place is not None and not bool(link.line_of_sight[link.worst]):
        far = numbers.words(place[0], "m", units)
        parts.append(text("High ground {distance} from launch hides it from your antennas.", distance=far))
    people = next((finding for finding in result.findings if finding.rule.startswith(UNDERNEATH)), None)
    if people is None:
        parts.append(text("People who walk in underneath."))
    elif people.rule == "fall.area":  # its own sentence stands below, too long for this line
        parts.append(text("A fall can end where people may be: {area}.", area=people.evidence.get("first", "")))
    else:
        parts.append(words.sentence(people, units))
    return " ".join(parts)


def ruling_link(result: BriefResult) -> LinkResult:
    """Return the link that holds less surely."""
    if result.video is None or result.control.probability.low <= result.video.probability.low:
        return result.control
    return result.video


def obstacle(link: LinkResult) -> tuple[float, float] | None:
    """Return distance from launch and height above sea level of what rules the link at its worst place."""
    distance = float(link.obstacle_from_launch_m[link.worst])
    height = float(link.obstacle_height_m[link.worst])
    return (distance, height) if math.isfinite(distance) and math.isfinite(height) else None


def planned_height_m(result: BriefResult) -> float:
    """Return the greatest height of the route above the launch point."""
    return float(result.profile.route_m.max() - result.profile.ground_m[0])


def find(result: BriefResult, rule: str) -> Finding | None:
    """Return the first finding of a rule."""
    return next((finding for finding in result.findings if finding.rule == rule), None)


def _limit_of(result: BriefResult, rule: str) -> float | None:
    finding = find(result, rule)
    return None if finding is None else finding.limit


def _route_height(result: BriefResult, units: Units) -> str:
    entered = _limit_of(result, "law.height")
    planned = numbers.words(planned_height_m(result), "m", units)
    if entered is not None:
        limit = numbers.words(entered, "m", units, Toward.DOWN)
        return text("Stay under {limit} above ground, the limit you entered; the plan is above it.", limit=limit)
    meets = find(result, "route.terrain")
    if meets is not None:
        goes = text("The route goes up to {planned} above launch.", planned=planned)
        return f"{goes} {words.sentence(meets, units)}"
    return text("Up to {planned} above launch, as planned.", planned=planned)


def _return_height(result: BriefResult, units: Units) -> str:
    back = result.back
    if back.action is not RadioLossAction.AUTOMATIC_RETURN:
        return text("On radio loss: {action}.", action=text(words.ACTION_ON_RADIO_LOSS[back.action]))
    needed = numbers.words(back.lowest_height_m, "m", units, Toward.UP)
    entered = _limit_of(result, "law.return_height")
    if entered is not None:
        return text(
            "The automatic return would need {needed}, above your limit of {limit}: take another route.",
            needed=needed,
            limit=numbers.words(entered, "m", units, Toward.DOWN),
        )
    if back.set_height_m is None:
        return text("The automatic return needs {needed} above launch; how it is set is not known.", needed=needed)
    is_set = numbers.words(back.set_height_m, "m", units)
    if back.set_height_m >= back.lowest_height_m:
        return text("The automatic return is set to {set}; it needs {needed} at least.", set=is_set, needed=needed)
    return text(
        "The automatic return needs {needed} above launch, if your height limit allows it; it is set to {set}.",
        needed=needed,
        set=is_set,
    )
