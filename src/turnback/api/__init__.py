"""What every face and every script calls: paths and plain settings in, records and text out.

Every function raises ``turnback.base.errors.InputError`` for input that cannot be used; nothing here prints, asks
the clock or ends the process.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from turnback.api.bench import bench, bench_json, bench_list_text, bench_text, write_bench
from turnback.api.debriefs import DebriefAsk, Debriefed, debrief, debrief_facts, keep_debrief, write_debrief
from turnback.api.ground import fetch_terrain
from turnback.api.maps import home_map, map_schema
from turnback.api.records import columns_text, record, require_new, write_columns, write_record
from turnback.api.runs import pack_run, ray
from turnback.api.walks import keep_walk, kept_walk, range_walk
from turnback.base.errors import Fault, InputError
from turnback.flows.brief import brief as _brief
from turnback.readers.case import read_case
from turnback.readers.plan_schema import plan_schema as _plan_schema
from turnback.readers.walk import WalkSettings
from turnback.records.aircraft import Rotation
from turnback.records.bench_talk import BenchTalk, Step, StepKind
from turnback.records.case import Case
from turnback.records.finding import Verdict
from turnback.records.result import BriefResult
from turnback.records.walk import WalkEnd, WalkMode
from turnback.records.walk_answer import WalkAnswer
from turnback.report.brief_json import brief_json, json_text
from turnback.report.brief_schema import brief_schema_json as _brief_schema
from turnback.report.card import Card, Made, Paper, card_pdf
from turnback.report.card import write_card as _write_card
from turnback.report.debrief_json import debrief_json
from turnback.report.debrief_redact import redacted_debrief
from turnback.report.debrief_schema import debrief_schema_json
from turnback.report.debrief_text import debrief_text
from turnback.report.files import require_folder, write_new
from turnback.report.language import speaking
from turnback.report.map_json import map_json
from turnback.report.map_page_files import write_map
from turnback.report.map_terminal import map_text
from turnback.report.new_plan import QUESTIONS, Question, Value, answer_of, ask_all, new_plan_text
from turnback.report.numbers import Units
from turnback.report.page import write_report
from turnback.report.record_json import record_json
from turnback.report.record_redact import redacted_record
from turnback.report.record_schema import record_schema_json
from turnback.report.record_text import record_text
from turnback.report.redact import redacted
from turnback.report.runs import pack_run_json, pack_run_text, ray_json, ray_text
from turnback.report.terminal import brief_text
from turnback.report.walk_files import write_walk
from turnback.report.walk_json import walk_json
from turnback.report.walk_redact import redacted_walk
from turnback.report.walk_text import walk_text
from turnback.report.words_fetch import fetched_text

__all__ = [
    "QUESTIONS",
    "BenchTalk",
    "BriefResult",
    "Card",
    "DebriefAsk",
    "Debriefed",
    "Made",
    "Paper",
    "Question",
    "Rotation",
    "Step",
    "StepKind",
    "Units",
    "Value",
    "Verdict",
    "WalkAnswer",
    "WalkEnd",
    "WalkMode",
    "WalkSettings",
    "answer_of",
    "answers_from",
    "ask_all",
    "bench",
    "bench_json",
    "bench_list_text",
    "bench_text",
    "brief",
    "brief_json",
    "brief_schema",
    "brief_text",
    "card_pdf",
    "columns_text",
    "debrief",
    "debrief_facts",
    "debrief_json",
    "debrief_schema_json",
    "debrief_text",
    "fetch_terrain",
    "fetched_text",
    "home_map",
    "keep_debrief",
    "keep_walk",
    "kept_walk",
    "map_json",
    "map_schema",
    "map_text",
    "new_plan_text",
    "pack_run",
    "pack_run_json",
    "pack_run_text",
    "plan_schema",
    "range_walk",
    "ray",
    "ray_json",
    "ray_text",
    "record",
    "record_json",
    "record_schema_json",
    "record_text",
    "redacted",
    "redacted_debrief",
    "redacted_record",
    "redacted_walk",
    "require_folder",
    "require_new",
    "speaking",
    "verify_plan",
    "walk_json",
    "walk_text",
    "write_bench",
    "write_card",
    "write_columns",
    "write_debrief",
    "write_map",
    "write_new_plan",
    "write_record",
    "write_report",
    "write_walk",
]


def brief(
    plan: Path,
    *,
    learned: Path | None = None,
    now: datetime | None = None,
    seed: int = 1,
    redact: bool = False,
    changes: bool = True,
) -> BriefResult:
    """Answer whether the flight of a plan file comes home.

    Parameters
    ----------
    plan : Path
        The plan file; what it refers to is read from its folder.
    learned : Path or None
        Dated values that records taught, keyed by id.
    now : datetime or None
        When the question is asked: it decides how old a weather report is. None leaves its age unknown.
    seed : int
        Of the random draws; the same plan, time and seed give the same answer.
    redact : bool
        Leave out names, and count every height from the launch point: an answer to be passed on.
    changes : bool
        Also look for what would make it a go; a script that asks about many plans may leave it out.

    Raises
    ------
    InputError
        With every fault of the plan and its files.
    """
    result = _brief(read_case(plan, learned=learned, now=now), seed=seed, changes=changes)
    return redacted(result) if redact else result


def write_card(
    plan: Path,
    out: Path,
    *,
    paper: Paper = Paper.A6,
    units: Units = Units.METRIC,
    learned: Path | None = None,
    now: datetime | None = None,
    seed: int = 1,
    redact: bool = False,
) -> Card:
    """Write the field card of a plan file: one page for the hand.

    Parameters
    ----------
    plan, learned, now, seed, redact
        As for `brief`; `now` and its zone are printed on the card.
    out : Path
        The PDF to write; a file that stands there is replaced.
    paper, units
        Size of the card, and the units it shows.

    Raises
    ------
    InputError
        With every fault of the plan and its files, or if the card cannot be written.
    """
    case = read_case(plan, learned=learned, now=now)
    result = _brief(case, seed=seed)
    reported = case.report is not None and case.plan.weather.wind_mps is None
    made = Made(now, case.report.age_h if case.report is not None and reported else None)
    return _write_card(redacted(result) if redact else result, out, made, paper, units)


def verify_plan(plan: Path, *, learned: Path | None = None, now: datetime | None = None) -> Case:
    """Read a plan and all it refers to, as a brief would, and return it.

    Raises
    ------
    InputError
        With every fault of the plan and its files.
    """
    return read_case(plan, learned=learned, now=now)


def plan_schema() -> str:
    """Return the JSON Schema of a plan file as text."""
    return json_text(_plan_schema())


def brief_schema() -> str:
    """Return the JSON Schema of ``brief.json`` as text."""
    return _brief_schema()


def answers_from(typed: Mapping[str, str]) -> dict[str, Value]:
    """Return the answers of a new plan from what was typed, by question key.

    Raises
    ------
    InputError
        With every answer that cannot be used, each by its option.
    """
    answers: dict[str, Value] = {}
    faults: list[Fault] = []
    for question in QUESTIONS:
        if question.key not in typed:
            continue
        try:
            answers[question.key] = answer_of(question, typed[question.key])
        except InputError as error:
            faults += [Fault(question.flag, fault.what, fault.do) for fault in error.faults]
    if faults:
        raise InputError(*faults)
    return answers


def write_new_plan(path: Path, text: str) -> Path:
    """Write a new plan; a file that stands there already is left alone.

    Raises
    ------
    InputError
        If a file stands there, or the folder cannot be written.
    """
    return write_new(path, text)
