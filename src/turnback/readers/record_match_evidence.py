"""What name, unit text and values of each column say together, before columns are held against one another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_features import Features, features_of
from turnback.readers.record_match_values import Hypothesis, hypotheses, value_scores
from turnback.readers.record_names import Named, name_scores, patterns, take_apart
from turnback.readers.record_units import NAKED, unit_keys, units_said
from turnback.records.channel import Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable

Floats = NDArray[np.float64]
OTHERS: Final = 0.3  # share of columns that are none of our channels
SAID_FITS: Final = 0.97  # how often a unit text names the unit that the values are in
SAID_WRONG: Final = 0.002  # how often it names another unit of that quantity
SAID_STRANGE: Final = 0.0008  # how often it names a unit that the quantity does not have
SAID_OTHERS: Final = 0.03  # how often a column that is none of ours has one given unit
UNKNOWN_TEXT: Final = 0.25  # a unit text that nobody knows: how much less likely of ours than of others
VALUES_COUNT: Final = 0.8  # values of one column hang together: they are worth less than their number


@dataclass(frozen=True, slots=True)
class Evidence:
    """Scores of all columns.

    Parameters
    ----------
    scores : ndarray, shape (columns, hypotheses)
        Log odds against being none of our channels.
    named : tuple of Named
    features : Features
    said : tuple of str
        The unit text that counts, of each column.
    """

    scores: Floats
    named: tuple[Named, ...]
    features: Features
    said: tuple[str, ...]


def evidence_of(table: RawTable) -> Evidence:
    """Return what each column says by itself."""
    named = tuple(take_apart(column.name) for column in table.columns)
    named = _without_common_words(named)
    features = features_of(table)
    values = VALUES_COUNT * value_scores(features)
    every = hypotheses()
    scores = np.empty_like(values)
    said = []
    for row, column in enumerate(table.columns):
        names = name_scores(named[row])
        text = column.unit_text.strip() or named[row].unit_words
        said.append(text)
        keys = unit_keys(text)
        units = {quantity: set(units_said(quantity, keys)) for quantity in patterns()} if text else {}
        prior = [names[each.quantity] + _prior(each) + _unit(each, text, keys, units) for each in every]
        scores[row] = np.array(prior) + values[row]
        scores[row] += _kind(column, every)
    return Evidence(scores, named, features, tuple(said))


def _without_common_words(named: tuple[Named, ...]) -> tuple[Named, ...]:
    """Leave out unknown words that most columns share: they name the record, not the column."""
    if len(named) < 4:
        return named
    counts: dict[str, int] = {}
    for each in named:
        for word, meanings in zip(each.words, each.meanings, strict=True):
            if not meanings:
                counts[word] = counts.get(word, 0) + 1
    common = {word for word, count in counts.items() if count > 0.6 * len(named)}
    if not common:
        return named
    kept = []
    for each in named:
        places = [place for place, word in enumerate(each.words) if word not in common]
        kept.append(Named(
            tuple(each.words[place] for place in places), tuple(each.meanings[place] for place in places),
            each.number, each.at, each.unit_words,
        ))  # fmt: skip
    return tuple(kept)


def _prior(each: Hypothesis) -> float:
    return math.log(patterns()[each.quantity].often / OTHERS)


def _unit(each: Hypothesis, text: str, keys: tuple[str, ...], units: dict[Quantity, set[str]]) -> float:
    """Return what the unit text says of a hypothesis; without one, how usual the unit is."""
    usual = math.log(max(each.unit.weight, 1e-6))
    if not text or text.lower() in NAKED:
        return usual
    if not keys:
        return usual + math.log(UNKNOWN_TEXT)
    fitting = units[each.quantity]
    if not fitting:
        return usual + math.log(SAID_STRANGE / SAID_OTHERS)
    if each.unit.key in fitting:
        return math.log(SAID_FITS / len(fitting) / SAID_OTHERS)
    return usual + math.log(SAID_WRONG / SAID_OTHERS)


def _kind(column: RawColumn, every: tuple[Hypothesis, ...]) -> Floats:
    """Return what the kind of its cells rules out."""
    nothing = np.full(len(every), -30.0)
    if column.kind is CellKind.MOMENT:
        nothing[[each.unit.key == "moment" for each in every]] = 3.0
        return nothing
    if column.kind is CellKind.WORD:
        return nothing
    moments = np.array([each.unit.key == "moment" for each in every])
    return np.where(moments, -30.0, 0.0)
