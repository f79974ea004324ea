"""Flight records made by hand for tests."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from turnback.records.channel import RATES, Channel, Quantity
from turnback.records.flight_record import FlightRecord, SenseBy, SenseFound, Series
from turnback.records.happened import Flown, Phase, PhaseKind
from turnback.records.record_read import Clock, FlightFacts, RecordFormat

Made = Mapping[Channel | Quantity, tuple[ArrayLike, ArrayLike]]


def make_record(
    channels: Made, *, labels: Mapping[Quantity, tuple[str, ...]] | None = None, facts: FlightFacts | None = None
) -> FlightRecord:
    """Make a record of channels given as (seconds, values); every sense is known.

    The same object of seconds given to several channels stays one object.
    """
    clocks: dict[int, np.ndarray] = {}
    series: dict[Channel, Series] = {}
    longest_s, fastest_hz = 0.0, 0.0
    for key, (t, values) in channels.items():
        channel = Channel(key) if isinstance(key, Quantity) else key
        t_s = clocks.setdefault(id(t), np.asarray(t, np.float64))
        held = np.broadcast_to(np.asarray(values), t_s.shape)
        held = np.ascontiguousarray(held, np.float32 if held.dtype == np.float32 else np.float64)
        rate_hz = 1.0 / float(np.median(np.diff(t_s))) if t_s.size > 1 else 0.0
        changed = np.flatnonzero(np.diff(held)) + 1
        fresh_hz = 1.0 / float(np.median(np.diff(t_s[changed]))) if changed.size > 1 else 0.0
        words = (labels or {}).get(channel.quantity, ())
        series[channel] = Series(channel, t_s, held, rate_hz, min(fresh_hz, rate_hz), words)
        longest_s, fastest_hz = max(longest_s, float(t_s[-1])), max(fastest_hz, rate_hz)
    senses = tuple(SenseFound(channel, False, SenseBy.TOLD, 1.0) for channel in series)
    clock = Clock("time", "s", fastest_hz, longest_s)
    return FlightRecord("made.csv", RecordFormat.CSV, clock, series, (), senses, (), facts or FlightFacts())


def flat(kind: PhaseKind, start_s: float, end_s: float) -> Phase:
    """Make one phase."""
    return Phase(kind, float(start_s), float(end_s), "record.phase.made")


def make_flown(channels: Made, *phases: Phase, cells: int | None = None, chemistry: str | None = None) -> Flown:
    """Make a record with its phases; with none given it hovers throughout."""
    record = make_record(channels)
    given = phases or (flat(PhaseKind.HOVER, 0.0, record.clock.length_s),)
    return Flown(record, given, cells, chemistry)


def level(t_s: ArrayLike) -> Made:
    """Make rates and specific force of an aircraft at rest and level, all against one clock."""
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = dict.fromkeys(RATES, (t_s, 0.0))
    made |= {Quantity.ACCELERATION_X: (t_s, 0.0), Quantity.ACCELERATION_Y: (t_s, 0.0)}
    return made | {Quantity.ACCELERATION_Z: (t_s, -9.80665)}
