"""What is believed of the causes, for a terminal."""

from __future__ import annotations

from turnback.knowledge.book import Book
from turnback.records.belief import Belief
from turnback.report.language import text
from turnback.report.terminal import NARROWEST, WIDEST, Face
from turnback.report.words_belief import BeliefSaid, CauseSaid, belief_said


def belief_text(belief: Belief, book: Book, width: int = 80, colour: bool = False) -> str:
    """Return a belief as plain text, ending in a line feed.

    Parameters
    ----------
    belief : Belief
    book : Book
        The one it was reasoned with.
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings by terminal escapes.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    said = belief_said(belief, book)
    lines = [*belief_sections(face, said)]
    return "\n".join(line.rstrip() for line in lines).lstrip("\n") + "\n"


def belief_sections(face: Face, said: BeliefSaid) -> list[str]:
    """Return the lines of a belief, each part under its heading."""
    lines = [*face.section(text("What is believed of the causes")), *face.wrapped(said.heading)]
    lines += face.wrapped(said.sure)
    if said.survivors:
        lines += [*face.section(text("Causes that the signs leave")), *face.items(said.survivors)]
    if said.checks:
        lines += face.section(text("What decides, in this order"))
        for place, check in enumerate(said.checks, 1):
            lines += face.wrapped(f"{place:2}. {check.name}", rest="    ")
            rest = [check.how, text("It takes {minutes}.", minutes=check.minutes), check.caution]
            lines += face.wrapped(" ".join(filter(None, rest)), first="    ", rest="    ")
            lines += [line for tell in check.tell for line in face.wrapped(tell, first="    ", rest="    ")]
    if said.causes:
        lines += face.section(text("Causes, most likely first"))
        for cause in said.causes:
            lines += _cause(face, cause)
    if said.chain:
        lines += [*face.section(text("What this rests on")), *face.items(said.chain)]
    return lines


def _cause(face: Face, cause: CauseSaid) -> list[str]:
    head = text("{name}: {odds}", name=cause.name, odds=cause.odds)
    lines = face.wrapped(head, first="  - ", rest="    ")
    for said in cause.speaks:
        lines += face.wrapped(said, first="      ", rest="      ")
    if cause.fix:
        for said in (
            text("To mend it: {fix}", fix=cause.fix),
            text("So that it does not come back: {prevention}", prevention=cause.prevention),
            text("Careful: {caution}", caution=cause.caution),
        ):
            lines += face.wrapped(said, first="      ", rest="      ")
    return lines
