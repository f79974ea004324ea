"""A flight record for scripts: what happened, in SI numbers and in words, the same bytes for the same answer.

The shape of what is written is declared here as records; ``record_schema.py`` makes the JSON Schema from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.bench import At
from turnback.records.channel import Quantity
from turnback.records.common import SCHEMA
from turnback.records.flight_record import CornerFound
from turnback.records.happened import Event, EventKind, NotTold, Phase, PhaseKind, RecordAnswer, Spectrum, WhyNot
from turnback.records.record_read import Clock, ColumnMatch, MatchedBy, Reading, RecordFormat
from turnback.report.brief_json import json_text, plain
from turnback.report.numbers import Units
from turnback.report.record_curves import thinned_spectrum
from turnback.report.record_facts import RecordTrack, track_of
from turnback.report.record_redact import redacted_record
from turnback.report.record_rules import thresholds
from turnback.report.words_record import record_cautions, record_five
from turnback.report.words_record_columns import asks_lines, match_words, record_lines
from turnback.report.words_record_events import event_sentence, weight
from turnback.report.words_record_gaps import had, not_told_lines, why_words
from turnback.report.words_record_phases import phase_sentence
from turnback.report.words_record_story import story
from turnback.rules.rule import Threshold

Array = NDArray[np.float64]

SCHEMA_NAME: Final = "record.schema.json"
"""The schema's file, beside ``record.json``."""
MOST_FREQUENCIES: Final = 1024
"""Places of a spectrum that are written; of several that fall on one, the greatest stays."""


@dataclass(frozen=True, slots=True)
class ReadingData:
    """One way to read a column: canonical value = scale * written value + offset."""

    channel: str
    unit: str
    scale: float
    offset: float
    chance: float


@dataclass(frozen=True, slots=True)
class ColumnData:
    """How one column was understood."""

    place: int
    """From 1, in the order of the file."""
    name: str
    unit_text: str
    taken: ReadingData | None
    by: MatchedBy
    asks: bool
    readings: tuple[ReadingData, ...]
    words: str


@dataclass(frozen=True, slots=True)
class SenseData:
    """Whether a channel counts as the canonical one does."""

    channel: str
    negative: bool
    by: str
    chance: float


@dataclass(frozen=True, slots=True)
class PhaseData:
    """One phase."""

    kind: PhaseKind
    start_s: float
    end_s: float
    rule: str
    values: Mapping[str, float]
    words: str


@dataclass(frozen=True, slots=True)
class EventData:
    """One thing that happened."""

    kind: EventKind
    start_s: float
    end_s: float
    channels: tuple[str, ...]
    at: tuple[At, ...]
    rule: str
    values: Mapping[str, float]
    keys: Mapping[str, str]
    weight: int
    """How much it matters to what came of the flight, 0 to 100: our choice."""
    words: str


@dataclass(frozen=True, slots=True)
class NotToldData:
    """What could not be looked for."""

    kind: EventKind
    why: WhyNot
    needs: tuple[str, ...]
    values: Mapping[str, float]
    words: str


@dataclass(frozen=True, slots=True)
class SpectrumData:
    """Power spectral density of one channel in one phase; in the unit of the channel squared per hertz."""

    channel: str
    phase: PhaseKind
    start_s: float
    end_s: float
    rate_hz: float
    rotor_hz: tuple[float, ...]
    corners: tuple[At, ...]
    frequency_hz: Array
    density: Array


@dataclass(frozen=True, slots=True)
class RecordData:
    """What a flight record holds and what happened in it. What is not known is null."""

    schema: int
    """Version of this shape."""
    name: str
    """Of the file; empty where it was taken out."""
    format: RecordFormat
    said: tuple[str, ...]
    """The five plain lines, metric."""
    story: tuple[str, ...]
    """The most important of what happened, in time order, metric."""
    clock: Clock
    columns: tuple[ColumnData, ...]
    asks: tuple[str, ...]
    senses: tuple[SenseData, ...]
    corners: tuple[CornerFound, ...]
    understood: tuple[str, ...]
    """Clock, corners and directions in words."""
    cells: int | None
    chemistry: str | None
    phases: tuple[PhaseData, ...]
    """In time order."""
    events: tuple[EventData, ...]
    """By onset."""
    not_told: tuple[NotToldData, ...]
    cannot: tuple[str, ...]
    """What could not be looked for, in words."""
    spectra: tuple[SpectrumData, ...]
    track: RecordTrack | None
    """Null where the record has no positions, and where places were taken out."""
    rules: tuple[Threshold, ...]
    """What phases and events were held against."""
    cautions: tuple[str, ...]


def record_json(answer: RecordAnswer, *, places: bool = True) -> str:
    """Return the answer as JSON text, one object, ending in a line feed.

    Parameters
    ----------
    answer : RecordAnswer
    places : bool
        With positions, names and dates; without, nothing tells where and when it was, or what the file was called.
    """
    return json_text(record_data(answer, places=places))


def record_data(answer: RecordAnswer, *, places: bool = True) -> dict[str, Any]:
    """Return the answer as plain data, of the shape of `RecordData`."""
    return {"$schema": SCHEMA_NAME, **plain(record_shape(answer if places else redacted_record(answer)))}


def record_shape(answer: RecordAnswer) -> RecordData:
    """Return the answer in the shape that is written."""
    flown, record = answer.flown, answer.flown.record
    held = thresholds()
    used = {each.rule for each in answer.events} | {each.rule for each in flown.phases}
    return RecordData(
        schema=SCHEMA,
        name=record.name,
        format=record.format,
        said=tuple(line.text for line in record_five(answer, Units.METRIC)),
        story=story(answer, Units.METRIC),
        clock=record.clock,
        columns=tuple(_column(each) for each in record.matches),
        asks=asks_lines(record.matches),
        senses=tuple(SenseData(each.channel.key, each.negative, each.by.value, each.chance) for each in record.senses),
        corners=record.corners,
        understood=record_lines(record),
        cells=flown.cells,
        chemistry=flown.chemistry,
        phases=tuple(_phase(each) for each in flown.phases),
        events=tuple(_event(each) for each in answer.events),
        not_told=tuple(_not_told(each, had(answer)) for each in answer.not_told),
        cannot=not_told_lines(answer),
        spectra=tuple(_spectrum(each) for each in answer.spectra),
        track=track_of(flown),
        rules=tuple(held[key] for key in sorted(used) if key in held),
        cautions=record_cautions(answer),
    )


def _reading(reading: Reading) -> ReadingData:
    return ReadingData(reading.channel.key, reading.unit, reading.scale, reading.offset, reading.chance)


def _column(match: ColumnMatch) -> ColumnData:
    return ColumnData(
        place=match.place + 1,
        name=match.name,
        unit_text=match.unit_text,
        taken=None if match.taken is None else _reading(match.taken),
        by=match.by,
        asks=match.asks,
        readings=tuple(_reading(each) for each in match.readings),
        words=match_words(match),
    )


def _phase(phase: Phase) -> PhaseData:
    return PhaseData(phase.kind, phase.start_s, phase.end_s, phase.rule, phase.values, phase_sentence(phase))


def _event(event: Event) -> EventData:
    return EventData(
        event.kind, event.start_s, event.end_s, tuple(each.key for each in event.channels), event.at, event.rule,
        event.values, event.words, weight(event), event_sentence(event, Units.METRIC),
    )  # fmt: skip


def _not_told(each: NotTold, have: frozenset[Quantity]) -> NotToldData:
    needs = tuple(need.key for need in each.needs)
    return NotToldData(each.kind, each.why, needs, each.values, why_words(each, have))


def _spectrum(spectrum: Spectrum) -> SpectrumData:
    frequency, density = thinned_spectrum(spectrum, MOST_FREQUENCIES)
    return SpectrumData(
        spectrum.channel.key, spectrum.phase, spectrum.start_s, spectrum.end_s, spectrum.rate_hz, spectrum.rotor_hz,
        spectrum.corners, frequency, density,
    )  # fmt: skip
