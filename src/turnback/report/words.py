"""The one place that puts records into words: findings, actions, verdicts, parameters, sources and chances."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from turnback.base.sources import SOURCES
from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report import numbers
from turnback.report.numbers import Toward, Units
from turnback.report.rule_words import NUMBERS, Kind, RuleWords
from turnback.report.words_actions import ACTION_WORDS, MEASURE_PREFIX
from turnback.report.words_parameters import (
    LINK_NAMES,
    LINK_WORDS,
    MEASURE_LINK_WORDS,
    MEASURE_WORDS,
    PARAMETER_WORDS,
    PART_NAMES,
    UNIT_ENDINGS,
)
from turnback.report.words_rules import RULE_WORDS
from turnback.rules.chance import GO_CHANCE

VERDICT_WORDS: Final[dict[Verdict, str]] = {
    Verdict.GO: "Go",
    Verdict.GO_WITH_LIMITS: "Go with limits",
    Verdict.NO_GO: "No-go",
    Verdict.CANNOT_SAY: "Cannot say",
}
VERDICT_MEANING: Final[dict[Verdict, str]] = {
    Verdict.GO: "By all that was entered, this flight comes home.",
    Verdict.GO_WITH_LIMITS: "This flight comes home if you keep inside the limits below.",
    Verdict.NO_GO: "Do not fly this plan as it stands.",
    Verdict.CANNOT_SAY: "Do not fly yet: something that decides is not known.",
}
SEVERITY_WORDS: Final[dict[Severity, str]] = {
    Severity.STOP: "Stops the flight",
    Severity.UNKNOWN: "Not known",
    Severity.LIMIT: "Limits the flight",
    Severity.NOTE: "Note",
}
ACTION_ON_RADIO_LOSS: Final[dict[RadioLossAction, str]] = {
    RadioLossAction.MOTORS_STOP: "motors stop, and it falls",
    RadioLossAction.KEEP_LAST_STICKS: "it keeps the last sticks and flies on",
    RadioLossAction.AUTOMATIC_RETURN: "automatic return",
    RadioLossAction.DESCEND_IN_PLACE: "it descends in place",
    RadioLossAction.UNKNOWN: "not known",
}
TURN_BACK_REASONS: Final[dict[str, str]] = {
    "energy": "beyond that the pack does not bring it home",
    "control": "beyond that the control link may break",
    "video": "beyond that the picture may break",
    "route": "the route ends there; it would come home from farther",
}


@dataclass(frozen=True, slots=True)
class Said:
    """One finding in words."""

    title: str
    sentence: str
    do: str
    severity: str
    source: str
    value: str
    limit: str
    band: str


def say(finding: Finding, units: Units = Units.METRIC) -> Said:
    """Put a finding into words; value, unit, limit and band are in the sentence where the finding has them."""
    rule = RULE_WORDS.get(finding.rule) or _generic(finding.rule)
    return Said(
        title=rule.title,
        sentence=sentence(finding, units),
        do=action(finding.do),
        severity=SEVERITY_WORDS[finding.severity],
        source=source_text(finding.source),
        value="" if finding.value is None else number(finding.value, finding, rule, units),
        limit="" if finding.limit is None else _limit(finding, rule, units),
        band=band(finding, rule, units),
    )


def sentence(finding: Finding, units: Units = Units.METRIC) -> str:
    """One sentence or two for a finding."""
    rule = RULE_WORDS.get(finding.rule) or _generic(finding.rule)
    if finding.value is None:
        text = rule.fact
    elif finding.limit is None:
        text = f"{rule.fact.rstrip('.')}: {number(finding.value, finding, rule, units)}{_over(finding, rule, units)}."
    else:
        turned = bool(rule.negative) and finding.value < 0.0
        template = rule.negative if turned else rule.measured or f"{rule.fact.rstrip('.')} ({NUMBERS})."
        text = template.format(
            value=number(-finding.value if turned else finding.value, finding, rule, units, rule.value_toward),
            limit=_limit(finding, rule, units),
            band=_over(finding, rule, units),
            allows="a go allows" if finding.limit >= GO_CHANCE.value else "a go with limits allows",
        )
    return text + _evidence(finding, units) + _undecided(finding)


def number(value: float, finding: Finding, rule: RuleWords, units: Units, toward: Toward = Toward.NEAREST) -> str:
    """Return one number of a finding, in the way its rule is said."""
    if finding.unit:
        return numbers.words(value, finding.unit, units, toward)
    if rule.kind is Kind.SHARE:
        return numbers.percent(value)
    if rule.kind is Kind.HOLDS:
        return numbers.chance_of(1.0 - value)
    if rule.kind is Kind.FAILS:
        return numbers.chance_of(value)
    return numbers.ratio(value)


def band(finding: Finding, rule: RuleWords, units: Units) -> str:
    """Return the ends of what is not known, "8 m to 14 m"; empty where the finding has none."""
    if finding.low is None or finding.high is None:
        return ""
    low, high = (number(end, finding, rule, units, rule.value_toward) for end in (finding.low, finding.high))
    return low if low == high else f"{low} to {high}"


def action(key: str) -> str:
    """Return what to do, for a ``do`` key."""
    if key.startswith(MEASURE_PREFIX):
        return measure(key.removeprefix(MEASURE_PREFIX))
    return ACTION_WORDS[key]


def measure(parameter_key: str) -> str:
    """Return how to come to know a parameter."""
    if parameter_key in MEASURE_WORDS:
        return MEASURE_WORDS[parameter_key]
    link, _, rest = parameter_key.partition(".")
    if link in LINK_NAMES and rest in MEASURE_LINK_WORDS:
        return MEASURE_LINK_WORDS[rest].format(link=LINK_NAMES[link])
    return f"Measure the {parameter(parameter_key)}, and enter it."


def parameter(key: str) -> str:
    """Return the words of a band's key; a key nobody worded is spelled out from its parts."""
    if key in PARAMETER_WORDS:
        return PARAMETER_WORDS[key]
    part, _, rest = key.partition(".")
    if part in LINK_NAMES and rest in LINK_WORDS:
        return f"{LINK_NAMES[part]}: {LINK_WORDS[rest]}"
    name = rest or part
    ending = next((end for end in UNIT_ENDINGS if name.endswith(end)), "")
    plain = name.removesuffix(ending).replace("_", " ").replace(".", " ")
    return f"{PART_NAMES.get(part, part)}: {plain}" if rest else plain


def source_text(key: str) -> str:
    """Return a citation in full; an unknown key is shown as it stands."""
    return SOURCES[key].text if key in SOURCES else key


def source_standing(key: str) -> str:
    """Return how far a source carries."""
    return SOURCES[key].standing.value if key in SOURCES else ""


def spread(value: Spread, unit: str, units: Units = Units.METRIC, toward: Toward = Toward.NEAREST) -> str:
    """Return a best estimate with its ends: "3.41 V (3.33 V to 3.47 V)"."""
    mid = numbers.words(value.mid, unit, units, toward)
    return mid + _ends(numbers.words(value.low, unit, units, toward), numbers.words(value.high, unit, units, toward))


def spread_percent(value: Spread) -> str:
    """Return a fraction and its ends as percentages."""
    return numbers.percent(value.mid) + _ends(numbers.percent(value.low), numbers.percent(value.high))


def spread_chance(holds: Spread) -> str:
    """Say how often something fails, with the ends of what is not known."""
    mid, low, high = (numbers.chance_of(1.0 - end) for end in (holds.mid, holds.low, holds.high))
    return mid if low == high == mid else f"{mid} ({low} at worst, {high} at best)"


def _ends(low: str, high: str) -> str:
    return "" if low == high else f" ({low} to {high})"


def _limit(finding: Finding, rule: RuleWords, units: Units) -> str:
    text = number(finding.limit or 0.0, finding, rule, units, rule.limit_toward)
    return text.removeprefix("about ") if rule.kind in (Kind.HOLDS, Kind.FAILS) and not finding.unit else text


def _over(finding: Finding, rule: RuleWords, units: Units) -> str:
    text = band(finding, rule, units)
    return f" (over what is not known: {text})" if text else ""


def _undecided(finding: Finding) -> str:
    ends = (finding.low, finding.high, finding.limit)
    if finding.severity is not Severity.UNKNOWN or any(end is None or not math.isfinite(end) for end in ends):
        return ""
    return " The limit lies inside what is not known, so nobody can say yet."


def _evidence(finding: Finding, units: Units) -> str:
    """Add the part or place that a finding points at."""
    given = finding.evidence
    if isinstance(given.get("corner"), str):
        return f" It is the {given['corner']} corner."
    if "first" in given and "areas" in given:
        count = int(float(given["areas"]))
        areas = "one area" if count == 1 else f"{count} areas"
        return f" It crosses {areas}, first: {given['first']}."
    if given.get("reason") in TURN_BACK_REASONS:
        reason = TURN_BACK_REASONS[str(given["reason"])]
        return f" {reason[0].upper()}{reason[1:]}."
    return _wind(finding, units) + _obstacle(finding, units)


def _wind(finding: Finding, units: Units) -> str:
    given = finding.evidence
    text = " The weather report is too old or comes from too far away to count." if given.get("stale") == "yes" else ""
    wind = _finite(finding, "largest_wind_mps")
    if wind is not None:
        text += f" The largest wind that still brings it home is {numbers.words(wind, 'm/s', units, Toward.DOWN)}."
    headwind, beatable = _finite(finding, "headwind_mps"), _finite(finding, "beatable_mps")
    if headwind is not None and beatable is not None:
        meets, beats = numbers.words(headwind, "m/s", units), numbers.words(beatable, "m/s", units)
        text += f" It meets {meets} and can beat {beats}."
    return text


def _obstacle(finding: Finding, units: Units) -> str:
    """Name the link, and the ground that rules, by distance and height."""
    link = LINK_NAMES.get(str(finding.evidence.get("link")))
    text = f" This is about the {link}." if link else ""
    distance, height = _finite(finding, "obstacle_m"), _finite(finding, "obstacle_height_m")
    if distance is None:
        return text
    place = f"{numbers.words(distance, 'm', units)} from launch"
    if height is not None:
        above = "launch" if finding.rule.startswith("return.") else "sea level"
        place += f", {numbers.words(height, 'm', units)} above {above}"
    sight = finding.evidence.get("line_of_sight")
    if sight == "no":
        return f"{text} Ground hides it: {place}."
    nearest = "comes closest to the line of sight" if sight == "yes" else "that rules stands"
    return f"{text} The ground {nearest} {place}."


def _finite(finding: Finding, name: str) -> float | None:
    value = finding.evidence.get(name)
    return float(value) if isinstance(value, (int, float)) and math.isfinite(value) else None


def _generic(rule: str) -> RuleWords:
    name = rule.replace(".", ": ").replace("_", " ").capitalize()
    return RuleWords(name, f"{name}.")
