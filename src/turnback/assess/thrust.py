"""What motors, propellers and pack can give together: full output, hover output, greatest level speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Thrust:
    """Each array has shape ``(j,)``."""

    most_n: Array
    margin_ratio: Array
    hover_output_fraction: Array
    full_current_a: Array
    """Pack current at full output."""
    full_motor_current_a: Array
    full_sag_v: Array
    """Rest minus loaded volts of one cell at full output."""
    most_level_mps: Array


__all__ = ["DrawSet", "Thrust"]
