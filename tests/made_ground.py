"""Ground of our own making, for tests and benchmarks: flat, a dome, gentle relief, and a fractal with ridges."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import fft

Ground = NDArray[np.float32]


def flat(side: int, height_m: float = 200.0) -> Ground:
    return np.full((side, side), height_m, dtype=np.float32)


def dome(side: int, top_m: float = 150.0) -> Ground:
    """A round hill whose top is off the middle."""
    away = np.linspace(-1.0, 1.0, side)
    found = 200.0 + top_m * np.exp(-3.0 * ((away[None, :] - 0.3) ** 2 + (away[:, None] + 0.2) ** 2))
    return np.asarray(found, dtype=np.float32)


def fractal(side: int, relief_m: float, seed: int, roughness: float = 0.8) -> Ground:
    """Spectral synthesis: amplitudes fall with the wave number to the power of -(roughness + 1)."""
    rng = np.random.default_rng(seed)
    down = np.fft.fftfreq(side).astype(np.float32)
    right = np.fft.rfftfreq(side).astype(np.float32)
    wave = np.hypot(down[:, None], right[None, :])
    wave[0, 0] = 1.0
    size: Any = wave.shape
    parts = np.empty(size, dtype=np.complex64)
    parts.real = rng.standard_normal(size, dtype=np.float32)
    parts.imag = rng.standard_normal(size, dtype=np.float32)
    parts *= wave ** np.float32(-(roughness + 1.0))
    parts[0, 0] = 0.0
    ground = fft.irfft2(parts, s=(side, side), overwrite_x=True)
    ground -= ground.min()
    return np.asarray(200.0 + ground * np.float32(relief_m / float(ground.max())), dtype=np.float32)


def gentle(side: int, seed: int = 7) -> Ground:
    """A few metres of relief: nothing blocks, everything grazes."""
    return fractal(side, 6.0, seed, roughness=1.2)
