"""Typed readings in a pilot's words: what each number with its unit is of, and at which time it was told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from turnback.assess.hearing_numbers import quantities
from turnback.assess.told_bare import AIR, PER_CELL, bare, levels
from turnback.assess.told_places import Moment, clauses, moments, sentences, told_with, within
from turnback.records.debrief import Reading, TypedReading
from turnback.records.heard import Quantity
from turnback.rules.told import CELL_MOST, HIGHEST, PACK_MOST

SI: Final = {
    "km": ("m", 1000.0), "ft": ("m", 0.3048), "yd": ("m", 0.9144), "km/h": ("m/s", 1 / 3.6), "mph": ("m/s", 0.44704),
    "kn": ("m/s", 0.514444),
    "mAh": ("Ah", 0.001),
}  # fmt: skip
MOST_READINGS: Final = 200
"""Of one text: more are a pasted file."""
CELL_COUNT: Final = re.compile(r"(?<![\w.,])(1[0-4]|[1-9])\s?s\b(?!\w)|\b(1[0-4]|[1-9])[ -]cells?\b", re.IGNORECASE)
AFTER_TIME: Final = re.compile(r"\b(?:after|at|in|for|about|around|within|min|another)\s*$", re.IGNORECASE)
HIGH_AFTER: Final = re.compile(
    r"^\s*(?:high\b|up\b(?! (?:the|to))|height|altitude|above|alt\b|agl|over ground|tall|in the air)", re.I
)
UNDER_AFTER: Final = re.compile(
    r"^\s*(?:under|below|beneath|lower)\b(?!\s(?:the|a|that)\s(?!launch|start|take|home|pilot))", re.IGNORECASE
)
FAR_AFTER: Final = re.compile(
    r"^\s*(?:away|out\b|far\b|off\b|short of|short\b|to go|from (?:me|home|launch|here|us|the pilot)|down ?range"
    r"|distance)",
    re.IGNORECASE,
)
MOVED_BEFORE: Final = re.compile(
    r"\b(?:dropp?e?d|drops?|sank|sinks?|plung\w*|plummet\w*|climb\w*|rose|rises?"
    r"|(?:away|out|far|distance)\W+(?:and )?at)"
    r"\s(?:about |down |up |maybe |some |only |just |another )*$",
    re.IGNORECASE,
)
ABOUT: Final = re.compile(r"\s*(?:maybe|about|only|just|around|roughly)?\s*", re.IGNORECASE)
HIGH_SAID: Final = re.compile(r"\b(?:low|high|height)\W+(?:maybe|about|only|just|at|around)?\W*$", re.IGNORECASE)
"""Said of a height in the clause before."""
HIGH_BEFORE: Final = re.compile(
    r"(?:heights?|altitude|alt|high|low|climb\w* to|height (?:of|was)|fell from|dropped from|falls? from"
    r"|from about|fell|up to"
    r"|height about|drop\w* from about|(?<!came )down from|from the height of|disarmed)"
    r"\W*(?:about|of|maybe|around|was|is|at|a|roughly|ca|like|some|only|just|approx\w*|over|nearly|almost)?\W*$",
    re.IGNORECASE,
)
LONG_THING: Final = re.compile(
    r"^\s*(?:of\s)?(?:(?:high|tall|wide|long|big)\s)?(?:trees?|hills?|walls?|poles?|wide|long|buildings?|cable"
    r"|gap|towers?|runway|rope|deep)\b",
    re.IGNORECASE,
)
OF_A_THING: Final = re.compile(
    r"\b(?:trees?|hills?|walls?|poles?|buildings?|masts?|towers?)\s(?:of |are |about )*$", re.I
)
OF_ANOTHER: Final = re.compile(
    r"\b(?:friends?|buddy|buddies|mates?|others?|everybody|people|he|she|they|used to|should|supposed|box says)\b", re.I
)
SEA: Final = re.compile(r"\b(?:sea level|mountains?|elevation|asl|pass|alps|summit)\b", re.IGNORECASE)
GEAR_AFTER: Final = re.compile(
    r"^\s*(?:parts?|rails?|pads?|regulators?|bec|suppl\w*|output|pins?|lines?|leds?|buzzer|chip|filter|converter)\b",
    re.I,
)
"""What has volts of its own."""
FLEW: Final = re.compile(r"\b(?:fl[ey]w|flying|speed|fast|going|doing|did|dive|at full)\b", re.IGNORECASE)
WINDY_WORDS: Final = re.compile(r"\b(?:wind\w*|gusts?|gusty|headwind|breeze|blow\w*)\b", re.IGNORECASE)
QUALITY_ABOUT: Final = re.compile(r"\b(?:lq|quality|link|signal|rssi)\b", re.IGNORECASE)
BACK: Final = re.compile(r"\b(?:telemetry|at (?:my|the) radio|handset|downlink)\b", re.IGNORECASE)
CHARGED: Final = re.compile(
    r"\b(?:put back|back in(?:to)?|charged?|charger|charging|put in|into)\b|\bput\b.*\binto\b", re.IGNORECASE
)
USED: Final = re.compile(r"\b(?:used|drawn|drew|consumed|flown|out of)\b", re.IGNORECASE)
HOT_PART: Final = re.compile(
    r"\b(?:motors?|escs?|vtx|transmitter|packs?|batter(?:y|ies)|board|turn\w*|rotat\w*)\s(?:\w+\s){0,3}$", re.IGNORECASE
)
COMPASS: Final = re.compile(
    r"\b(?:(north|south)[ -]?)?(east|west)\b|\b(north|south)\b|(?<![\w])(NNE|ENE|ESE|SSE|SSW|WSW|WNW|NNW|NE|SE|SW"
    r"|NW)(?= of\b|\W*$|,| from (?:me|here|launch))",
    re.IGNORECASE,
)
WIND_FROM: Final = re.compile(r"(?:from|wind|winds|breeze)\s(?:the\s|is\s|was\s|in\s)*$", re.IGNORECASE)
WIND_AFTER: Final = re.compile(r"^(?:ern|erly)?\s(?:wind|side|slope|breeze|wall|corner|end)\b", re.IGNORECASE)
DEGREES: Final = re.compile(
    r"\b(?:bearing|heading|direction|course|azimuth)\s(?:of|was|is|about|to)?\s?(\d{1,3})(?:\s?°"
    r"|\s?deg\w*)?(?![\d.,])",
    re.I,
)
ROSE: Final = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
SHORT: Final = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")


def cells_said(text: str) -> int | None:
    """Return the number of cells in series that the words tell ("4S"), where they tell one only."""
    found = set()
    for match in CELL_COUNT.finditer(text):
        if match[2] or not (AFTER_TIME.search(text[: match.start()]) or " " in match[0]):
            found.add(int(match[1] or match[2]))
    return found.pop() if len(found) == 1 else None


def typed_readings(text: str) -> tuple[TypedReading, ...]:
    """Return the readings of a text, in its order.

    Parameters
    ----------
    text : str
    """
    times = moments(text)
    found = [TypedReading(Reading.TIME, each.at_s, None, each.start, each.end) for each in times]
    taken = [(each.start, each.end) for each in times]
    for each in (*_with_units(text, times), *levels(text), *_bearings(text)):
        if not _overlaps(taken, each):
            found.append(each)
            taken.append((each.start, each.end))
    for each in bare(text):
        if not _overlaps(taken, each):
            found.append(each)
            taken.append((each.start, each.end))
    ordered = sorted(found, key=lambda each: each.start)[:MOST_READINGS]
    return tuple(
        each
        if each.of is Reading.TIME
        else TypedReading(each.of, each.value, told_with(text, each.start, times), each.start, each.end)
        for each in ordered
    )


def _overlaps(taken: list[tuple[int, int]], one: TypedReading) -> bool:
    return any(one.start < end and start < one.end for start, end in taken)


def _with_units(text: str, times: tuple[Moment, ...]) -> Iterator[TypedReading]:
    for each in quantities(text)[:MOST_READINGS]:
        if any(each.start < time.end and time.start < each.end for time in times):
            continue
        unit, factor = SI.get(each.unit, (each.unit, 1.0))
        told = _of(text, each, unit, each.value * factor)
        if told is not None:
            yield TypedReading(told[0], told[1], None, each.start, each.end)


def _of(text: str, one: Quantity, unit: str, value: float) -> tuple[Reading, float] | None:
    """Return what a number with a unit is of, and its value; None where it is of the gear or of nothing that counts."""
    sentence = within(sentences(text), one.start)
    clause = within(clauses(text, sentence), one.start)
    before, after = text[clause.start : one.start], text[one.end : clause.end]
    return _told_of(text, one, (unit, value), (before, after, text[sentence.start : sentence.end]))


def _told_of(
    text: str, one: Quantity, number: tuple[str, float], around: tuple[str, str, str]
) -> tuple[Reading, float] | None:
    unit, value = number
    before, after, whole = around
    found: tuple[Reading, float] | None = None
    if unit == "V":
        found = _volts(value, text[one.end :])
    elif unit == "A":
        plain = text[one.start : one.end].endswith(" a") or PER_CELL.match(f" a{text[one.end :]}") is not None
        found = None if plain or value < 0 else (Reading.CURRENT, value)
    elif unit == "m":
        found = _metres(value, (text[within(sentences(text), one.start).start : one.start], before), after, whole)
    elif unit == "m/s":
        windy = WINDY_WORDS.search(whole) or (WINDY_WORDS.search(text[: one.start]) and not FLEW.search(whole))
        found = (Reading.WIND if windy else Reading.SPEED), abs(value)
    elif unit == "dBm" and -160.0 <= value <= -10.0:
        found = (Reading.LEVEL_BACK if BACK.search(before) else Reading.LEVEL), value
    elif unit == "%" and 0.0 <= value <= 100.0:
        link = QUALITY_ABOUT.search(before) or QUALITY_ABOUT.match(after.strip())
        found = (Reading.QUALITY, value / 100.0) if link else None
    elif unit == "Ah":
        found = _charge(value, whole, after)
    elif unit == "°C":
        found = _temperature(value, before, text[one.start : one.end], whole)
    return found


def _volts(value: float, after: str) -> tuple[Reading, float] | None:
    if not 0.0 < value <= PACK_MOST.value or GEAR_AFTER.match(after):
        return None
    one_cell = PER_CELL.match(after) is not None or value <= CELL_MOST.value
    return (Reading.CELL_VOLTS if one_cell else Reading.PACK_VOLTS), value


def _metres(value: float, told: tuple[str, str], after: str, whole: str) -> tuple[Reading, float] | None:
    sofar, before = told
    if OF_ANOTHER.search(before) or LONG_THING.match(after) or OF_A_THING.search(before):
        return None
    minus = re.search(r"\bminus\s*$", before, re.IGNORECASE) is not None
    if UNDER_AFTER.match(after) and abs(value) <= HIGHEST.value:
        return Reading.HEIGHT, -abs(value)
    far = FAR_AFTER.match(after) is not None
    high = (
        HIGH_BEFORE.search(before)
        or MOVED_BEFORE.search(before)
        or (ABOUT.fullmatch(before) and HIGH_SAID.search(sofar))
    )
    if HIGH_AFTER.match(after) or (high and not far) or minus:
        if abs(value) > HIGHEST.value or (SEA.search(whole) and abs(value) > HIGHEST.value / 2.0):
            return None
        return Reading.HEIGHT, -abs(value) if minus else value
    if SEA.search(whole) and value > HIGHEST.value:
        return None
    return (Reading.DISTANCE, value) if value >= 0.0 else None


def _charge(value: float, whole: str, after: str) -> tuple[Reading, float] | None:
    if value <= 0.0 or re.match(r"\s?(?:pack|battery|lipo|batt|\d)", after, re.IGNORECASE):
        return None
    if CHARGED.search(whole):
        return Reading.PUT_BACK, value
    return (Reading.CHARGE, value) if USED.search(whole) else None


def _temperature(value: float, before: str, written: str, whole: str) -> tuple[Reading, float] | None:
    sign = -1.0 if re.search(r"\bminus\s*$", before, re.IGNORECASE) and value > 0 else 1.0
    about = "°" in written or AIR.search(whole)
    if HOT_PART.search(before) or not about or not -45.0 <= value <= 50.0:
        return None
    return Reading.TEMPERATURE, sign * value


def _bearings(text: str) -> Iterator[TypedReading]:
    for match in COMPASS.finditer(text):
        short = match[4] or ""
        if short and not short.isupper():
            continue
        if WIND_FROM.search(text[max(0, match.start() - 30) : match.start()]) or WIND_AFTER.match(text[match.end() :]):
            continue
        yield TypedReading(Reading.BEARING, _degrees(match, short), None, match.start(), match.end())
    for match in DEGREES.finditer(text):
        if int(match[1]) <= 360:
            yield TypedReading(Reading.BEARING, float(int(match[1]) % 360), None, match.start(1), match.end())


def _degrees(match: re.Match[str], short: str) -> float:
    if short:
        return SHORT.index(short.lower()) * 22.5
    if match[3]:
        return ROSE[match[3].lower()]
    side = match[2].lower()
    if not match[1]:
        return ROSE[side]
    return {"northeast": 45.0, "southeast": 135.0, "southwest": 225.0, "northwest": 315.0}[match[1].lower() + side]
