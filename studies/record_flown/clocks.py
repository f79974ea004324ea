"""Clocks as strangers' records have them: units, jitter, wraps, new beginnings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
EPOCH_S: Final = 1_700_000_000.0
"""A moment of no meaning in 2023."""
MIDNIGHT_S: Final = 1_700_006_400.0
"""The next midnight."""


@dataclass(frozen=True, slots=True, eq=False)
class ClockWritten:
    """A column of time.

    Parameters
    ----------
    cells : ndarray or list of str
    unit : str
        One of s, ms, us, ns, epoch s, epoch ms, iso, hms.
    slips : tuple of str
        What is wrong with it.
    """

    cells: Floats | list[str]
    unit: str
    slips: tuple[str, ...]


UNITS: Final = ("s", "ms", "us", "ns", "epoch s", "epoch ms", "iso", "hms")
TEXTS: Final = {"s": ("s", "sec", "seconds"), "ms": ("ms", "msec", "milliseconds"), "us": ("us", "µs", "microseconds"),
                "ns": ("ns",), "epoch s": ("s",), "epoch ms": ("ms",), "iso": (), "hms": ()}  # fmt: skip
FACTOR: Final = {"s": 1.0, "ms": 1e3, "us": 1e6, "ns": 1e9, "epoch s": 1.0, "epoch ms": 1e3}


def write_clock(t_s: Floats, restart_row: int | None, rate_hz: float, rng: np.random.Generator) -> ClockWritten:
    """Write the times of a record down as some recorder would.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        Seconds of the flight at each row.
    restart_row : int or None
        First row after the board has started anew.
    """
    unit = str(rng.choice(UNITS, p=[0.36, 0.2, 0.2, 0.03, 0.05, 0.05, 0.07, 0.04]))
    slips: list[str] = []
    start = float(rng.choice([0.0, 0.0, rng.uniform(5.0, 900.0)]))
    t = t_s - t_s[0] + start
    step = 1.0 / rate_hz
    if rng.random() < 0.2:
        slips.append("jitter")
        t = t + np.clip(rng.normal(0.0, 0.08 * step, len(t)), -0.3 * step, 0.3 * step)
    if restart_row is not None and not unit.startswith(("epoch", "iso", "hms")) and rng.random() < 0.7:
        slips.append("again")
        t = t.copy()
        t[restart_row:] -= t[restart_row] - rng.uniform(0.0, 0.4)
    elif unit == "us" and rng.random() < 0.15:
        slips.append("wrapped")
        wrap_s = 2**32 / 1e6
        t = np.mod(t - t[0] + wrap_s - rng.uniform(0.2, 0.8) * (t[-1] - t[0]), wrap_s)
    elif rng.random() < 0.05 and len(t) > 1000:
        slips.append("back")
        t = t.copy()
        for row in rng.integers(100, len(t) - 100, 3):
            t[row] -= rng.uniform(2.0, 20.0) * step
    if unit in {"iso", "hms"}:
        begin_s = EPOCH_S
        late = rng.spawn(1)[0]
        if late.random() < 0.3:
            slips.append("midnight")
            begin_s = MIDNIGHT_S - t[0] - late.uniform(0.2, 0.8) * (t[-1] - t[0])
        return ClockWritten(_moments(t, unit, begin_s, rng), unit, tuple(slips))
    if unit.startswith("epoch"):
        t = t + EPOCH_S
    cells = t * FACTOR[unit]
    if unit in {"ms", "epoch ms"} and rate_hz > 500.0:
        cells = np.round(cells, 1 if rate_hz > 1000.0 else 0) if "jitter" not in slips else np.round(cells, 3)
    else:
        cells = np.round(cells, {"s": 6 if rate_hz > 200.0 else 4, "epoch s": 4, "ms": 1, "epoch ms": 0}.get(unit, 0))
    return ClockWritten(cells, unit, tuple(slips))


def _moments(t: Floats, unit: str, begin_s: float, rng: np.random.Generator) -> list[str]:
    ends = str(rng.choice(["Z", "", "+00:00"]))
    gap = str(rng.choice(["T", " "]))
    return moments(t, unit, begin_s, gap, ends)


def moments(t: Floats, unit: str, begin_s: float, gap: str, ends: str) -> list[str]:
    """Return times as dates with times (``iso``, RFC 3339) or as times of day."""
    begin = datetime.fromtimestamp(begin_s, UTC)
    found = []
    for each in t:
        moment = begin + timedelta(seconds=float(each))
        if unit == "iso":
            found.append(moment.strftime(f"%Y-%m-%d{gap}%H:%M:%S.") + f"{moment.microsecond // 1000:03d}{ends}")
        else:
            found.append(moment.strftime("%H:%M:%S.") + f"{moment.microsecond // 1000:03d}")
    return found
