"""Whether a pilot's words tell that somebody was hurt: any plain mention counts, and a denial must be whole."""

from __future__ import annotations

import re
from typing import Final

from turnback.assess.told_places import sentences
from turnback.records.debrief import Hurt

ANY_CASE: Final = re.IGNORECASE
PERSON: Final = (
    r"(?:guy|m[ae]n|wom[ae]n|lady|ladies|person|people|kids?|child(?:ren)?|boys?|girls?|bab(?:y|ies)|toddlers?|teenagers?"
    r"|dogs?|pupp(?:y|ies)|cats?|cows?|sheep|goat|pony|pedestrians?|cyclists?|bikers?|hikers?|runners?|swimmers?"
    r"|joggers?|walkers?|riders?|officer|friends?|buddy|mate|brother|sister|son|daughter|wife|husband|partner"
    r"|girlfriend|boyfriend|neighbou?rs?|bystanders?|spectators?|onlookers?|crowd|someone|somebody|him|her|them|me"
    r"|myself|horses?|father|mother|dad|mum|mom|nephew|niece|grandm\w+|grandf\w+|instructor|student|passer-?s?-?by"
    r"|photographer|spotter|tourists?|visitors?)"
)
BODY: Final = (
    r"(?:fingers?|thumbs?|hands?|face|eyes?|eyebrow|eyelid|head|forehead|leg|legs|knees?|foot|feet|toes?|ankle|forearms?"
    r"|elbow|wrist|neck|throat|nose|ears?|cheek|lips?|tooth|teeth|chin|shin|thigh|calf|hip|chest|ribs?"
    r"|shoulder|belly|stomach|palm|knuckles?|skin)"
)
ARM: Final = r"(?:(?:left |right |upper |lower |own |whole )?arms?)"
WHOSE: Final = r"(?:my|his|her|their|someone's|somebody's)"
NOT_HIS: Final = (
    r"(?!'?s?'?\s?(?:garden|house|roof|car|yard|field|fence|window|tree|quad|drone|copter|goggles|van|radio|table"
    r"|pool|switch|stick))"
)
NO_FURNITURE: Final = r"(?!(?:chair|table|bench|desk|tent|stool|goal|bridge|bed) (?:leg|foot|feet|arm))"
BLOW: Final = (
    r"(?:hit|hits|struck|crashed (?:in)?to|fl[ey]w (?:in)?to|went (?:in)?to|landed on|fell on|came down on|crashed on"
    r"|smashed into|ran into|ran over|smacked|clipped|sliced|slashed|knocked(?: over| down)?|killed|injured"
    r"|cut|cuts|scratched|caught|bit)"
)
HARMED: Final = (
    r"(?:cut|broken|burnt|burned|sliced|swollen|sore|red|numb|blue|black|gone|split|grazed|scratched|bruised"
    r"|bleeding|injured|hurt|hit|stitched|bandaged|fractured|sprained|dislocated)"
)
MARKS: Final = r"(?:scratch\w*|graze\w*|gash\w*|nick|burns?|cuts?|bruise\w*|bump|hole|splinter|slice|slash)"
BY_A_THING: Final = (
    r"(?! (?:by|with|from) (?:\w+ )?(?:winds?|gusts?|interference|signal|noise|static|rain|another|other|turbulence"
    r"|failsafe|lag|rotor|quad|drone|bug))"
)
HURT_WORDS: Final = re.compile(
    rf"\b(?:blood(?:y|ied)?|bleed\w*|bled|stitch(?:es|ed)?|hospital|ambulance|injur\w+|wound(?:ed|s)|bruis\w+"
    rf"|paramedic\w*|gash\w*|lacerat\w*|bandage\w*|band-?aid|unconscious|concuss\w+|emergency (?:room|services?)"
    rf"|first aid|called (?:911|112|999)|fainted|limping|a (?:deep |small |bad |little )?cut\b(?! ?-?(?:out|off))"
    rf"|hurt: ?yes|hurts? (?:my|his|her|me|him|them|a|the|some\w*|one)"
    rf"\b(?! (?:ego|pride|wallet|feelings?|range|video|picture|signal|flight|battery|pack|motors?))"
    rf"|(?:am|is|was|are|were|got|been|badly|be) hurt"
    rf"|hurt (?:himself|herself|myself|themselves|badly)"
    rf"|(?:broke|broken|burn(?:ed|t)?|cuts?|sliced?|slashed|lost|scratched|skinned|grazed|sprained|fractured|twisted"
    rf"|(?:took|tore|ripped) the skin off) (?:my|his|her|their|a|the) (?:\w+ )?{BODY}\b"
    rf"|(?:broken|burn(?:ed|t)?|cuts?|sliced?|slashed|scratched|skinned|grazed|fractured|{BLOW}) {WHOSE} {ARM}\b"
    rf"|broke (?:his|her|their) {ARM}\b"
    rf"|{BLOW} (?:right |straight |hard )?(?:(?:in|on|into|at|against) )?(?:my|his|her|their|a"
    rf"|the)(?: own)? {NO_FURNITURE}(?:\w+ )?{BODY}{NOT_HIS}\b"
    rf"|{BLOW} (?:(?:right )?(?:in|on|into|at) )?(?:(?:a|an|the|my|some|one|two|three|several|\d+|our|his"
    rf"|her) )?(?:\w+ )?{PERSON}{NOT_HIS}\b"
    rf"|(?:prop(?:s|eller)?|blades?) (?:\w+ ){{0,4}}{WHOSE} (?:{BODY}|{ARM})\b"
    rf"|(?:my|his|her|\w+'s) {BODY} (?:\w+ ){{0,4}}(?:props?|propellers?|blades?)\b|cut (?:myself|himself|herself)"
    rf"|(?:got|had|took) (?:it|one|a prop|the prop) (?:right )?(?:in|to|on|into) (?:my|his|her|their|the) "
    rf"(?:{BODY}|{ARM})\b"
    rf"|{MARKS} (?:on|in|to|at|across) (?:\w+ of )?{WHOSE} (?:\w+ )?(?:{BODY}|{ARM}|back)\b"
    rf"|cuts? (?:on|in|to|across) (?:\w+ ){{0,2}}{BODY}\b"
    rf"|(?:bleeding|sore|broken|burnt|burned|swollen|bruised|split|numb) (?:{BODY})\b"
    rf"|{WHOSE} (?:\w+ )?(?:{BODY}|{ARM}) (?:hurts?|aches?|(?:is|was|are|were|got|feels?) (?:\w+ )?{HARMED})\b"
    rf"|{BODY} (?:hurts?|(?:is|was|are|got) (?:\w+ )?(?:cut|broken|burnt|burned|sliced|swollen))"
    rf"|(?:{PERSON}|pilot|observer|he|she|they|i|we) (?:(?:was|were|got|is|has been) )?(?:\w+ )?"
    rf"(?:hurt|injured)\b"
    rf"|(?:{PERSON}|pilot|observer|he|she|they|i|we) (?:was|were|got|has been|have been) (?:\w+ )?"
    rf"(?:hit|struck|sliced|knocked (?:over|down|out)|run over|burnt|burned|bitten|electrocuted)\b{BY_A_THING}"
    rf"|teeth knocked out|electric shock)",
    ANY_CASE,
)
SAVED: Final = re.compile(
    r"\b(?:no|not|nobody|noone|no-one|none|without|never|didn'?t|did not|wasn'?t|weren'?t|isn'?t|nearly|almost"
    r"|just missed|missed|could have|might have|luckily no|nothing|cannot|can'?t)\b"
    # what stands after one of these is no longer denied: "no warning before it hit a man"
    r"(?:(?!\b(?:but|then|before|until|till|because|that|and|so|when|while|as|apart|except|besides|believe|it)\b)"
    r"[^,.;!?]){0,28}$",
    ANY_CASE,
)
NOT_HURT: Final = re.compile(
    r"\b(?:nobody|no ?-?one|noone|none(?: of us)?|not|never|\w+n't)\b(?:\s\w+){0,3}\s(?:hurt|injured|harmed|wounded)\b"
    r"|\bno injur\w+|\bno blood\b|\b(?:every(?:one|body)|all of us|we are all|people|i am|i'm"
    r"|im)\s(?:\w+\s)?(?:ok(?:ay)?|safe|fine|unhurt)\b"
    r"|\bunhurt\b|\bnobody was (?:there|near|around)\b|\b(?:me|myself)\s(?:also|too|as well)?\s?(?:ok|okay"
    r"|fine)\b|\bme (?:also|too)\b|\b(?:hurt|injured|harmed) (?:nobody|no ?-?one|noone)\b",
    ANY_CASE,
)
HALF_DENIED: Final = re.compile(
    r"\b(?:seriously|badly|severely|really|too|much|bad|very|only|yet|knows?|know|whether|if|sure|hope\w*|think"
    r"|believe|suppose|guess|maybe|perhaps|probably|apparently|supposedly)\b|\?",
    ANY_CASE,
)
BUT_ONE: Final = re.compile(
    rf"\b(?:except|besides|other than|apart from|aside from|but(?: for)?|only|save for)"
    rf"\s(?:(?:my|his|her|the|a|one|for)\s)?"
    rf"(?:\w+\s)?(?:{PERSON}|{BODY}|{ARM}|pilot|observer)\b"
    rf"(?!\s(?:was|were|is|are|am)\s(?:ok|okay|fine|safe|unhurt|not)\b)",
    ANY_CASE,
)
MAY_BE_HURT: Final = re.compile(
    rf"\b(?:hurts?|hurting|scratch(?:es)?|ouch|pain\w*|sore|doctor|broke my arm|cough\w*|crying|plaster|shaken)\b"
    rf"|\b{BLOW} (?:(?!chair|table|bench|desk)\w+ ){{0,2}}{BODY}\b",
    ANY_CASE,
)


def hurt_told(text: str) -> Hurt:
    """Return whether somebody was hurt: any plain mention counts; no only where it is said in so many words.

    "Not badly hurt" and "nobody, except me" are no such words; nor is a no beside something that may be an injury.
    """
    denied = doubtful = False
    for sentence in sentences(text):
        said = text[sentence.start : sentence.end]
        ending = text[sentence.end : sentence.end + 1]
        no = NOT_HURT.search(said)
        if no is not None:
            if BUT_ONE.search(said, no.start()):
                return Hurt.YES
            denied = True
            doubtful = doubtful or any(map(HALF_DENIED.search, (said[max(0, no.start() - 40) : no.end() + 12], ending)))
        else:
            doubtful = doubtful or any(not SAVED.search(said[: one.start()]) for one in MAY_BE_HURT.finditer(said))
        for match in HURT_WORDS.finditer(said):
            if not SAVED.search(said[: match.start()]):
                return Hurt.YES
    return Hurt.NO if denied and not doubtful else Hurt.NOT_TOLD
