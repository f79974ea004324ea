"""The one place that puts records into words: findings, actions, verdicts, parameters, sources and chances."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from turnback.base.sources import SOURCES, Standing
from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.rule_words import NUMBERS, VALUE, Kind, RuleWords
from turnback.report.words_actions import ACTION_WORDS, MEASURE_PREFIX
from turnback.report.words_evidence import evidence
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
    Verdict.GO: mark("Go"),
    Verdict.GO_WITH_LIMITS: mark("Go with limits"),
    Verdict.NO_GO: mark("No-go"),
    Verdict.CANNOT_SAY: mark("Cannot say"),
}
VERDICT_MEANING: Final[dict[Verdict, str]] = {
    Verdict.GO: mark("By all that was entered, this flight comes home."),
    Verdict.GO_WITH_LIMITS: mark("This flight comes home if you keep inside the limits below."),
    Verdict.NO_GO: mark("Do not fly this plan as it stands."),
    Verdict.CANNOT_SAY: mark("Do not fly yet: something that decides is not known."),
}
SEVERITY_WORDS: Final[dict[Severity, str]] = {
    Severity.STOP: mark("Stops the flight"),
    Severity.UNKNOWN: mark("Not known"),
    Severity.LIMIT: mark("Limits the flight"),
    Severity.NOTE: mark("Note"),
}
ACTION_ON_RADIO_LOSS: Final[dict[RadioLossAction, str]] = {
    RadioLossAction.MOTORS_STOP: mark("motors stop, and it falls"),
    RadioLossAction.KEEP_LAST_STICKS: mark("it keeps the last sticks and flies on"),
    RadioLossAction.AUTOMATIC_RETURN: mark("automatic return"),
    RadioLossAction.DESCEND_IN_PLACE: mark("it descends in place"),
    RadioLossAction.UNKNOWN: mark("not known"),
}
TURN_BACK_REASONS: Final[dict[str, str]] = {
    "energy": mark("beyond that the pack does not bring it home"),
    "control": mark("beyond that the control link may break"),
    "video": mark("beyond that the picture may break"),
    "route": mark("the route ends there; it would come home from farther"),
}
OPPOSITE: Final = {Toward.UP: Toward.DOWN, Toward.DOWN: Toward.UP, Toward.NEAREST: Toward.NEAREST}
"""The careful side of a number that is said without its minus."""
STANDING_WORDS: Final[dict[Standing, str]] = {
    Standing.RECOMMENDATION: mark("recommendation"),
    Standing.STANDARD: mark("standard"),
    Standing.LAW: mark("law"),
    Standing.PAPER: mark("paper"),
    Standing.DATA: mark("open data"),
    Standing.PRACTICE: mark("common practice"),
    Standing.OURS: mark("our choice"),
    Standing.MEMORY: mark("from memory"),
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
        title=text(rule.title),
        sentence=sentence(finding, units),
        do=action(finding.do),
        severity=text(SEVERITY_WORDS[finding.severity]),
        source=source_text(finding.source),
        value="" if finding.value is None else number(finding.value, finding, rule, units, rule.value_toward),
        limit="" if finding.limit is None else _limit(finding, rule, units),
        band=band(finding, rule, units),
    )


def sentence(finding: Finding, units: Units = Units.METRIC) -> str:
    """One sentence or two for a finding."""
    rule = RULE_WORDS.get(finding.rule) or _generic(finding.rule)
    return " ".join([_measured(finding, rule, units), *evidence(finding, units), *_undecided(finding)])


def _measured(finding: Finding, rule: RuleWords, units: Units) -> str:
    """Say the fact with its numbers, as many as there are."""
    fact = text(rule.fact)
    if finding.value is None:
        return fact
    if finding.limit is None:
        value = number(finding.value, finding, rule, units, rule.value_toward)
        return text(VALUE, fact=_open(fact), value=value, band=_over(finding, rule, units))
    turned = bool(rule.negative) and finding.value < 0.0
    limit = _limit(finding, rule, units)
    return text(
        rule.negative if turned else rule.measured or NUMBERS,
        fact=_open(fact),
        value=number(-finding.value, finding, rule, units, OPPOSITE[rule.value_toward])
        if turned
        else number(finding.value, finding, rule, units, rule.value_toward),
        limit=limit,
        band=_over(finding, rule, units),
        allowed=text("a go allows {limit}", limit=limit)
        if finding.limit >= GO_CHANCE.value
        else text("a go with limits allows {limit}", limit=limit),
    )


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
    if rule.kind is Kind.COUNT:
        return f"{value:.0f}"
    return numbers.ratio(value)


def band(finding: Finding, rule: RuleWords, units: Units) -> str:
    """Return the ends of what is not known, "8 m to 14 m"; empty where the finding has none."""
    if finding.low is None or finding.high is None:
        return ""
    low, high = (number(end, finding, rule, units, rule.value_toward) for end in (finding.low, finding.high))
    return low if low == high else text("{low} to {high}", low=low, high=high)


def action(key: str) -> str:
    """Return what to do, for a ``do`` key."""
    if key.startswith(MEASURE_PREFIX):
        return measure(key.removeprefix(MEASURE_PREFIX))
    return text(ACTION_WORDS[key])


def measure(parameter_key: str) -> str:
    """Return how to come to know a parameter."""
    if parameter_key in MEASURE_WORDS:
        return text(MEASURE_WORDS[parameter_key])
    link, _, rest = parameter_key.partition(".")
    if rest in MEASURE_LINK_WORDS.get(link, {}):
        return text(MEASURE_LINK_WORDS[link][rest])
    return text("Measure the {parameter}, and enter it.", parameter=parameter(parameter_key))


def parameter(key: str) -> str:
    """Return the words of a band's key; a key nobody worded is spelled out from its parts."""
    if key in PARAMETER_WORDS:
        return text(PARAMETER_WORDS[key])
    part, _, rest = key.partition(".")
    name = rest or part
    ending = next((end for end in UNIT_ENDINGS if name.endswith(end)), "")
    plain = name.removesuffix(ending).replace("_", " ").replace(".", " ")
    if not rest:
        return plain
    what = text(LINK_WORDS[rest]) if part in LINK_NAMES and rest in LINK_WORDS else plain
    return text("{part}: {what}", part=text(PART_NAMES[part]) if part in PART_NAMES else part, what=what)


def source_text(key: str) -> str:
    """Return a citation in full; an unknown key is shown as it stands."""
    return text(SOURCES[key].text) if key in SOURCES else key


def source_standing(key: str) -> str:
    """Return how far a source carries."""
    return text(STANDING_WORDS[SOURCES[key].standing]) if key in SOURCES else ""


def spread(value: Spread, unit: str, units: Units = Units.METRIC, toward: Toward = Toward.NEAREST) -> str:
    """Return a best estimate with its ends: "3.41 V (3.33 V to 3.47 V)"."""
    mid, low, high = (numbers.words(end, unit, units, toward) for end in (value.mid, value.low, value.high))
    return with_ends(mid, low, high)


def spread_percent(value: Spread) -> str:
    """Return a fraction and its ends as percentages."""
    mid, low, high = (numbers.percent(end) for end in (value.mid, value.low, value.high))
    return with_ends(mid, low, high)


def spread_chance(holds: Spread) -> str:
    """Say how often something fails, with the ends of what is not known."""
    mid, low, high = (numbers.chance_of(1.0 - end) for end in (holds.mid, holds.low, holds.high))
    if low == high == mid:
        return mid
    return text("{mid} ({low} at worst, {high} at best)", mid=mid, low=low, high=high)


def with_ends(mid: str, low: str, high: str) -> str:
    """Return a best estimate with its ends in brackets, or alone where they read the same."""
    return mid if low == high else text("{mid} ({low} to {high})", mid=mid, low=low, high=high)


def _limit(finding: Finding, rule: RuleWords, units: Units) -> str:
    limit = finding.limit or 0.0
    if finding.unit or rule.kind not in (Kind.HOLDS, Kind.FAILS):
        return number(limit, finding, rule, units, rule.limit_toward)
    return numbers.chance_of(1.0 - limit if rule.kind is Kind.HOLDS else limit, exact=True)


def _over(finding: Finding, rule: RuleWords, units: Units) -> str:
    """Return the ends in brackets, with the space before them: what a place named ``{band}`` takes."""
    ends = band(finding, rule, units)
    return " " + text("(over what is not known: {ends})", ends=ends) if ends else ""


def _undecided(finding: Finding) -> list[str]:
    ends = (finding.low, finding.high, finding.limit)
    if finding.severity is not Severity.UNKNOWN or any(end is None or not math.isfinite(end) for end in ends):
        return []
    return [text("The limit lies inside what is not known, so nobody can say yet.")]


def _open(fact: str) -> str:
    """Return a sentence without its full stop, to be followed by its number."""
    return fact.rstrip(".。")


def _generic(rule: str) -> RuleWords:
    name = rule.replace(".", ": ").replace("_", " ").capitalize()
    return RuleWords(name, f"{name}.")
