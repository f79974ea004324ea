"""Thresholds of a corner that gives way before its output comes to its end."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

GIVES_FAST: Final = Threshold(
    "record.signs.gives_fast_rad_s", 1.0, "rad/s", "our-choice",
    "Toward a corner that gives far more than the others: where it turns more slowly the loop holds it, and a gust or "
    "a load on one side is enough.",
)  # fmt: skip
GIVES_FAR: Final = Threshold(
    "record.signs.gives_far_rad", 0.45, "rad", "our-choice",
    "Some twenty-five degrees toward a corner that gives far more than the others, though not all it has: more than "
    "where it gives all, since its own wash and a gust can turn it so by twenty.",
)  # fmt: skip
GIVES_TIMES: Final = Threshold(
    "record.signs.gives_times", 3.0, "", "our-choice",
    "Times the next highest output: near a closed throttle a small difference is most of the lift.",
)  # fmt: skip
GIVES_ABOVE_LOW: Final = Threshold(
    "record.signs.gives_above_low", 0.12, "", "our-choice",
    "Above the mean of the others near a closed throttle: less gives next to no thrust.",
)  # fmt: skip

RULES: Final = (GIVES_FAST, GIVES_FAR, GIVES_TIMES, GIVES_ABOVE_LOW)
