"""The page of a flight record: one HTML file that needs no script, no network and no second file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from turnback import __version__
from turnback.records.happened import Event, RecordAnswer
from turnback.report import numbers
from turnback.report.language import language, text
from turnback.report.numbers import Units
from turnback.report.record_charts import groups
from turnback.report.record_redact import redacted_record
from turnback.report.record_ribbon import ribbon
from turnback.report.record_rules import threshold_of
from turnback.report.record_spectra import spectra_note, spectrum_panels
from turnback.report.record_track_picture import track_picture
from turnback.report.record_values import moment, number, per_second, value_words
from turnback.report.templating import direction, environment, resource
from turnback.report.words_record import record_cautions, record_five, record_title
from turnback.report.words_record_columns import asks, column_name, columns_note, match_sure, match_words, record_lines
from turnback.report.words_record_events import event_name, event_sentence
from turnback.report.words_record_gaps import not_told_lines
from turnback.report.words_record_story import story
from turnback.rules.rule import Threshold

MOST_EVENTS: Final = 500
OPEN_EVENTS: Final = 30
"""A longer list is there on opening: the story stands above it."""
MOST_COLUMNS: Final = 400
CONVERTED: Final = frozenset({"m", "m/s", "kg", "°C"})
"""Units that are not the same in metric and imperial."""
ANGLES: Final = {"rad": "limit_rad", "rad/s": "limit_rad_s"}
"""Units that people read in degrees, with a key that says so."""


@dataclass(frozen=True, slots=True)
class EventSaid:
    """One event of the list."""

    time: str
    name: str
    words: str
    held: str
    """What it was held against; empty where no threshold is known."""


@dataclass(frozen=True, slots=True)
class RuleSaid:
    """One threshold that something was held against."""

    value: str
    why: str


@dataclass(frozen=True, slots=True)
class ColumnSaid:
    """One column of the file."""

    name: str
    words: str
    sure: str


def record_html(answer: RecordAnswer, units: Units = Units.METRIC, *, places: bool = True) -> str:
    """Return the whole page; everything that came from the file is escaped.

    Parameters
    ----------
    answer : RecordAnswer
    units : Units
    places : bool
        With positions, names and dates; without, nothing tells where and when it was, or what the file was called.
    """
    answer = answer if places else redacted_record(answer)
    record = answer.flown.record
    return environment().get_template("record.html").render(
        language=language(),
        direction=direction(),
        version=__version__,
        style=Markup(resource("report.css") + resource("record.css")),  # noqa: S704 - our own files
        title=record_title(answer),
        lines=record_five(answer, units),
        asks=asks(record.matches),
        story=story(answer, units),
        ribbon=ribbon(answer),
        events=tuple(_event(each, units) for each in answer.events[:MOST_EVENTS]),
        events_left=max(0, len(answer.events) - MOST_EVENTS),
        long=len(answer.events) > OPEN_EVENTS,
        held=_held(answer, units),
        missing=not_told_lines(answer),
        columns=tuple(ColumnSaid(column_name(each), match_words(each), match_sure(each))
                      for each in record.matches[:MOST_COLUMNS]),
        columns_left=max(0, len(record.matches) - MOST_COLUMNS),
        columns_note=columns_note(),
        understood=record_lines(record),
        groups=groups(answer, units),
        spectra=spectrum_panels(answer),
        spectra_note=spectra_note(answer),
        track=track_picture(answer, units),
        cautions=record_cautions(answer),
        places=places,
    )  # fmt: skip


def _event(event: Event, units: Units) -> EventSaid:
    rule = threshold_of(event.rule)
    # a bare number says nothing here: it stands below, with its reason
    held = text("held against {limit}", limit=_limit(rule, units)) if rule is not None and rule.unit else ""
    return EventSaid(moment(event.start_s), event_name(event.kind), event_sentence(event, units), held)


def _held(answer: RecordAnswer, units: Units) -> tuple[RuleSaid, ...]:
    """Return each threshold that an event or a phase was held against, with its reason, once."""
    keys = dict.fromkeys([each.rule for each in answer.events] + [each.rule for each in answer.flown.phases])
    found = [rule for rule in map(threshold_of, keys) if rule is not None]
    return tuple(RuleSaid(_limit(rule, units), text(rule.why)) for rule in found)


def _limit(rule: Threshold, units: Units) -> str:
    """Return a threshold's value as people read it; a share stays a plain number."""
    if rule.unit in CONVERTED:
        return numbers.words(rule.value, rule.unit, units)
    if rule.unit in ANGLES:
        return value_words(ANGLES[rule.unit], rule.value, units)
    if rule.unit in ("1/s", "Hz"):
        return per_second(rule.value)
    shown = number(rule.value, 2)
    return text("{number} {unit}", number=shown, unit=rule.unit) if rule.unit else shown
