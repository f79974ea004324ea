"""Lines that follow a rotor: samples turned back by the rotor's own angle, block by block.

A sample stream times exp(-i k φ(t)), φ the angle of one rotor, moves the line at k times its speed to zero frequency
however the speed varies (Vold and Leuridan, High resolution order tracking, SAE 931288, 1993, the simplest form of it:
from memory). Each block is reduced to sums over `SUBS` parts of equal time; their spectrum holds the line at zero and
its surroundings beside it. Times need not be even.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

SUBS = 64


@kernel
def turned_back(  # noqa: PLR0912 - one pass, one loop within another
    t_s: NDArray[Any], speeds: NDArray[Any], values: NDArray[Any], first: NDArray[Any], after: NDArray[Any],
    length_s: float, orders: NDArray[Any],
) -> NDArray[Any]:  # fmt: skip
    """Return the mean of each part of each block, turned back by each rotor's angle.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    speeds : ndarray, shape (rotors, n)
        Revolutions a second at the same times.
    values : ndarray, shape (channels, n)
    first, after : ndarray of int, shape (blocks,)
        Rows of each block.
    length_s : float
        Of a block.
    orders : ndarray of int, shape (o,)
        Increasing multiples of rotor speed, from 1.

    Returns
    -------
    ndarray of complex128, shape (blocks, rotors, o, channels, SUBS)
        NaN in parts without a sample.
    """
    blocks, rotors, channels, lines = first.size, speeds.shape[0], values.shape[0], orders.size
    sums = np.zeros((blocks, rotors, lines, channels, SUBS), np.complex128)
    counts = np.zeros(SUBS)
    mean = np.zeros(channels)
    for block in range(blocks):
        start, stop = first[block], after[block]
        for part in range(SUBS):
            counts[part] = 0.0
        for channel in range(channels):
            mean[channel] = 0.0
        for row in range(start, stop):
            counts[min(int((t_s[row] - t_s[start]) / length_s * SUBS), SUBS - 1)] += 1.0
            for channel in range(channels):
                mean[channel] += values[channel, row]
        for channel in range(channels):
            mean[channel] /= max(stop - start, 1)
        for rotor in range(rotors):
            angle = 0.0
            for row in range(start, stop):
                if row > start:
                    angle += (speeds[rotor, row] + speeds[rotor, row - 1]) * np.pi * (t_s[row] - t_s[row - 1])
                part = min(int((t_s[row] - t_s[start]) / length_s * SUBS), SUBS - 1)
                turn = complex(np.cos(angle), -np.sin(angle))
                power = turn
                at = 1
                for line in range(lines):
                    while at < orders[line]:
                        power *= turn
                        at += 1
                    for channel in range(channels):
                        sums[block, rotor, line, channel, part] += power * (values[channel, row] - mean[channel])
        for part in range(SUBS):
            share = 1.0 / counts[part] if counts[part] > 0.0 else np.nan
            for rotor in range(rotors):
                for line in range(lines):
                    for channel in range(channels):
                        sums[block, rotor, line, channel, part] *= share
    return sums
