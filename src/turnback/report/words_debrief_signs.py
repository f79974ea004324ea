"""Signs of a record in words: the book's own, with the numbers that they rest on and when they were seen."""

from __future__ import annotations

import math
from collections import Counter
from typing import Final

from turnback.knowledge.book import Book
from turnback.records.belief import Belief, Told, Weight
from turnback.records.debrief import DebriefAnswer, RecordSign, SignNotLookedFor
from turnback.records.happened import WhyNot
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Units
from turnback.report.record_values import moment, value_words
from turnback.report.words_belief import NOT_IN_BOOK
from turnback.report.words_belief_chance import capital, speaks
from turnback.report.words_bench_slips import together_all
from turnback.report.words_record_channels import channels_words, quantity_words

MOST_WANTED: Final = 5
"""Channels named that would have told more."""
MOST_NUMBERS: Final = 3
"""Of one sign: more is for the numbers' own file."""
STEMS: Final[dict[str, str]] = {
    "limit": mark("held against {value}"),
    "least": mark("least {value}"),
    "most": mark("most {value}"),
    "mean": mark("mean {value}"),
    "median": mark("typical {value}"),
    "peak": mark("peak {value}"),
    "before": mark("before {value}"),
    "after": mark("after {value}"),
    "expected": mark("expected {value}"),
    "predicted": mark("predicted {value}"),
    "planned": mark("planned {value}"),
    "earlier": mark("on earlier flights {value}"),
    "rest": mark("at rest {value}"),
    "loaded": mark("under load {value}"),
    "sag": mark("sag {value}"),
    "step": mark("a step of {value}"),
    "drop": mark("a drop of {value}"),
    "fall": mark("a fall of {value}"),
    "rise": mark("a rise of {value}"),
    "dip": mark("a dip of {value}"),
    "depth": mark("a dip of {value}"),
    "apart": mark("apart {value}"),
    "distance": mark("at a distance of {value}"),
    "height": mark("at a height of {value}"),
    "level": mark("level {value}"),
    "quality": mark("quality {value}"),
    "margin": mark("margin {value}"),
    "clearance": mark("clearance {value}"),
    "residual": mark("beside the model {value}"),
    "speed": mark("speed {value}"),
    "wind": mark("wind {value}"),
    "tilt": mark("tilt {value}"),
    "lean": mark("lean {value}"),
    "share": mark("share {value}"),
    "output": mark("output {value}"),
    "hover": mark("in hover {value}"),
    "current": mark("current {value}"),
    "power": mark("power {value}"),
    "temperature": mark("temperature {value}"),
    "frequency": mark("frequency {value}"),
    "length": mark("for {value}"),
    "lasting": mark("for {value}"),
    "held": mark("for {value}"),
    "delay": mark("after {value}"),
    "count": mark("count {value}"),
    "first": mark("at first {value}"),
    "last": mark("at last {value}"),
    "start": mark("at the start {value}"),
    "end": mark("at the end {value}"),
    "angle": mark("angle {value}"),
    "error": mark("off by {value}"),
    "offset": mark("off by {value}"),
    "resistance": mark("resistance {value}"),
    "capacity": mark("capacity {value}"),
    "used": mark("used {value}"),
    "siblings": mark("beside its siblings {value}"),
    "beside": mark("beside the others {value}"),
    "usual": mark("usual {value}"),
    "gain": mark("back by {value}"),
    "gained": mark("gained {value}"),
    "climb": mark("after a climb of {value}"),
    "grown": mark("grown by {value}"),
    "grows": mark("grows by {value}"),
    "off": mark("off by {value}"),
    "off_home": mark("off the way home by {value}"),
    "cut": mark("closed for {value}"),
    "sinks": mark("sinking for {value}"),
    "drifted": mark("drifting for {value}"),
    "stays": mark("for {value}"),
    "duration": mark("for {value}"),
    "free": mark("falling freely for {value}"),
    "lost": mark("lost for {value}"),
    "fell": mark("fell by {value}"),
    "above": mark("above the others by {value}"),
    "corner": mark("at that corner {value}"),
    "pair": mark("between the pairs {value}"),
    "swing": mark("swinging by {value}"),
    "ripple": mark("ripple {value}"),
    "slow": mark("slow for {value} of the time"),
    "against": mark("against it {value}"),
    "crosswise": mark("crosswise {value}"),
    "overshoot": mark("overshoot {value}"),
    "upset": mark("after an upset of {value}"),
    "turned": mark("turned by {value}"),
    "turn": mark("turned by {value}"),
    "turning": mark("turning at {value}"),
    "rate": mark("turning at {value}"),
    "floor": mark("noise floor {value}"),
    "rated": mark("rated {value}"),
    "label": mark("on the label {value}"),
    "full": mark("a full pack {value}"),
    "cell": mark("that cell {value}"),
    "gap": mark("short of it by {value}"),
    "more": mark("more by {value}"),
    "difference": mark("a difference of {value}"),
    "greatest": mark("greatest {value}"),
    "closing": mark("coming nearer at {value}"),
    "into": mark("into the wind {value}"),
    "with": mark("with the wind {value}"),
    "home_height": mark("the way home needs {value}"),
    "pack": mark("the pack {value}"),
    "day": mark("the air {value}"),
    "power_drop": mark("a drop of power of {value}"),
}
"""First part of a key, before its unit, the longest that fits; what is not here is left to the numbers' own file."""
WHY_NOT: Final[dict[WhyNot, str]] = {
    WhyNot.NO_CHANNEL: mark("What would tell is not in the record"),
    WhyNot.TOO_SLOW: mark("The record is too slow for it"),
    WhyNot.NOT_ALOFT: mark("It can be told in the air only"),
    WhyNot.TOO_SHORT: mark("There is too little of the record in which it could be told"),
    WhyNot.LOAD_TOO_STEADY: mark("The load changed too little"),
    WhyNot.SENSE_UNKNOWN: mark("Nothing tells in which direction the record counts"),
    WhyNot.CORNERS_UNKNOWN: mark("It is not known which corner each column belongs to"),
    WhyNot.CELLS_UNKNOWN: mark("It is not known how many cells the pack has: say it with --cells"),
    WhyNot.CHEMISTRY_UNKNOWN: mark("The chemistry of the pack is not known: say it with --chemistry"),
    WhyNot.BLADES_UNKNOWN: mark("It is not known how many blades a propeller has: say it with --blades"),
}
SOURCES: Final[dict[Told, str]] = {
    Told.WORDS: mark("as told"),
    Told.RECORD: mark("in the record"),
    Told.CHECK: mark("confirmed"),
}


def sign_names(book: Book) -> dict[str, str]:
    """Return what each sign is called, in the language spoken."""
    return {sign.key: text(sign.name) for sign in book.signs}


def numbers_words(sign: RecordSign, units: Units) -> str:
    """Return the numbers that a sign rests on: "least 3.31 V; held against 3.5 V"; empty where none can be said."""
    said = []
    for key, value in sign.values.items():
        stem = max((stem for stem in STEMS if key == stem or key.startswith(f"{stem}_")), key=len, default=None)
        if stem is not None and math.isfinite(value):
            said.append(text(STEMS[stem], value=value_words(key, value, units)))
    return "; ".join(said[:MOST_NUMBERS])


def when_words(sign: RecordSign) -> str:
    """Return when a sign was seen; empty where it holds all along."""
    if sign.start_s is None:
        return ""
    if sign.end_s is None or moment(sign.end_s) == moment(sign.start_s):
        return text("at {time}", time=moment(sign.start_s))
    return text("from {start} to {end}", start=moment(sign.start_s), end=moment(sign.end_s))


def clause(name: str, sign: RecordSign | None, units: Units) -> str:
    """Return a sign as a clause with its numbers and its time: "the volts fall (least 3.31 V), at 2:01.4"."""
    if sign is None:
        return name
    values, when = numbers_words(sign, units), when_words(sign)
    said = text("{sign} ({numbers})", sign=name, numbers=values) if values else name
    return text("{sign}, {when}", sign=said, when=when) if when else said


def found_sign(answer: DebriefAnswer, key: str, *, seen: bool) -> RecordSign | None:
    """Return what record or readings say of a sign of the book; the surest where both do."""
    signs = [each for each in (*answer.signs.signs, *answer.told.signs) if each.sign == key and each.seen is seen]
    return max(signs, key=lambda each: each.sure, default=None)


def sources_words(belief: Belief, weight: Weight) -> str:
    """Return who says a sign: "in the record", "as told", "confirmed"."""
    told = {each.told for each in belief.observations if each.sign == weight.sign and each.seen is weight.seen}
    return "; ".join(text(words) for told_by, words in SOURCES.items() if told_by in told)


def weight_words(answer: DebriefAnswer, weight: Weight, names: dict[str, str], units: Units) -> str:
    """Return what one sign says of a cause; empty where it says hardly anything."""
    strength = speaks(weight.decibans)
    if not strength:
        return ""
    name = names.get(weight.sign, text(NOT_IN_BOOK))
    said = clause(name, found_sign(answer, weight.sign, seen=weight.seen), units)
    source = "" if answer.belief is None else sources_words(answer.belief, weight)
    if not weight.seen:
        said = text("not so that {sign}", sign=said)
    if source:
        return text("{sign}: {strength} ({source}).", sign=capital(said), strength=strength, source=source)
    return text("{sign}: {strength}.", sign=capital(said), strength=strength)


def seen_lines(answer: DebriefAnswer, book: Book, units: Units) -> tuple[str, ...]:
    """Return every sign that the record or a reading shows, by time."""
    names = sign_names(book)
    seen = [each for each in (*answer.signs.signs, *answer.told.signs) if each.seen]
    ordered = sorted(seen, key=lambda each: (each.start_s is None, each.start_s or 0.0, each.sign))
    said = (clause(names.get(each.sign, text(NOT_IN_BOOK)), each, units) for each in ordered)
    return tuple(text("{sign}.", sign=capital(one)) for one in said)


def not_looked_lines(answer: DebriefAnswer, book: Book) -> tuple[str, ...]:
    """Return what was not looked for, one line for each reason."""
    names = sign_names(book)
    groups: dict[str, list[str]] = {}
    for each in answer.signs.not_looked_for:
        groups.setdefault(_why(each), []).append(names.get(each.sign, text(NOT_IN_BOOK)))
    return tuple(
        text("{why}. Not looked for: {signs}.", why=why, signs="; ".join(dict.fromkeys(signs)))
        for why, signs in groups.items()
    )


def not_looked_short(answer: DebriefAnswer) -> tuple[str, ...]:
    """Return how many signs were not looked for, and the channels that would have told most of them."""
    left = {each.sign for each in answer.signs.not_looked_for}
    if not left:
        return ()
    count = plural("{count} sign could not be looked for.", "{count} signs could not be looked for.", len(left))
    wanted = Counter(
        quantity_words(quantity)
        for each in answer.signs.not_looked_for
        if each.why is WhyNot.NO_CHANNEL
        for quantity in dict.fromkeys(need.quantity for need in each.needs)
    )
    most = [name for name, _ in sorted(wanted.items(), key=lambda one: (-one[1], one[0]))[:MOST_WANTED]]
    channels = (text("Most of them need {channels}.", channels=together_all(most)),) if most else ()
    return (count, *channels, text("Each stands in the page (--out) and in --json, with why."))


def _why(each: SignNotLookedFor) -> str:
    why = text(WHY_NOT[each.why])
    if each.needs and each.why in (WhyNot.NO_CHANNEL, WhyNot.TOO_SLOW, WhyNot.SENSE_UNKNOWN):
        return text("{why}: {channels}", why=why, channels=channels_words(each.needs))
    return why
