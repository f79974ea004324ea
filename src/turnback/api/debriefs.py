"""The debrief: words, a record and a plan in, what went wrong and what would decide out; what it learned is kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from turnback.api.records import columns_text, facts_from
from turnback.base.errors import bad_input
from turnback.flows.debrief import DebriefGiven, answer_from, answers_outlived
from turnback.flows.debrief import debrief as _debrief
from turnback.flows.debrief_learned import learned_entries
from turnback.flows.range_walk_kept import new_entries
from turnback.knowledge.from_study import Kind
from turnback.knowledge.reading import read_book
from turnback.readers.case import LEARNED_NAME, read_case
from turnback.readers.debrief_chain import (
    KeptDebrief,
    debrief_chain_text,
    known_signs_only,
    read_debrief_chain,
    signs_told,
)
from turnback.readers.learned import append_learned, read_learned
from turnback.records.case import Case
from turnback.records.debrief import Answered, DebriefAnswer
from turnback.records.record_read import FlightFacts
from turnback.report.debrief_files import write_debrief as _write_debrief
from turnback.report.numbers import Units
from turnback.report.words_debrief_told import gone_lines

Tell = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class DebriefAsk:
    """What is told now; everything may stay open.

    Parameters
    ----------
    words, answers : tuple of str
        The pilot's words; ``"CHECK=RESULT"``.
    record, plan, learned : Path or None
    earlier : tuple of Path
    go_on : Path or None
        An earlier answer's folder or chain.
    take_back : int
        So many of the last answers of the earlier one no longer count.
    on : date or None
        Of the flight; else that of the earlier answer, else `today`.
    facts : FlightFacts
    """

    words: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    record: Path | None = None
    plan: Path | None = None
    learned: Path | None = None
    earlier: tuple[Path, ...] = ()
    go_on: Path | None = None
    take_back: int = 0
    on: date | None = None
    facts: FlightFacts = field(default_factory=FlightFacts)


@dataclass(frozen=True, slots=True, eq=False)
class Debriefed:
    """An answer, and what it came from."""

    answer: DebriefAnswer
    case: Case | None
    record: Path | None
    plan: Path | None
    earlier: tuple[Path, ...]
    gone: tuple[str, ...] = ()
    """Sentences on what the earlier answer had read and is no longer where it was."""
    plan_named: bool = False
    """True where the plan was named now: nothing is kept beside one that a chain from anywhere names."""

    @property
    def chain_text(self) -> str:
        """The chain, as it is kept."""
        return debrief_chain_text(self.answer, record=self.record, plan=self.plan, earlier=self.earlier)


def debrief(
    ask: DebriefAsk, *, today: date, now: datetime | None = None, tell: Tell | None = None, seed: int = 1
) -> Debriefed:
    """Return what went wrong, how sure that is, and what would decide. Nothing is kept yet.

    Parameters
    ----------
    ask : DebriefAsk
    today : date
        Stands for the day of the flight where none is told.
    now : datetime, optional
        As for `brief`.
    tell : callable, optional
        Told the share of the work that is done, 0 to 1.
    seed : int

    Raises
    ------
    InputError
        With every fault of what was told, of the plan, or of the record.
    """
    kept = None if ask.go_on is None else read_debrief_chain(ask.go_on)
    book = read_book()
    if kept is not None:
        known_signs_only(kept, frozenset(sign.key for sign in book.signs), str(ask.go_on))
    before = () if kept is None else kept.answers
    if not 0 <= ask.take_back <= len(before):
        raise bad_input(
            "--take-back", f"{ask.take_back} answers cannot be taken back: the earlier answer has {len(before)}",
            "give --go-on with the earlier answer, and no more answers than it has",
        )  # fmt: skip
    stand, taken = before[: len(before) - ask.take_back], before[len(before) - ask.take_back :]
    words = tuple(_whole(each) for each in ask.words)
    outlived = answers_outlived(stand, words)
    record, plan, earlier = _paths(ask, kept)
    case = None if plan is None else read_case(plan, learned=ask.learned, now=now)
    given = DebriefGiven(
        on=ask.on or (today if kept is None else kept.on),
        words=(*(() if kept is None else map(_whole, kept.words)), *words),
        record=record,
        earlier=earlier,
        case=case,
        answers=(*(each for each in stand if each not in outlived), *(_answer(each) for each in ask.answers)),
        taken_back=(*(() if kept is None else kept.taken_back), *taken, *outlived),
        facts=_facts(ask, kept),
        earlier_facts=_facts(ask, kept),
        kept_signs=signs_told(KeptDebrief(today) if kept is None or record is not None else kept),
        kept_kind=next((each for each in Kind if kept is not None and each.value == kept.kind), None),
    )
    gone = (
        ()
        if kept is None
        else gone_lines(
            record=bool(kept.record) and record is None,
            signs=bool(kept.signs),
            plan=bool(kept.plan) and plan is None,
            earlier=len(earlier) < len(kept.earlier) and not ask.earlier,
        )
    )
    answer = _debrief(given, book, tell=tell, seed=seed)
    return Debriefed(answer, case, record, plan, earlier, gone, ask.plan is not None)


def keep_debrief(done: Debriefed, learned: Path | None = None) -> Path | None:
    """Keep what a record taught, in ``learned.toml`` beside the plan unless another file is named.

    The same record read twice teaches once; after an injury nothing is kept, all stays as it is.

    Raises
    ------
    InputError
        If the file holds faults or cannot be written; it is then as it was.
    """
    if done.case is None or done.plan is None or not done.plan_named or done.answer.held_back:
        return None
    entries = learned_entries(done.answer, done.case)
    path = done.plan.parent / LEARNED_NAME if learned is None else learned
    if path.exists():
        entries = new_entries(read_learned(path), entries)
    if entries:
        append_learned(path, entries)
    return path if entries else None


def write_debrief(
    done: Debriefed,
    out: Path,
    units: Units = Units.METRIC,
    *,
    places: bool = True,
) -> Path:
    """Write page, numbers, letter and chain into a folder, all or none; return the page's path.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    columns = "" if done.answer.record is None else columns_text(done.answer.record)
    return _write_debrief(done.answer, out, units, places=places, chain_text=done.chain_text, columns_text=columns)


def debrief_facts(
    columns: Path | None,
    told: Sequence[str],
    cells: float | None,
    chemistry: str | None,
    blades: float | None,
    rate_hz: float | None,
) -> FlightFacts:
    """Return what is said beside a record.

    Raises
    ------
    InputError
        With every fault of it.
    """
    return facts_from(columns=columns, told=told, cells=cells, chemistry=chemistry, blades=blades, rate_hz=rate_hz)


def _paths(ask: DebriefAsk, kept: KeptDebrief | None) -> tuple[Path | None, Path | None, tuple[Path, ...]]:
    """Return record, plan and earlier records: those told now, else those kept that are still the same."""
    record, plan, earlier = ask.record, ask.plan, ask.earlier
    if kept is not None:
        record = record or kept.same(kept.record)
        plan = plan or kept.same(kept.plan)
        earlier = earlier or tuple(path for path in map(kept.same, kept.earlier) if path is not None)
    return record, plan, earlier


def _facts(ask: DebriefAsk, kept: KeptDebrief | None) -> FlightFacts:
    old = {} if kept is None else dict(kept.facts)
    cells, blades, rate = (old.get(key) for key in ("cells", "blades", "rate_hz"))
    chemistry = old.get("chemistry")
    return FlightFacts(
        cells=ask.facts.cells or (int(cells) if isinstance(cells, float) else None),
        chemistry=ask.facts.chemistry or (chemistry if isinstance(chemistry, str) else None),
        blades=ask.facts.blades or (int(blades) if isinstance(blades, float) else None),
        rate_hz=ask.facts.rate_hz or (rate if isinstance(rate, float) else None),
        told=ask.facts.told,
    )


def _answer(text: str) -> Answered:
    return answer_from(_whole(text))


def _whole(words: str) -> str:
    """Return words without half characters (bytes of a terminal that are no text): no file can hold those."""
    return words.encode("utf-8", "replace").decode("utf-8")
