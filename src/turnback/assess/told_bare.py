"""Readings without a unit, by what stands around them: "3.3 per cell", "dropouts at 100", "minus 5 outside"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from turnback.assess.told_places import sentences, within
from turnback.records.debrief import Reading, TypedReading
from turnback.rules.told import CELL_LEAST, CELL_MOST, HIGHEST, PACK_MOST

PER_CELL: Final = re.compile(
    r"^\s*v?(?:olts?)?\s*(?:per|a|each|/|pro)\s*(?:cell|c\b)|^\s*v?\s*each\b|^\s*v?pc\b", re.IGNORECASE
)
DECIMAL: Final = re.compile(r"(?<![\w.,:-])(\d{1,2}[.,]\d{1,2})(?![\d:]|[.,]\d)(?=\s*(?:$|\W|[a-z]))", re.IGNORECASE)
BARE_UNIT: Final = re.compile(
    r"^\s*(?:v\b|volt|a\b(?! cell)|amp|m\b|km|mah|ah\b|%|s\b|min|sec|hz|mhz|ghz|g\b|kg|inch|\"|w\b|°|deg|x\b)", re.I
)
VOLTS_ABOUT: Final = re.compile(
    r"\b(?:volts?|voltage|battery|batt|pack|lipo|cells?|warnings?|alarm|osd|meter|screen|goggles?|charger|land\w*"
    r"|start|sag\w*"
    r"|drop\w*|down to)\b|\d\s?v\b|per cell|a cell",
    re.IGNORECASE,
)
LEVEL_BARE: Final = re.compile(
    r"\b(?:rssi|level|signal|rsrp|dbm)\b\D{0,12}(-\s?\d{2,3})(?!\s?dbm|[\d.])", re.IGNORECASE
)
QUALITY_BARE: Final = re.compile(
    r"\b(?:lq|link quality|quality)\b(?:\s(?:was|at|is|of|went|to|down|dropped|fell|only|still"
    r"|about))*\s?[:=]?\s?(\d{1,3})(?!\d|[.,]\d|\s?%)",
    re.I,
)
AIR: Final = re.compile(
    r"\b(?:cold|warm|freez\w*|outside|temperature|winter|morning|air|weather|frost\w*|hot day|summer|minus"
    r"|celsius|snow\w*|icy|fog)\b|°",
    re.I,
)
NO_UNIT: Final = (
    r"(?![\d:]|[.,]\d|\s?(?:[a-z]?v\b|volts?|m\b|met|km|ft|feet|yards?|steps?|%|percent|s\b|sec|min|mw|mah|hz|g\b|packs?"
    r"|times|flights?|hours?|h\b|days?|years?|cells?|euro|fps|deg|°|c\b))"
)
SPLIT_VOLTS: Final = re.compile(r"(?<![\w.,])(\d{1,2})v(\d{1,2})(?!\w)", re.IGNORECASE)
WHOLE_VOLTS: Final = re.compile(
    rf"\b(?:sag\w*|dip\w*|drop\w*|down|fell|fall\w*|went)\s(?:to|below|under)\s(\d{{1,2}}){NO_UNIT}", re.IGNORECASE
)
"""Counts only where other volts of the pack are told."""
OUT_AT: Final = re.compile(
    rf"\b(?:drop ?outs?|failsafes?|lost|loses?|breaks? up|cuts? out|gone|range|snow|static)"
    rf"\s(?:it\s|at\s|about\s|around\s|only\s|after\s|is\s|was\s)+(\d{{2,4}}){NO_UNIT}",
    re.IGNORECASE,
)
UP_HIGH: Final = re.compile(r"(?<![\w.,:-])(\d{1,3})\s(?:high\b|up\b(?! (?:the|to)\b))", re.IGNORECASE)
DOWN_FROM: Final = re.compile(
    rf"\b(?:down|fell|dropped|falling|dropping|div(?:e|ed|ing)|dove|plunged|descend\w*)"
    rf"\s(?:straight\s|down\s)?from\s(?:about\s|around\s|maybe\s|some\s)?(\d{{1,3}}){NO_UNIT}",
    re.IGNORECASE,
)
DEGREES_BELOW: Final = re.compile(rf"(?:\bminus\s|(?<![\w.,])-)(\d{{1,2}}){NO_UNIT}(?!\s?db)", re.IGNORECASE)
QUALITY_ROW: Final = re.compile(
    r"\b(?:lq|link quality)\b(?:\s[a-z]+){0,4}?\s?[:=]?\s?(\d{1,3}(?:\s?%?(?:\s?(?:,|->|>|-|/|\.\.+)\s?"
    r"|\s(?:then|to|and)\s)\d{1,3}){1,6})(?![\d.])",
    re.IGNORECASE,
)


def levels(text: str) -> Iterator[TypedReading]:
    """Return link levels and qualities that a word before them names."""
    for row in QUALITY_ROW.finditer(text):
        for match in re.finditer(r"\d{1,3}", row[1]):
            if int(match[0]) <= 100:
                start = row.start(1) + match.start()
                yield TypedReading(Reading.QUALITY, int(match[0]) / 100.0, None, start, start + len(match[0]))
    for match in LEVEL_BARE.finditer(text):
        value = float(match[1].replace(" ", ""))
        if -160.0 <= value <= -10.0:
            yield TypedReading(Reading.LEVEL, value, None, match.start(1), match.end(1))
    for match in QUALITY_BARE.finditer(text):
        if int(match[1]) <= 100:
            yield TypedReading(Reading.QUALITY, int(match[1]) / 100.0, None, match.start(1), match.end(1))


def bare(text: str) -> Iterator[TypedReading]:
    """Return numbers without a unit that are readings by what stands around them."""
    yield from _bare_volts(text)
    for match in SPLIT_VOLTS.finditer(text):
        value = float(f"{match[1]}.{match[2]}")
        if CELL_LEAST.value <= value <= PACK_MOST.value:
            of = Reading.CELL_VOLTS if value <= CELL_MOST.value else Reading.PACK_VOLTS
            yield TypedReading(of, value, None, match.start(), match.end())
    packs = [float(match[1].replace(",", ".")) for match in DECIMAL.finditer(text)]
    most = max((each for each in packs if CELL_MOST.value < each <= PACK_MOST.value), default=0.0)
    for match in WHOLE_VOLTS.finditer(text):
        if most / 2.0 <= float(match[1]) < most:
            yield TypedReading(Reading.PACK_VOLTS, float(match[1]), None, match.start(1), match.end(1))
    for match in OUT_AT.finditer(text):
        if 20 <= int(match[1]) <= 5000:
            yield TypedReading(Reading.DISTANCE, float(match[1]), None, match.start(1), match.end(1))
    for match in (*DOWN_FROM.finditer(text), *UP_HIGH.finditer(text)):
        if 0 < int(match[1]) <= HIGHEST.value:
            yield TypedReading(Reading.HEIGHT, float(match[1]), None, match.start(1), match.end(1))
    for match in DEGREES_BELOW.finditer(text):
        sentence = within(sentences(text), match.start())
        if 0 < int(match[1]) <= 45 and AIR.search(
            text[sentence.start : match.start()] + text[match.end() : sentence.end]
        ):
            yield TypedReading(Reading.TEMPERATURE, -float(match[1]), None, match.start(), match.end())


def _bare_volts(text: str) -> Iterator[TypedReading]:
    """Return decimals without a unit that are volts by what stands around them: "3.3 per cell, then 2.9"."""
    for match in DECIMAL.finditer(text):
        value = float(match[1].replace(",", "."))
        after = text[match.end() :]
        one_cell = PER_CELL.match(after) is not None
        if BARE_UNIT.match(after) and not one_cell:
            continue
        sentence = within(sentences(text), match.start())
        if not (one_cell or VOLTS_ABOUT.search(text[sentence.start : sentence.end])):
            continue
        if CELL_LEAST.value <= value <= CELL_MOST.value:
            yield TypedReading(Reading.CELL_VOLTS, value, None, match.start(), match.end())
        elif 1.4 * CELL_MOST.value <= value <= PACK_MOST.value and not one_cell:
            yield TypedReading(Reading.PACK_VOLTS, value, None, match.start(), match.end())
