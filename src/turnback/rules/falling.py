"""Rules on falling, and the published thresholds that a fall is shown beside: context, never a licence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.rules.rule import Rule

POUND_KG: Final = 0.45359237  # exact, by agreement of 1959
FOOT_POUND_J: Final = 0.3048 * POUND_KG * 9.80665  # exact: a foot times a pound's weight at standard gravity

FALL_AREA: Final = Rule(
    "fall.area", 1, "", "our-choice",
    "If its motors stop there, it comes down where people may be, and nothing steers it.",
    "keep_falls_clear",
)  # fmt: skip
FALL_AREA_NEAR: Final = Rule(
    "fall.area_near", 0.0, "", "our-choice",
    "Outside the ground that holds nine of ten falls a few still end: people there are not out from under it.",
    "keep_falls_clear",
)  # fmt: skip
FALL_ENERGY: Final = Rule(
    "fall.energy", 0.0, "J", "our-choice",
    "How much a fall brings to the ground is context: no threshold makes it harmless, and none is held against it.",
    "keep_ground_empty",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))


@dataclass(frozen=True, slots=True)
class Published:
    """One threshold of a law, as context.

    Parameters
    ----------
    key : str
        Worded in ``report/words_fall.py``.
    value : float
        The threshold, in `unit`.
    unit : str
        ``"J"``, ``"kg"`` or ``"m/s"``.
    clause : str
        As its law numbers it.
    source : str
        Citation key (``base/sources.py``).
    why : str
        What the clause is about, one sentence.
    """

    key: str
    value: float
    unit: str
    clause: str
    source: str
    why: str


PUBLISHED: Final = (
    Published(
        "energy.cfr_107_110", 0.55 * POUND_KG, "kg", "14 CFR 107.110(a)(1)", "cfr-107",
        "0.55 pounds or less with all that it carries, and by (a)(2) no bare turning parts that would cut skin.",
    ),
    Published(
        "energy.cfr_107_120", 11.0 * FOOT_POUND_J, "J", "14 CFR 107.120(a)(1)", "cfr-107",
        "An injury less severe than that of 11 foot-pounds handed over by a rigid object: a comparison of injuries.",
    ),
    Published(
        "energy.cfr_107_130", 25.0 * FOOT_POUND_J, "J", "14 CFR 107.130(a)(1)", "cfr-107",
        "An injury less severe than that of 25 foot-pounds handed over by a rigid object: a comparison of injuries.",
    ),
    Published(
        "energy.eu_c0_mass", 0.25, "kg", "(EU) 2019/945, annex, part 1 (class C0)", "eu-2019-945",
        "Less than 250 g at take-off; the class is for aircraft with a class mark, not for privately built ones.",
    ),
    Published(
        "energy.eu_c0_speed", 19.0, "m/s", "(EU) 2019/945, annex, part 1 (class C0)", "eu-2019-945",
        "No faster than 19 m/s in level flight; it is a speed of flight, not of falling.",
    ),
    Published(
        "energy.eu_c1_mass", 0.9, "kg", "(EU) 2019/945, annex, part 2 (class C1)", "eu-2019-945",
        "Less than 900 g at take-off, instead of the energy; for aircraft with a class mark.",
    ),
    Published(
        "energy.eu_c1_energy", 80.0, "J", "(EU) 2019/945, annex, part 2 (class C1)", "eu-2019-945",
        "Less than 80 J passed to a human head that it meets at its terminal speed; for aircraft with a class mark.",
    ),
)  # fmt: skip
