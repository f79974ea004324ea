"""What stands first on the answer of a bench: how it is put together, or what the book says where only it was asked."""

from __future__ import annotations

from typing import Final

from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer
from turnback.report.five import Line
from turnback.report.language import mark, text
from turnback.report.words_belief import BeliefSaid
from turnback.report.words_bench import SAFETY, bench_lines

MOST_NEAR: Final = 2
"""Causes named in the first line where none can be told to be it."""
NEAR: Final = mark("The nearest that the book knows: {names}.")
PACK_SIGN: Final = "pack-swollen"
"""The sign of the book that is a danger by itself, whatever else is asked."""
PACK_STOP: Final = mark(
    "A pack that is swollen, dented, hot or smells sweet is not connected, charged or flown. Put it outdoors on bare "
    "ground, away from what burns, and watch it. If it hisses or smokes, everybody keeps away, "
    "and somebody calls the fire service."
)
HURT_SIGN: Final = "said-spun-while-handled"
HURT: Final = mark(
    "If somebody is hurt, see to the wound first: press on it, and call for help if it is deep or keeps bleeding. "
    "Nobody touches the aircraft before it is disarmed and unplugged."
)
STOPS: Final = ((HURT_SIGN, HURT), (PACK_SIGN, PACK_STOP))
"""Signs of a danger, with what is said before all else; care of people comes first."""
NOT_HEARD: Final = mark(
    "Nothing in your words is known to the book. Say it in other words, or choose from turnback bench --list."
)


def book_first(answer: BenchAnswer, said: BeliefSaid | None) -> bool:
    """Return whether nothing was told of how it is put together, but something of the book."""
    return said is not None and not answer.seen and not answer.taken_back


def bench_title(*, first: bool) -> str:
    """Return the title of an answer; ``first`` is that of `book_first`."""
    return text("The bench: what it may be") if first else text("The bench: how it is put together")


def first_lines(
    answer: BenchAnswer,
    said: BeliefSaid | None,
    belief: Belief | None = None,
    *,
    heard: bool = False,
    words: bool = False,
) -> tuple[Line, ...]:
    """Return the five plain lines: of the way it is put together, or of the book where only that was asked.

    Parameters
    ----------
    answer : BenchAnswer
    said : BeliefSaid or None
        The belief in words.
    belief : Belief, optional
        What it was said of.
    heard : bool
        Something was heard in the pilot's words that nobody confirmed or denied yet.
    words : bool
        The pilot's words were given, understood or not.
    """
    lines = bench_lines(answer)
    if said is not None and book_first(answer, said):
        lines = belief_lines(said, heard=heard)
    elif words and not heard and not answer.seen:
        lines = (Line(lines[0].label, text(NOT_HEARD)), *lines[1:])
    seen = () if belief is None else tuple(each.sign for each in belief.observations if each.seen)
    stops = [text(said_first) for sign, said_first in STOPS if sign in seen]
    if not stops:
        return lines
    return (*lines[:-1], Line(lines[-1].label, " ".join([*stops, lines[-1].text])))


def belief_lines(said: BeliefSaid, *, heard: bool = False) -> tuple[Line, ...]:
    """Return five plain lines on what the book makes of what was told."""
    near = [each for each in said.causes if each.spoken_for and each.fix][:MOST_NEAR]
    likely = [said.heading, *(text("{name}.", name=name) for name in said.survivors)]
    if near and not said.survivors:
        likely.append(
            text(NEAR, names="; ".join(text("{name} ({odds})", name=one.name, odds=one.odds) for one in near))
        )
    decides = text("Nothing in the book tells more.")
    if said.checks:
        first = said.checks[0]
        takes = text("It takes {minutes}.", minutes=first.minutes)
        decides = " ".join(filter(None, [first.name, first.how, takes, first.caution]))
    if heard:
        decides = text("First confirm or deny what was heard in your words, below. Then: {check}", check=decides)
    mend = text("Mend only what you find. What each cause asks for stands below.")
    if near:
        mend = text("Mend only what you find. If it is this: “{name}”. {fix}", name=near[0].name, fix=near[0].fix)
    return (
        Line(text("Most likely"), " ".join(likely)),
        Line(text("How sure"), said.sure),
        Line(text("What decides"), decides),
        Line(text("When you find it"), mend),
        Line(text("Look out for"), text(SAFETY)),
    )
