"""Rules on the care of a pack that are the same for every chemistry; the others stand in ``chemistry.toml``."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

REST: Final = Rule(
    "care.rest", 600.0, "s", "common-practice",
    "Volts are at rest ten minutes after load or charge: the slowest part of the sag, 40 to 60 s, is over by then.",
    "measure_rest_v",
)  # fmt: skip
CHARGE_COLD: Final = Rule(
    "care.charge_cold", 5.0, "°C", "common-practice",
    "Charged colder than this, metal grows inside the cell and stays: less capacity, and a short circuit later.",
    "warm_pack",
)  # fmt: skip
CHARGE_HOT: Final = Rule(
    "care.charge_hot", 45.0, "°C", "common-practice",
    "A pack warm from flight ages when charged; it cools in half an hour.",
    "let_pack_cool",
)  # fmt: skip
CELL_HARMED: Final = Rule(
    "care.cell_harmed", 1.0, "", "common-practice",
    "A cell that rests below its damage volts is harmed inside; charging it is how packs catch fire.",
    "retire_pack",
)  # fmt: skip
CAPACITY_DISAGREES: Final = Rule(
    "care.capacity_last_flight", 0.85, "", "our-choice",
    "What the charger put back fills less than this of the capacity that label and age promise: the pack is worn, or a "
    "reading is off; either way it holds less than it says.",
    "measure_capacity",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))
