"""Words of the rules on falling."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.rule_words import RuleWords

FALL: Final[dict[str, RuleWords]] = {
    "fall.area": RuleWords(
        mark("A fall can end where people may be"),
        mark("If its motors stop on this route, it can come down in an area where people may be."),
    ),
    "fall.area_near": RuleWords(
        mark("A few falls can end where people may be"),
        mark("Nine of ten falls on this route end clear of the areas where people may be; a few do not."),
    ),
    "fall.energy": RuleWords(
        mark("What a fall brings to the ground"),
        mark("The hardest fall of this route brings this much energy to the ground."),
    ),
}
