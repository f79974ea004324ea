"""Phases from marks, with their edges moved to where the record's own rows tell them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from turnback.assess.phases_flight import Flight
from turnback.assess.phases_marks import Marks
from turnback.assess.phases_seen import Seen
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Phase


def phases_with_onsets(record: FlightRecord, seen: Seen, flight: Flight, marks: Marks) -> tuple[Phase, ...]:
    """Return the phases."""
    grid = seen.grid
    pieces = marks.pieces()
    edges_s = [first * grid.step_s for _, _, first, _ in pieces] + [record.clock.length_s]
    return tuple(
        Phase(kind, edges_s[i], edges_s[i + 1], rule.key, _values(seen, flight, first, after))
        for i, (kind, rule, first, after) in enumerate(pieces)
    )


def _values(seen: Seen, flight: Flight, first: int, after: int) -> Mapping[str, float]:
    """Medians over a phase of what told it."""
    told = {
        "height_m": flight.height_m, "speed_mps": seen.speed_mps, "climb_mps": seen.climb_mps,
        "load_share": flight.load_share, "force_mps2": seen.force_mps2, "spin_rad_s": seen.spin_rad_s,
    }  # fmt: skip
    made: dict[str, float] = {}
    for name, values in told.items():
        if values is None:
            continue
        there = values[first:after]
        there = there[~np.isnan(there)]
        if there.size:
            made[name] = float(np.median(there))
    return made
