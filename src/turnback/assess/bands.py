"""From a person's reading, a learned value or a typical one, to a band in SI."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from turnback.records.common import How, Reading
from turnback.records.world import Band, Origin
from turnback.rules.typical import Typical, typical

ORIGINS: Mapping[How | None, Origin] = {How.MEASURED: Origin.MEASURED, How.GUESS: Origin.ASSUMED}


@dataclass(frozen=True, slots=True)
class Unit:
    """How a people's unit becomes SI: ``si = convert(people)``; it must rise."""

    symbol: str
    convert: Callable[[float], float]


def scaled(symbol: str, factor: float) -> Unit:
    """Return a unit that is a plain factor away from SI."""
    return Unit(symbol, lambda value: value * factor)


@dataclass(frozen=True, slots=True)
class Trust:
    """How far a bare number is trusted: a share of it, or a fixed width."""

    share: float = 0.0
    width: float = 0.0


def entered(key: str) -> Trust:
    """Return the trust in an entered value by its row in ``typical.toml``."""
    value = typical("entered")[key].value
    return Trust(share=value) if key.endswith("_share") else Trust(width=value)


def from_reading(key: str, reading: Reading, unit: Unit, trust: Trust) -> Band:
    """Return the band of what a person wrote; their own low and high go before ours.

    A guess is trusted less and counts as assumed: it stays among what is to be found out.
    """
    guessed = reading.how is How.GUESS
    slack = (abs(reading.value) * trust.share + trust.width) * (
        typical("entered")["guess_ratio"].value if guessed else 1
    )
    low = reading.value - slack if reading.low is None else reading.low
    high = reading.value + slack if reading.high is None else reading.high
    origin = ORIGINS.get(reading.how, Origin.DECLARED)
    to_si = unit.convert
    return Band(key, to_si(reading.value), to_si(low), to_si(high), unit.symbol, origin, "user")


def from_typical(key: str, row: Typical, unit: Unit, origin: Origin = Origin.TYPICAL) -> Band:
    """Return the band of a typical value."""
    to_si = unit.convert
    return Band(key, to_si(row.value), to_si(row.low), to_si(row.high), unit.symbol, origin, row.source)


def exact(key: str, value: float, unit: str, origin: Origin = Origin.DECLARED, source: str = "user") -> Band:
    """Return a band of no width."""
    return Band(key, value, value, value, unit, origin, source)


def band(
    key: str,
    reading: Reading | None,
    row: Typical,
    unit: Unit,
    trust: Trust,
    learned: Reading | None = None,
) -> Band:
    """Return the best there is: what the plan says, else what records taught, else what is typical.

    A guess gives way to what records taught.
    """
    if reading is not None and (learned is None or reading.how is not How.GUESS):
        return from_reading(key, reading, unit, trust)
    if learned is not None:
        taught = from_reading(key, learned, unit, trust)
        return Band(key, taught.value, taught.low, taught.high, taught.unit, Origin.LEARNED, "user")
    return from_typical(key, row, unit)
