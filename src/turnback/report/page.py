"""The report: one page of HTML that needs no script, no network and no second file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from turnback import __version__
from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import svg, tables, words
from turnback.report.brief_json import SCHEMA_NAME, brief_json
from turnback.report.brief_schema import brief_schema_json
from turnback.report.cautions import CAUTIONS, NOT_MODELLED
from turnback.report.charts import charts
from turnback.report.files import made_folder, write_whole
from turnback.report.five import five_lines
from turnback.report.numbers import Units
from turnback.report.typography import together
from turnback.report.vega import Chart, Key
from turnback.report.words_ground import ground_lines


@dataclass(frozen=True, slots=True)
class Figure:
    """One drawn chart."""

    name: str
    title: str
    alt: str
    keys: tuple[Key, ...]
    wide: Markup
    narrow: Markup


def write_report(result: BriefResult, folder: Path, units: Units = Units.METRIC) -> Path:
    """Write ``report.html``, ``brief.json`` and its schema into a folder, and return the page's path.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    made_folder(folder)
    page = page_html(result, units)
    write_whole(folder / SCHEMA_NAME, brief_schema_json())
    write_whole(folder / "brief.json", brief_json(result))
    return write_whole(folder / "report.html", page)


def page_html(result: BriefResult, units: Units = Units.METRIC) -> str:
    """Return the whole page; everything that came from a plan is escaped."""
    said = [(finding, words.say(finding, units)) for finding in result.findings]
    return _environment().get_template("report.html").render(
        title=result.title,
        verdict=words.VERDICT_WORDS[result.verdict],
        meaning=words.VERDICT_MEANING[result.verdict],
        mark=result.verdict.name.lower().replace("_", "-"),
        shape=_shape(result.verdict),
        home=words.spread_chance(result.home),
        lines=five_lines(result, units),
        mend=[text for finding, text in said if finding.severity is not Severity.NOTE],
        findings=[(finding.rule.replace(".", "-").replace("_", "-"), text, _standing(finding.source))
                  for finding, text in said],
        limits=tables.limits(result, units),
        figures=[_figure(chart) for chart in charts(result, units)],
        tables=tables.all_tables(result, units),
        assumed=tables.assumed(result.assumed, units),
        ground=ground_lines(result, units),
        cautions=CAUTIONS,
        not_modelled=NOT_MODELLED,
        draws=f"{result.draws:,}",
        seed=result.seed,
        version=__version__,
        style=Markup(_resource("report.css")),  # noqa: S704 - our own file
    )  # fmt: skip


def _figure(chart: Chart) -> Figure:
    wide, narrow = svg.wide(chart), svg.narrow(chart)
    return Figure(chart.name, chart.title, chart.alt, chart.keys, Markup(wide), Markup(narrow))  # noqa: S704 - numbers and our own words, escaped in svg.named


def _standing(source: str) -> str:
    """Say how far a source carries, where its own text does not say so already."""
    standing = words.source_standing(source)
    return "" if source == "user" or standing.lower() in words.source_text(source).lower() else standing


def _together(value: object) -> object:
    """Keep a number and its unit on one line, and write minus as minus; markup of our own is left as it is."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return together(value)


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


def _resource(name: str) -> str:
    return resources.files("turnback.report").joinpath("templates", name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("turnback.report", "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        finalize=_together,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
