"""The second generator's radio: level and packets each way, by distance, attitude, place, time and current."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from studies.debrief_flown.rotorpy_world import Build, Floats, Rng, Wrong

FLOOR_DBM = -130.0
LOST_BELOW = 0.04


@dataclass(slots=True)
class Heard:
    """One moment: levels in dBm, shares of packets, ratio of signal to noise in dB, power in W."""

    level: float
    back: float
    quality: float
    quality_back: float
    ratio: float
    watt: float
    usual: float
    """Level that distance alone would give."""


def wander(rng: Rng, n: int, size: float, tau: int) -> Floats:
    """Return noise of a size that wanders over `tau` rows."""
    knots = rng.standard_normal(n // max(tau, 1) + 4)
    return np.asarray(size * np.interp(np.arange(n) / max(tau, 1), np.arange(len(knots)), knots))


class Radio:
    """Both ways of the control link, 50 times a second."""

    def __init__(self, build: Build, wrong: Wrong, rng: Rng, ticks: int) -> None:
        """Draw what wanders, for so many ticks of 20 ms."""
        self.build, self.wrong = build, wrong
        self.slow = wander(rng, ticks, 0.9, 40)
        self.ragged = wander(rng, ticks, 1.0, 12)
        self.back_off = float(rng.uniform(-3.0, 1.0))
        self.notes: dict[str, Any] = wrong.notes
        self.tilt = float(rng.uniform(0.3, 1.2))
        self.watt = float(rng.choice([0.1, 0.25, 0.5]))

    def hear(self, tick: int, at: tuple[float, float, float], way: tuple[float, float, float], amps: float) -> Heard:
        """Return what is heard.

        Parameters
        ----------
        tick : int
            Of 20 ms.
        at : tuple
            Metres from the launch point: forward is north, left is west, up.
        way : tuple
            Unit vector toward the pilot in the aircraft's own axes: forward, left, up.
        amps : float
        """
        t = tick * 0.02
        away = math.sqrt(at[0] ** 2 + at[1] ** 2 + at[2] ** 2)
        usual = self.build.level_dbm - 20.0 * math.log10(max(away, 10.0) / 10.0)
        both, up, down, noise_up, noise_back, watt = self._changed(t, tick, at, away, way, amps)
        if self.wrong.lost_s <= t < self.wrong.lost_until_s:
            both -= 80.0 * min(1.0, (t - self.wrong.lost_s) / 0.1)
        level = max(usual + both + up + self.slow[tick] - self.tilt * abs(way[1]), FLOOR_DBM)
        back = max(usual + both + down + self.back_off + 0.7 * self.slow[tick] - self.tilt * abs(way[1]), FLOOR_DBM)
        quality = 1.0 / (1.0 + math.exp(-(level - self.build.needs_dbm - noise_up) / 1.4))
        quality_back = 1.0 / (1.0 + math.exp(-(back - self.build.needs_dbm + 2.0 - noise_back) / 1.4))
        if noise_up > 0.0 and noise_up < 1e3:
            quality *= max(0.0, 1.0 - noise_up / 70.0)
        ratio = min(max(level - self.build.needs_dbm - 4.0 - 0.6 * noise_up, -12.0), 42.0)
        return Heard(level, back, quality, quality_back, ratio, watt, usual)

    def _changed(
        self, t: float, tick: int, at: tuple[float, float, float], away: float, way: tuple[float, float, float],
        amps: float,
    ) -> tuple[float, float, float, float, float, float]:  # fmt: skip
        """Return what is added both ways, up, down, noise up and back, and the power."""
        kind, notes = self.wrong.link, self.notes
        both = up = down = noise_up = noise_back = 0.0
        watt = self.watt
        if kind == "null":
            axis = notes["axis"]
            along = sum(a * b for a, b in zip(axis, way, strict=True))
            both = -notes["depth"] * math.exp(-((math.acos(max(-1.0, min(1.0, along))) / notes["wide"]) ** 2))
        elif kind == "terrain":
            over = notes["ridge_m"] + (away - notes["from_m"]) * notes["slope"] - at[2]
            if away > notes["from_m"] and over > 0.0:
                both = -notes["loss"] - min(over, 8.0) * 0.7 + 1.0 * self.ragged[tick]
        elif kind == "trees":
            if notes["from_m"] < away < notes["to_m"]:
                edge = min(away - notes["from_m"], notes["to_m"] - away) / 6.0
                both = -min(1.0, edge) * (notes["loss"] + 3.0 * self.ragged[tick])
        elif kind == "body":
            if any(begin <= t < end for begin, end in notes["spells"]):
                both = -notes["loss"] + 0.8 * self.ragged[tick]
        elif kind == "interference":
            if any(begin <= t < end for begin, end in notes["spells"]):
                noise_up = noise_back = notes["noise"] + 4.0 * self.ragged[tick]
        elif kind == "aboard":
            noise_up = max(0.0, notes["noise"] * (amps / notes["amps"]) + 1.5 * self.ragged[tick])
        elif kind == "weak":
            up, watt = -notes["step"], self.watt * 10.0 ** (-notes["step"] / 10.0)
        elif kind == "hot":
            if t > notes["hot_s"]:
                up = -notes["step"] * (1.0 if t > notes["hot_s"] + 6.0 or not notes["twice"] else 0.5)
                watt = self.watt * 10.0 ** (up / 10.0)
        elif kind == "back":
            down = -notes["step"]
        elif kind == "none":
            both = -200.0
        return both, up, down, noise_up, noise_back, watt
