"""Thresholds on the clock of a flight record: what is a gap, a restart, a jump, a repeated time."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

GAP_STEPS: Final = Threshold(
    "record.clock.gap_steps", 3.0, "", "our-choice",
    "Ordinary unrest of a logger is one or two steps long; from three steps on rows are missing.",
)  # fmt: skip
WRAP_STEPS: Final = Threshold(
    "record.clock.wrap_steps", 10.0, "", "our-choice",
    "A counter that ran over comes back within a few steps of where it would have gone on.",
)  # fmt: skip
SPIKE_STEPS: Final = Threshold(
    "record.clock.spike_steps", 10.0, "", "our-choice",
    "One row whose time is off by more than this, between rows that are not, is a damaged cell.",
)  # fmt: skip
AGAIN_SHARE: Final = Threshold(
    "record.clock.again_share", 0.5, "", "our-choice",
    "A clock that loses more than half of its reading began again; one that loses less was set back.",
)  # fmt: skip
AGAIN_S: Final = Threshold(
    "record.clock.again_s", 3600.0, "s", "our-choice",
    "No clock is set back by more than an hour while it runs: it began again.",
)  # fmt: skip
JUMP_S: Final = Threshold(
    "record.clock.jump_s", 3600.0, "s", "our-choice",
    "A pause of more than an hour in a record that is shorter than the pause is a clock that was set, not a pause.",
)  # fmt: skip
STUCK_RUNS: Final = Threshold(
    "record.clock.stuck_runs", 5.0, "", "our-choice",
    "A time that is repeated this many times more often than others while the next is no later: the clock stood still.",
)  # fmt: skip
FRESH_LEAST: Final = Threshold(
    "record.clock.fresh_changes", 8.0, "", "our-choice",
    "From fewer changes of a value nobody can tell how often it is renewed.",
)  # fmt: skip
MOST_GAPS: Final = Threshold(
    "record.clock.most_gaps", 1000.0, "", "our-choice",
    "Nobody reads a longer list; the longest are kept.",
)  # fmt: skip
MOST_BACK: Final = Threshold(
    "record.clock.most_back", 2000.0, "", "our-choice",
    "With more steps back than this the rows are sorted or the steps mended all in one way, to stay quick.",
)  # fmt: skip

RULES: Final = (
    GAP_STEPS, WRAP_STEPS, SPIKE_STEPS, AGAIN_SHARE, AGAIN_S, JUMP_S, STUCK_RUNS, FRESH_LEAST, MOST_GAPS, MOST_BACK,
)  # fmt: skip
