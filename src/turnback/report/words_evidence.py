"""The part, place or wind that a finding points at, as whole sentences behind its own."""

from __future__ import annotations

import math
from typing import Final

from turnback.records.finding import Finding
from turnback.records.plan import Skill
from turnback.report import numbers
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.report.words_skills import SKILL_NAMES

CORNERS: Final[dict[str, str]] = {
    "front-left": mark("It is the front-left corner."),
    "front-right": mark("It is the front-right corner."),
    "rear-left": mark("It is the rear-left corner."),
    "rear-right": mark("It is the rear-right corner."),
}
TURN_BACK_SENTENCES: Final[dict[str, str]] = {
    "energy": mark("Beyond that the pack does not bring it home."),
    "control": mark("Beyond that the control link may break."),
    "video": mark("Beyond that the picture may break."),
    "route": mark("The route ends there; it would come home from farther."),
}
ABOUT_LINK: Final[dict[str, str]] = {
    "control": mark("This is about the control link."),
    "video": mark("This is about the video link."),
}
UNNAMED: Final = mark("unnamed")
"""What the assessment calls an area of people that its file does not name."""

HIDDEN: Final[dict[str, str]] = {
    "": mark("Ground hides it: {distance} from launch."),
    "launch": mark("Ground hides it: {distance} from launch, {height} above launch."),
    "sea level": mark("Ground hides it: {distance} from launch, {height} above sea level."),
}
CLOSEST: Final[dict[str, str]] = {
    "": mark("The ground comes closest to the line of sight {distance} from launch."),
    "launch": mark("The ground comes closest to the line of sight {distance} from launch, {height} above launch."),
    "sea level": mark(
        "The ground comes closest to the line of sight {distance} from launch, {height} above sea level."
    ),
}
RULES: Final[dict[str, str]] = {
    "": mark("The ground that rules stands {distance} from launch."),
    "launch": mark("The ground that rules stands {distance} from launch, {height} above launch."),
    "sea level": mark("The ground that rules stands {distance} from launch, {height} above sea level."),
}


def evidence(finding: Finding, units: Units) -> list[str]:
    """Return the sentences on what a finding points at; none where it points at nothing."""
    given = finding.evidence
    if given.get("corner") in CORNERS:
        return [text(CORNERS[str(given["corner"])])]
    if "skill" in given:
        return [text("The next step: {skill}.", skill=text(SKILL_NAMES[Skill(given["skill"])]))]
    if "first" in given and "fall_areas" in given:
        first = text(UNNAMED) if given["first"] == UNNAMED else given["first"]
        far = numbers.words(_finite(finding, "from_m"), "m", units)
        return [
            plural(
                "One area can be met, {first}, worst from {distance} out.",
                "{count} areas can be met, worst {first} from {distance} out.",
                int(float(given["fall_areas"])),
                first=first,
                distance=far,
            )
        ]
    if "first" in given and "areas" in given:
        first = text(UNNAMED) if given["first"] == UNNAMED else given["first"]
        count = int(float(given["areas"]))
        return [
            plural(
                "It crosses one area, first: {first}.", "It crosses {count} areas, first: {first}.", count, first=first
            )
        ]
    if given.get("reason") in TURN_BACK_SENTENCES:
        return [text(TURN_BACK_SENTENCES[str(given["reason"])])]
    return [*_wind(finding, units), *_obstacle(finding, units), *_walked(finding, units)]


def _wind(finding: Finding, units: Units) -> list[str]:
    said = []
    if finding.evidence.get("stale") == "yes":
        said.append(text("The weather report is too old or comes from too far away to count."))
    wind = _finite(finding, "largest_wind_mps")
    if wind is not None:
        largest = numbers.words(wind, "m/s", units, Toward.DOWN)
        said.append(text("Flown by hand, the largest wind that still brings it home is {wind}.", wind=largest))
    headwind, beatable = _finite(finding, "headwind_mps"), _finite(finding, "beatable_mps")
    if headwind is not None and beatable is not None:
        meets, beats = numbers.words(headwind, "m/s", units), numbers.words(beatable, "m/s", units)
        said.append(text("It meets {meets} and can beat {beats}.", meets=meets, beats=beats))
    return said


def _obstacle(finding: Finding, units: Units) -> list[str]:
    """Name the link, and the ground that rules, by distance and height."""
    link = str(finding.evidence.get("link"))
    said = [text(ABOUT_LINK[link])] if link in ABOUT_LINK else []
    distance, height = _finite(finding, "obstacle_m"), _finite(finding, "obstacle_height_m")
    if distance is None:
        return said
    sight = finding.evidence.get("line_of_sight")
    way = HIDDEN if sight == "no" else CLOSEST if sight == "yes" else RULES
    above = "" if height is None else _above(finding)
    far, high = numbers.words(distance, "m", units), numbers.words(height, "m", units)
    return [*said, text(way[above], distance=far, height=high)]


def _walked(finding: Finding, units: Units) -> list[str]:
    """Say when reception was measured, how far, and that nobody knows what is beyond."""
    walked = _finite(finding, "walked_m")
    if walked is None:
        return []
    far, on = numbers.words(walked, "m", units, Toward.DOWN), finding.evidence.get("on")
    said = (
        text("It was measured on {day}, out to {distance} from launch.", day=on, distance=far)
        if on
        else text("It was measured out to {distance} from launch.", distance=far)
    )
    beyond = text("This flight goes beyond that: nobody measured there, so the margin is known less well.")
    return [said, *([beyond] if finding.evidence.get("beyond") == "yes" else [])]


def _above(finding: Finding) -> str:
    """Say what the height of an obstacle counts from; redacting says so beside it."""
    return "launch" if finding.rule.startswith("return.") or "above" in finding.evidence else "sea level"


def _finite(finding: Finding, name: str) -> float | None:
    value = finding.evidence.get(name)
    return float(value) if isinstance(value, (int, float)) and math.isfinite(value) else None
