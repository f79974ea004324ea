"""Columns: right, asked, left out, silently wrong; senses and corners."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Final

from studies.record_flown.messy import ColumnTruth, Mess
from studies.record_flown.sensors import CORNERS

if TYPE_CHECKING:
    from turnback.records.flight_record import FlightRecord
    from turnback.records.record_read import ColumnMatch, Reading

NO_UNIT: Final = frozenset({"armed", "mode", "return_active", "link_loss", "satellites", "row"})
HARMLESS: Final = frozenset({"row"})
"""A running count is no channel of the flight: taken as one or left out, nothing depends on it."""


class Outcome(Enum):
    """What became of one column."""

    RIGHT = "right"
    ASKED = "asked"
    LEFT_OUT = "left out"
    WRONG = "silently wrong"


@dataclass(frozen=True, slots=True)
class ColumnScore:
    """One column's outcome.

    Parameters
    ----------
    told : bool
        A plain name and, where it has one, the unit are given.
    wrong_in : str
        Of what is silently wrong: channel, unit, number (of a motor or cell, or its corner).
    file : str
        What kind of file: table, no headings, two rows of headings, track.
    """

    record: int
    text: str
    truth: str
    taken: str
    chance: float
    outcome: Outcome
    channel: bool
    told: bool
    style: str
    wrong_in: str = ""
    file: str = "table"


FILES: Final = ("table", "no headings", "two rows of headings", "track")


def file_kind(mess: Mess) -> str:
    """Return what kind of file a mess is."""
    if mess.look.kind not in {"csv", "parquet"}:
        return "track"
    if mess.look.kind == "parquet" or mess.look.heads == "one row":
        return "table"
    return "no headings" if mess.look.heads == "none" else "two rows of headings"


def same_scale(truth: ColumnTruth, reading: Reading) -> bool:
    """Tell whether a reading makes the same numbers of a column as the truth does, to one part in a hundred."""
    if math.isnan(truth.scale):  # decibels over a milliwatt
        return "dBm" in reading.unit
    signed = truth.quantity in {"link_level", "link_level_back", "video_level"}
    scale = reading.scale if signed else abs(reading.scale)
    if not math.isclose(scale, truth.scale, rel_tol=0.01):
        return False
    centred = abs(reading.offset - truth.offset)
    return truth.sense < 0 or centred <= max(0.02 * abs(truth.offset), 1e-9)


def wrong_in(truth: ColumnTruth, match: ColumnMatch) -> str:
    """Return in what a column was taken wrongly: channel, number or unit; empty where it is right."""
    reading = match.taken
    assert reading is not None
    quantity = reading.channel.quantity.value
    if truth.quantity == "time" and truth.unit in {"iso", "hms"}:
        return "" if quantity == "time" else "channel"
    if truth.quantity == "cell_volts" and truth.number is None and quantity == "pack_volts":
        same = "cell" in reading.unit and math.isclose(reading.scale, truth.scale, rel_tol=0.01)
        return "" if same else "channel"
    if quantity != (truth.also or truth.quantity):
        return "channel"
    if truth.quantity in NO_UNIT:
        return ""
    if truth.number is not None and reading.channel.number != truth.number:
        return "number"
    if truth.number is None and truth.corner is not None:
        at = reading.channel.at
        if at is None or at.value != CORNERS[truth.corner]:
            return "number"
    return "" if same_scale(truth, reading) else "unit"


def right(truth: ColumnTruth, match: ColumnMatch) -> bool:
    """Tell whether a column was taken for what it is, in its unit."""
    return not wrong_in(truth, match)


def score_columns(record: int, mess: Mess, matches: tuple[ColumnMatch, ...]) -> list[ColumnScore]:
    """Score every column of one record."""
    found = []
    by_place = {each.place: each for each in matches}
    file = file_kind(mess)
    for truth in mess.columns:
        match, fault = by_place.get(truth.place), ""
        channel = bool(truth.quantity) and truth.quantity not in HARMLESS
        if match is None or (match.taken is None and not match.asks):
            outcome = Outcome.LEFT_OUT if channel else Outcome.RIGHT
        elif match.taken is None:
            outcome = Outcome.ASKED
        else:
            fault = wrong_in(truth, match)
            outcome = Outcome.WRONG if fault else Outcome.RIGHT
        taken = match.taken if match else None
        told = truth.plain and (truth.unit_given or truth.quantity in NO_UNIT or truth.unit in {"iso", "hms"})
        sense = "-" if truth.sense < 0 else ""
        found.append(ColumnScore(
            record, truth.text, f"{sense}{truth.quantity or truth.also or 'nothing'} {truth.unit}",
            f"{taken.channel.key} {taken.unit}" if taken else _asked(match), taken.chance if taken else 0.0, outcome,
            channel, told, mess.hand.style, fault, file,
        ))  # fmt: skip
    return found


def _asked(match: ColumnMatch | None) -> str:
    if match is None:
        return "no such column"
    return " | ".join(f"{each.channel.key} {each.unit} {each.chance:.2f}" for each in match.readings[:3])


@dataclass(frozen=True, slots=True)
class SettledScore:
    """One sense or one corner: right, asked (not known well enough), wrong."""

    record: int
    what: str
    outcome: Outcome
    chance: float


def score_senses(record: int, mess: Mess, read: FlightRecord) -> list[SettledScore]:
    """Score the senses of channels whose sense could be turned and that were read rightly."""
    truths = {each.place: each for each in mess.columns}
    by_channel = {}
    for match in read.matches:
        truth = truths.get(match.place)
        if match.taken and truth and truth.quantity and right(truth, match):
            by_channel[match.taken.channel] = (truth, match.taken.scale)
    found = []
    for sense in read.senses:
        if sense.channel not in by_channel:
            continue
        truth, scale = by_channel[sense.channel]
        already = -1 if scale < 0 and truth.scale > 0 else 1
        good = (already * (-1 if sense.negative else 1)) == truth.sense
        sure = Outcome.RIGHT if good else Outcome.WRONG
        outcome = sure if sense.chance >= 0.95 else Outcome.ASKED
        found.append(SettledScore(record, truth.quantity, outcome, sense.chance))
    return found


def score_corners(record: int, mess: Mess, read: FlightRecord) -> list[SettledScore]:
    """Score the corners of numbered outputs and rotor speeds."""
    truths = {(each.quantity, each.number): each for each in mess.columns if each.number is not None}
    found = []
    for corner in read.corners:
        truth = truths.get((corner.quantity.value, corner.number))
        if truth is None or truth.corner is None:
            continue
        if corner.at is None:
            outcome = Outcome.ASKED
        else:
            outcome = Outcome.RIGHT if corner.at.value == CORNERS[truth.corner] else Outcome.WRONG
        found.append(SettledScore(record, truth.quantity, outcome, corner.chance))
    return found
