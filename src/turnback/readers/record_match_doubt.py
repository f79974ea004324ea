"""Readings that values and chances favour and that may be wrong all the same: they are asked, never taken."""

from __future__ import annotations

import unicodedata
from typing import Final

from turnback.readers.record_match_features import Features
from turnback.readers.record_match_gate import Parts, rivals_of
from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_names import SURE, Named
from turnback.records.channel import RATE_DEMANDS, RATES, Quantity
from turnback.records.record_read import RawColumn

MAY_BE_DEMANDS: Final = frozenset({*RATES, Quantity.ROLL, Quantity.PITCH})
"""Measured and asked for look alike: a word that is not known may say that it is what was asked for."""
WRITTEN: Final = 1.0  # log: a unit text that speaks for this unit more than for any other
PLAIN_RATES: Final = frozenset({"deg/s", "rad/s"})
"""Other units of a rate must be written: raw counts of a usual sensor (2000 deg/s over 15 bits) lie within 7 parts of
100 of a thousandth of a radian a second."""
MILLI: Final = ("mrad", "milli")
MOST_STICK: Final = 1.05  # an angle that never exceeds this may be a stick's travel as well
SYMBOL_LETTERS: Final = 3
GREEK: Final = frozenset({"omega", "theta"})
AXES: Final = frozenset({"x", "y", "z", "1", "2", "3"})
MARKS: Final = "*^'~′"
LEAST_RPM: Final = 2000.0  # below, a driven rotor of these aircraft is counted in turns a second, or in hundreds
LEAST_PER_CENT: Final = 15.0  # an output in per cent that never reaches this drives nothing
MOST_LABELS: Final = 12  # modes of flight, as far as records name them


def no_doubt(column: RawColumn, named: Named, parts: Parts, features: Features, row: int, place: int) -> bool:
    """Tell whether a likely reading may be taken: its name hides no demand, and its numbers no other unit.

    Parameters
    ----------
    column : RawColumn
    named : Named
    parts : Parts
    features : Features
    row, place : int
        Of the column, and of its hypothesis.
    """
    each = hypotheses()[place]
    if each.quantity in MAY_BE_DEMANDS and (
        has_strange_word(named) or _symbol_with_subscript(named) or _has_accent(column.name)
    ):
        return False
    if each.quantity in {Quantity.LATITUDE, Quantity.LONGITUDE} and features.constant[row]:
        return False  # a place that never moves is more often the launch point
    said = written(parts, row, place)
    if each.unit.key == "mrad/s" and said:  # "p_m [rad/s]" is no thousandth
        said = any(word in f"{column.name} {column.unit_text}".lower() for word in MILLI)
    return said or not _unwritten_doubt(features, row, place)


def _unwritten_doubt(features: Features, row: int, place: int) -> bool:
    """Tell whether a unit that is not written may be another one for all that values say."""
    each = hypotheses()[place]
    most = max(abs(float(features.high[row])), abs(float(features.low[row])))
    if each.quantity in RATES or each.quantity in RATE_DEMANDS:
        return each.unit.key not in PLAIN_RATES
    if each.quantity in {Quantity.ROLL, Quantity.PITCH}:
        return most <= MOST_STICK
    if each.quantity is Quantity.ROTOR_SPEED:
        return most < LEAST_RPM
    if each.quantity is Quantity.TRANSMIT_POWER:
        return True  # watts, thousandths, or decibels over a milliwatt
    return each.quantity in {Quantity.OUTPUT, Quantity.THROTTLE} and each.unit.key == "0-100" and most < LEAST_PER_CENT


def _symbol_with_subscript(named: Named) -> bool:
    """Tell whether a name is a symbol with something behind it, such as p_w: the one may say what the other is."""
    words = [word for word in named.words if word not in AXES]
    return len(words) > 1 and all(len(word) <= SYMBOL_LETTERS or word in GREEK for word in words)


def _has_accent(name: str) -> bool:
    """Tell whether a name has a mark as symbols carry one: a star, a hat, a prime, a bar."""
    return any(each in MARKS or unicodedata.category(each) in {"Mn", "Sk"} for each in name)


def has_strange_word(named: Named) -> bool:
    """Tell whether a word of a name is only guessed or not known."""
    return any(all(sure < SURE for _, sure in rows) for rows in named.meanings)


def written(parts: Parts, row: int, place: int) -> bool:
    """Tell whether a unit text speaks for this unit and no other of its quantity."""
    rivals = rivals_of(place)
    return bool((parts.said[row, place] - parts.said[row, rivals] > WRITTEN).all())


def may_be_mode(column: RawColumn) -> bool:
    """Tell whether a column of words may name modes of flight: a few words."""
    return 2 <= len(column.labels) <= MOST_LABELS
