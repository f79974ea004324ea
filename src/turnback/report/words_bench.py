"""The bench in words: five plain lines, and all ways of putting it together that are left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.bench import At, BenchAnswer, Slip, SlipFound, SlipSet
from turnback.report.five import Line
from turnback.report.language import mark, plural, text
from turnback.report.words_belief_chance import capital, odds, sureness
from turnback.report.words_bench_checks import check_said
from turnback.report.words_bench_slips import (
    MEND,
    any_of,
    corner,
    mend_lines,
    set_name,
    slip_name,
)

SetKey = tuple[tuple[Slip, tuple[At, ...], int], ...]
MOST_NAMED: Final = 3
"""Ways named in the first line; all of them stand further down."""
SAFETY: Final = mark(
    "Unplug first. Propellers off for anything powered: strapped down, short, no throttle. Never hold an aircraft "
    "with propellers on. This does not know your local law."
)
AT_ONE_OF: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("a propeller of the wrong direction at {corners}"),
    Slip.PROPELLER_UPSIDE_DOWN: mark("a propeller upside down at {corners}"),
    Slip.MOTOR_DIRECTION: mark("a motor that turns the wrong way at {corners}"),
}
"""With ``{corners}`` as "front-left or rear-left"."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which it may be put together, as people read it."""

    key: SetKey | None
    """None for all other ways together."""
    name: str
    odds: str
    alike: bool
    """The signs do not separate it from the most likely one, which is another."""


@dataclass(frozen=True, slots=True)
class MendSaid:
    """What to do when one error is found."""

    name: str
    odds: str
    lines: tuple[str, ...]


def bench_lines(answer: BenchAnswer) -> tuple[Line, ...]:
    """Return the five plain lines of the bench."""
    return (
        Line(text("Most likely wrong"), likely_words(answer)),
        Line(text("How sure"), sure_words(answer)),
        Line(text("What decides"), decides_words(answer)),
        Line(text("When you find it"), mend_words(answer)),
        Line(text("Look out for"), text(SAFETY)),
    )


def standing(answer: BenchAnswer) -> tuple[SlipSet, ...]:
    """Return the most likely way and all that the signs do not separate from it, each once."""
    if not answer.sets:
        return answer.survivors
    top = answer.sets[0]
    slips = {set_key(top)}
    kept = [top]
    for each in answer.survivors:
        if set_key(each) not in slips:
            slips.add(set_key(each))
            kept.append(each)
    return tuple(kept)


def likely_words(answer: BenchAnswer) -> str:
    """Say what is most likely wrong, or which ways are left."""
    left = standing(answer)
    if answer.surprised:
        return text(
            "What was seen fits no way of putting it together. Look at the list of what was seen: is one of them not "
            "so? If all are, it is something else."
        )
    if not answer.seen:
        return text("Nothing was told yet. Say what the aircraft did, or do the first check.")
    if not left:
        return text("This cannot say.")
    if len(left) == 1:
        right = text("Nothing: most likely it is put together right.")
        return text("{what}.", what=capital(set_name(left[0]))) if left[0].slips else right
    return _several(grouped(left))


def _several(names: list[str]) -> str:
    """Say that each of some ways may be it."""
    first = [capital(names[0]), *names[1:]]
    if len(names) == 1:
        return text("{what}. Which of them it is, the signs do not tell.", what=first[0])
    if len(names) > MOST_NAMED:
        return plural(
            "{what}; or {count} other, named below. The signs do not tell them apart.",
            "{what}; or {count} others, named below. The signs do not tell them apart.",
            len(names) - MOST_NAMED,
            what="; ".join(first[:MOST_NAMED]),
        )
    return text("{first}; or {last}. The signs do not tell them apart.", first="; ".join(first[:-1]), last=first[-1])


def grouped(sets: tuple[SlipSet, ...]) -> list[str]:
    """Return names of ways, the same single error at one corner or another told as one."""
    names: list[str] = []
    told: set[Slip] = set()
    for found in sets:
        slip = _single(found)
        if slip is None:
            names.append(set_name(found))
        elif slip.slip not in told:
            told.add(slip.slip)
            at = [one.at[0] for each in sets if (one := _single(each)) is not None and one.slip is slip.slip]
            ordered = [corner(each) for each in At if each in at]
            names.append(text(AT_ONE_OF[slip.slip], corners=any_of(ordered)))
    return names


def sure_words(answer: BenchAnswer) -> str:
    """Say how sure that is, and how likely it is that nothing is wrong."""
    left = standing(answer)
    if answer.surprised or not left or not answer.seen:
        return text("Not at all, before more is told.")
    chance = min(1.0, sum(each.chance for each in left))
    if len(left) == 1:
        said = text("{sureness}: {odds}.", sureness=sureness(chance), odds=odds(chance))
    else:
        said = text("{sureness} that it is one of these: {odds}.", sureness=sureness(chance), odds=odds(chance))
    if not left[0].slips:
        return said
    return text("{said} That it is put together right: {right}.", said=said, right=odds(answer.right))


def decides_words(answer: BenchAnswer) -> str:
    """Say which one check decides, and how it is done."""
    if not answer.next_checks:
        left = standing(answer)
        if not answer.surprised and answer.seen and len(left) == 1:
            if left[0].slips:
                return text("No check of the bench tells more. Mend it, then look at all four corners once more.")
            return text("No check of the bench tells more.")
        return text("No check of the bench tells more. Ask somebody who knows, and do not fly it before.")
    said = check_said(answer.next_checks[0])
    return text("{name} ({minutes}). {how}", name=said.name, minutes=said.minutes, how=said.how)


def mend_words(answer: BenchAnswer) -> str:
    """Say what to do when the most likely error is found."""
    left = standing(answer)
    if answer.surprised or not left or not answer.seen:
        return text("Mend only what you find wrong. What each finding means stands below.")
    slips = left[0].slips
    if not slips:
        return text("Nothing is to be mended. If it still flies badly, look further than the way it is put together.")
    said = " ".join(dict.fromkeys(text(MEND[slip.slip]) for slip in slips))
    if len(left) == 1:
        return said
    return text("Mend only what you find wrong. If it is the first of them: {mend}", mend=said)


def ways(answer: BenchAnswer) -> tuple[Way, ...]:
    """Return all ways that are left with their chances, most likely first, and the rest as one."""
    alike = {set_key(each) for each in standing(answer)[1:]}
    known = {set_key(each): each for each in (*answer.sets, *answer.survivors)}
    listed = sorted(known.values(), key=lambda each: -each.chance)
    said = [Way(set_key(each), capital(set_name(each)), odds(each.chance), set_key(each) in alike) for each in listed]
    rest = 1.0 - sum(each.chance for each in listed)
    if rest >= 1e-3:
        said.append(Way(None, text("All other ways together"), odds(rest), alike=False))
    return tuple(said)


def mends(answer: BenchAnswer) -> tuple[MendSaid, ...]:
    """Return what each finding means for the errors that are left, most likely first, each kind once."""
    said = {}
    steps = {(each.slip, each.at): each.steps for each in answer.mends}
    for found in sorted(answer.slips, key=lambda each: -each.chance):
        key = (found.slip, found.at, found.quarter_turns)
        if found.chance >= 1e-3 and key not in said:
            said[key] = MendSaid(
                capital(slip_name(found)),
                odds(found.chance),
                mend_lines(found, answer.front_left, steps.get(key[:2], ())),
            )
    return tuple(said.values())


def _single(found: SlipSet) -> SlipFound | None:
    """Return the only error of a way, where it sits at one corner."""
    if len(found.slips) == 1 and len(found.slips[0].at) == 1 and found.slips[0].slip in AT_ONE_OF:
        return found.slips[0]
    return None


def set_key(found: SlipSet) -> SetKey:
    """Return what tells one way from another, whatever its chance."""
    return tuple((slip.slip, slip.at, slip.quarter_turns) for slip in found.slips)
