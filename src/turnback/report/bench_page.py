"""The page of the bench: one HTML file that needs no script, no network and no second file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from turnback import __version__
from turnback.knowledge.book import Book
from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer, Seen
from turnback.records.heard import Heard
from turnback.report.bench_portraits import cut_svg, portraits
from turnback.report.language import language
from turnback.report.templating import direction, environment, resource
from turnback.report.words_belief import belief_said, heard_lines
from turnback.report.words_bench import mends, ways
from turnback.report.words_bench_checks import checks_said
from turnback.report.words_bench_first import bench_title, book_first, first_lines
from turnback.report.words_bench_seen import seen_words
from turnback.report.words_bench_told import (
    assumed_lines,
    bench_cautions,
    cannot_know,
    counts_less,
    run_up_lines,
    scheme_note,
    take_back,
    wind_up_rows,
)


@dataclass(frozen=True, slots=True)
class SeenSaid:
    """One link of the chain: in words, and as it was given."""

    words: str
    given: str


def bench_page(
    answer: BenchAnswer,
    heard: Sequence[Heard] = (),
    *,
    belief: Belief | None = None,
    book: Book | None = None,
    words: bool = False,
) -> str:
    """Return the whole page; everything that was typed is escaped.

    Parameters
    ----------
    answer : BenchAnswer
    heard : sequence of Heard
        Signs in the pilot's words, for confirmation.
    belief : Belief, optional
        Over the whole book; its section stands only where the book is given too.
    book : Book, optional
        Where the names of causes, signs and checks stand.
    words : bool
        The pilot's words were given, understood or not.
    """
    said = None if belief is None or book is None else belief_said(belief, book)
    first = book_first(answer, said)
    return environment().get_template("bench.html").render(
        title=bench_title(first=first),
        book_first=first,
        language=language(),
        direction=direction(),
        version=__version__,
        style=Markup(resource("report.css") + resource("bench.css")),  # noqa: S704 - our own files
        lines=first_lines(answer, said, belief, heard=bool(heard), words=words),
        scheme_note=scheme_note(answer),
        portraits=portraits(answer),
        cut_up=cut_svg(upside_down=False),
        cut_over=cut_svg(upside_down=True),
        ways=ways(answer),
        seen=tuple(_said(each) for each in answer.seen),
        taken_back=tuple(_said(each) for each in answer.taken_back),
        take_back=take_back(),
        heard=heard_lines(heard, book),
        counts_less=counts_less(),
        checks=checks_said(answer.next_checks),
        mends=mends(answer),
        run_up=run_up_lines(answer.wind_up),
        wind_up_rows=() if answer.wind_up is None else wind_up_rows(answer.wind_up),
        belief=said,
        cautions=bench_cautions(),
        assumed=assumed_lines(answer),
        unknown=cannot_know(),
    )  # fmt: skip


def _said(seen: Seen) -> SeenSaid:
    return SeenSaid(seen_words(seen), seen.said)
