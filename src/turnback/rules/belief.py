"""Rules on belief: what stands beside the book's own numbers, and when the signs are enough to name a cause.

Chances are tuned on made-up cases of their own seed (`studies.belief_deleted`); the reported figures come from others.
"""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

FOLLOWED_SIGN: Final = "follows-its-pilot-to-the-end"
"""Key of the sign by which the aircraft is shown to have done what its pilot asked; see `FOLLOWED`."""
BY_ITSELF_SIGN: Final = "return-mode-active"
"""Key of the sign by which it flew without its pilot."""

NOTHING_WRONG: Final = Rule(
    "belief.nothing_wrong", 0.03, "", "our-choice",
    "Who asks why has mostly seen something; a few ask about an aircraft that did what it should.",
    "none",
)  # fmt: skip
SOMETHING_ELSE: Final = Rule(
    "belief.something_else", 0.15, "", "our-choice",
    "Share of troubled cases whose cause the book does not know; guessed from the end that every list of causes has.",
    "none",
)  # fmt: skip
ELSE_SHOWS: Final = Rule(
    "belief.else_shows", 0.30, "", "our-choice",
    "Mean of how readily an unknown cause shows signs, as a share of the most readily: few of the signs looked at.",
    "none",
)  # fmt: skip
ELSE_SPREAD: Final = Rule(
    "belief.else_spread", 2.0, "", "our-choice",
    "Unknown causes differ: how readily one shows signs is beta-distributed, known as well as from two signs.",
    "none",
)  # fmt: skip
ELSE_MOST: Final = Rule(
    "belief.else_most", 0.30, "", "our-choice",
    "No unknown cause shows more than 3 in 10 of all signs; pilots tell what they saw, and all seen is no sign of it.",
    "none",
)  # fmt: skip
WRONG_WORDS: Final = Rule(
    "belief.wrong_words", 0.10, "", "our-choice",
    "About 1 sentence in 10 of a startled pilot tells what did not happen, or is taken for something it did not say.",
    "none",
)  # fmt: skip
WRONG_RECORD: Final = Rule(
    "belief.wrong_record", 0.02, "", "our-choice",
    "About 1 span in 50 of a record misleads: a wrong scale, a lost packet, a clock that ran ahead. Flown cases bear "
    "out half of that; real records are worse.",
    "none",
)  # fmt: skip
WRONG_ANSWER: Final = Rule(
    "belief.wrong_answer", 0.03, "", "our-choice",
    "About 1 in 30 answers of somebody who was told what to look at is wrong.",
    "none",
)  # fmt: skip
SECOND_SOURCE: Final = Rule(
    "belief.second_source", 0.5, "", "our-choice",
    "A pilot who looked at the record says what it says: a second source counts as half of its own log odds.",
    "none",
)  # fmt: skip
SAME_SIGN: Final = Rule(
    "belief.same_sign", 0.025, "", "our-choice",
    "Signs whose chances differ by less than about 2.5 % under every cause are one sign under two names.",
    "none",
)  # fmt: skip
OTHER_SIGN: Final = Rule(
    "belief.other_sign", 0.25, "", "our-choice",
    "Signs whose chances differ by more than about a quarter under some cause are two signs.",
    "none",
)  # fmt: skip
NAME_CHANCE: Final = Rule(
    "belief.name_chance", 0.80, "", "our-choice",
    "One cause is named alone from 8 in 10 on; below that a pilot would mend the wrong thing too often.",
    "none",
)  # fmt: skip
NAME_LEAD: Final = Rule(
    "belief.name_lead", 3.0, "", "our-choice",
    "The named cause is at least three times as likely as the next one; less is not a separation.",
    "none",
)  # fmt: skip
SURVIVES: Final = Rule(
    "belief.survives", 0.25, "", "our-choice",
    "Causes with a quarter of the leader's chance or more are not separated from it and are all told.",
    "none",
)  # fmt: skip
LEADS: Final = Rule(
    "belief.leads", 0.25, "", "our-choice",
    "Where no cause reaches 1 in 4 the signs point nowhere, and a list would only look like an answer.",
    "none",
)  # fmt: skip
ELSE_LEADS: Final = Rule(
    "belief.else_leads", 0.50, "", "our-choice",
    "Something else is the answer where it is more likely than not; below, what the book knows is told beside it.",
    "none",
)  # fmt: skip
HOLDS: Final = Rule(
    "belief.holds", 0.50, "", "our-choice",
    "The chances of all that are named together add up to more likely than not, or nothing is named.",
    "none",
)  # fmt: skip
MOST_NAMED: Final = Rule(
    "belief.most_named", 5.0, "", "our-choice",
    "More than five causes are no answer that somebody can work through.",
    "none",
)  # fmt: skip
LEFT_OPEN: Final = Rule(
    "belief.left_open", 0.01, "", "our-choice",
    "Once a check is answered, what is below one in a hundred is ruled out, unless it looks like one that is not.",
    "none",
)  # fmt: skip
LEFT_OPEN_HOLDS: Final = Rule(
    "belief.left_open_holds", 0.95, "", "our-choice",
    "Of the dozen likeliest, causes are left open until they hold this share of what the dozen hold: of flights of "
    "seeds 22 and 24, told with the other generator's numbers, more lengthens the list and hardly finds more.",
    "none",
)  # fmt: skip
LEFT_OPEN_MOST: Final = Rule(
    "belief.left_open_most", 12.0, "", "our-choice",
    "Beyond a dozen, look-alikes aside, nobody reads on.",
    "none",
)  # fmt: skip
ALIKE_SHARE: Final = Rule(
    "belief.alike_share", 0.9, "", "our-choice",
    "Of what a record gives a cause that others look like, one part in ten is its look-alikes': of flown cases it was "
    "true so much less often than said.",
    "none",
)  # fmt: skip
MAY_BE_SOUND: Final = Rule(
    "belief.may_be_sound", 0.2, "", "our-choice",
    "From a record that is a sound aircraft's once in five times nothing is named until a check is answered: it would "
    "send people to mend what works.",
    "none",
)  # fmt: skip
NOTHING_SHOWN: Final = Rule(
    "belief.nothing_shown", 0.1, "", "our-choice",
    "Of records that show nothing, 9 in 10 are of faults that such channels cannot show: of flown cases, 9 in 10 sound "
    "ones and 4 in 10 faulty ones show nothing, and about 1 in 30 that somebody asks about is sound.",
    "none",
)  # fmt: skip
FOLLOWED: Final = Rule(
    "belief.followed", 0.80, "", "our-choice",
    "A pilot is blamed only after the aircraft was shown, this surely, to have followed its pilot.",
    "none",
)  # fmt: skip
TELLS_LEAST: Final = Rule(
    "belief.tells_least", 0.01, "bit", "our-choice",
    "Below a hundredth of a bit an action decides nothing that anybody would notice.",
    "none",
)  # fmt: skip
SAFER_TELLS: Final = Rule(
    "belief.safer_tells", 0.05, "bit", "our-choice",
    "As long as looking, asking or measuring tells this much, nobody powers up or flies to find out.",
    "none",
)  # fmt: skip
LIFTED: Final = Rule(
    "belief.lifted", 2.0, "", "our-choice",
    "A cause at twice its chance beforehand is one that what was told speaks for: it is asked after first.",
    "none",
)  # fmt: skip
SHOWS_READILY: Final = Rule(
    "belief.shows_readily", 0.30, "", "our-choice",
    "A question is about a cause where that cause shows one of its signs in 3 of 10 cases at least.",
    "none",
)  # fmt: skip

RULES: Final = (
    NOTHING_WRONG, SOMETHING_ELSE, ELSE_SHOWS, ELSE_SPREAD, ELSE_MOST, WRONG_WORDS, WRONG_RECORD, WRONG_ANSWER,
    SECOND_SOURCE, SAME_SIGN, OTHER_SIGN, NAME_CHANCE, NAME_LEAD, SURVIVES, LEADS, ELSE_LEADS, HOLDS, MOST_NAMED,
    LEFT_OPEN, LEFT_OPEN_HOLDS, LEFT_OPEN_MOST, ALIKE_SHARE, MAY_BE_SOUND, NOTHING_SHOWN, FOLLOWED,
    TELLS_LEAST, SAFER_TELLS, LIFTED, SHOWS_READILY,
)  # fmt: skip
