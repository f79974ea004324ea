"""Turning without the rotors' shaking: what is faster than any aircraft is flown says nothing of whether it follows."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from turnback.assess.motion_axes import Axis
from turnback.assess.signs_outputs_flight import smoothed

SHAKING_S: Final = 0.04
"""A mean over so long leaves a tenth of what rotors shake at (80 Hz and more) and most of what gains swing at."""


def calmed(axes: tuple[Axis, ...]) -> tuple[Axis, ...]:
    """Return axes whose rates and demands are means over a moment.

    Parameters
    ----------
    axes : tuple of Axis
    """
    return tuple(_calm(axis) for axis in axes)


def _calm(axis: Axis) -> Axis:
    rows = max(1, round(SHAKING_S * axis.rate.rate_hz))
    rate = replace(axis.rate, values=smoothed(axis.rate.values, rows))
    return replace(axis, rate=rate, demand=None if axis.demand is None else smoothed(axis.demand, rows))
