"""What rotorpy does not have: noise between its steps, the pack, the radio and the hand, added to a flown log."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.design import Design

Floats = NDArray[np.float64]
STEP_S: Final = 1e-3
REST_V: Final = ((0.0, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0), (3.3, 3.66, 3.72, 3.79, 3.88, 4.02, 4.2))
"""Rest volts of a LiPo cell by charge (common practice)."""


def slow_noise(rng: np.random.Generator, rows: int, size: float, tau_s: float) -> Floats:
    """Return noise that wanders over `tau_s`."""
    every = max(1, int(tau_s / STEP_S / 3.0))
    knots = rng.standard_normal(rows // every + 3)
    return np.asarray(size * np.interp(np.arange(rows) / every, np.arange(len(knots)), knots))


def lagged(values: Floats, tau_s: float) -> Floats:
    """Return values behind one RC pair, stepped at 20 ms."""
    keep, out, state = math.exp(-0.02 / tau_s), np.empty(len(values[::20])), 0.0
    for i, value in enumerate(values[::20]):
        state = keep * state + (1.0 - keep) * float(value)
        out[i] = state
    return np.interp(np.arange(len(values)), np.arange(len(out)) * 20.0, out)


def pack_and_radio(log: Floats, design: Design) -> None:
    """Fill in volts, current, charge, level, quality, loss; noise on sensors; a hand that trembles."""
    rng = np.random.default_rng([design.seed, 19])
    rows, craft, faults = len(log), design.craft, design.faults
    t = np.arange(rows) * STEP_S
    log[:, at.GYRO : at.GYRO + 3] += rng.normal(0.0, craft.gyro_noise, (rows, 3)) + craft.bias
    log[:, at.ACC : at.ACC + 3] += rng.normal(0.0, craft.acc_noise, (rows, 3))
    lift = craft.thrust_max / craft.speed_max**2
    thrust = lift * log[:, at.SPEED : at.SPEED + 4] ** 2
    power = (thrust**1.5).sum(axis=1) / math.sqrt(2.0 * 1.225 * craft.disc) / craft.merit / 0.75 + craft.idle_w
    ohm = craft.r_pack + np.where(t >= faults.step, faults.step_ohm, 0.0)
    volts = np.full(rows, 4.0 * craft.cells)
    for _ in range(3):  # power, volts and current agree after a few rounds
        current = power / np.maximum(volts, 2.0 * craft.cells)
        used = np.cumsum(current) * STEP_S / 3600.0
        rest = np.interp(craft.charge0 - used / craft.capacity, *REST_V)
        volts = craft.cells * rest - ohm * current - craft.r_slow * lagged(current, craft.slow_s)
    log[:, at.VOLTS], log[:, at.CURRENT] = volts + rng.normal(0.0, 0.01, rows), current + rng.normal(0.0, 0.2, rows)
    log[:, at.CHARGE], log[:, at.REST] = used, rest
    away = np.sqrt((log[:, at.NORTH : at.NORTH + 3] ** 2).sum(axis=1))
    fade = np.interp(t, [faults.fade, faults.fade + faults.fade_ramp, faults.fade_end, faults.fade_end + 0.1],
                     [0.0, faults.fade_db, faults.fade_db, 0.0])  # fmt: skip
    level = craft.level0 - 20.0 * np.log10(1.0 + away / 20.0) + slow_noise(rng, rows, 1.5, 1.0) - fade
    log[:, at.LEVEL] = level + np.repeat(rng.normal(0.0, 1.0, rows // 20 + 1), 20)[:rows]
    quality = 1.0 / (1.0 + np.exp(-(level - craft.sensitivity) / 1.5))
    quality = np.where((t >= faults.jam) & (t < faults.jam_end), quality * 0.35, quality)
    log[:, at.QUALITY] = np.clip(quality, 0.0, 1.0)
    gone = quality < 0.05
    log[:, at.LOST] = np.where(gone & (np.convolve(gone, np.ones(500), mode="full")[:rows] >= 499.5), 1.0, 0.0)
    hand = np.column_stack([slow_noise(rng, rows, 0.01, 0.08) for _ in range(3)])
    log[:, at.STICK : at.STICK + 3] = np.clip(log[:, at.STICK : at.STICK + 3] + hand, -1.0, 1.0)
    held = (t >= faults.frozen) & (t < faults.frozen_end) | gone
    first = np.maximum.accumulate(np.where(held, 0, np.arange(rows)))
    log[:, at.STICK : at.STICK + 4] = log[first, at.STICK : at.STICK + 4]
