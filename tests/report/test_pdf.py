"""The printed report: the page's words in the page's order, tagged, and nothing that acts or changes by itself."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from tests.report import card_sample, pdf_reading, sample

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import page_parts, pdf, tables, words
from turnback.report.cautions import cautions, not_modelled
from turnback.report.charts import charts
from turnback.report.five import five_lines
from turnback.report.numbers import Units
from turnback.report.page import write_report
from turnback.report.print_page import report_data, report_pdf
from turnback.report.typography import together

EXAMPLES = Path(__file__).parents[2] / "examples"
METRIC = Units.METRIC


@cache
def demo() -> BriefResult:
    """Return the demo's brief: it has every part."""
    return brief(read_case(EXAMPLES / "demo.toml"), changes=True)


@cache
def printed(units: Units = METRIC) -> bytes:
    """Return the demo's report in print."""
    return report_pdf(demo(), units)


def letters(text: str) -> str:
    """Return text without its spaces: lines break anywhere in print."""
    return "".join(together(text).split())


@cache
def said(units: Units = METRIC) -> str:
    """Return all that the demo's report says, without spaces, and without the foot of each page."""
    pages = [page.extract_text() for page in pdf_reading.reader(printed(units)).pages]
    return "".join(letters(page).split("Turnback0.")[0] for page in pages)


def in_order(whole: str, parts: list[str]) -> bool:
    """True where parts follow one another in a text."""
    at = -1
    for part in parts:
        at = whole.find(letters(part), at + 1)
        if at < 0:
            return False
    return True


# Words


def test_page_one_is_for_the_pilot() -> None:
    first = letters(pdf_reading.reader(printed()).pages[0].extract_text())
    lines = [line.text for line in five_lines(demo(), METRIC)]
    assert in_order(first, [words.VERDICT_WORDS[demo().verdict], words.VERDICT_MEANING[demo().verdict]])
    assert in_order(first, ["In five lines", *lines, "What to mend", "What would make it a go", "Cautions"])
    for line in (*cautions(), *(item.do for item in page_parts.mend(demo())[0])):
        assert letters(line) in first, line
    changes = page_parts.changes(demo(), METRIC)
    assert changes is not None
    assert in_order(first, list(changes.first))


def test_the_experts_pages_follow_in_the_order_of_the_page() -> None:
    drawn = {chart.name: chart.title for chart in charts(demo(), METRIC)}
    parts = [part(demo(), METRIC) for part in (page_parts.fall, page_parts.pilot, page_parts.care)]
    fall, pilot, care = (part.title for part in parts if part is not None)
    order = [
        "Limits to keep", drawn["map"], fall, drawn["side"], drawn["volts"], drawn["margin-control"],
        drawn["margin-video"], pilot, care, "Changes that were tried", "Numbers", "Findings and their sources",
        "What was assumed", "What is not modelled",
    ]  # fmt: skip
    found = [part["title"] for part in report_data(demo(), METRIC)["behind"]]
    assert found == order
    assert in_order(said(), order)


@pytest.mark.parametrize("units", Units)
def test_every_number_of_the_tables_is_printed(units: Units) -> None:
    whole = said(units)
    for table in (tables.limits(demo(), units), *tables.all_tables(demo(), units)):
        for row in table.rows:
            assert letters(row.name) in whole, row.name
            assert letters(row.value) in whole, row.value


def test_every_finding_gap_and_limit_of_the_model_is_printed() -> None:
    for finding in demo().findings:
        told = words.say(finding, METRIC)
        for text in (told.title, told.sentence, told.do, told.source, told.severity):
            assert letters(text) in said(), text
    for row in tables.assumed(demo().assumed, METRIC):
        assert letters(row.name) in said()
        assert letters(row.how) in said()
    assert in_order(said(), list(not_modelled()))


@pytest.mark.parametrize("part", [page_parts.fall, page_parts.pilot, page_parts.care], ids=lambda part: part.__name__)
def test_fall_pilot_and_pack_are_printed_whole(
    part: Callable[[BriefResult, Units], page_parts.Section | None],
) -> None:
    shown = part(demo(), METRIC)
    assert shown is not None
    for text in (
        *shown.lines,
        *(step.name for step in shown.steps),
        *(step.shows for step in shown.steps),
        *(row.value for each in shown.openings for row in each.table.rows),
    ):
        assert letters(text) in said(), text


def test_a_brief_without_its_optional_parts_is_printed() -> None:
    whole = pdf_reading.words(report_pdf(sample.brief()))
    assert "In five lines" in whole
    assert "If it falls" not in whole
    assert "None" not in whole.replace("None of", "")


@pytest.mark.parametrize("verdict", Verdict)
def test_every_verdict_fits_page_one(verdict: Verdict) -> None:
    result = card_sample.brief(verdict, rose=None, care=None)
    first = letters(pdf_reading.reader(report_pdf(result)).pages[0].extract_text())
    assert letters(cautions()[-1]) in first
    if verdict in (Verdict.GO, Verdict.GO_WITH_LIMITS):
        assert letters("Limits to keep") in first


# Print


@pytest.mark.parametrize(("units", "size_pt"), [(METRIC, (595.28, 841.89)), (Units.IMPERIAL, (612.0, 792.0))])
def test_paper(units: Units, size_pt: tuple[float, float]) -> None:
    """A4 is 210 mm by 297 mm (ISO 216), letter 8.5 in by 11 in; a point is 1/72 in."""
    for page in pdf_reading.reader(printed(units)).pages:
        assert (page.mediabox.width, page.mediabox.height) == pytest.approx(size_pt, abs=0.02)


def test_pages_are_numbered() -> None:
    pages = pdf_reading.reader(printed()).pages
    for number, page in enumerate(pages, 1):
        assert f"page {number} / {len(pages)}" in " ".join(page.extract_text().split())


def test_tagged_titled_and_with_bookmarks() -> None:
    opened = pdf_reading.reader(printed())
    root = opened.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712 - pypdf's own type
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_object().get_data()
    about = opened.metadata
    assert about is not None
    assert about.title == "No-go: Invented demo: over the ridge and back"
    tagged = [tag for tag, _ in pdf_reading.tags(printed())]
    assert tagged.count("H1") == 1
    titles = [part["title"] for place in ("first", "behind") for part in report_data(demo(), METRIC)[place]]
    assert tagged.count("H2") == len(titles)
    marks = _bookmarks(opened.outline)
    assert [title for title in marks if title in titles] == titles


def _bookmarks(outline: object) -> list[str]:
    if isinstance(outline, list):
        return [title for each in outline for title in _bookmarks(each)]
    return [str(getattr(outline, "title", ""))]


def test_every_picture_is_read_out() -> None:
    alts = [alt for tag, alt in pdf_reading.tags(printed()) if tag == "Figure"]
    assert alts == [together(chart.alt) for chart in charts(demo(), METRIC)]
    assert all(len(alt) > 60 for alt in alts)


def test_tables_have_heads() -> None:
    tagged = [tag for tag, _ in pdf_reading.tags(printed())]
    assert tagged.count("THead") == tagged.count("Table") > 10


def test_nothing_acts_and_nothing_tells_a_machine_or_a_day() -> None:
    assert pdf_reading.actions(printed()) == set()
    about = pdf_reading.reader(printed()).metadata
    assert about is not None
    assert set(about) <= {"/Title", "/Creator"}
    for stream in pdf_reading.streams(printed()):
        assert not any(told in stream for told in pdf_reading.MACHINE)


def test_every_font_is_embedded_and_is_the_one_of_print() -> None:
    found = pdf_reading.fonts(printed())
    assert found
    for name, embedded in found:
        assert embedded
        assert name[1:7].isupper() and name[7] == "+", name  # a subset (ISO 32000-1, 9.6.4)
        assert "SourceSansPro" in name, name


def test_type_can_be_read() -> None:
    assert min(pdf_reading.sizes_pt(printed())) >= 6.0  # inside the pictures
    body = max(pdf_reading.sizes_pt(printed()).items(), key=lambda pair: len(pair[1]))[0]
    assert body >= 8.0


def test_the_same_brief_gives_the_same_bytes() -> None:
    assert report_pdf(sample.brief()) == report_pdf(sample.brief())


def test_it_stands_beside_the_page(tmp_path: Path) -> None:
    write_report(sample.brief(), tmp_path, Units.IMPERIAL)
    assert (tmp_path / "report.pdf").read_bytes() == report_pdf(sample.brief(), Units.IMPERIAL)


HOSTILE = [
    "<script>alert(1)</script> &amp; <b>",
    '#eval("1+1") #read("report.typ") $x^2$ *bold* _low_ `raw` @ref <tag>',
    "= Heading ${7*7} {{ 7*7 }} \\u{41} //",
    "w" * 500,
]


@pytest.mark.parametrize("title", HOSTILE)
def test_text_of_a_plan_stays_text(title: str) -> None:
    made = report_pdf(sample.brief(title=title))
    assert letters(title) in "".join(pdf_reading.words(made).split())
    assert pdf_reading.actions(made) == set()


def test_letters_that_no_font_has_and_controls_are_shown_as_marks() -> None:
    made = pdf_reading.words(report_pdf(sample.brief(title="\u65e5\u672c ridge \U0001f600 \x00\x1b[0m \ud800 end")))
    assert "\u2610\u2610 ridge \u2610" in made
    assert "end" in made
    assert "\x1b" not in made


def test_a_fault_of_a_template_is_not_hidden() -> None:
    import typst

    with pytest.raises(typst.TypstError):
        pdf.compiled("card.typ", {"title": "none of what the card needs"})


def test_a_name_from_an_area_cannot_steer_print() -> None:
    finding = next(each for each in demo().findings if each.severity is not Severity.NOTE)
    assert finding.rule  # the demo has something to mend, so the steps are printed
    assert "#eval" not in pdf_reading.words(printed())
