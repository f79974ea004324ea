"""The page of a debrief: one HTML file that needs no script, no network and no second file."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from turnback import __version__
from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.records.debrief import DebriefAnswer, GroundSeen, Step
from turnback.records.happened import RecordAnswer
from turnback.report.debrief_charts import compared_panels, evidence
from turnback.report.debrief_redact import redacted_debrief
from turnback.report.debrief_said import debrief_said
from turnback.report.debrief_search_picture import SearchPicture, search_picture
from turnback.report.debrief_side_view import side_view
from turnback.report.language import language, text
from turnback.report.numbers import Units
from turnback.report.record_charts import Group, groups
from turnback.report.record_curves import Panel
from turnback.report.record_facts import track_of
from turnback.report.record_ribbon import Ribbon, ribbon
from turnback.report.record_spectra import spectra_note, spectrum_panels
from turnback.report.record_track_picture import TrackPicture, track_picture
from turnback.report.templating import direction, environment, resource
from turnback.report.words_debrief_learned import NEXT, learned_said
from turnback.report.words_debrief_model import at_loss_line
from turnback.report.words_debrief_safe import kept_back
from turnback.report.words_record_columns import column_name, columns_note, match_sure, match_words

MOST_COLUMNS = 400


@dataclass(frozen=True, slots=True)
class ColumnSaid:
    """One column of the file."""

    name: str
    words: str
    sure: str


@dataclass(frozen=True, slots=True)
class Expert:
    """What stands behind the page, of the record."""

    ribbon: Ribbon | None
    groups: tuple[Group, ...]
    spectra: tuple[Panel, ...]
    spectra_note: str
    track: TrackPicture | None
    columns: tuple[ColumnSaid, ...]
    columns_note: str


def debrief_html(
    answer: DebriefAnswer, units: Units = Units.METRIC, *, places: bool = True, book: Book | None = None
) -> str:
    """Return the whole page; everything that was typed or recorded is escaped.

    Parameters
    ----------
    answer : DebriefAnswer
    units : Units
    places : bool
        With positions, names, dates and the pilot's words.
    book : Book, optional
        Where the names of causes, signs and checks stand; the book of this package if left out.
    """
    answer = answer if places else redacted_debrief(answer)
    book = book or read_book()
    back = kept_back(answer)
    said = debrief_said(answer, book, units, places=places)
    return environment().get_template("debrief.html").render(
        language=language(),
        direction=direction(),
        version=__version__,
        style=Markup(resource("report.css") + resource("record.css") + resource("debrief.css")),  # noqa: S704 - our own
        heading=_heading(answer, back=back),
        back=back,
        said=said,
        words=answer.words,
        picture=_picture(answer, units),
        learned=() if back else learned_said(answer.lessons, units),
        next_brief=text(NEXT),
        at_loss="" if back or answer.against is None or answer.against.at_loss is None
        else at_loss_line(answer.against.at_loss, units),
        panels=() if back else _panels(answer, units),
        evidence=None if back else evidence(answer, book, units),
        expert=None if back or answer.record is None else _expert(answer.record, units, answer.ground),
        earlier=() if back else answer.earlier,
        places=places,
    )  # fmt: skip


def _panels(answer: DebriefAnswer, units: Units) -> tuple[Panel, ...]:
    """Return the charts of what was predicted beside what was recorded, the loss of the link first."""
    at_loss = None if answer.against is None else answer.against.at_loss
    side = None if at_loss is None else side_view(at_loss, units, answer.ground)
    panels = compared_panels(answer.against, units)
    return panels if side is None else (side, *panels)


def _heading(answer: DebriefAnswer, *, back: bool) -> str:
    if back:
        return text("Help first")
    if Step.SEARCH in answer.steps and answer.search is not None:
        return text("Where it lies, and why")
    return text("What happened, and why")


def _picture(answer: DebriefAnswer, units: Units) -> SearchPicture | None:
    if answer.search is None or Step.SEARCH not in answer.steps:
        return None
    track = None if answer.record is None else track_of(answer.record.flown)
    return search_picture(answer.search, track, units, answer.ground)


def _expert(record: RecordAnswer, units: Units, ground: GroundSeen | None) -> Expert:
    matches = record.flown.record.matches[:MOST_COLUMNS]
    return Expert(
        ribbon(record),
        groups(record, units),
        spectrum_panels(record),
        spectra_note(record),
        track_picture(record, units, ground),
        tuple(ColumnSaid(column_name(each), match_words(each), match_sure(each)) for each in matches),
        columns_note(),
    )
