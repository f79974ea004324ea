"""The reply to send: under 150 words, plain, without blame; none after an injury."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from turnback.knowledge.book import Book, Cause
from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief, Judged
from turnback.records.debrief import DebriefAnswer, PackState, Step
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.words_belief_chance import capital, odds
from turnback.report.words_debrief import happened_words
from turnback.report.words_debrief_ask import ask_said
from turnback.report.words_debrief_causes import cause_name
from turnback.report.words_debrief_safe import LETTER_HURT, LETTER_PACK, kept_back
from turnback.report.words_debrief_search import walk_words
from turnback.report.words_debrief_signs import clause, found_sign, sign_names
from turnback.report.words_debrief_told import told_lines

MOST_WORDS: Final = 149
SENTENCE: Final = re.compile(r"(?<=[.!?])\s+")
MOST_ALIKE: Final = 3
NO_BLAME: Final = mark("This happens to everybody who flies; it is no reproach.")
NO_GUESS: Final = mark("Please mend nothing on a guess.")
LAW: Final = mark("An estimate, without knowledge of your local law.")
SEARCH_CARE: Final = mark("In daylight; climb nothing, touch no wire.")
LOOK_OVER: Final = mark("Before the next flight, look it over with the propellers off.")
TELL: Final = mark(
    "Please tell us what you saw: what it did first, how high and how far it was, the last volts, and any warning."
)
HELLO: Final = mark("Thank you for telling us.")


@dataclass(frozen=True, slots=True)
class Piece:
    """One paragraph of the letter, shortest version first."""

    versions: tuple[str, ...]
    weight: int
    """The heaviest is kept first."""


def letter_of(answer: DebriefAnswer, units: Units = Units.METRIC, book: Book | None = None) -> str | None:
    """Return the reply to send, ending in a line feed; None after an injury.

    Parameters
    ----------
    answer : DebriefAnswer
    units : Units
    book : Book, optional
        Where the names of causes, signs and checks stand; the book of this package if left out.
    """
    if kept_back(answer):
        return None
    pieces = [piece for piece in _pieces(answer, units, book or read_book()) if piece.versions]
    order = sorted(range(len(pieces)), key=lambda place: -pieces[place].weight)
    kept: dict[int, str] = {}
    for place in order:  # each in its shortest version first, so that what weighs less is there at all
        _take(kept, place, pieces[place].versions[:1])
    for place in order:
        _take(kept, place, pieces[place].versions if place in kept else ())
    return "\n\n".join(kept[place] for place in sorted(kept)) + "\n"


def _take(kept: dict[int, str], place: int, versions: tuple[str, ...]) -> None:
    """Take the longest version that fits beside the other paragraphs."""
    left = MOST_WORDS - sum(count_words(said) for at, said in kept.items() if at != place)
    fitting = [said for said in versions if count_words(said) <= left]
    if fitting:
        kept[place] = fitting[-1]


def count_words(said: str) -> int:
    """Return how many words a text has: whatever stands between spaces."""
    return len(said.split())


def _whole(said: str) -> tuple[str, ...]:
    """Return a text that may not be cut; nothing where it is empty."""
    return (said,) if said else ()


def _cut(said: str) -> tuple[str, ...]:
    """Return a text's first sentence, its first two, and so on."""
    sentences = SENTENCE.split(said) if said else []
    return tuple(" ".join(sentences[:count]) for count in range(1, len(sentences) + 1))


def _pieces(answer: DebriefAnswer, units: Units, book: Book) -> list[Piece]:
    """Return the paragraphs in the order in which they are read."""
    return [
        Piece(_whole(text(HELLO)), 20),
        Piece(_whole(text(LETTER_HURT) if Step.ASK_HURT in answer.steps else ""), 100),
        Piece(_whole(text(LETTER_PACK) if _pack(answer) else ""), 99),
        Piece(_search(answer, units), 90),
        Piece(_cut(_happened(answer, book, units)), 76),
        Piece(_why(answer, book), 95),
        Piece(_whole(_because(answer, book, units)), 72),
        Piece(_whole(_no_blame(answer, book)), 92),
        Piece(_cut(_do(answer, book)), 78),
        Piece(_whole(_asked(answer, book)), 70),
        Piece(_cut(_careful(answer, book)), 77),
        Piece(_whole(text(LAW)), 85),
    ]


def _happened(answer: DebriefAnswer, book: Book, units: Units) -> str:
    if answer.record is None and not told_lines(answer, book, units):
        return ""
    return text("What happened: {what}", what=happened_words(answer, book, units))


def _asked(answer: DebriefAnswer, book: Book) -> str:
    """Return what to tell us or to look at next, never without its caution."""
    asked = ask_said(answer, book) if Step.ASK_ONE in answer.steps else None
    if asked is None:
        known = answer.belief is not None and answer.belief.judged in (Judged.CAUSE, Judged.NOTHING_WRONG)
        return "" if known else text(TELL)
    if asked.signs:  # the book asks whoever looks after the pilot; the letter asks the pilot
        return text("Please tell us what of this was so: {signs}.", signs="; ".join(asked.signs))
    said = text("What to check: {what}", what=asked.name)
    return text("{said} Careful: {care}", said=said, care=asked.caution) if asked.caution else said


def _pack(answer: DebriefAnswer) -> bool:
    return Step.PACK in answer.steps or Step.ASK_PACK in answer.steps or answer.told.pack is PackState.DAMAGED


def _search(answer: DebriefAnswer, units: Units) -> tuple[str, ...]:
    """Return where to look, never without its caution."""
    if Step.SEARCH not in answer.steps or answer.search is None:
        return ()
    said = text("Where to look: {how}", how=walk_words(answer.search, units))
    return _whole(text("{said} {care}", said=said, care=text(SEARCH_CARE)))


def _first(belief: Belief | None, book: Book) -> Cause | None:
    """Return the one cause that is named, if one is."""
    if belief is None or belief.judged is not Judged.CAUSE or not belief.survivors:
        return None
    return next((cause for cause in book.causes if cause.key == belief.survivors[0]), None)


def _why(answer: DebriefAnswer, book: Book) -> tuple[str, ...]:
    belief = answer.belief
    if belief is None or belief.judged is Judged.CANNOT_SAY:
        return _whole(text("Why it happened we cannot say yet: too little is known."))
    chances = {each.cause: each.chance for each in belief.causes}
    if belief.judged is Judged.NOTHING_WRONG:
        return _whole(
            text("Nothing points to a fault ({odds}). That is no all-clear.", odds=odds(belief.nothing_wrong))
        )
    if belief.judged is Judged.SOMETHING_ELSE:
        return _whole(text("It is most likely something that our book does not know."))
    if belief.judged is Judged.CAUSE:
        key = belief.survivors[0]
        name, chance = cause_name(key, book), odds(chances.get(key, 0.0))
        return _whole(text("The likeliest reason ({odds}): {cause}.", odds=chance, cause=name))
    named = [
        text("{cause} ({odds})", cause=cause_name(key, book), odds=odds(chances.get(key, 0.0)))
        for key in belief.survivors[:MOST_ALIKE]
    ]
    said = [_alike(named[:count], len(belief.survivors)) for count in range(1, len(named) + 1)]
    return said[0], *(text("{said} We cannot tell them apart yet.", said=each) for each in said)


def _alike(named: list[str], count: int) -> str:
    names = "; ".join(named)
    if count > len(named):
        return text("Several reasons look alike, among them: {names}.", names=names)
    return text("These reasons look alike: {names}.", names=names)


def _because(answer: DebriefAnswer, book: Book, units: Units) -> str:
    """Return the strongest sign for the cause that is named."""
    first = _first(answer.belief, book)
    if first is None or answer.belief is None:
        return ""
    weights = next(each.weights for each in answer.belief.causes if each.cause == first.key)
    speaking = next((each for each in weights if each.decibans > 0.0 and each.seen), None)
    names = sign_names(book)
    if speaking is None or speaking.sign not in names:
        return ""
    said = clause(names[speaking.sign], found_sign(answer, speaking.sign, seen=True), units)
    return text("Why we think so: {sign}.", sign=capital(said))


def _no_blame(answer: DebriefAnswer, book: Book) -> str:
    belief = answer.belief
    if belief is None or belief.judged not in (Judged.CAUSE, Judged.SEVERAL):
        return ""
    errors = {cause.key for cause in book.causes if cause.pilot_error}
    return text(NO_BLAME) if errors & set(belief.survivors) else ""


def _do(answer: DebriefAnswer, book: Book) -> str:
    first = _first(answer.belief, book)
    if first is not None:
        return text("What to do: {what}", what=text(first.fix))
    if answer.belief is not None and answer.belief.judged is Judged.NOTHING_WRONG:
        return text(LOOK_OVER)
    return text("{look} {guess}", look=text(LOOK_OVER), guess=text(NO_GUESS))


def _careful(answer: DebriefAnswer, book: Book) -> str:
    first = _first(answer.belief, book)
    return "" if first is None else text("Careful: {care}", care=text(first.caution))
