"""Fly causes in two generators, debrief each flight, fit on one, score on the other.

``python -m studies.debrief_flown.run`` flies seeds 27 and 28 to be scored and 22 and 24 to 26 to learn from too, prints
the figures and writes them into ``docs/debrief-study.md``; it also writes ``study_record.toml`` and
``study_together.csv`` in ``src/turnback/knowledge``, fitted on all. ``--tune`` prints only; ``--notes FILE`` adds the
worst confusions to it.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Final

from studies.debrief_flown.fit import KIND_OF_KIT, fit_tempered, halves, written
from studies.debrief_flown.fit_together import written_together
from studies.debrief_flown.held import curve_of, half_and_half
from studies.debrief_flown.run_flights import jobs, one_told, present, seed_of
from studies.debrief_flown.score import scored
from studies.debrief_flown.score_confused import broken, notes, wrongly
from studies.debrief_flown.score_tables import page
from studies.debrief_flown.told import Scored, ToldCase

from turnback.knowledge.book import Book
from turnback.knowledge.from_study import FILE, Curve, Kind, Study, put_in
from turnback.knowledge.reading import read_book
from turnback.knowledge.together import FILE as TOGETHER

ROOT: Final = Path(__file__).parents[2]
PAGE: Final = ROOT / "docs" / "debrief-study.md"
OUT: Final = ROOT / "out" / "debrief_flown"
BEGIN, END = "<!-- figures: written by studies.debrief_flown.run -->", "<!-- end of the figures -->"
SEEDS: Final = (27, 28)
FLIGHTS, WORKERS = 2100, 2
TAUGHT_BY: Final = (22, 24, 25, 26)
"""Seeds whose flights are learned from, beside those of the seed that is scored: of the other generator, as all are."""


@dataclass(frozen=True, slots=True, eq=False)
class Fold:
    """One generator scored with numbers of others."""

    fitted_on: tuple[str, ...]
    flights: int
    scored_on: str
    study: Study
    cases: tuple[Scored, ...]


def told_cases(generators: Sequence[str], seeds: Sequence[int], flights: int, workers: int) -> list[ToldCase]:
    """Fly, read and tell the signs of so many flights of each seed, evenly spread over the generators."""
    work = [job for seed in seeds for name in generators for job in jobs(name, seed, flights // len(generators))]
    if workers < 2:
        return [one_told(job) for job in work]
    with get_context("spawn").Pool(workers) as pool:
        return pool.map(one_told, work, chunksize=4)


def folds(book: Book, cases: Sequence[ToldCase], scored_seeds: Sequence[int], workers: int) -> list[Fold]:
    """Fit on all generators but one and score on that one, each in turn; one alone is scored on itself.

    Numbers are counted in flights of every seed. Scored are those of some, and the curve is drawn of those of the last.
    """
    names = sorted({case.generator for case in cases})
    sound = [case for case in cases if not case.broke]
    found = []
    for name in names:
        others = tuple(one for one in names if one != name) or (name,)
        counted = [case for case in sound if case.generator in others]
        study = fit_tempered(book, counted)
        study = replace(study, curve=curve(book, told_by_halves(book, study, counted, scored_seeds[-1], workers)))
        own = [case for case in sound if case.generator == name and seed_of(case) in scored_seeds]
        found.append(Fold(others, len(counted), name, study, tuple(believed(book, study, own, workers))))
    return found


def curve(book: Book, cases: Sequence[Scored]) -> Curve:
    """Return the curve of the flights with a cause."""
    faulty = [case for case in cases if case.case.cause is not None]
    return curve_of(faulty, half_and_half(book, faulty))


def told_by_halves(book: Book, study: Study, cases: Sequence[ToldCase], seed: int, workers: int) -> list[Scored]:
    """Score each half of a seed's flights with the counts of the other half of all, tempered as the whole study."""
    found: list[Scored] = []
    for half, told in halves(book, cases):
        tempered = replace(
            half, power=study.power, sure_most=study.sure_most, unseen_power=study.unseen_power,
            unseen_most=study.unseen_most,
        )  # fmt: skip
        found += believed(book, tempered, [case for case in told if seed_of(case) == seed], workers)
    return found


def believed(book: Book, study: Study, cases: Sequence[ToldCase], workers: int) -> list[Scored]:
    """Return what is believed of cases with the numbers of a study."""
    with get_context("spawn").Pool(workers, _take, (book, study)) as pool:
        return pool.map(_score, cases, chunksize=8)


_WITH: list[tuple[Mapping[Kind, Book], Study]] = []


def _take(book: Book, study: Study) -> None:
    _WITH[:] = [({kind: put_in(book, study.of(kind)) for kind in Kind}, study)]


def _score(case: ToldCase) -> Scored:
    books, study = _WITH[0]
    return scored(books[KIND_OF_KIT[case.kit]], study, case)


def write(path: Path, figures: str) -> None:
    """Put the figures between the page's two marks.

    Raises
    ------
    ValueError
        Where the page has no such marks.
    """
    text = path.read_text(encoding="utf-8")
    if text.count(BEGIN) != 1 or text.count(END) != 1:
        raise ValueError(f"{path.name} needs the marks {BEGIN!r} and {END!r}, once each")
    before, rest = text.split(BEGIN)
    path.write_text(f"{before}{BEGIN}\n\n{figures}\n\n{END}{rest.split(END)[1]}", encoding="utf-8")


def main() -> None:
    """Run the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--flights", type=int, default=FLIGHTS, help="of each seed, all generators together")
    parser.add_argument("--seed", type=int, nargs="+", default=SEEDS, help="whose flights are scored")
    parser.add_argument("--taught-by", type=int, nargs="*", default=TAUGHT_BY, help="seeds to learn from beside it")
    parser.add_argument("--workers", type=int, default=WORKERS)
    parser.add_argument("--tune", action="store_true", help="print only")
    parser.add_argument("--notes", type=Path, help="add the worst confusions to this file")
    parser.add_argument("--generator", action="append", help="only this one")
    asked = parser.parse_args()
    say = partial(print, flush=True)
    for one in ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(one, "1")  # of the workers
    begun = time.monotonic()
    book = read_book()
    seeds = sorted({*asked.taught_by, *asked.seed})
    cases = told_cases(asked.generator or present(), seeds, asked.flights, asked.workers)
    say(f"{len(cases)} flights told after {time.monotonic() - begun:.0f} s")
    made = folds(book, cases, asked.seed, asked.workers)
    say(f"scored after {time.monotonic() - begun:.0f} s")
    figures = page(book, made, asked.seed)
    say(figures)
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / "failures.txt").write_text(broken(cases) + wrongly(book, made), encoding="utf-8")
    if asked.notes:
        with asked.notes.open("a", encoding="utf-8") as file:
            file.write(
                f"F2 {datetime.now(UTC):%H:%M} ({len(cases)} flights, seeds {asked.seed})\n{notes(book, made)}\n"
            )
    if not asked.tune:
        study = fit_tempered(book, [case for case in cases if not case.broke])
        # flights of one generator, scored with the numbers of the other: nothing of them was counted
        study = replace(study, curve=curve(book, [case for fold in made for case in fold.cases]))
        remark = (
            f"Counted in {len(cases)} flown cases of seeds {', '.join(map(str, seeds))}, both generators.\n"
            "Made by `python -m studies.debrief_flown.run`; do not edit."
        )
        FILE.write_text(written(study, remark), encoding="utf-8")
        if study.together is not None:
            TOGETHER.write_text(written_together(study.together, remark), encoding="utf-8")
        write(PAGE, figures)


if __name__ == "__main__":
    main()
