"""What could not be looked for in a record, in words: why, and what to record or export next time."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import Final

from turnback.records.channel import ACCELERATIONS, RATE_DEMANDS, RATES, STICKS, Quantity
from turnback.records.happened import EventKind, NotTold, RecordAnswer, WhyNot
from turnback.report.language import mark, text
from turnback.report.record_values import number
from turnback.report.words_bench_slips import together_all
from turnback.report.words_record_channels import QUANTITIES, channels_words
from turnback.report.words_record_events import event_name, places_of

ORDER: Final = (
    WhyNot.CELLS_UNKNOWN, WhyNot.CHEMISTRY_UNKNOWN, WhyNot.BLADES_UNKNOWN, WhyNot.CORNERS_UNKNOWN,
    WhyNot.SENSE_UNKNOWN, WhyNot.NO_CHANNEL, WhyNot.TOO_SLOW, WhyNot.TOO_SHORT,
    WhyNot.LOAD_TOO_STEADY, WhyNot.NOT_ALOFT,
)  # fmt: skip
"""What can be mended at once stands first."""
LITTLE: Final[dict[EventKind, str]] = {
    EventKind.WIND: mark("It takes a few steady seconds on courses that differ clearly."),
}
"""Of what there is too little."""
TOGETHER: Final[dict[Quantity, str]] = {
    **dict.fromkeys(ACCELERATIONS, mark("acceleration along all three axes")),
    **dict.fromkeys(RATES, mark("the turning rates about all three axes")),
    **dict.fromkeys(RATE_DEMANDS, mark("the turning rates that were asked for")),
    **dict.fromkeys((Quantity.LATITUDE, Quantity.LONGITUDE), mark("the position")),
    **dict.fromkeys((Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE), mark("the stored launch point")),
    **dict.fromkeys(STICKS, mark("the sticks")),
    Quantity.OUTPUT: mark("the output at each corner"),
    Quantity.ROTOR_SPEED: mark("the rotor speed at each corner"),
    Quantity.CELL_VOLTS: mark("the volts of each cell"),
}
"""Channels that tell only together, or at each place."""
WHY: Final[dict[WhyNot, tuple[str, ...]]] = {
    WhyNot.NO_CHANNEL: (
        mark("What would tell is not in the record: {channels}. Record or export it next time."),
        mark("The record lacks a channel that would tell."),
    ),
    WhyNot.TOO_SLOW: (
        mark(
            "The rate of {rate} rows a second is too slow for it: {needed} would be needed. Record {channels} faster."
        ),
        mark("The rate of {rate} rows a second is too slow for it: {needed} would be needed."),
        mark("The rate of the record is too slow for it: record faster."),
    ),
    WhyNot.NOT_ALOFT: (mark("It can be told in the air only, and this record was never surely in the air."),),
    WhyNot.TOO_SHORT: (mark("There is too little of the record in which it could be told."),),
    WhyNot.LOAD_TOO_STEADY: (
        mark("The load changed too little to tell what the volts would be without it: they were judged as they are."),
    ),
    WhyNot.SENSE_UNKNOWN: (
        mark(
            "Nothing tells in which direction the record counts {channels}. Say it with --column, or record a few "
            "seconds of clear tilts and turns."
        ),
        mark("Nothing tells in which direction the record counts."),
    ),
    WhyNot.CORNERS_UNKNOWN: (
        mark("It is not known which corner each column of {channels} belongs to: say it with --column."),
        mark("It is not known which corner each column belongs to: say it with --column."),
    ),
    WhyNot.CELLS_UNKNOWN: (
        mark(
            "The number of cells ({cells}) does not go with the volts of the record: either it or their unit is "
            "wrong. Say them with --cells and --column."
        ),
        mark("It is not known how many cells the pack has in series: say it with --cells."),
    ),
    WhyNot.CHEMISTRY_UNKNOWN: (mark("The chemistry of the pack is not known: say it with --chemistry."),),
    WhyNot.BLADES_UNKNOWN: (mark("It is not known how many blades a propeller has: say it with --blades."),),
}
"""The fullest first; the first whose places are known is said."""


def not_told_lines(answer: RecordAnswer) -> tuple[str, ...]:
    """Return what could not be looked for, one line for each reason, first what can be mended at once.

    Channels that are not there come as one line each where they hide several things, and together where each hides one.
    """
    have = had(answer)
    groups: dict[str, list[str]] = {}
    lacking: dict[tuple[str, ...], list[str]] = {}
    for each in sorted(answer.not_told, key=lambda each: ORDER.index(each.why)):
        lacks = lacking_names(each, have) if each.why is WhyNot.NO_CHANNEL else ()
        if lacks:
            lacking.setdefault(lacks, []).append(event_name(each.kind))
        # what is lacking stands where the first of it stands
        names = groups.setdefault("" if lacks else why_words(each, have), [])
        names.append(event_name(each.kind))
    said: list[str] = []
    for why, names in groups.items():
        row = "; ".join(dict.fromkeys(names))
        said += [text("{names}. {why}", names=row, why=why)] if why else _lacking_lines(lacking)
    return tuple(said)


def _lacking_lines(lacking: Mapping[tuple[str, ...], list[str]]) -> list[str]:
    """Return what is not recorded: what hides most first, and what hides one thing each in a last line."""
    several = sorted((one for one in lacking.items() if len(one[1]) > 1), key=lambda one: -len(one[1]))
    said = [text("Not in the record: {channels}. It would tell: {names}.", channels=together_all(list(channels)),
                 names="; ".join(names)) for channels, names in several]  # fmt: skip
    named = {channel for channels, _ in several for channel in channels}
    alone = [one for one in lacking.items() if len(one[1]) == 1]
    if not alone:
        return said
    names = "; ".join(name for _, found in alone for name in found)
    left = [name for name in dict.fromkeys(one for channels, _ in alone for one in channels) if name not in named]
    if left:
        said.append(text("Not in the record either: {channels}. It lacks them for: {names}.",
                         channels=together_all(left), names=names))  # fmt: skip
    else:
        said.append(text("It lacks these channels for this too: {names}.", names=names))
    return said


def lacking_names(missing: NotTold, have: frozenset[Quantity]) -> tuple[str, ...]:
    """Return the channels that are needed and not there, those that tell only together as one."""
    needs = [each.quantity for each in missing.needs if each.quantity not in have]
    return tuple(text(name) for name in dict.fromkeys(TOGETHER.get(each, QUANTITIES[each]) for each in needs))


def had(answer: RecordAnswer) -> frozenset[Quantity]:
    """Return the quantities that a record has: nobody needs to be told to record them."""
    return frozenset(each.quantity for each in answer.flown.record.series)


def why_words(missing: NotTold, have: frozenset[Quantity] = frozenset()) -> str:
    """Return why one thing could not be told, and what would help; what the record has is not asked for."""
    lacks = missing.why is WhyNot.NO_CHANNEL
    needs = [each for each in missing.needs if not (lacks and each.quantity in have)]
    said = {"channels": channels_words(needs)} if needs else {}
    if "rate_hz" in missing.values:  # never said to be as fast as it would have to be
        said["rate"] = number(math.floor(missing.values["rate_hz"] * 10.0 + 1e-6) / 10.0)
    if "told_cells" in missing.values:
        said["cells"] = number(missing.values["told_cells"])
    if "needed_hz" in missing.values:
        said["needed"] = number(math.ceil(missing.values["needed_hz"] - 1e-6))
    if lacks and missing.needs and not needs:
        return text("The record has too little of {channels} to tell.", channels=channels_words(missing.needs))
    if missing.why is WhyNot.TOO_SHORT and missing.kind in LITTLE:
        return text(LITTLE[missing.kind])
    lines = WHY[missing.why]
    line = next((each for each in lines if places_of(each) <= said.keys()), lines[-1])
    return text(line, **{place: said[place] for place in places_of(line)})


def next_time(answer: RecordAnswer) -> str:
    """Return the one channel, or those that tell only together, whose lack hides most; empty where none is lacking."""
    have = had(answer)
    count: Counter[str] = Counter()
    first: dict[str, int] = {}
    for each in answer.not_told:
        if each.why is WhyNot.NO_CHANNEL:
            lacking = {need.quantity for need in each.needs} - have
            for quantity in lacking:
                name = TOGETHER.get(quantity, QUANTITIES[quantity])
                first[name] = min(first.get(name, len(Quantity)), list(Quantity).index(quantity))
            count.update({TOGETHER.get(quantity, QUANTITIES[quantity]) for quantity in lacking})
    if not count:
        return ""
    return text(min(count, key=lambda name: (-count[name], first[name])))
