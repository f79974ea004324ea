"""What name, unit text and values of each column say together, before columns are held against one another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_families import with_neighbours
from turnback.readers.record_match_features import Features, features_of
from turnback.readers.record_match_values import Hypothesis, hypotheses, quantities, quantity_places, value_scores
from turnback.readers.record_names import SURE, Named, name_scores, take_apart
from turnback.readers.record_names_book import patterns
from turnback.readers.record_units import NAKED, unit_keys, units_said
from turnback.records.channel import SWITCHES, Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable

Floats = NDArray[np.float64]
OTHERS: Final = 0.3  # share of columns that are none of our channels
SAID_FITS: Final = 0.97  # how often a unit text names the unit that the values are in
SAID_WRONG: Final = 0.002  # how often it names another unit of that quantity
SAID_STRANGE: Final = 0.0008  # how often it names a unit that the quantity does not have
SAID_OTHERS: Final = 0.03  # how often a column that is none of ours has one given unit
UNKNOWN_TEXT: Final = 0.25  # a unit text that nobody knows: how much less likely of ours than of others
EVEN: Final = 0.85  # power of the usual shares of units: nobody knows them well
RULED_OUT: Final = -30.0
UNSIGNED: Final = -9.0  # log: a level above nought is mostly a share of full strength, not dBm without its minus
YES: Final = frozenset(
    {"yes", "true", "on", "armed", "active", "lost", "ja", "wahr", "an", "oui", "vrai", "si", "sí", "1", "y", "t"}
)
NO: Final = frozenset(
    {"no", "false", "off", "disarmed", "inactive", "ok", "nein", "falsch", "aus", "non", "faux", "0", "n", "f"}
)
MODE_WORDS: Final = (
    "level", "rate", "return", "hold", "manual", "auto", "mission", "land", "angle", "home",
    "hover", "take", "arm", "idle", "failsafe", "descend", "cruise", "position", "altitude", "lage", "heim",
    "rück", "halten", "manuell", "stufe", "horizon", "free", "normal", "sport", "standby", "ready",
)  # fmt: skip
"""Parts of words that name what the aircraft is doing or how it is flown: plain terms of the trade."""
MOST_MODES: Final = 12
DECIBELS: Final = frozenset({"dBm", "-dBm"})
CALLED: Final = 2.0  # log: a name that is seven times likelier of one of ours
VALUES_COUNT: Final = 0.8  # values of one column hang together: they are worth less than their number


@dataclass(frozen=True, slots=True)
class Evidence:
    """Scores of all columns.

    Parameters
    ----------
    scores : ndarray, shape (columns, hypotheses)
        Log odds against being none of our channels: of names, units and what values rule out.
    usage : ndarray, shape (columns, hypotheses)
        The part of `scores` that is only how usual a unit is.
    soft : ndarray, shape (columns, hypotheses)
        Of what values are usual.
    firm : ndarray, shape (columns, hypotheses)
        The part of `scores` that is what values rule out or touch exactly.
    unit : ndarray, shape (columns, hypotheses)
        The part of `scores` that is the unit text.
    named : tuple of Named
    features : Features
    said : tuple of str
        The unit text that counts, of each column.
    fitting : tuple of bool
        That text is a unit of some quantity.
    called : tuple of bool
        Its name speaks for some quantity.
    """

    scores: Floats
    usage: Floats
    soft: Floats
    firm: Floats
    unit: Floats
    named: tuple[Named, ...]
    features: Features
    said: tuple[str, ...]
    fitting: tuple[bool, ...]
    called: tuple[bool, ...]


def evidence_of(table: RawTable) -> Evidence:
    """Return what each column says by itself."""
    named = tuple(take_apart(column.name, column.unit_text) for column in table.columns)
    named = with_neighbours(_without_common_words(named))
    features = features_of(table)
    firm, soft = value_scores(features)
    every = hypotheses()
    scores, usage, unit = np.empty_like(firm), np.empty_like(firm), np.empty_like(firm)
    said, known, called = [], [], []
    for row, column in enumerate(table.columns):
        names = name_scores(named[row])
        called.append(max(names.values()) > CALLED)
        text = column.unit_text.strip() or named[row].unit_words
        said.append(text)
        keys = unit_keys(text)
        fitting = {quantity: units_said(quantity, keys) for quantity in quantities()} if keys else {}
        by_quantity = np.array([names[quantity] + _prior(quantity) for quantity in quantities()])
        known.append(any(fitting.values()) and text.lower() not in NAKED)
        usage[row], unit[row] = _usage(text, fitting), _unit(text, fitting)
        scores[row] = by_quantity[quantity_places()] + firm[row] + usage[row] + unit[row] + _unsigned(keys)
        if column.kind is CellKind.WORD:
            scores[row] += _of_words(column, every) - firm[row] - usage[row]
            firm[row] = _of_words(column, every)
            usage[row] = 0.0
            soft[row] = 0.0
        else:
            kind = _kind(column, every)
            scores[row] += kind
            firm[row] += kind
    return Evidence(
        scores, usage, VALUES_COUNT * soft, firm, unit, named, features, tuple(said), tuple(known), tuple(called)
    )


def _without_common_words(named: tuple[Named, ...]) -> tuple[Named, ...]:
    """Leave out unknown words that most columns share: they name the record, not the column."""
    if len(named) < 4:
        return named
    counts: dict[str, int] = {}
    for each in named:
        for word, meanings in zip(each.words, each.meanings, strict=True):
            if _strange(meanings):
                counts[word] = counts.get(word, 0) + 1
    common = {word for word, count in counts.items() if count > 0.6 * len(named)}
    if not common:
        return named
    kept = []
    for each in named:
        places = [place for place, word in enumerate(each.words) if word not in common]
        kept.append(Named(
            tuple(each.words[place] for place in places), tuple(each.meanings[place] for place in places),
            each.number, each.at, each.unit_words, each.numbers,
        ))  # fmt: skip
    return tuple(kept)


def _strange(meanings: tuple[tuple[tuple[str, ...], float], ...]) -> bool:
    """Tell whether a word is not known, or only like one that is."""
    return all(sure < SURE for _, sure in meanings)


def _prior(quantity: Quantity) -> float:
    return math.log(patterns()[quantity].often / OTHERS)


@cache
def _weights() -> Floats:
    return np.array([EVEN * math.log(max(each.unit.weight, 1e-6)) for each in hypotheses()])


def _usage(text: str, fitting: dict[Quantity, tuple[str, ...]]) -> Floats:
    """Return how usual each unit is: what counts where no text says one that the quantity has."""
    usual = _weights().copy()
    if fitting and text.lower() not in NAKED:
        usual[[each.unit.key in fitting[each.quantity] for each in hypotheses()]] = 0.0
    return usual


def _unit(text: str, fitting: dict[Quantity, tuple[str, ...]]) -> Floats:
    """Return what the unit text says of each hypothesis."""
    every = hypotheses()
    if not text or text.lower() in NAKED:
        return np.zeros(len(every))
    if not fitting:
        return np.full(len(every), math.log(UNKNOWN_TEXT))
    says = np.full(len(every), math.log(SAID_STRANGE / SAID_OTHERS))
    for place, each in enumerate(every):
        units = fitting[each.quantity]
        if units:
            fits = each.unit.key in units
            says[place] = math.log((SAID_FITS / len(units) if fits else SAID_WRONG) / SAID_OTHERS)
    return says


def _unsigned(keys: tuple[str, ...]) -> Floats:
    """Return what speaks against decibels of a level where they are not written; per cent rule them out."""
    if DECIBELS & set(keys):
        return np.zeros(len(hypotheses()))
    return np.array([
        (RULED_OUT if "%" in keys else UNSIGNED if each.unit.key == "-dBm" else 0.0)
        if each.unit.key in DECIBELS else 0.0
        for each in hypotheses()
    ])  # fmt: skip


def minus_left_out(text: str, place: int) -> bool:
    """Tell whether a reading is dBm without its minus though nobody wrote dBm: a share falls alike."""
    return hypotheses()[place].unit.key == "-dBm" and not DECIBELS & set(unit_keys(text))


def _kind(column: RawColumn, every: tuple[Hypothesis, ...]) -> Floats:
    """Return what the kind of its cells rules out, of a column of numbers or moments."""
    moments = np.array([each.unit.key == "moment" for each in every])
    if column.kind is CellKind.MOMENT:
        return np.where(moments, 3.0, RULED_OUT)
    return np.where(moments, RULED_OUT, 0.0)


def _of_words(column: RawColumn, every: tuple[Hypothesis, ...]) -> Floats:
    """Return what a column of words may be: a mode, or a switch where its words say yes and no."""
    labels = [label.strip().lower() for label in column.labels]
    says = [label in YES for label in labels]
    switch = (
        0 < len(labels) <= 2 and all(label in YES | NO for label in labels) and (len(says) < 2 or says[0] != says[1])
    )
    unit = "1/0" if switch and says[0] else "0/1"
    modes = 1 < len(labels) <= MOST_MODES and sum(any(each in label for each in MODE_WORDS) for label in labels)
    mode = 5.5 if modes and 2 * modes >= len(labels) else 3.5
    return np.array([
        4.0 if switch and each.quantity in SWITCHES and each.unit.key == unit
        else mode if each.quantity is Quantity.MODE and not switch
        else RULED_OUT
        for each in every
    ])  # fmt: skip
