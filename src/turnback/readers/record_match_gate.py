"""Whether the unit of a column is known, and whether a column may be left out without a word.

A column whose unit is not written may look usual in two units: a calm flight in degrees a second is a wild one in
tenths of them. So the chance alone does not decide. Every other unit of the channel must be told apart by something: a
unit text, a range that it would leave, a relation to another column, or a size that no aircraft of this kind has. Small
values tell little of quantities that rest: a record of an aircraft on the ground is small in every unit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_evidence import EVEN, Evidence
from turnback.readers.record_match_families import KIND_OF
from turnback.readers.record_match_features import Features
from turnback.readers.record_match_sizes import sizes_off
from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_names import SURE, Named
from turnback.readers.record_units import HAS_NUMBER
from turnback.records.channel import OF_CORNERS, Quantity
from turnback.records.record_read import RawColumn
from turnback.rules import record_columns as rules

Floats = NDArray[np.float64]
MOST_USUAL: Final = 2.9  # log: most that being usual counts; with the most that being small may say it is below APART
MOST_FIRM: Final = 20.0
ONE_CELL_V: Final = 4.5  # below, the volts of a pack may be those of a cell, or the mean of its cells
TENTHS: Final = (25.0, 65.0)  # of a volt of one or two cells: as whole volts they would be a pack of ten
TELLS: Final = 1.0  # log: what relations say above it counts
MOSTLY_WHOLE: Final = 0.9
LINKS: Final = frozenset(
    {Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK, Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK,
     Quantity.VIDEO_LEVEL}
)  # fmt: skip
ALIKE: Final = 1e-3  # two spans that differ by less are one: 0 to 2047 and 0 to 2048
HINTED: Final = 0.05
CONTRARY: Final[dict[Quantity, tuple[str, ...]]] = {
    Quantity.ROLL_STICK: ("pitch", "yaw"), Quantity.PITCH_STICK: ("roll", "yaw"),
    Quantity.YAW_STICK: ("roll", "pitch"), Quantity.LINK_LEVEL: ("back", "video"),
    Quantity.LINK_QUALITY: ("back", "video"), Quantity.HEIGHT_LAUNCH: ("distance",),
    Quantity.HEIGHT_SEA_LEVEL: ("distance",), Quantity.DISTANCE_LAUNCH: ("height",),
}  # fmt: skip
"""Meanings that leave doubt, however little a word stands for them."""
FITS_FIRM, FITS_SOFT = -3.0, -3.0


@dataclass(frozen=True, slots=True)
class Parts:
    """What speaks for the unit of each column, shape (columns, hypotheses) each: see `Evidence`."""

    said: Floats
    firm: Floats
    relations: Floats
    sizes: Floats


def parts_of(evidence: Evidence, relations: Floats) -> Parts:
    """Return what counts for telling units apart."""
    return Parts(evidence.unit, evidence.firm, relations, sizes_off(evidence.features))


@cache
def rivals_of(place: int) -> NDArray[np.intp]:
    """Return the hypotheses of the same quantity that make other numbers of a column."""
    own = hypotheses()[place]
    return np.array([
        other for other, each in enumerate(hypotheses())
        if each.quantity is own.quantity and each.unit.weight > 0.0
        and not (
            math.isclose(each.unit.scale, own.unit.scale, rel_tol=ALIKE)
            and math.isclose(each.unit.offset, own.unit.offset, rel_tol=ALIKE)
        )
    ], np.intp)  # fmt: skip


def _usual(place: int, rivals: NDArray[np.intp]) -> Floats:
    own = max(hypotheses()[place].unit.weight, 1e-6)
    other = np.array([hypotheses()[each].unit.weight for each in rivals])
    return np.asarray(np.clip(EVEN * np.log(own / other), -MOST_USUAL, MOST_USUAL))


def apart(parts: Parts, row: int, place: int) -> dict[str, float]:
    """Return, for each other unit, the log of how much speaks for this one instead."""
    rivals = rivals_of(place)
    if rivals.size == 0:
        return {}
    said = parts.said[row, place] - parts.said[row, rivals]
    usual = np.where(said > 1.0, 0.0, _usual(place, rivals))
    firm = np.clip(parts.firm[row, place] - parts.firm[row, rivals], -MOST_FIRM, MOST_FIRM)
    others = parts.relations[row, place] - parts.relations[row, rivals]
    others += parts.sizes[row, rivals] - parts.sizes[row, place]
    total = said + usual + firm + np.where(said > 1.0, np.maximum(others, 0.0), others)  # what is written is believed
    return {hypotheses()[each].unit.key: float(value) for each, value in zip(rivals, total, strict=True)}


def units_known(
    parts: Parts, best: NDArray[np.intp], likely: NDArray[np.bool_], families: tuple[tuple[int, ...], ...]
) -> NDArray[np.bool_]:
    """Tell of each column whether its likeliest unit is told apart from every other.

    Members of a family were written in one unit, so what tells it apart for one of them does for all.

    Parameters
    ----------
    parts : Parts
    best : ndarray of int, shape (columns,)
        The likeliest hypothesis of each column.
    likely : ndarray of bool, shape (columns,)
        It may well be that.
    families : tuple of tuple of int
    """
    every = [apart(parts, row, int(place)) for row, place in enumerate(best)]
    for family in families:
        groups: dict[tuple[int, str], list[int]] = {}
        for row in family:
            each = hypotheses()[best[row]]
            groups.setdefault((KIND_OF.get(each.quantity, -1), each.unit.key), []).append(row)
        for (kind, _), rows in groups.items():
            if kind < 0:
                continue
            shared = {key: max(every[row].get(key, -math.inf) for row in rows) for key in every[rows[0]]}
            for row in rows:
                every[row] = shared
    known = np.array([all(value >= rules.APART.value for value in each.values()) for each in every], bool)
    return known & ~_at_odds(best, likely)


def _at_odds(best: NDArray[np.intp], likely: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell which columns are read in another unit than most of their kind: one of the texts is wrong, or one is raw."""
    odd = np.zeros(best.size, bool)
    kinds: dict[int, list[int]] = {}
    for row in np.flatnonzero(likely):
        kind = KIND_OF.get(hypotheses()[best[row]].quantity)
        if kind is not None:
            kinds.setdefault(kind, []).append(int(row))
    for rows in kinds.values():
        keys = [hypotheses()[best[row]].unit.key for row in rows]
        most = max(keys.count(key) for key in keys)
        alone = sum(keys.count(key) == most for key in set(keys)) == 1
        for member, key in zip(rows, keys, strict=True):
            odd[member] = not alone or keys.count(key) < most
    return odd


def _has(named: Named, part: str, least: float = 0.9) -> bool:
    return any(part in meaning and sure >= least for rows in named.meanings for meaning, sure in rows)


def one_channel(named: Named, features: Features, row: int, place: int, *, related: bool) -> bool:
    """Tell whether a column is one channel only: outputs name corner or number, volts of a pack are of several cells.

    Parameters
    ----------
    named : Named
    features : Features
    row, place : int
        Of the column, and of its hypothesis.
    related : bool
        Another column, such as that of a cell, says so.
    """
    each = hypotheses()[place]
    if each.quantity in HAS_NUMBER and named.numbers > 1 and named.at is None:
        return False  # which of the numbers counts?
    if any(_has(named, part, HINTED) for part in CONTRARY.get(each.quantity, ())):
        return False  # a word or symbol of the other one
    if each.quantity in LINKS:
        return _one_radio(named)
    if each.quantity in OF_CORNERS:
        return named.at is not None or named.number is not None
    return each.quantity is not Quantity.PACK_VOLTS or _of_a_pack(features, row, each.unit.scale, related=related)


def _one_radio(named: Named) -> bool:
    """Tell whether a name leaves no doubt which radio it is: a strange word or a second number may name the other."""
    strange = any(all(sure < SURE for _, sure in rows) for rows in named.meanings)
    return not strange and (named.number is None or named.number < 2)


def heading_or_course(named: Named, relations: Floats, place: int) -> bool:
    """Tell whether a column may be the heading and the course alike: their words are mixed up, and so are their turns.

    Parameters
    ----------
    named : Named
    relations : ndarray, shape (hypotheses,)
        Of this column: its change against the yaw rate, and its direction against the way over ground.
    place : int
    """
    quantity = hypotheses()[place].quantity
    turns = max(relations[_of(Quantity.HEADING)])
    if quantity is Quantity.COURSE:
        return bool(turns > TELLS and relations[place] <= TELLS and not _has(named, "ground"))
    if quantity is Quantity.HEADING and _has(named, "course"):
        return bool(min(relations[_of(Quantity.COURSE)]) > -TELLS)
    return False


@cache
def _of(quantity: Quantity) -> NDArray[np.intp]:
    return np.array([place for place, each in enumerate(hypotheses()) if each.quantity is quantity], np.intp)


def _of_a_pack(features: Features, row: int, scale: float, *, related: bool) -> bool:
    """Tell whether volts are too many for one cell, and are no tenths in whole numbers: 37 may be 3.7 V.

    A cell's column tells the first; nearly any number of volts is some whole number of cells, so not the second.
    """
    median = float(features.quantiles[row, 3])
    tenths = scale == 1.0 and features.whole[row] > MOSTLY_WHOLE and TENTHS[0] <= median <= TENTHS[1]
    return (related or median * scale > ONE_CELL_V) and not tenths


def sure_enough(named: Named, chance: float) -> bool:
    """Tell whether a reading is likely enough: more so where its name has a word that is only guessed or not known."""
    strange = any(all(sure < SURE for _, sure in rows) for rows in named.meanings)
    return chance >= (rules.TAKE_STRANGE.value if strange else rules.TAKE.value)


def plainly_nothing(named: Named) -> bool:
    """Tell whether a name says outright that it is none of our channels: a debug value, a counter, a share of load."""
    return any(rows and all(meaning == ("not",) and sure >= 0.9 for meaning, sure in rows) for rows in named.meanings)


def may_be_ours(column: RawColumn, evidence: Evidence, row: int) -> bool:
    """Tell whether a column's unit or values fit some channel, whatever its name."""
    features = evidence.features
    if features.count[row] == 0 or column.labels or plainly_nothing(evidence.named[row]):
        return False
    if features.constant[row]:  # a stored launch point never changes, a spare column neither
        return evidence.called[row] or evidence.fitting[row]
    fits = (evidence.firm[row] > FITS_FIRM) & (evidence.soft[row] > FITS_SOFT)
    return bool(evidence.fitting[row] or fits.any())
