"""The words of every rule, by its key."""

from __future__ import annotations

from typing import Final

from turnback.report.rule_words import RuleWords
from turnback.report.words_care_rules import CARE
from turnback.report.words_fall_rules import FALL
from turnback.report.words_flight import CHANCE, ENERGY, PACK, RETURN, WEATHER
from turnback.report.words_hearing_rules import HEARING
from turnback.report.words_people import PEOPLE, PROPELLERS, SITE
from turnback.report.words_skills import PILOT
from turnback.report.words_walk_rules import WALK

RULE_WORDS: Final[dict[str, RuleWords]] = {
    **CHANCE,
    **ENERGY,
    **PACK,
    **RETURN,
    **WEATHER,
    **PROPELLERS,
    **PEOPLE,
    **SITE,
    **PILOT,
    **CARE,
    **FALL,
    **WALK,
    **HEARING,
}
