"""Events of a record as sentences with times, from whatever values the event carries."""

from __future__ import annotations

from string import Formatter
from typing import Final

from turnback.records.happened import Event, EventKind
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.record_event_words import EventWords
from turnback.report.record_values import gravities, lasting, moment, values_words
from turnback.report.words_bench_slips import corners
from turnback.report.words_record_air import AIR
from turnback.report.words_record_channels import channel_words, channels_words
from turnback.report.words_record_links import ACTIONS, LINKS, POWER, STICKS
from turnback.report.words_record_motion import MOTION

WORDS: Final[dict[str, EventWords]] = {**LINKS, **POWER, **STICKS, **AIR, **MOTION}
"""By the name of the kind."""
ABOVE_NOUGHT: Final = frozenset({"height_lost_m", "height_m", "lead_s"})
"""Values that are said only where they are more than nothing: a height that was lost by rising is none."""
FRESH_MPS: Final = 8.0
"""Beaufort 5, a fresh breeze (WMO-No. 306, code table 1100): so much wind stands in the story."""
FRESH_WEIGHT: Final = 52
OWN_WORDS: Final = ("from", "to")
"""Words of an event that may be the record's own, such as the name of a flight mode."""


def event_name(kind: EventKind) -> str:
    """Return a short title of one kind of event."""
    return text(WORDS[kind.name].name)


def weight(event: Event) -> int:
    """Return how much an event matters to what came of the flight, 0 to 100."""
    if event.kind is EventKind.WIND and event.values.get("wind_mps", 0.0) >= FRESH_MPS:
        return FRESH_WEIGHT
    return WORDS[event.kind.name].weight


def event_sentence(event: Event, units: Units) -> str:
    """Return an event as a sentence: the fullest one for which it carries all values.

    Raises
    ------
    KeyError
        If its kind has no words; a test holds that each has.
    """
    said = filled(event, units)
    words = WORDS[event.kind.name]
    holds = parts_of(event)
    holds |= {f"{one}+{two}" for one in event.words.values() for two in event.words.values()}
    holds |= {f"{key}={round(value, 2):g}" for key, value in event.values.items()}
    holds |= {f"corners={len(event.at)}", f"rule={event.rule}"}
    apart = [line for key, some in words.apart.items() if key in holds for line in some]
    lines = (*apart, *words.lines)
    line = next((each for each in lines if places_of(each) <= said.keys()), lines[-1])
    return text(line, **{place: said[place] for place in places_of(line)})


def parts_of(event: Event) -> set[str]:
    """Return the keys that an event carries as words, and the quantity of its first channel."""
    parts = {part for value in event.words.values() for part in value.split(",")}
    return parts | {each.quantity.value for each in event.channels[:1]}


def filled(event: Event, units: Units) -> dict[str, str]:
    """Return what can stand in the places of an event's sentences, as text."""
    kept = {key: value for key, value in event.values.items() if value > 0.0 or key not in ABOVE_NOUGHT}
    said = values_words(kept, units)
    if event.values.get("at_least") == 1.0 and "peak_mps2" in kept:  # never said to be more than was seen
        said["peak_mps2"] = gravities(kept["peak_mps2"], downward=True)
    said |= {key: event.words[key] for key in OWN_WORDS if key in event.words}
    if event.words.get("action") in ACTIONS:
        said["action"] = text(ACTIONS[event.words["action"]])
    said["time"], said["end"] = moment(event.start_s), moment(event.end_s)
    more = {
        "lasting": lasting(event.end_s - event.start_s),
        "corners": corners(event.at) if event.at else "",
        "channels": channels_words(event.channels),
        "first": channel_words(event.channels[0]) if event.channels else "",
    }
    return said | {place: words for place, words in more.items() if words}


def size(event: Event) -> float:
    """Return by what events of one kind are compared: a value's size, or how long it lasted."""
    key = WORDS[event.kind.name].worst
    return abs(event.values[key]) if key in event.values else event.end_s - event.start_s


def places_of(message: str) -> frozenset[str]:
    """Return the names of a message's places."""
    return frozenset(name for _, name, _, _ in Formatter().parse(message) if name)
