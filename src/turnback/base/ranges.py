"""The one range checker: a range and unit declared per argument, told in one sentence when broken."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input


def within(name: str, value: Any, low: float, high: float, unit: str, slip: str = "") -> NDArray[np.float64]:
    """Return `value` as a float array if all of it is finite and inside ``[low, high]``.

    Parameters
    ----------
    name : str
        The argument's name, unit suffix included.
    value : float or array_like
        Any shape.
    low, high : float
        Inclusive range, in `unit`.
    unit : str
        The unit, for the message.
    slip : str
        The likely slip, such as ``"enter ohms, not milliohms"``.

    Raises
    ------
    InputError
        If any element is not finite or lies outside the range.
    """
    array = np.asarray(value, dtype=np.float64)
    bad = ~(np.isfinite(array) & (array >= low) & (array <= high))
    if bad.any():
        worst = float(array[bad].flat[0])
        raise bad_input(
            name,
            f"{worst:g} {unit} is outside {low:g} to {high:g} {unit}".replace("  ", " "),
            slip or "enter a value inside that range",
        )
    return array
