"""Words of the rules on hearing a pilot's own words."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark
from turnback.report.rule_words import Kind, RuleWords

HEARING: Final[dict[str, RuleWords]] = {
    "hearing.most_letters": RuleWords(
        mark("Longest text that is read"),
        mark("A text longer than about ten pages is not read."),
        mark("The text has {value} letters{band}; at most {limit} are read."),
        kind=Kind.COUNT,
    ),
    "hearing.least_score": RuleWords(
        mark("Least likeness to a known phrase"),
        mark("A sign is heard where enough of a known phrase is in the text."),
        mark("Of a known phrase {value} is in the text{band}; a sign is heard from {limit} on."),
        kind=Kind.SHARE,
    ),
    "hearing.least_bag": RuleWords(
        mark("Least share of words of one sign"),
        mark("Where no phrase is met, a sign is heard by the rare words that its phrases use."),
        mark("Of what was told {value} are words of one sign{band}; it is heard from {limit} on."),
        kind=Kind.SHARE,
    ),
    "hearing.sure_least": RuleWords(
        mark("How sure the weakest match is"),
        mark("A match that is only just heard is right more often than not."),
        mark("The match is {value} sure{band}; the weakest is {limit} sure."),
        kind=Kind.SHARE,
    ),
    "hearing.sure_most": RuleWords(
        mark("How sure the best match is"),
        mark("Words are never hard evidence."),
        mark("The match is {value} sure{band}; the best is {limit} sure."),
        kind=Kind.SHARE,
    ),
    "hearing.full_score": RuleWords(
        mark("Likeness that counts as full"),
        mark("From here on a phrase counts as met in full."),
        mark("Of a known phrase {value} is in the text{band}; from {limit} on it counts as met in full."),
        kind=Kind.SHARE,
    ),
    "hearing.doubt": RuleWords(
        mark("What is left of a word in doubt"),
        mark("Where a pilot says that he is not sure, his word counts for less."),
        mark("Of the weight of a word {value} is left{band}; in doubt it is {limit}."),
        kind=Kind.SHARE,
    ),
    "hearing.told_before": RuleWords(
        mark("How often a sign is told at all"),
        mark("Most signs of the book are not told in a text, so that one that is heard says much."),
        mark("Signs are told in {value} of texts{band}; {limit} is counted on."),
        kind=Kind.SHARE,
    ),
}
