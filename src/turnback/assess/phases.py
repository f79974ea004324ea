"""What the aircraft does when: bench, ground, take-off, hover, cruise, return, fall, carried."""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_aloft import mark_aloft
from turnback.assess.phases_fall import falls_in
from turnback.assess.phases_flight import flight_in
from turnback.assess.phases_grid import grid_of
from turnback.assess.phases_ground import mark_ground
from turnback.assess.phases_marks import Marks
from turnback.assess.phases_onset import phases_with_onsets
from turnback.assess.phases_seen import seen_in
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Phase, PhaseKind
from turnback.rules.record_phases import NO_CHANNEL


def phases_of(record: FlightRecord) -> tuple[Phase, ...]:
    """Return the phases of a record from 0 to its length, without gaps or overlap.

    Parameters
    ----------
    record : FlightRecord
        Any channels at any rates. What they do not tell is "unknown" or "aloft", not guessed.

    Returns
    -------
    tuple of Phase
        In time order. `rule` is the key of the threshold that told it (`rules.record_phases`); `values` are medians
        over the phase in SI: ``height_m`` above where it stood, ``speed_mps``, ``climb_mps``, ``load_share`` of the
        load in flight, ``force_mps2``, ``spin_rad_s``, whatever of them is there.
    """
    length_s = record.clock.length_s
    if length_s <= 0.0:
        return ()
    grid = grid_of(record)
    seen = seen_in(record, grid)
    if seen.runs is None and not seen.tells_motion:
        return (Phase(PhaseKind.UNKNOWN, 0.0, length_s, NO_CHANNEL.key, {}),)
    flight = flight_in(seen)
    falls = falls_in(seen, flight)
    marks = Marks(np.zeros(grid.steps, np.int8), [])
    for first, after, _ in falls:
        flight.aloft[first:after] = True
    mark_ground(seen, flight, marks)
    mark_aloft(seen, flight, falls, marks)
    return phases_with_onsets(record, seen, flight, marks)
