"""What happened in a flight record: read by meaning, told in phases, events and spectra."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import chain
from pathlib import Path

from turnback.assess.impact_events import find_impacts
from turnback.assess.link_events import find_link
from turnback.assess.motion_events import find_motion
from turnback.assess.output_events import find_outputs
from turnback.assess.phases import phases_of
from turnback.assess.place_events import find_place
from turnback.assess.power_events import find_power
from turnback.assess.record_cells import cells_of
from turnback.assess.record_corners import settle_corners
from turnback.assess.record_sense import settle_senses
from turnback.assess.stick_events import find_sticks
from turnback.assess.vibration import find_vibration
from turnback.readers.record_build import flight_record
from turnback.readers.record_match import match_columns
from turnback.readers.record_table import read_table
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Flown, RecordAnswer
from turnback.records.record_read import FlightFacts

Tell = Callable[[float], None]

FINDERS = (
    find_vibration, find_outputs, find_motion, find_link, find_power, find_place, find_sticks, find_impacts,
)  # fmt: skip
"""The slowest first, so that two threads end together; what they find does not hang on their order."""
AT_ONCE = 2
LONG_VALUES = 50_000_000
"""From here on (half an hour at 1 kHz) one finder at a time: two at once would need more than a gigabyte together."""
AT_TABLE, AT_RECORD, AT_PHASES = 0.45, 0.6, 0.7
"""Shares of the work, for `tell`."""


def record(path: Path, facts: FlightFacts | None = None, *, tell: Tell | None = None) -> RecordAnswer:
    """Say what a record's columns mean and what happened in it.

    Parameters
    ----------
    path : Path
        A table (CSV, Parquet) or a track with times (GPX, KML, GeoJSON).
    facts : FlightFacts, optional
        What the user says beside it.
    tell : callable, optional
        Told the share of the work that is done, 0 to 1.

    Raises
    ------
    InputError
        If it cannot be read as a record.
    """
    say = tell or (lambda _share: None)
    given = facts or FlightFacts()
    table = read_table(path)
    say(AT_TABLE)
    read = flight_record(table, match_columns(table, given.told), given, use_up=True)
    del table
    known = settle_corners(settle_senses(read))
    del read
    say(AT_RECORD)
    flown = flown_of(known)
    say(AT_PHASES)
    values = sum(each.values.size for each in flown.record.series.values())
    with ThreadPoolExecutor(AT_ONCE if values < LONG_VALUES else 1) as pool:
        found = list(pool.map(lambda find: find(flown), FINDERS))
    return RecordAnswer(
        flown=flown,
        events=tuple(sorted(chain.from_iterable(each.events for each in found), key=lambda event: event.start_s)),
        not_told=tuple(chain.from_iterable(each.not_told for each in found)),
        spectra=tuple(chain.from_iterable(each.spectra for each in found)),
    )


def flown_of(known: FlightRecord) -> Flown:
    """Return a record with its phases, and what is known of its pack."""
    phases = phases_of(known)
    return replace(Flown(known, phases), cells=cells_of(known, phases), chemistry=known.facts.chemistry)
