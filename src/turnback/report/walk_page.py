"""The page of a range walk: one HTML file that needs no script, no network and no second file."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from turnback import __version__
from turnback.records.walk_answer import WalkAnswer
from turnback.report import numbers, svg
from turnback.report.cautions import not_modelled
from turnback.report.language import language, text
from turnback.report.numbers import Units
from turnback.report.templating import direction, environment, resource
from turnback.report.vega import Chart, Key
from turnback.report.walk_charts import AT_FLOOR, MEASURED, levels, ring_pair
from turnback.report.walk_tables import HEADINGS, kept_words, walk_cautions, walk_tables
from turnback.report.words_walk import told_lines, walk_lines


@dataclass(frozen=True, slots=True)
class Drawn:
    """One chart, for a desktop screen and for a phone."""

    title: str
    alt: str
    keys: tuple[Key, ...]
    wide: Markup | None
    narrow: Markup


def walk_html(answer: WalkAnswer, units: Units = Units.METRIC, file: str = "learned.toml") -> str:
    """Return the whole page; everything that came from a plan or a record is escaped."""
    return environment().get_template("walk.html").render(
        language=language(),
        direction=direction(),
        version=__version__,
        style=Markup(resource("report.css") + resource("walk.css")),  # noqa: S704 - our own files
        title=answer.title,
        heading=text(HEADINGS[answer.fit.link]),
        lines=walk_lines(answer, units),
        kept=kept_words(answer, file),
        levels=_drawn(levels(answer, units)),
        dotted=(text(MEASURED), text(AT_FLOOR)),
        rings=tuple(_drawn(chart, narrow_only=True) for chart in ring_pair(answer, units)),
        home=_home(answer),
        told=told_lines(answer, units),
        cautions=walk_cautions(answer),
        tables=walk_tables(answer, units),
        not_modelled=not_modelled(),
        draws=f"{answer.after.draws:,}",
        seed=answer.seed,
    )  # fmt: skip


def _drawn(chart: Chart, *, narrow_only: bool = False) -> Drawn:
    """Draw a chart; of two side by side each is as narrow on a desktop as on a phone."""
    wide = None if narrow_only else _markup(svg.wide(chart))
    return Drawn(chart.title, chart.alt, chart.keys, wide, _markup(svg.narrow(chart)))


def _home(answer: WalkAnswer) -> str:
    if answer.map_before is None or answer.map_after is None:
        return ""
    before, after = (numbers.percent(found.ring.share_home) for found in (answer.map_before, answer.map_after))
    if before == after:
        return text("It comes home from {after} of the known ground, with the walk and without it.", after=after)
    return text("With the walk it comes home from {after} of the known ground instead of {before}.", after=after,
                before=before)  # fmt: skip


def _markup(drawn: str) -> Markup:
    return Markup(drawn)  # noqa: S704 - made by our own charts, with text escaped where it is drawn
