"""Columns that are no channel: counters, debugging, copies."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.naming import Hand, Heading, cased
from studies.record_flown.sensors import Made
from studies.record_flown.units import UNITLESS, Unit

Floats = NDArray[np.float64]
Rng = np.random.Generator
WORDS: Final = (
    "debug {n}", "debug value {n}", "cpu load", "free memory", "loop duration", "task overrun", "bus errors", "flags",
    "status bits", "checksum", "reserved", "unused {n}", "heater duty", "vibration metric", "filter state {n}",
    "log buffer used", "speed control temperature {n}", "scheduler lag", "spare {n}", "integral term roll",
    "proportional term pitch", "derivative term roll", "innovation {n}", "covariance trace", "camera tilt servo",
    "light pattern", "buzzer", "menu page", "dropped frames", "write latency",
)  # fmt: skip


def values_of(words: str, n: int, rng: Rng) -> Floats:
    """Return numbers that such a column could hold."""
    kind = int(rng.integers(0, 6))
    if "temperature" in words:
        return np.round(35.0 + np.cumsum(rng.normal(0.0, 0.02, n)), 1)
    if "load" in words or "duty" in words or "used" in words:
        return np.round(np.clip(rng.normal(35.0, 4.0, n), 0.0, 100.0), 1).astype(np.float64)
    if kind == 0:
        return np.zeros(n)
    if kind == 1:
        return np.floor(np.cumsum(rng.random(n) < 0.01)).astype(np.float64)
    if kind == 2:
        return rng.integers(-3000, 3000, n).astype(np.float64)
    if kind == 3:
        return np.round(rng.normal(0.0, rng.uniform(0.1, 50.0), n), 3)
    if kind == 4:
        return np.full(n, float(rng.integers(0, 256)))
    return rng.choice([0.0, 1.0, 2.0, 16.0, 64.0], n)


def junk_columns(kept: list[Made], n: int, hand: Hand, rng: Rng) -> list[dict[str, Any]]:
    """Return from none to seven such columns, a running count and raw copies among them."""
    found = []
    for _ in range(int(rng.integers(0, 6))):
        words = str(rng.choice(WORDS)).replace("{n}", str(rng.integers(0, 8)))
        head = Heading(hand.prefix + cased(words, hand.case), "", False, False)
        found.append(_column(head, values_of(words, n, rng), "", UNITLESS))
    if rng.random() < 0.2:
        words = str(rng.choice(["loop iteration", "row", "sample index", "seq", "frame number", "index", "cnt"]))
        counted = np.arange(n, dtype=np.float64) * float(rng.choice([1.0, 1.0, 2.0, 8.0])) + float(
            rng.integers(0, 9999)
        )
        found.append(_column(Heading(hand.prefix + cased(words, hand.case), "", True, False), counted, "row", UNITLESS))
    gyro = [each for each in kept if each.quantity in {"roll_rate", "pitch_rate", "yaw_rate"}]
    if gyro and rng.random() < 0.12:
        counts = Unit("counts", np.pi / 180.0 / 16.4, 0.0, (), (), 1, 0)
        for axis, each in zip("xyz", gyro, strict=False):
            head = Heading(hand.prefix + cased(f"raw gyro {axis}", hand.case), "", False, False)
            found.append(_column(head, np.round(each.values / counts.scale), "", counts, also=each.quantity))
    if rng.random() < 0.06:
        found.append(_column(Heading(hand.prefix + "note", "", False, False), np.full(n, np.nan), "", UNITLESS))
    return found


def _column(head: Heading, values: Floats, quantity: str, unit: Unit, also: str = "") -> dict[str, Any]:
    return {"head": head, "values": values, "labels": (), "quantity": quantity, "unit": unit, "sense": 1,
            "corner": None, "number": None, "also": also}  # fmt: skip
