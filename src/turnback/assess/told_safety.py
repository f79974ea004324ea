"""What a pilot's words tell of people, of the pack, and of where the aircraft is; the most careful reading counts."""

from __future__ import annotations

import re
from typing import Final

from turnback.assess.told_hurt import SAVED, hurt_told
from turnback.assess.told_places import clauses, sentences
from turnback.records.debrief import PackState, Whereabouts

__all__ = ["hurt_told", "pack_told", "whereabouts_told"]

ANY_CASE: Final = re.IGNORECASE
PACK: Final = r"(?:batter(?:y|ies)|packs?|lipos?|ac+us?|akkus?|batts?|cells?)"
OTHER_PART: Final = re.compile(
    r"\b(?:motors?|escs?|speed controls?|vtx|transmitter|radio|plug|connector|antenna|camera|goggles|car|board"
    r"|weather|day|room|charger lead|wire|props?)\b",
    ANY_CASE,
)
ALWAYS: Final = re.compile(
    r"\b(?:puff(?:ed|y|s)?|swoll?en|swell\w*|bloated|flames?|on fire|caught fire|fire|smok(?:es?|ed|ing|y)|ballo+n\w*"
    r"|(?:fell|went|landed|crashed|dunked|dropped|ended(?: up)?|down|sank|lost|is|was|lay|lies) (?:\w+ ){0,2}(?:in"
    r"|into) (?:\w+ ){0,2}"
    r"(?:lake|pond|river|sea|water|creek|stream|pool|canal|ocean|harbou?r|puddle)|under ?water"
    r"|submerged|(?:it|this|quad|aircraft|drone|copter) (?:is|was) (?:burning|soaked|soaking|wet)|it burns)\b",
    ANY_CASE,
)
WITH_PACK: Final = re.compile(
    r"\b(?:dent\w*|bent|pierc\w+|punctur\w+|hot|warm|burn\w*|wet|leak\w*|torn|rip+ed|damag\w+|crack\w*|hiss\w*"
    r"|smell\w*|sweet|squash\w*|squish\w*"
    r"|creas\w*|gash\w*|slic(?:e|ed)|stab\w*|holes?|cut (?:in|into|open)|cuts|not (?:ok|okay|good|fine|right)"
    r"|n't (?:ok|okay|good|fine|right)|no longer (?:ok|okay|good|fine)"
    r"|crush\w*|broken|spark\w*|blown up|blew up|fat|soft|deform\w*|short(?:ed)?|bulg\w*|soaked)\b",
    ANY_CASE,
)
PACK_FINE: Final = re.compile(
    rf"\b{PACK}\b(?:\s(?:is|are|looks?|was|seems?|all|still|also)){{0,3}}\s(?:ok(?:ay)?|fine|good"
    rf"|undamaged|intact|cold|cool|healthy|un ?hurt)\b"
    rf"|\bno damage (?:to|on) the {PACK}|\b{PACK}\b[^.,;!?]{{0,12}}\bnot damaged\b",
    ANY_CASE,
)
UNSURE: Final = re.compile(
    r"\b(?:if|whether|hope\w*|think|guess|suppose|maybe|perhaps|probably|not sure|unsure|don'?t know|should be|not)\b"
    r"(?! damaged\b)",
    ANY_CASE,
)
CRAFT: Final = (
    r"(?:it|him|her|the|my|our|his|this|that)(?: (?:quad\w*|drone|copter|aircraft|plane|whoop|machine|craft|model"
    r"|thing|5 ?inch))?"
)
LOST: Final = re.compile(
    rf"\b(?:can ?not|can'?t|couldn'?t|could not|didn'?t|did not|never|not|haven'?t|have not|nobody|unable to"
    rf"|no one)(?: \w+){{0,2}} "
    rf"(?:find|found|locate|located|seen? {CRAFT}|saw {CRAFT}|came back|come back|returned|recovered? {CRAFT})"
    rf"|\bstill (?:search\w*|look\w*|missing|out there)\b|\bsearch(?:ed|ing)\b(?! for (?:a|the) (?:signal|channel"
    rf"|reason))"
    rf"|\b(?:fl[ey]w|fl(?:y|ying|ies|own|yed)) (?:\w+ ){{0,2}}(?:away|off into)\b|\bout of sight\b"
    rf"|\bdisappeared\b|\bvanished\b|\bmissing since\b"
    rf"|\b(?:lost|lose) (?:it|(?:the|my|our|his) (?:\w+ )?(?:quad\w*|drone|copter|aircraft|plane|whoop|machine"
    rf"|craft|model))\b(?! ?(?:'s|link|video))"
    rf"|\b(?:is|it'?s|and|quad|drone|copter|just|was) (?:now |still |simply )?gone\b|\blost (?:in|over|at"
    rf"|somewhere|behind) (?:the |a |some )?\w+"
    r"|\blost with (?:the|my) (?:aircraft|quad|drone|copter)\b|\bflyaway\b|\bit flew off\b"
    rf"|\bwhere (?:is it|it is|it went|it came down|it landed|to (?:look|search))\b|\bno idea where\b",
    ANY_CASE,
)
LOST_ALONE: Final = re.compile(r"^\W*(?:it is |it's |its |now |all )?(?:lost|gone|missing)\W*$", ANY_CASE)
ALL_GONE: Final = re.compile(r"\ball gone\b", ANY_CASE)
NOT_CRAFT: Final = re.compile(
    r"\b(?:picture|video|image|pic|feed|link|signal|control|telemetry|power|orientation|connection|screen|osd|gps"
    r"|fix|sats?|satellites?|props?|propeller|nut|screw|antenna|voltage|volts|sound|warning|alarm|punch|weakness"
    r"|problem|(?:battery|pack|lipo|juice|charge)\s(?:is|was|all)\s(?:\w+\s)?gone)\b",
    ANY_CASE,
)
FOUND: Final = re.compile(
    rf"\b(?:found (?:{CRAFT}|in|on|after|with|again|near|by|under|ok)|is found|was found|been found"
    rf"|got {CRAFT} back|picked {CRAFT} up|picked up the"
    rf"|{CRAFT} hangs|hang(?:s|ing) (?:there|in)|recovered (?:it|the (?:quad|drone|copter|aircraft))|retrieved"
    rf"|have it back|it is back|when i (?:got there|got to it|reached it)|brought it home|stuck in (?:a|the) tree)\b",
    ANY_CASE,
)


def pack_told(text: str, where: Whereabouts) -> PackState:
    """Return what the pack is like: harmed where that is said, and where it lies about with a lost aircraft."""
    about = False
    for sentence in sentences(text):
        said = text[sentence.start : sentence.end]
        about = about or re.search(rf"\b{PACK}\b", said, ANY_CASE) is not None
        for match in ALWAYS.finditer(said):
            if not SAVED.search(said[: match.start()]):
                return PackState.DAMAGED
        if about and _harmed(text, said, sentence.start):
            return PackState.DAMAGED
    if where is Whereabouts.LOST:
        return PackState.DAMAGED
    return PackState.FINE if _said_fine(text) else PackState.NOT_TOLD


def _said_fine(text: str) -> bool:
    """Return whether a sentence says that the pack is fine, and neither asks nor doubts it."""
    for sentence in sentences(text):
        said, ending = text[sentence.start : sentence.end], text[sentence.end : sentence.end + 1]
        if PACK_FINE.search(said) and not UNSURE.search(said) and ending != "?":
            return True
    return False


def _harmed(text: str, said: str, offset: int) -> bool:
    """Return whether a clause that is about no other part says that the pack is harmed."""
    sentence = next(each for each in sentences(text) if each.start == offset)
    whole_has_pack = re.search(rf"\b{PACK}\b", said, ANY_CASE) is not None
    for clause in clauses(text, sentence):
        part = text[clause.start : clause.end]
        for match in WITH_PACK.finditer(part):
            named = re.search(rf"\b{PACK}\b", part, ANY_CASE)
            if SAVED.search(part[: match.start()]) or OTHER_PART.search(part) or not (named or whole_has_pack):
                continue
            if named or len(part.split()) <= 4:
                return True
    return False


def whereabouts_told(text: str) -> Whereabouts:
    """Return where the aircraft is: what is said last of it counts."""
    last = Whereabouts.NOT_TOLD
    for sentence in sentences(text):
        for clause in clauses(text, sentence):
            last = _clause_tells(text[clause.start : clause.end]) or last
    return last


def _clause_tells(part: str) -> Whereabouts | None:
    lost = LOST.search(part) or LOST_ALONE.match(part)
    if lost and not NOT_CRAFT.search(part) and not ALL_GONE.search(part):
        return Whereabouts.LOST
    found = FOUND.search(part)
    if found and not re.search(r"\b(?:not|n't|never|can ?not|can't)\b", part[: found.start()], ANY_CASE):
        return Whereabouts.FOUND
    return None
