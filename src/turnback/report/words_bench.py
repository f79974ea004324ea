"""The bench in words: five plain lines, and all ways of putting it together that are left."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.bench import At, BenchAnswer, MendStep, Saw, Slip, SlipFound, SlipSet
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
LEAST_MENDED: Final = 0.02
"""Chance from which on the mend of an error is told; mends of ways that the signs leave are told whatever it is."""
LEAST_WAY: Final = 0.002
"""Chance from which on a way is listed; ways that the signs leave are listed whatever it is."""
MOST_NAMED: Final = 3
"""Ways named in the first line; all of them stand further down."""
SAFETY: Final = mark(
    "Unplug first. Propellers off for anything powered: strapped down, short, no throttle. Never hold an aircraft "
    "with propellers on. This does not know your local law."
)
ONE_IS_SURE: Final = mark("{sureness}: {odds}. That it is put together right: {right}.")
ONE_OF_THESE: Final = mark("{sureness}. That it is one of these: {odds}. That it is put together right: {right}.")
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
    """What to do when an error of one kind is found."""

    names: tuple[tuple[str, str], ...]
    """Each error that is mended so, with its odds, most likely first."""
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


def wrong_ones(answer: BenchAnswer) -> tuple[SlipSet, ...]:
    """Return what stands of the ways that hold an error of how it is put together."""
    return tuple(each for each in standing(answer) if each.slips and not _is_else(each))


def tells_little(answer: BenchAnswer) -> bool:
    """True where nothing was told, or only what is normal."""
    return all(each.what is Saw.RUNS_UP_WITHOUT_PROPELLERS for each in answer.seen)


def likely_words(answer: BenchAnswer) -> str:
    """Say what is most likely wrong, or which ways are left."""
    left, wrong = standing(answer), wrong_ones(answer)
    if answer.surprised:
        return text(
            "What was seen fits no way of putting it together. Look at the list of what was seen: is one of them not "
            "so? If all are, it is something else."
        )
    if not answer.seen:
        return text("Nothing was told yet. Say what the aircraft did, or do the first check.")
    if tells_little(answer):
        return text("That shows nothing: motors that run up without propellers are normal. Do not do it again.")
    if not left:
        return text("This cannot say.")
    right, other = any(not each.slips for each in left), any(_is_else(each) for each in left)
    if not wrong:
        return (
            text("Hardly the way it is put together. Look for another reason, and do not fly it before.")
            if other
            else text("Nothing that shows: most likely it is put together right.")
        )
    said = [text("{what}.", what=capital(set_name(wrong[0]))) if len(wrong) == 1 else _several(grouped(wrong))]
    said += [text("It may also be put together right.")] if right else []
    said += [text("Or it is something else than the way it is put together.")] if other else []
    return " ".join(said)


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
    left, wrong = standing(answer), wrong_ones(answer)
    if answer.surprised or not left or tells_little(answer):
        return text("Not at all, before more is told.")
    if not wrong:
        chance = min(1.0, sum(each.chance for each in left))
        return text("{sureness}: {odds}.", sureness=sureness(chance), odds=odds(chance))
    chance, right = min(1.0, sum(each.chance for each in wrong)), odds(answer.right)
    message = ONE_IS_SURE if len(wrong) == 1 else ONE_OF_THESE
    return text(message, sureness=sureness(chance), odds=odds(chance), right=right)


def decides_words(answer: BenchAnswer) -> str:
    """Say which one check decides, and how it is done."""
    if answer.next_checks:
        said = check_said(answer.next_checks[0])
        return text("{name} ({minutes}). {how}", name=said.name, minutes=said.minutes, how=said.how)
    left = standing(answer)
    if answer.surprised or tells_little(answer) or len(left) != 1 or _is_else(left[0]):
        return text("No check of the bench tells more. Ask somebody who knows, and do not fly it before.")
    if left[0].slips:
        return text("No check of the bench tells more. Mend it, then look at all four corners once more.")
    return text("No check of the bench tells more.")


def mend_words(answer: BenchAnswer) -> str:
    """Say what to do when the most likely error is found."""
    left, wrong = standing(answer), wrong_ones(answer)
    if answer.surprised or not left or tells_little(answer):
        return text("Mend only what you find wrong. What each finding means stands below.")
    if not wrong:
        return text(
            "Mend only what you find wrong. If all is right and it still flies badly, look further than the way it is "
            "put together, and do not fly it before."
        )
    said = " ".join(dict.fromkeys(text(MEND[slip.slip]) for slip in wrong[0].slips))
    if len(left) == 1:
        return said
    return text("Mend only what you find wrong. If it is the first of them: {mend}", mend=said)


def ways(answer: BenchAnswer) -> tuple[Way, ...]:
    """Return all ways that are left with their chances, most likely first, and the rest as one."""
    alike = {set_key(each) for each in standing(answer)[1:]}
    known = {set_key(each): each for each in (*answer.sets, *answer.survivors)}
    stands = {set_key(each) for each in standing(answer)}
    kept = [each for key, each in known.items() if each.chance >= LEAST_WAY or key in stands]
    listed = sorted(kept, key=lambda each: -each.chance)
    said = [Way(set_key(each), capital(set_name(each)), odds(each.chance), set_key(each) in alike) for each in listed]
    rest = 1.0 - sum(each.chance for each in listed)
    if rest >= LEAST_WAY:
        said.append(Way(None, text("All other ways together"), odds(rest), alike=False))
    return tuple(said)


def mends(answer: BenchAnswer) -> tuple[MendSaid, ...]:
    """Return what each finding means, most likely first; errors that are mended alike stand together."""
    steps = {(each.slip, each.at): each.steps for each in answer.mends}
    stands = {slip_key(slip) for each in standing(answer) for slip in each.slips}
    groups: dict[tuple[Slip, tuple[MendStep, ...]], list[SlipFound]] = {}
    told = set()
    for found in sorted(answer.slips, key=lambda each: -each.chance):
        if slip_key(found) in told or (found.chance < LEAST_MENDED and slip_key(found) not in stands):
            continue
        told.add(slip_key(found))
        groups.setdefault((found.slip, steps.get((found.slip, found.at), ())), []).append(found)
    return tuple(
        MendSaid(
            tuple((capital(slip_name(each)), odds(each.chance)) for each in found),
            mend_lines(slip, tuple(each.at for each in found), answer.front_left, done),
        )
        for (slip, done), found in groups.items()
    )


def slip_key(found: SlipFound) -> tuple[Slip, tuple[At, ...], int]:
    """Return what tells one error from another, whatever its chance."""
    return found.slip, found.at, found.quarter_turns


def _is_else(found: SlipSet) -> bool:
    return any(slip.slip is Slip.SOMETHING_ELSE for slip in found.slips)


def _single(found: SlipSet) -> SlipFound | None:
    """Return the only error of a way, where it sits at one corner."""
    if len(found.slips) == 1 and len(found.slips[0].at) == 1 and found.slips[0].slip in AT_ONE_OF:
        return found.slips[0]
    return None


def set_key(found: SlipSet) -> SetKey:
    """Return what tells one way from another, whatever its chance."""
    return tuple(slip_key(slip) for slip in found.slips)
