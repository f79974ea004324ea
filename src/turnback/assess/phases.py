"""What the aircraft does when: bench, ground, take-off, hover, cruise, return, fall, carried."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from turnback.assess.phases_aloft import mark_aloft
from turnback.assess.phases_fall import falls_in
from turnback.assess.phases_flight import Flight, flight_in
from turnback.assess.phases_grid import grid_of
from turnback.assess.phases_ground import mark_ground
from turnback.assess.phases_marks import Marks
from turnback.assess.phases_onset import settle_edges
from turnback.assess.phases_seen import Seen, seen_in
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Phase, PhaseKind
from turnback.rules.record_phases import NO_CHANNEL

_SETTLES_S = 1.0
_VALUES = 500  # enough for a median


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
    settle_edges(seen, flight)
    falls = falls_in(seen, flight)
    marks = Marks(np.zeros(grid.steps, np.int8), [])
    for first, after, _ in falls:
        flight.aloft[first:after] = True
        on = np.flatnonzero(~flight.aloft[after:])
        if on.size and on[0] * grid.step_s < _SETTLES_S:
            flight.aloft[after : after + int(on[0])] = False  # what is left of a flight after a fall is the ground
    mark_ground(seen, flight, marks)
    mark_aloft(seen, flight, falls, marks)
    edges_s = [first * grid.step_s for _, _, first, _ in marks.pieces()] + [length_s]
    return tuple(
        Phase(kind, edges_s[i], edges_s[i + 1], rule.key, _values(seen, flight, first, after))
        for i, (kind, rule, first, after) in enumerate(marks.pieces())
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
        there = values[first : after : max(1, (after - first) // _VALUES)]
        there = there[~np.isnan(there)]
        if there.size:
            made[name] = float(np.median(there))
    return made
