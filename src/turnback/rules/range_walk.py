"""Rules on reading a range walk: when a reading says only "no more than this"."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

MEASURED: Final = Rule(
    "walk.measured", 1, "", "our-choice",
    "An answer that rests on a measurement of this place says so, with its day and how far it goes.",
    "none",
)  # fmt: skip
FLOOR_SHARE: Final = Rule(
    "walk.floor_share", 0.10, "", "our-choice",
    "Levels spread: where a tenth of all readings share the very lowest one, the receiver cannot show less.",
    "walk_nearer",
)  # fmt: skip
PACKETS_LEAST: Final = Rule(
    "walk.packets_least", 0.70, "", "our-choice",
    "Where packets are lost, the shown level is that of the packets that came through: the true one is lower.",
    "walk_nearer",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))
