"""A debrief in words: its five plain lines, its title and its story."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from turnback.knowledge.book import Book
from turnback.records.belief import Judged
from turnback.records.debrief import DebriefAnswer, Step, Whereabouts
from turnback.records.happened import EventKind, RecordAnswer
from turnback.report.five import Line
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_facts import figures
from turnback.report.words_belief_chance import odds
from turnback.report.words_debrief_ask import ask_said
from turnback.report.words_debrief_causes import cause_name, causes_heading, causes_sure
from turnback.report.words_debrief_safe import kept_back, people_line
from turnback.report.words_debrief_search import radius_words, walk_words
from turnback.report.words_debrief_told import told_lines
from turnback.report.words_record import end_words, out_words
from turnback.report.words_record_story import story

MOST_FIRST: Final = 2
"""Sentences of what was told that the first lines hold."""
CAREFUL: Final = mark("Do not fly it before it was looked over with the propellers off. Watch the pack.")
HURT_LINES: Final = (
    (mark("The pack"), mark("Leave it as it is. Only if it smokes, swells or gets hot: keep everybody away from it.")),
    (mark("Keep"), mark("Aircraft, pack, goggles and records stay as they are. Nothing is mended or deleted.")),
    (mark("Write down"), mark("The time, the place, the weather, who stood where, and who saw it.")),
    (mark("Who goes on"), mark("A person takes over. Nothing is said of causes, and no letter is written.")),
)


def debrief_title(answer: DebriefAnswer) -> str:
    """Return what the debrief is of: the plan's title, else the record's name."""
    if answer.plan_title:
        return answer.plan_title
    return answer.record.flown.record.name if answer.record is not None and not kept_back(answer) else ""


def debrief_five(answer: DebriefAnswer, book: Book, units: Units) -> tuple[Line, ...]:
    """Return the five plain lines: people and pack, what happened, why, what to do now, what to look out for."""
    if kept_back(answer):
        rest = (Line(text(label), text(said)) for label, said in HURT_LINES)
        return (Line(text("First"), people_line(answer)), *rest)
    return (
        Line(text("First"), people_line(answer)),
        Line(text("What happened"), happened_words(answer, book, units)),
        Line(text("Why"), why_words(answer, book)),
        Line(text("What to do now"), now_words(answer, book, units)),
        Line(text("What to look out for"), careful_words(answer, book)),
    )


def happened_words(answer: DebriefAnswer, book: Book, units: Units) -> str:
    """Say in a sentence or two what happened."""
    if answer.record is not None:
        first = out_words(could_show(answer.record), units)
        return text("{first} {then}", first=first, then=end_words(answer.record, figures(answer.record.flown), units))
    said = told_lines(answer, book, units)
    if not said:
        return text("Nothing was told that this understands.")
    return " ".join(said[:MOST_FIRST])


def could_show(record: RecordAnswer) -> RecordAnswer:
    """Return a record without "no radio-loss action is seen" where it ends aloft, the link still gone.

    Such a record is the radio's as a rule: what the aircraft did then, it could not show.
    """
    if not any(each.kind is EventKind.ENDS_ALOFT for each in record.events):
        return record
    kept = tuple(
        each for each in record.events
        if each.kind is not EventKind.RADIO_LOSS_ACTION or each.words.get("action") != "none-seen"
    )  # fmt: skip
    return replace(record, events=kept)


def why_words(answer: DebriefAnswer, book: Book) -> str:
    """Say why, and how sure that is."""
    belief = answer.belief
    if belief is None:
        return text("Nothing was told yet that speaks for a cause.")
    if belief.judged is Judged.SEVERAL:
        chances = {each.cause: each.chance for each in belief.causes}
        names = "; ".join(
            text("{cause} ({odds})", cause=cause_name(key, book), odds=odds(chances.get(key, 0.0)))
            for key in belief.survivors[:3]
        )
        more = len(belief.survivors) > 3
        said = (
            text("Look-alikes, and more below: {names}.", names=names)
            if more
            else text("Look-alikes: {names}.", names=names)
        )
        return text("{said} Nothing so far tells them apart.", said=said)
    heading, sure = causes_heading(belief, book), causes_sure(belief)
    if belief.judged is Judged.CANNOT_SAY:
        return heading
    return text("{heading} {sure}", heading=heading, sure=sure)


def now_words(answer: DebriefAnswer, book: Book, units: Units) -> str:
    """Say what to do now: search, else ask, else mend."""
    if Step.SEARCH in answer.steps and answer.search is not None:
        said = text("{walk} {within}", walk=walk_words(answer.search, units), within=radius_words(answer.search, units))
        return text("Search for it. {how}", how=said)
    if answer.told.whereabouts is Whereabouts.LOST:
        return text("Nothing tells where it lies. Say what you know: height, distance, direction, wind.")
    asked = ask_said(answer, book) if Step.ASK_ONE in answer.steps else None
    if asked is not None:
        return asked.name
    belief = answer.belief
    if belief is not None and belief.judged is Judged.CAUSE and belief.survivors:
        fix = next((text(cause.fix) for cause in book.causes if cause.key == belief.survivors[0]), "")
        return fix or text("Look it over with the propellers off.")
    return text("Look it over with the propellers off, and say what you find.")


def careful_words(answer: DebriefAnswer, book: Book) -> str:
    """Say what to look out for: the caution of the likeliest cause, else what holds for all."""
    belief = answer.belief
    if belief is not None and belief.judged in (Judged.CAUSE, Judged.SEVERAL) and belief.survivors:
        said = next((text(cause.caution) for cause in book.causes if cause.key == belief.survivors[0]), "")
        return said or text(CAREFUL)
    return text(CAREFUL)


def debrief_story(answer: DebriefAnswer, book: Book, units: Units) -> tuple[str, ...]:
    """Return what happened, in sentences with times: of the record, then what was told; nothing after an injury."""
    if kept_back(answer):
        return ()
    recorded = () if answer.record is None else story(could_show(answer.record), units)
    return (*recorded, *told_lines(answer, book, units))
