"""Which column means what, in which unit: a chance for every reading, and a question where nobody can be sure."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_compete import assigned, competing
from turnback.readers.record_match_doubt import may_be_mode, no_doubt
from turnback.readers.record_match_evidence import evidence_of, minus_left_out
from turnback.readers.record_match_families import families_of, pooled, usual_of_families
from turnback.readers.record_match_gate import (
    TELLS,
    heading_or_course,
    may_be_ours,
    one_channel,
    parts_of,
    plainly_nothing,
    sure_enough,
    units_known,
)
from turnback.readers.record_match_relations import related
from turnback.readers.record_match_told import Settled, settled_columns
from turnback.readers.record_match_twice import without_twins
from turnback.readers.record_match_values import hypotheses, quantities, quantity_places
from turnback.readers.record_names import Named
from turnback.readers.record_units import HAS_NUMBER
from turnback.records.channel import OF_CORNERS, Channel, Quantity
from turnback.records.record_read import (
    ColumnMatch,
    ColumnsRead,
    ColumnTold,
    MatchedBy,
    RawColumn,
    RawTable,
    Reading,
)
from turnback.rules import record_columns as rules

Floats = NDArray[np.float64]
LIKELY: Final = 0.5  # "none of our channels" is the less likely
DOUBTED: Final = 0.3  # chance from which a column is asked about though its name says that it is none of ours
MOST_READINGS: Final = 4
OTHER: Final = Channel(Quantity.OTHER)


def match_columns(table: RawTable, told: tuple[ColumnTold, ...] = ()) -> ColumnsRead:
    """Return what each column means.

    Parameters
    ----------
    table : RawTable
    told : tuple of ColumnTold
        What the user says; it overrides everything.

    Raises
    ------
    InputError
        If a told column is not in the table, or two are told to be one channel.
    """
    settled = settled_columns(table, told)
    if not table.columns:
        return ColumnsRead((), None)
    evidence = evidence_of(table)
    families = families_of(evidence.named, evidence.said)
    usual = usual_of_families(evidence.soft, families)
    told_by_others = related(table, evidence.features, pooled(evidence.scores, evidence.usage, families) + usual)
    scores = pooled(evidence.scores + told_by_others, evidence.usage, families) + usual
    chances = _chances(scores, settled)
    channels = _Channels(evidence.named, settled)
    chances, winners, copies = _contested(table, chances, channels, evidence.named)
    best = np.argmax(chances[:, :-1], axis=1)
    parts = parts_of(evidence, told_by_others)
    known = units_known(parts, best, chances[:, -1] < LIKELY, families)
    matches = tuple(
        _match(
            column, chances[place], channels, place, winners[place], settled.get(place),
            known=bool(known[place]) and one_channel(
                evidence.named[place], evidence.features, place, int(best[place]),
                related=bool(told_by_others[place, best[place]] > TELLS),
            )
            and not heading_or_course(evidence.named[place], told_by_others[place], int(best[place]))
            and not minus_left_out(evidence.said[place], int(best[place])),
            likely=sure_enough(evidence.named[place], _readings(chances[place], channels, place)[0].chance)
            and no_doubt(column, evidence.named[place], parts, evidence.features, place, int(best[place])),
            fits=not copies[place] and (
                may_be_ours(column, evidence, place)
                or (may_be_mode(column) and not plainly_nothing(evidence.named[place]))
            ),
            least=DOUBTED if plainly_nothing(evidence.named[place]) else rules.ASK.value,
        )
        for place, column in enumerate(table.columns)
    )  # fmt: skip
    clock = next((each.place for each in matches if each.taken and each.taken.channel.quantity is Quantity.TIME), None)
    return ColumnsRead(matches, clock)


class _Channels:
    """Which channel each hypothesis of each column would be."""

    def __init__(self, named: tuple[Named, ...], settled: dict[int, Settled]) -> None:
        self.every: list[Channel] = []
        place_of: dict[Channel, int] = {}
        self.of = np.empty((len(named), len(hypotheses())), np.intp)
        for row, each in enumerate(named):
            of_quantity = []
            for quantity in quantities():
                channel = _channel(quantity, each, settled.get(row))
                if channel not in place_of:
                    place_of[channel] = len(self.every)
                    self.every.append(channel)
                of_quantity.append(place_of[channel])
            self.of[row] = np.array(of_quantity, np.intp)[quantity_places()]

    def weights(self, chances: Floats) -> Floats:
        """Return the chances of whole channels, units together; "other" last."""
        result = np.zeros((chances.shape[0], len(self.every) + 1))
        for row in range(chances.shape[0]):
            result[row, :-1] = np.bincount(self.of[row], chances[row, :-1], len(self.every))
        result[:, -1] = chances[:, -1]
        return result


def _channel(quantity: Quantity, named: Named, settled: Settled | None) -> Channel:
    if settled and settled.channel and settled.channel.quantity is quantity:
        return settled.channel
    if quantity in OF_CORNERS and named.at is not None:
        return Channel(quantity, named.at)
    return Channel(quantity, None, named.number if quantity in HAS_NUMBER else None)


def _chances(scores: Floats, settled: dict[int, Settled]) -> Floats:
    """Return the chance of each hypothesis, and of none of them last."""
    full = np.hstack([scores, np.zeros((scores.shape[0], 1))])
    for place, each in settled.items():
        full[place] = each.only(full[place])
    full -= full.max(axis=1, keepdims=True)
    chances = np.exp(full)
    return np.asarray(chances / chances.sum(axis=1, keepdims=True))


def _contested(
    table: RawTable, chances: Floats, channels: _Channels, named: tuple[Named, ...]
) -> tuple[Floats, NDArray[np.intp], NDArray[np.bool_]]:
    """Return the chances when no two columns may be one channel, the channel of each column, and which are copies."""
    chances, copies = without_twins(table, chances, channels.of, named)
    before = channels.weights(chances)
    after = competing(before)
    ratio = after / np.maximum(before, 1e-300)
    for row in range(chances.shape[0]):
        chances[row, :-1] *= ratio[row, channels.of[row]]
        chances[row, -1] = after[row, -1]
    return chances, assigned(after), copies


def _match(
    column: RawColumn, chances: Floats, channels: _Channels, row: int, winner: np.intp, settled: Settled | None,
    *, known: bool, likely: bool, fits: bool, least: float,
) -> ColumnMatch:  # fmt: skip
    place = column.place
    if settled is not None and settled.final:
        reading = settled.reading()
        return ColumnMatch(
            place,
            column.name,
            column.unit_text,
            reading,
            settled.by,
            (reading,) if reading else (),
            negative_told=settled.negative,
        )
    readings = _readings(chances, channels, row)
    best = readings[0]
    if settled is not None:
        known = best.chance >= rules.TAKE.value and known
        negated = tuple(settled.turned(each) for each in readings)
        return ColumnMatch(
            place,
            column.name,
            column.unit_text,
            negated[0] if known else None,
            settled.by,
            negated,
            asks=not known,
            negative_told=settled.negative,
        )
    ours = best.channel.quantity is not Quantity.OTHER
    wins = winner >= 0 and channels.every[winner] == best.channel
    if ours and wins and known and likely:
        return ColumnMatch(place, column.name, column.unit_text, best, MatchedBy.MEANING, readings)
    asks = fits or 1.0 - float(chances[-1]) >= least
    return ColumnMatch(place, column.name, column.unit_text, None, MatchedBy.NOT_MATCHED, readings, asks)


def _readings(chances: Floats, channels: _Channels, row: int) -> tuple[Reading, ...]:
    """Return the likeliest readings, best first; those that come to the same numbers are one."""
    found: dict[tuple[Channel, float, float], Reading] = {}
    for place in np.argsort(-chances[:-1], kind="stable")[:24]:
        hypothesis, channel = hypotheses()[place], channels.every[channels.of[row, place]]
        scale, offset = hypothesis.unit.scale, hypothesis.unit.offset
        key = (channel, scale, offset)
        chance = float(chances[place]) + (found[key].chance if key in found else 0.0)
        unit = found[key].unit if key in found else hypothesis.unit.key
        found[key] = Reading(channel, unit, scale, offset, chance)
    other = Reading(OTHER, "", 1.0, 0.0, float(chances[-1]))
    ordered = sorted([*found.values(), other], key=lambda each: -each.chance)
    return tuple(ordered[:MOST_READINGS])
