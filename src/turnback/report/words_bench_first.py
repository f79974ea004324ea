"""What stands first on the answer of a bench: how it is put together, or what the book says where only it was asked."""

from __future__ import annotations

from turnback.records.bench import BenchAnswer
from turnback.report.language import text
from turnback.report.words_belief import BeliefSaid
from turnback.report.words_bench import SAFETY, Line


def book_first(answer: BenchAnswer, said: BeliefSaid | None) -> bool:
    """Return whether nothing was told of how it is put together, but something of the book."""
    return said is not None and not answer.seen and not answer.taken_back


def bench_title(*, first: bool) -> str:
    """Return the title of an answer; ``first`` is that of `book_first`."""
    return text("The bench: what it may be") if first else text("The bench: how it is put together")


def belief_lines(said: BeliefSaid) -> tuple[Line, ...]:
    """Return five plain lines on what the book makes of what was told."""
    likely = said.heading
    if said.survivors:
        likely = " ".join([said.heading, *(text("{name}.", name=name) for name in said.survivors)])
    decides = text("Nothing in the book tells more.")
    if said.checks:
        first = said.checks[0]
        decides = " ".join(filter(None, [first.name, first.how, first.caution]))
    return (
        Line(text("Most likely"), likely),
        Line(text("How sure"), said.sure),
        Line(text("What decides"), decides),
        Line(text("When you find it"), text("Mend only what you find. What each cause asks for stands below.")),
        Line(text("Look out for"), text(SAFETY)),
    )
