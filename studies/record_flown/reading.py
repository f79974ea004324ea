"""The product at work on one file: once as it is, once with what it asks answered truly.

The only module of the study, with its scoring, that calls the product.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from studies.record_flown.messy import ColumnTruth, Mess
from studies.record_flown.score_columns import ColumnScore, Outcome
from studies.record_flown.sensors import CORNERS

from turnback.assess.record_corners import settle_corners
from turnback.assess.record_sense import settle_senses
from turnback.flows.record import record
from turnback.readers.record_build import flight_record
from turnback.readers.record_match import match_columns
from turnback.readers.record_table import read_table
from turnback.readers.record_units import UNITS
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import RecordAnswer
from turnback.records.record_read import ColumnMatch, ColumnsRead, ColumnTold, FlightFacts, RawTable


@dataclass(frozen=True, slots=True, eq=False)
class Alone:
    """What the product makes of a file with nothing told."""

    table: RawTable
    columns: ColumnsRead

    def record(self, facts: FlightFacts) -> FlightRecord:
        """Return the record, its directions and corners settled."""
        return settle_corners(settle_senses(flight_record(self.table, self.columns, facts)))


def alone(mess: Mess) -> Alone:
    """Read a file and match its columns, nothing told."""
    table = read_table(mess.path)
    return Alone(table, match_columns(table))


def matches_of(mess: Mess) -> tuple[ColumnMatch, ...]:
    """Return how the columns of a file are understood, nothing told."""
    return alone(mess).columns.matches


def answered(mess: Mess, facts: FlightFacts, scores: Iterable[ColumnScore]) -> RecordAnswer:
    """Return what the product says of a file once every column that is not read rightly is told truly."""
    told = tuple(
        _told(truth) for truth, score in zip(mess.columns, scores, strict=True) if score.outcome is not Outcome.RIGHT
    )
    return record(mess.path, FlightFacts(facts.cells, facts.chemistry, facts.blades, facts.rate_hz, told))


def _told(truth: ColumnTruth) -> ColumnTold:
    """Return what the user would say of a column; which corner a number is, is left for the product to find."""
    place = f"#{truth.place + 1}"
    if not truth.quantity:
        return ColumnTold(place, None)
    quantity = Quantity(truth.quantity)
    if math.isnan(truth.scale) and not unit_key(quantity, truth):
        return ColumnTold(place, None)
    at = None
    if truth.corner is not None and truth.number is None:
        at = At(CORNERS[truth.corner])
    return ColumnTold(place, Channel(quantity, at, truth.number), unit_key(quantity, truth), truth.sense < 0)


def unit_key(quantity: Quantity, truth: ColumnTruth) -> str:
    """Return the reader's key of the unit that makes the same numbers as the truth; empty where it has none."""
    for each in UNITS.get(quantity, ()):
        if math.isnan(truth.scale):
            if "dBm" in each.key:
                return each.key
            continue
        near = abs(each.offset - truth.offset) <= 1e-3 * max(1.0, abs(truth.offset))
        if math.isclose(each.scale, truth.scale, rel_tol=2e-3) and near:
            return each.key
    return ""
