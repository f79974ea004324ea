"""The words of what would make it a go: which single changes lift the verdict, and which unknown costs most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.changes import Change, ChangeKind, ChangesResult, Unknown
from turnback.records.finding import Verdict
from turnback.report import numbers, words
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.words_rules import RULE_WORDS

HALVES: Final = (0.42, 0.58)
"""Ratios of bands that are said as a half: a person hears no finer number."""

CHANGE_WORDS: Final[dict[ChangeKind, str]] = {
    ChangeKind.DISTANCE: mark("Turn back at {value} instead of {now}."),
    ChangeKind.HEIGHT: mark("Fly at {value} above the launch point instead of {now}."),
    ChangeKind.RETURN_HEIGHT: mark("Set the automatic return to {value} above launch instead of {now}."),
    ChangeKind.PACK_CHARGED: mark("Charge the pack full: {value} at rest in the weakest cell instead of {now}."),
    ChangeKind.PACK_LARGER: mark(
        "Take a pack of {value} instead of {now}, of the same make and heavier in proportion."
    ),
    ChangeKind.PACK_WARM: mark("Warm the pack to {value} before launch; it is at {now}."),
    ChangeKind.WIND: mark(
        "Wait until the mean wind is no more than {value}, with gusts less in proportion; it is {now}."
    ),
    ChangeKind.GROUND_ANTENNA_HEIGHT: mark(
        "Put your antennas, those of both links, on a mast: {value} above ground instead of {now}."
    ),
    ChangeKind.ANSWERS: mark("Answer what is open, and answer it well."),
}
ABOVE_GROUND: Final = mark("Fly at {value} above ground instead of {now}.")
RETURN_NOT_SET: Final = mark("Set the automatic return to {value} above launch.")
PATCH_WORDS: Final[dict[str, str]] = {
    "control": mark(
        "Use a patch antenna of {value} for the control link at your end instead of {now}, and keep it turned toward "
        "the aircraft. Look up how much you may radiate with it."
    ),
    "video": mark(
        "Use a patch antenna of {value} for the video link at your end instead of {now}, and keep it turned toward "
        "the aircraft."
    ),
}
THEN_WORDS: Final[dict[Verdict, str]] = {
    Verdict.GO: mark("Then it is a go."),
    Verdict.GO_WITH_LIMITS: mark("Then it is a go with limits."),
    Verdict.CANNOT_SAY: mark("Then it is no longer a no-go, but still nobody can say."),
    Verdict.NO_GO: mark("Then it is still a no-go."),
}
IF_AS_THOUGHT_WORDS: Final[dict[Verdict, str]] = {
    Verdict.GO: mark("If it turns out as is assumed now, it is a go."),
    Verdict.GO_WITH_LIMITS: mark("If it turns out as is assumed now, it is a go with limits."),
    Verdict.CANNOT_SAY: mark("If it turns out as is assumed now, it is no longer a no-go, but still nobody can say."),
    Verdict.NO_GO: mark("Even if it turns out as is assumed now, it is still a no-go."),
}
HALVES_WORDS: Final[dict[str, str]] = {
    "energy": mark("It halves what is open in the pack's answer."),
    "control": mark("It halves what is open in the control link's answer."),
    "video": mark("It halves what is open in the video link's answer."),
}
NARROWS_WORDS: Final[dict[str, str]] = {
    "energy": mark("It takes {share} off what is open in the pack's answer."),
    "control": mark("It takes {share} off what is open in the control link's answer."),
    "video": mark("It takes {share} off what is open in the video link's answer."),
}
TOWARD: Final[dict[ChangeKind, Toward]] = {
    ChangeKind.DISTANCE: Toward.DOWN,
    ChangeKind.HEIGHT: Toward.DOWN,
    ChangeKind.RETURN_HEIGHT: Toward.UP,
    ChangeKind.WIND: Toward.DOWN,
}
"""The careful side: never farther, never above a limit, never below the ridge, never in more wind."""


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One change as a row of a table: every cell is ready to read."""

    change: str
    before: str
    after: str
    verdict: str
    lost: str
    """How often it does not come home then, with the ends of what is not known."""


def changes_lines(changes: ChangesResult, units: Units = Units.METRIC) -> tuple[str, ...]:
    """Return plain lines on what would lift the verdict, the best first; none for a go."""
    if changes.verdict is Verdict.GO:
        return ()
    rows = [row for row in changes.changes if row.kind is not ChangeKind.ANSWERS]
    lines = _open_lines(changes)
    lines += [_sentence(row, units) for row in rows]
    if not rows and changes.answered is not Verdict.GO:
        lines.append(_in_vain(changes))
    if not any(row.verdict is Verdict.GO for row in changes.changes):
        lines += [text("This stays, whichever of them you change: {rule}.", rule=_title(key)) for key in changes.beside]
    if changes.costs_most is not None:
        lines.append(unknown_line(changes.costs_most))
    return tuple(lines)


def _in_vain(changes: ChangesResult) -> str:
    if changes.looked_at:
        return text("No single change that was tried makes it better.")
    return text("No other distance, height, pack, wind, antenna or measurement makes it better.")


def changes_table(changes: ChangesResult, units: Units = Units.METRIC) -> tuple[ChangeRow, ...]:
    """Return the changes as rows, in the order of `changes_lines`."""
    return tuple(
        ChangeRow(
            change=_change(row, units),
            before=_number(row, row.now, units),
            after=_number(row, row.value, units, TOWARD.get(row.kind, Toward.NEAREST)),
            verdict=text(words.VERDICT_WORDS[row.verdict]),
            lost=words.spread_chance(row.home),
        )
        for row in changes.changes
    )


def unknown_line(unknown: Unknown) -> str:
    """Say which measurement tells most, and how much."""
    low, high = HALVES
    if low <= unknown.band_ratio <= high:
        worth = text(HALVES_WORDS[unknown.of])
    else:
        worth = text(NARROWS_WORDS[unknown.of], share=numbers.percent(1.0 - unknown.band_ratio))
    return " ".join((words.measure(unknown.key), worth))


def _open_lines(changes: ChangesResult) -> list[str]:
    """Say what is open, and what it would be with all of it answered well: the lines after it take that for granted."""
    if not changes.open_answers:
        return []
    lines = [text("Still open: {question}.", question=_title(key)) for key in changes.open_answers]
    said = {
        Verdict.GO: text("With that answered well, it is a go."),
        Verdict.GO_WITH_LIMITS: text("With that answered well, it is a go with limits."),
        Verdict.CANNOT_SAY: text("Even with that answered well, nobody can say."),
        Verdict.NO_GO: text("Even with that answered well, it is a no-go."),
    }
    more = any(row.kind is not ChangeKind.ANSWERS for row in changes.changes)
    return [*lines, said[changes.answered], *([text("With that answered well, this helps further:")] if more else [])]


def _sentence(row: Change, units: Units) -> str:
    then = IF_AS_THOUGHT_WORDS if row.kind is ChangeKind.MEASUREMENT else THEN_WORDS
    return " ".join((_change(row, units), text(then[row.verdict])))


def _change(row: Change, units: Units) -> str:
    """Say what to change, in the imperative."""
    if row.kind is ChangeKind.MEASUREMENT:
        return words.measure(row.key)
    value = _number(row, row.value, units, TOWARD.get(row.kind, Toward.NEAREST))
    return text(_template(row), value=value, now=_number(row, row.now, units))


def _template(row: Change) -> str:
    if row.kind is ChangeKind.GROUND_ANTENNA_GAIN:
        return PATCH_WORDS[row.key]
    if row.kind is ChangeKind.HEIGHT and row.key == "ground":
        return ABOVE_GROUND
    if row.kind is ChangeKind.RETURN_HEIGHT and row.now is None:
        return RETURN_NOT_SET
    return CHANGE_WORDS[row.kind]


def _number(row: Change, value: float | None, units: Units, toward: Toward = Toward.NEAREST) -> str:
    return "" if value is None else numbers.words(value, row.unit, units, toward)


def _title(key: str) -> str:
    """Return the title of a rule inside a sentence."""
    rule = RULE_WORDS.get(key)
    return key if rule is None else text(rule.title)
