"""Take out of a record what tells where and when it was made, and by whom, before any face is made of it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

import numpy as np

from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, RecordAnswer
from turnback.records.record_read import ColumnMatch, Reading
from turnback.report.record_facts import RecordTrack, track_of
from turnback.report.words_record_events import OWN_WORDS

PLACES: Final = frozenset({Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE})
_OF_PLACES: Final = re.compile("latitude|longitude|sea_level")


def redacted_record(answer: RecordAnswer) -> RecordAnswer:
    """Return an answer without positions, names, dates and the record's own words; once is as good as twice.

    Height above sea level becomes height above its first value. Heights and distances from launch stay: they tell no
    place.
    """
    return replace(
        answer,
        flown=replace(answer.flown, record=_record(answer.flown.record, track_of(answer.flown))),
        events=tuple(_event(event) for event in answer.events),
    )


def _record(record: FlightRecord, track: RecordTrack | None) -> FlightRecord:
    kept = {channel: series for channel, series in record.series.items() if channel.quantity not in PLACES}
    for channel, series in kept.items():
        if channel.quantity is Quantity.HEIGHT_SEA_LEVEL and series.values.size:
            kept[channel] = replace(series, values=series.values - series.values[0])
        elif series.labels:
            kept[channel] = replace(series, labels=tuple("" for _ in series.labels))
    distance = Channel(Quantity.DISTANCE_LAUNCH)
    if track is not None and distance not in kept:  # how far it was stays, without where
        rate = 1.0 / float(np.median(np.diff(track.t_s))) if track.t_s.size > 1 else 0.0
        kept[distance] = Series(distance, track.t_s, np.hypot(track.x_m, track.y_m), rate, rate)
    return replace(
        record,
        name="",
        clock=replace(record.clock, column="", epoch_s=None),
        series=kept,
        matches=tuple(_match(each) for each in record.matches),
        facts=replace(record.facts, told=()),
    )


def _match(match: ColumnMatch) -> ColumnMatch:
    """Take out the column's name, and what its readings add to a clock: that may be a date."""
    return replace(
        match,
        name="",
        unit_text="",
        taken=None if match.taken is None else _reading(match.taken),
        readings=tuple(_reading(each) for each in match.readings),
    )


def _reading(reading: Reading) -> Reading:
    return replace(reading, offset=0.0) if reading.channel.quantity is Quantity.TIME else reading


def _event(event: Event) -> Event:
    return replace(
        event,
        values={key: value for key, value in event.values.items() if not _OF_PLACES.search(key)},
        words={key: value for key, value in event.words.items() if key not in OWN_WORDS},
    )
