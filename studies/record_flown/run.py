"""Fly, write, read, score: ``python -m studies.record_flown.run --records 200 --seed 1``.

Prints tables and writes ``out/record_flown/<generator>-<seed>-<records>.json``. The same seed gives the same figures.
"""

from __future__ import annotations

import argparse
import json
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field
from enum import Enum
from functools import partial
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from studies.record_flown.design import Design, draw
from studies.record_flown.flyer import Flight, fly_one
from studies.record_flown.messy import Mess, make_mess
from studies.record_flown.score_columns import (
    ColumnScore,
    Outcome,
    SettledScore,
    score_columns,
    score_corners,
    score_senses,
)
from studies.record_flown.score_events import EventScore, PhaseScore, record_times, score_events, score_phases
from studies.record_flown.sensors import see
from studies.record_flown.tables import report
from studies.record_flown.truth import Truth, truth_of

if TYPE_CHECKING:
    from turnback.records.flight_record import FlightRecord

ROOT: Final = Path(__file__).parents[2]
OUT: Final = ROOT / "out" / "record_flown"
WORKERS: Final = 2
Generator = Callable[..., tuple[Flight, Truth]]


@dataclass(slots=True)
class RecordScore:
    """All scores of one record; `broke` is what the product refused or broke with."""

    record: int
    faults: tuple[str, ...]
    file: str
    rate_hz: float
    rows: int
    clock: str
    slips: tuple[str, ...]
    columns: list[ColumnScore] = field(default_factory=list)
    senses: list[SettledScore] = field(default_factory=list)
    corners: list[SettledScore] = field(default_factory=list)
    events: list[EventScore] = field(default_factory=list)
    phases: PhaseScore | None = None
    broke: str = ""
    asked_clock: bool = False
    clock_off_s: float = 0.0
    seconds: float = 0.0


def own(seed: int) -> tuple[Flight, Truth]:
    """Fly one flight of this study's simulator."""
    flight = fly_one(draw(seed))
    return flight, truth_of(flight)


def generator(name: str) -> Generator:
    """Return a generator by name."""
    if name == "own":
        return own
    # a simulator by others, slow to load and to fly: its logs are kept
    return partial(import_module("studies.record_flown.rotorpy_flights").rotor_flight, kept=OUT / "flights")


def facts_of(design: Design, rng: np.random.Generator) -> dict[str, Any]:
    """Draw what the user says beside the record: in 7 of 10 cells, chemistry and blades."""
    if rng.random() < 0.3:
        return {}
    return {"cells": int(design.craft.cells), "chemistry": "LiPo", "blades": int(design.craft.blades)}


def score_one(seed: int, name: str, folder: Path, table: str = "names") -> RecordScore:
    """Fly, write, read and score one record."""
    return score_flight(seed, *generator(name)(seed), folder, table)


def score_flight(seed: int, flight: Flight, truth: Truth, folder: Path, table: str) -> RecordScore:
    """Write, read and score one flight."""
    rng = np.random.default_rng([seed, 3])
    mess = make_mess(see(flight, rng), folder, f"r{seed}", np.random.default_rng([seed, 5]), table)
    found = RecordScore(seed, flight.design.faults_named, mess.path.name, mess.rate_hz, len(mess.t_s), mess.clock_unit,
                        mess.slips)  # fmt: skip
    begun = time.perf_counter()
    try:
        _read(found, flight, mess, truth, facts_of(flight.design, rng))
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        found.broke = f"{type(error).__name__}: {error} ({Path(where.filename).name}:{where.lineno})"
    found.seconds = time.perf_counter() - begun
    mess.path.unlink()
    return found


def _read(found: RecordScore, flight: Flight, mess: Mess, truth: Truth, said: dict[str, Any]) -> None:
    from studies.record_flown.reading import alone, answered  # noqa: PLC0415 - the simulator runs without the product

    from turnback.records.record_read import FlightFacts  # noqa: PLC0415

    first = alone(mess)
    found.columns = score_columns(found.record, mess, first.columns.matches)
    clock = next(each for each, truth in zip(found.columns, mess.columns, strict=True) if truth.quantity == "time")
    found.asked_clock = clock.outcome is not Outcome.RIGHT
    if not found.asked_clock:
        plain = first.record(FlightFacts(**said))
        found.senses = score_senses(found.record, mess, plain)
        found.corners = score_corners(found.record, mess, plain)
    if mess.hand.table != "names":  # told truly, what happened hangs on no names
        return
    answer = answered(mess, FlightFacts(**said), found.columns)
    read = answer.flown.record
    found.events = score_events(found.record, flight, mess, truth, answer, _have(mess, said, read))
    times = record_times(mess, read)
    found.phases = score_phases(found.record, flight, mess, answer.flown.phases, times)
    if not mess.slips and flight.design.faults.restart > 1e8:
        found.clock_off_s = float(np.abs(times - (mess.t_s - mess.t_s[0])).max(initial=0.0))


def _have(mess: Mess, said: dict[str, Any], read: FlightRecord) -> frozenset[str]:
    """Return what a record holds, as `truth.TrueEvent.needs` names it."""
    have = {each.quantity for each in mess.columns if each.quantity}
    if sum(each.quantity == "cell_volts" and each.number is not None for each in mess.columns) >= 3:
        have.add("cell_volts numbered")
    have |= {"chemistry"} if said else set()
    have |= {"clock again"} if "again" in mess.slips else set()
    have |= {f"sense of {each.channel.quantity.value}" for each in read.senses if each.chance >= 0.95}
    return frozenset(have)


Task = tuple[int, str, str, tuple[str, ...]]


def _task(task: Task) -> list[RecordScore]:
    seed, name, folder, tables = task
    flight, truth = generator(name)(seed)
    return [score_flight(seed, flight, truth, Path(folder), table) for table in tables]


def run(records: int, seed: int, name: str, workers: int = WORKERS,
        tables: tuple[str, ...] = ("names",)) -> list[list[RecordScore]]:  # fmt: skip
    """Score `records` flights, in order, each written with every table of names; the n-th of a seed is the same."""
    with tempfile.TemporaryDirectory() as folder:
        tasks = [(seed * 100_000 + i, name, folder, tables) for i in range(records)]
        if workers < 2:
            return [_task(each) for each in tasks]
        with get_context("spawn").Pool(min(workers, WORKERS), maxtasksperchild=200) as pool:
            return list(pool.imap(_task, tasks, chunksize=4))


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    return value


def as_json(scores: list[RecordScore]) -> list[dict[str, Any]]:
    """Return scores as plain data; of columns only those that are not right."""
    rows = []
    for each in scores:
        row = asdict(each)
        row["columns"] = [one for one in row["columns"] if one["outcome"] is not Outcome.RIGHT]
        rows.append(row)
    return rows


def failures(scores: list[RecordScore]) -> Iterator[str]:
    """Yield one line for everything that failed, with the record's number, which makes it anew."""
    for each in scores:
        if each.broke:
            yield f"{each.record} broke {each.file}: {each.broke}"
        for column in each.columns:
            if column.outcome is Outcome.WRONG or (column.outcome is Outcome.LEFT_OUT and column.told):
                what = f"{column.wrong_in} {column.text!r} ({column.file}) is {column.truth}, said {column.taken}"
                yield f"{column.record} column {column.outcome.value}: {what}"
        for settled in (*each.senses, *each.corners):
            if settled.outcome is Outcome.WRONG:
                yield f"{settled.record} {settled.what} sense or corner wrong at {settled.chance:.3f}"
        for event in each.events:
            if event.outcome != "found" or event.said == "wrong":
                flown = ", ".join(each.faults) or "healthy"
                said = f" said {event.said}" if event.said else ""
                what = f"event {event.kind} {event.outcome}{said} by {event.onset_off_s:.3f} s: {event.note}"
                yield f"{event.record} ({flown}) {what}"
        if each.phases and each.phases.wrong_s > 3.0:
            yield f"{each.record} phases wrong for {each.phases.wrong_s:.1f} s: {each.phases.worst}"


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--generator", choices=("own", "rotorpy"), default="own")
    parser.add_argument("--names", choices=("tuned", "fresh", "both"), default="tuned")
    parser.add_argument("--workers", type=int, default=WORKERS)
    chosen = parser.parse_args()
    tables = {"tuned": ("names",), "fresh": ("names_fresh",), "both": ("names", "names_fresh")}[chosen.names]
    scored = run(chosen.records, chosen.seed, chosen.generator, chosen.workers, tables)
    OUT.mkdir(parents=True, exist_ok=True)
    for place, table in enumerate(tables):
        scores = [each[place] for each in scored]
        figures, text = report(scores)
        stem = f"{chosen.generator}-{chosen.seed}-{chosen.records}" + ("-fresh" if table == "names_fresh" else "")
        whole = {"figures": figures, "records": as_json(scores)}
        (OUT / f"{stem}.json").write_text(json.dumps(whole, indent=1, default=_plain) + "\n", encoding="utf-8")
        (OUT / f"{stem}.failures.txt").write_text("\n".join(failures(scores)) + "\n", encoding="utf-8")
        print(f"{stem}\n{text}")


if __name__ == "__main__":
    main()
