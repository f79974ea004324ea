"""What 16 bits of a layer can say: held at the ends, never wrapped to the other side."""

from __future__ import annotations

import math

import numpy as np
import pytest

from turnback.assess.homing_cell import put_kernel
from turnback.records.home_map import NO_DATA


@pytest.mark.parametrize(
    ("value", "written"),
    [(4.0, 400), (-4.0, -400), (327.8, 32767), (1e30, 32767), (math.inf, 32767), (-1e30, -32767), (-math.inf, -32767),
     (math.nan, NO_DATA)],
)  # fmt: skip
def test_a_number_is_held_at_the_ends_of_its_layer(value: float, written: int) -> None:
    """A wind that cannot be beaten asks for infinite energy: it must not read as less than none."""
    layers = np.zeros((1, 1, 1), dtype=np.int16)
    put_kernel(layers, 0, 0, 0, value, 100.0)
    assert layers[0, 0, 0] == written
