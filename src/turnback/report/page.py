"""The report: one page of HTML that needs no script, no network and no second file."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from markupsafe import Markup

from turnback import __version__
from turnback.records.finding import Verdict
from turnback.records.result import BriefResult
from turnback.report import page_parts, tables, words
from turnback.report.brief_json import SCHEMA_NAME, brief_json
from turnback.report.brief_schema import brief_schema_json
from turnback.report.cautions import cautions, not_modelled
from turnback.report.charts import charts
from turnback.report.files import made_folder, write_whole, write_whole_bytes
from turnback.report.five import five_lines
from turnback.report.language import language, text
from turnback.report.numbers import Units
from turnback.report.print_page import report_pdf
from turnback.report.templating import direction, environment, resource
from turnback.report.words_ground import ground_lines

FIRST_PAGE: Final = "rose"
"""The chart that stands on page one."""


def write_report(result: BriefResult, folder: Path, units: Units = Units.METRIC) -> Path:
    """Write ``report.html``, ``report.pdf``, ``brief.json`` and its schema into a folder; return the page's path.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    made_folder(folder)
    page, printed = page_html(result, units), report_pdf(result, units)
    write_whole(folder / SCHEMA_NAME, brief_schema_json())
    write_whole(folder / "brief.json", brief_json(result))
    write_whole_bytes(folder / "report.pdf", printed)
    return write_whole(folder / "report.html", page)


def page_html(result: BriefResult, units: Units = Units.METRIC) -> str:
    """Return the whole page; everything that came from a plan is escaped."""
    return environment().get_template("report.html").render(
        language=language(),
        direction=direction(),
        title=result.title,
        version=__version__,
        seed=result.seed,
        draws=f"{result.draws:,}",
        style=Markup(resource("report.css")),  # noqa: S704 - our own file
        **_first_page(result, units),
        **_expert_pages(result, units),
    )  # fmt: skip


def _first_page(result: BriefResult, units: Units) -> dict[str, Any]:
    """Return what the pilot reads."""
    mend, left = page_parts.mend(result)
    return {
        "verdict": text(words.VERDICT_WORDS[result.verdict]),
        "meaning": text(words.VERDICT_MEANING[result.verdict]),
        "mark": result.verdict.name.lower().replace("_", "-"),
        "shape": _shape(result.verdict),
        "lines": five_lines(result, units),
        "mend": mend,
        "mend_left": left,
        "changes": page_parts.changes(result, units, mended=len(mend)),
        "limits": tables.limits(result, units),
        "limits_first": page_parts.limits_first(result.verdict),
        "home": words.spread_chance(result.home),
        "cautions": cautions(),
    }


def _expert_pages(result: BriefResult, units: Units) -> dict[str, Any]:
    """Return what stands behind it, and the chart of page one among the drawn ones."""
    figures = {chart.name: page_parts.figure(chart, small=chart.name == FIRST_PAGE) for chart in charts(result, units)}
    return {
        "rose": figures.pop(FIRST_PAGE, None),
        "figures": figures,
        "bearings": page_parts.bearings(result, units),
        "fall": page_parts.fall(result, units),
        "people": [part for part in (page_parts.pilot(result, units), page_parts.care(result, units)) if part],
        "tables": [page_parts.opening(table, columns=True) for table in tables.all_tables(result, units)],
        "findings": page_parts.findings(result, units),
        "assumed": tables.assumed(result.assumed, units),
        "ground": ground_lines(result, units),
        "not_modelled": not_modelled(),
    }


def _shape(verdict: Verdict) -> Markup:
    """A shape for each verdict, so that colour alone never tells it."""
    shapes = {
        Verdict.GO: '<circle cx="32" cy="32" r="28"/><path class="cut" d="M18 33l10 10 19-22"/>',
        Verdict.GO_WITH_LIMITS: '<path d="M32 3l29 29-29 29L3 32z"/><path class="cut" d="M20 26h24M20 38h24"/>',
        Verdict.NO_GO: (
            '<rect x="5" y="5" width="54" height="54" rx="4"/><path class="cut" d="M19 19l26 26M45 19L19 45"/>'
        ),
        Verdict.CANNOT_SAY: '<path d="M32 4l29 55H3z"/><path class="cut" d="M32 24v16M32 48v3"/>',
    }
    return Markup(shapes[verdict])  # noqa: S704 - our own shapes
