"""A flown case as the tellers of signs get it: the record with its columns told truly, its phases and its events.

No file is written or read: how well columns are understood is the business of another study (`studies.record_flown`).
"""

from __future__ import annotations

from itertools import chain
from typing import Final

import numpy as np
from studies.debrief_flown.cases import FlownCase
from studies.record_flown.sensors import CORNERS, Made

from turnback.flows.debrief_looked import ended_s
from turnback.flows.record import FINDERS, flown_of
from turnback.readers.record_build import PRECISE, fresh_hz
from turnback.readers.record_clock import kept_gaps, missing
from turnback.records.bench import At
from turnback.records.channel import UNIT_OF, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, SenseBy, SenseFound, Series, Times, Values
from turnback.records.happened import RecordAnswer
from turnback.records.record_read import Clock, FlightFacts, RecordFormat

LEAST_ROWS: Final = 2


def record_of(case: FlownCase) -> FlightRecord:
    """Return the record of a case: every column known, every direction and corner told."""
    seen = case.seen
    t_s = np.asarray(seen.t_s, dtype=np.float64) - float(seen.t_s[0])
    made = (_series(each, t_s, seen.rate_hz) for each in seen.channels)
    series = {each.channel: each for each in made if each is not None}
    gaps = kept_gaps(missing(t_s, 1.0 / seen.rate_hz))
    facts = FlightFacts(
        cells=case.facts.get("cells"), chemistry=case.facts.get("chemistry"), blades=case.facts.get("blades")
    )
    return FlightRecord(
        f"{case.kit} {case.seed}", RecordFormat.CSV,
        Clock("time", "s", seen.rate_hz, float(t_s[-1]), None, gaps), series,
        senses=tuple(SenseFound(channel, False, SenseBy.TOLD, 1.0) for channel in series), facts=facts,
    )  # fmt: skip


def _series(made: Made, t_s: Times, rate_hz: float) -> Series | None:
    """Return one channel; one that is measured less often than the rows repeats its value, as records do."""
    quantity = Quantity(made.quantity)
    if quantity not in UNIT_OF:
        return None
    values: Values = made.values.astype(np.float64 if quantity in PRECISE else np.float32)
    filled = np.isfinite(values)
    if not filled.all():
        values, t_s = values[filled], t_s[filled]
    if values.size < LEAST_ROWS:
        return None
    corner = None if made.corner is None else At(CORNERS[made.corner])
    return Series(Channel(quantity, corner, made.cell), t_s, values, rate_hz, fresh_hz(values, rate_hz), made.labels)


def answered(case: FlownCase) -> RecordAnswer:
    """Return what happened in a case, as ``turnback record`` tells it."""
    flown = flown_of(record_of(case))
    found = [find(flown) for find in FINDERS]
    return RecordAnswer(
        flown=flown,
        events=tuple(sorted(chain.from_iterable(each.events for each in found), key=lambda event: event.start_s)),
        not_told=tuple(chain.from_iterable(each.not_told for each in found)),
        spectra=tuple(chain.from_iterable(each.spectra for each in found)),
    )


def looked_at(case: FlownCase, answer: RecordAnswer | None = None) -> Looked:
    """Return what the tellers of signs get; `answer` where it was made before."""
    answer = answered(case) if answer is None else answer
    return Looked(answer=answer, ended_s=ended_s(answer), against=case.against)
