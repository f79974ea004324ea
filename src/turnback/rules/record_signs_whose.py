"""Thresholds that tell a weight off the middle from a corner that lifts too little, by what their pull goes with."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

WHOSE: Final = Threshold(
    "record.signs.whose_pull_ratio", 1.1, "", "our-choice",
    "One of the two leaves a tenth more of the turning unexplained than the other: where nothing but gusts and noise "
    "turns it both leave alike.",
)  # fmt: skip
UNTOLD_SURE: Final = Threshold(
    "record.signs.untold_pull_sure", 0.8, "", "our-choice",
    "A weight that sits exactly toward a corner looks the same: about one in ten does.",
)  # fmt: skip

RULES: Final = (WHOSE, UNTOLD_SURE)
