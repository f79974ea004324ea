"""Where two units of a quantity are both plausible and none is written, nobody guesses."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from tests.readers.record_tables import Floats, Q, smooth, table

from turnback.readers.record_match import match_columns
from turnback.readers.record_units import UNITS, Unit
from turnback.records.channel import Quantity
from turnback.rules import record_columns as rules
from turnback.rules.rule import Threshold

# Plain names, and from which to which size the signal goes, evenly in its logarithm: from an aircraft at rest to the
# wildest one. Level and spread in the quantity's unit inside. Invented.
CASES: dict[str, tuple[Quantity, tuple[float, float], tuple[float, float]]] = {
    "roll rate": (Q.ROLL_RATE, (0.0, 0.0), (0.002, 12.0)),
    "pitch rate setpoint": (Q.PITCH_RATE_DEMAND, (0.0, 0.0), (0.002, 12.0)),
    "roll angle": (Q.ROLL, (0.0, 0.0), (0.001, 0.8)),
    "heading": (Q.HEADING, (0.2, 5.0), (0.002, 0.5)),
    "roll stick": (Q.ROLL_STICK, (0.0, 0.0), (0.004, 0.45)),
    "throttle": (Q.THROTTLE, (0.004, 0.6), (0.0004, 0.12)),
    "motor 3": (Q.OUTPUT, (0.08, 0.7), (0.02, 0.1)),
    "link quality": (Q.LINK_QUALITY, (0.05, 0.9), (0.002, 0.03)),
    "battery current": (Q.CURRENT, (0.3, 120.0), (0.02, 20.0)),
    "battery voltage": (Q.PACK_VOLTS, (3.4, 50.0), (0.03, 0.25)),
    "cell 2 voltage": (Q.CELL_VOLTS, (3.0, 4.3), (0.02, 0.25)),
    "consumed charge": (Q.CHARGE_USED, (0.01, 8.0), (0.005, 2.0)),
    "electrical power": (Q.POWER, (3.0, 3000.0), (0.3, 400.0)),
    "height above launch": (Q.HEIGHT_LAUNCH, (0.5, 900.0), (0.2, 150.0)),
    "distance to home": (Q.DISTANCE_LAUNCH, (1.0, 5000.0), (0.3, 900.0)),
    "ground speed": (Q.GROUND_SPEED, (0.2, 45.0), (0.1, 9.0)),
    "climb rate": (Q.CLIMB_RATE, (0.0, 0.0), (0.02, 9.0)),
    "velocity east": (Q.VELOCITY_EAST, (0.0, 0.0), (0.05, 20.0)),
    "board temperature": (Q.BOARD_TEMPERATURE, (-10.0, 90.0), (0.2, 8.0)),
    "rotor speed 2": (Q.ROTOR_SPEED, (40.0, 800.0), (3.0, 120.0)),
    "pressure": (Q.PRESSURE, (80000.0, 103000.0), (10.0, 900.0)),
    "magnetic x": (Q.MAGNETIC_X, (0.0, 0.0), (1.0, 40.0)),
    "acceleration x": (Q.ACCELERATION_X, (0.0, 0.0), (0.05, 15.0)),
}
TABLES = 132


def _drawn(rng: np.random.Generator, low: float, high: float) -> float:
    if low <= 0.0:
        return float(rng.uniform(low, high))
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def _bounded(quantity: Quantity, values: Floats) -> Floats:
    if quantity in {Q.THROTTLE, Q.OUTPUT, Q.LINK_QUALITY}:
        return np.clip(values, 0.0, 1.0)
    if quantity in {Q.ROLL_STICK}:
        return np.clip(values, -1.0, 1.0)
    if quantity is Q.CHARGE_USED:
        return np.asarray(np.sort(np.abs(values)))
    if quantity in {Q.CURRENT, Q.POWER, Q.GROUND_SPEED, Q.DISTANCE_LAUNCH, Q.ROTOR_SPEED}:
        return np.abs(values)
    return values


def made(seed: int) -> tuple[list[tuple[str, str, Floats]], list[Unit]]:
    """Return the columns of a table whose signals have nothing to do with one another, and their units."""
    rng = np.random.default_rng([seed, 77])
    rows = int(rng.integers(60, 900))
    columns, units = [], []
    for name, (quantity, level, spread) in CASES.items():
        unit = UNITS[quantity][int(rng.integers(len(UNITS[quantity])))]
        signal = smooth(rng, rows, 50.0, 5.0, _drawn(rng, *spread))
        values = _bounded(quantity, _drawn(rng, *level) + signal)
        written = (values - unit.offset) / unit.scale
        if unit.key in {"mV", "10 mV", "0.1 V", "mA", "10 mA", "0.1 A"} or (
            quantity in {Q.THROTTLE, Q.OUTPUT, Q.ROLL_STICK, Q.LINK_QUALITY} and abs(unit.scale) < 1.0 / 120.0
        ):
            written = np.round(written)
        columns.append((name, "", np.round(written, 6)))
        units.append(unit)
    return columns, units


def outcomes(tables: int) -> tuple[Counter[str], list[tuple[str, str, str]]]:
    """Return how many columns were right, asked or wrong, and the wrong ones."""
    counts: Counter[str] = Counter()
    wrong = []
    for seed in range(tables):
        columns, units = made(seed)
        for match, (name, _, values), unit in zip(match_columns(table(columns)).matches, columns, units, strict=True):
            if match.taken is None:
                counts["asked" if match.asks else "left out"] += 1
                assert match.asks or np.ptp(values) == 0.0, name
            elif math.isclose(match.taken.scale, unit.scale) and match.taken.channel.quantity is CASES[name][0]:
                counts["right"] += 1
            else:
                counts["wrong"] += 1
                wrong.append((name, unit.key, f"{match.taken.channel.key} {match.taken.unit}"))
    return counts, wrong


@pytest.mark.slow
def test_a_unit_that_nothing_tells_apart_is_never_taken() -> None:
    counts, wrong = outcomes(TABLES)
    assert wrong == []
    assert counts.total() >= 3000
    assert counts["right"] > 0.15 * counts.total()  # where ranges tell, it is taken


def test_without_the_demand_that_units_are_told_apart_some_are_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    none = Threshold("record.columns.apart", -1e9, "", "our-choice", "switched off")
    monkeypatch.setattr(rules, "APART", none)
    assert len(outcomes(12)[1]) > 0


@pytest.mark.parametrize("rows", [3, 6, 12, 25, 60])
@pytest.mark.parametrize("unit", ["s", "ms", "us"])
def test_a_clock_of_few_rows_is_taken_in_its_unit_or_asked_about(rows: int, unit: str) -> None:
    rng = np.random.default_rng([rows, len(unit)])
    scale = next(each.scale for each in UNITS[Q.TIME] if each.key == unit)
    for step_s in np.geomspace(0.0005, 20.0, 8):
        t = np.cumsum(step_s * rng.uniform(0.9, 1.1, rows)) / scale
        clock = match_columns(table([("time", "", np.round(t, 6)), ("pressure", "hPa", 1000 + rng.random(rows))]))
        taken = clock.matches[0].taken
        assert taken is None or (taken.channel.quantity is Q.TIME and math.isclose(taken.scale, scale))


def test_volts_of_about_one_cell_may_be_a_mean_of_cells() -> None:
    rng = np.random.default_rng(5)
    volts = 3.9 + 0.1 * rng.normal(size=400)
    bare, pack, numbered = match_columns(
        table([("voltage", "V", volts), ("battery voltage", "V", volts + 0.3), ("cell 1 voltage", "V", volts)])
    ).matches
    assert bare.taken is None and bare.asks
    assert pack.taken is None or pack.taken.channel.quantity is Q.PACK_VOLTS
    assert numbered.taken is not None and numbered.taken.channel.quantity is Q.CELL_VOLTS


@pytest.mark.parametrize("name", ["battery voltage", "Akku", "pack volts"])
@pytest.mark.parametrize(("unit", "scale"), [("V", 1.0), ("", 1.0), ("", 10.0)])
def test_volts_of_one_cell_under_the_name_of_the_pack_are_asked_about(name: str, unit: str, scale: float) -> None:
    volts = np.linspace(4.2, 3.6, 600) * scale
    volts = np.round(volts, 2 if scale == 1.0 else 0)
    (match,) = match_columns(table([(name, unit, volts)])).matches
    assert match.taken is None and match.asks


@pytest.mark.parametrize(("volts", "unit"), [(14.8, "V"), (22.2, "V"), (14.8, "0.1 V")])
def test_volts_of_several_cells_are_taken(volts: float, unit: str) -> None:
    scale = 1.0 if unit == "V" else 0.1
    written = np.round(np.linspace(1.1 * volts, 0.95 * volts, 600) / scale, 2 if scale == 1.0 else 0)
    taken = match_columns(table([("battery voltage", "", written)])).matches[0].taken
    assert taken is not None and (taken.channel.quantity, taken.unit) == (Q.PACK_VOLTS, unit)
