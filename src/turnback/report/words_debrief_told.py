"""What was told: the typed readings and what was heard in the pilot's words, as sentences."""

from __future__ import annotations

from typing import Final

from turnback.knowledge.book import Book
from turnback.records.debrief import Answered, DebriefAnswer, Reading, TypedReading
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_values import moment
from turnback.report.words_belief_chance import capital
from turnback.report.words_debrief_search import bearing_words

READINGS: Final[dict[Reading, tuple[str, str]]] = {
    Reading.PACK_VOLTS: (mark("the pack showed {value}"), "pack V"),
    Reading.CELL_VOLTS: (mark("one cell showed {value}"), "V"),
    Reading.CURRENT: (mark("the current was {value}"), "A"),
    Reading.CHARGE: (mark("{value} were used"), "Ah"),
    Reading.DISTANCE: (mark("it was {value} from the launch point"), "m"),
    Reading.HEIGHT: (mark("it was {value} above the launch point"), "m"),
    Reading.SPEED: (mark("it flew at {value} over ground"), "m/s"),
    Reading.WIND: (mark("the wind was {value}"), "m/s"),
    Reading.BEARING: (mark("it was toward {value} of the launch point"), "°"),
    Reading.LEVEL: (mark("the link level was {value}"), "dBm"),
    Reading.LEVEL_BACK: (mark("the link level at the pilot's end was {value}"), "dBm"),
    Reading.QUALITY: (mark("the link quality was {value}"), "share"),
    Reading.TIME: (mark("the time was {value}"), "time"),
    Reading.TEMPERATURE: (mark("the air had {value}"), "°C"),
    Reading.PUT_BACK: (mark("the charger put back {value}"), "Ah"),
}
ANSWERED: Final[dict[str, str]] = {
    "hurt": mark("Is anybody hurt?"),
    "pack": mark("Is the pack safe?"),
    "whereabouts": mark("Where is the aircraft?"),
}
RESULTS: Final[dict[str, str]] = {
    "yes": mark("yes"),
    "no": mark("no"),
    "none": mark("nothing of it"),
    "fine": mark("as it was"),
    "damaged": mark("damaged"),
    "lost": mark("not found"),
    "found": mark("found"),
}

GONE_RECORD: Final = mark(
    "The record of the earlier answer is not there any more, or was changed. What it had shown still counts. Give "
    "RECORD anew to have it read again."
)
GONE_WHOLE: Final = mark(
    "The record of the earlier answer is not there any more, or was changed, and nothing of it counts now. Give RECORD "
    "anew to have it read again."
)
GONE_PLAN: Final = mark(
    "The plan of the earlier answer is not there any more, or was changed. Nothing is held against it. Give it anew "
    "with --plan."
)
GONE_EARLIER: Final = mark("Earlier records are not there any more, or were changed, and are not compared with.")


def gone_lines(*, record: bool, signs: bool, plan: bool, earlier: bool) -> tuple[str, ...]:
    """Return what an earlier answer had read and this one could not; `signs` of the record may have been kept."""
    lines = ((record, GONE_RECORD if signs else GONE_WHOLE), (plan, GONE_PLAN), (earlier, GONE_EARLIER))
    return tuple(text(line) for gone, line in lines if gone)


def reading_words(reading: TypedReading, units: Units) -> str:
    """Return one typed reading as a sentence, with its time where it was told with one."""
    clause, unit = READINGS[reading.of]
    if reading.of is Reading.BEARING:
        value = bearing_words(reading.value)
    elif unit == "share":
        value = numbers.percent(reading.value)
    elif unit == "time":
        value = moment(reading.value)
    else:
        value = numbers.words(reading.value, unit, units)
    said = text(clause, value=value)
    if reading.at_s is None:
        return text("As told, {said}.", said=said)
    return text("As told, at {time} {said}.", time=moment(reading.at_s), said=said)


def reading_lines(answer: DebriefAnswer, units: Units) -> tuple[str, ...]:
    """Return the typed readings by their time, those without one last."""
    ordered = sorted(answer.told.readings, key=lambda each: (each.at_s is None, each.at_s or 0.0))
    return tuple(dict.fromkeys(reading_words(each, units) for each in ordered if each.of is not Reading.TIME))


def heard_signs(answer: DebriefAnswer, book: Book) -> tuple[str, ...]:
    """Return what was heard in the words, as signs of the book; what was told to be so comes first."""
    names = {sign.key: text(sign.name) for sign in book.signs}
    said = []
    for heard in sorted(answer.told.heard, key=lambda each: (not each.seen, each.sentence, each.start)):
        name = names.get(heard.sign, heard.phrase)
        said.append(
            text("As we take the words: {sign}.", sign=name)
            if heard.seen
            else text("As we take the words, not so: {sign}.", sign=name)
        )
    return tuple(dict.fromkeys(said))


def told_lines(answer: DebriefAnswer, book: Book, units: Units) -> tuple[str, ...]:
    """Return what was told, as it was understood: signs, then readings."""
    return (*heard_signs(answer, book), *reading_lines(answer, units))


def answered_line(answered: Answered, book: Book) -> str:
    """Return one answer that was given: the question, and what came of it."""
    names = {sign.key: text(sign.name) for sign in book.signs}
    asked = next((text(each.name) for each in book.checks if each.key == answered.check), "")
    if not asked:
        asked = text(ANSWERED[answered.check]) if answered.check in ANSWERED else answered.check
    parts = [part.strip() for part in answered.result.split(",")]
    result = "; ".join(text(RESULTS[part]) if part in RESULTS else names.get(part, part) for part in parts)
    return text("{question} {result}.", question=asked, result=capital(result))
