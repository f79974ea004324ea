"""Fly the plans, keep one row each, and write the page: ``python -m studies.calibration.run``.

Rows are kept in ``out/calibration`` and are not flown again while product and simulator stay as they are; the same
number always makes the same plan and flight.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import os
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from studies.calibration.flyer import fly
from studies.calibration.plans import HOVER_S, Plan, folder_with_terrain, plan_of, thumb_says_yes
from studies.calibration.world import Truth, truth_of

if TYPE_CHECKING:
    from studies.calibration.answers import Flight

ROOT: Final = Path(__file__).parents[2]
OUT: Final = ROOT / "out" / "calibration"
SEED: Final = 15
ATTEMPTS: Final = 8
OPEN, CAREFUL = "open", "careful"
WORDS_ONLY: Final = ("page.py", "figures.py", "afterwards.py")
NEARER: Final = (1.0, 0.45, 0.2)
"""A careful plan is tried at these shares of its distance until the brief says go."""


Task = tuple[str, int, str, int | None]


@dataclass(frozen=True)
class Row:
    """One plan, what the brief says, and how its flight ended."""

    number: int
    kind: str
    class_name: str
    known: str
    action: str
    tested: int
    ground: str
    video: int
    distance_m: float
    mid: float
    low: float
    high: float
    mean: float
    pack_mid: float
    pack_mean: float
    links_mid: float
    links_mean: float
    verdict: str
    thumb: int
    home: int
    why: str
    pack_held: int
    links_held: int
    seconds: float
    refused: int
    """How many truths before this one the product could not answer."""
    control_error_db: float
    video_error_db: float
    """This plan's own error of the typical radio values, as `world.Truth` has it."""


def row_of(kind: str, number: int, folder: Path, common: int | None = None) -> Row:
    """Draw, write, ask and fly one plan."""
    from turnback.base.errors import InputError  # noqa: PLC0415 - workers alone load the product

    for attempt in range(ATTEMPTS):
        try:
            return _row(kind, number, attempt, folder, common)
        except InputError:
            continue
    raise RuntimeError(f"{kind} plan {number}: {ATTEMPTS} draws in a row that the product does not answer")


def drawn(
    kind: str, number: int, attempt: int, common: int | None = None
) -> tuple[np.random.Generator, Truth, str, Plan]:
    """Return the chance that the rest of a plan is drawn from, its truth, how well it is known, and what is written."""
    chance = np.random.default_rng([SEED, kind == CAREFUL, number, attempt])
    truth = truth_of(chance, kind == CAREFUL, common)
    known = "all" if kind == CAREFUL else str(chance.choice(["little", "some", "much"], p=[0.3, 0.4, 0.3]))
    return chance, truth, known, plan_of(truth, known, chance)


def _row(kind: str, number: int, attempt: int, folder: Path, common: int | None) -> Row:
    from studies.calibration import answers  # noqa: PLC0415 - workers alone load the product

    chance, truth, known, plan = drawn(kind, number, attempt, common)
    path = folder / f"{kind}-{number}.toml"
    rescued = truth.action == "automatic return" and truth.return_tested

    def make(distance_m: float) -> Flight:
        return answers.flight_of(path, plan.text(distance_m))

    if kind == CAREFUL:
        farthest = float(np.exp(chance.uniform(np.log(60.0), np.log(500.0))))
        distance_m = answers.farthest_go([farthest * near for near in NEARER], make)
    else:
        distance_m = answers.distance_for(aim(chance), rescued, make)
    distance_m = round(distance_m, 1)
    said = answers.answer_of(lambda: make(distance_m))
    ended = fly(truth, distance_m, HOVER_S, int(chance.integers(2**31)))
    path.unlink()
    ground = "terrain" if truth.place.latitude_deg is not None else "ridge" if truth.place.ridge_height_m else "flat"
    values: dict[str, Any] = {
        key: value if isinstance(value, str) else round(value, 6) for key, value in asdict(said).items()
    }
    return Row(
        number=number, kind=kind, class_name=truth.class_name, known=known, action=truth.action,
        tested=int(truth.return_tested), ground=ground, video=int(truth.video is not None), distance_m=distance_m,
        **values, thumb=int(thumb_says_yes(truth, distance_m)), home=int(ended.home), why=ended.why,
        pack_held=int(ended.pack_held), links_held=int(ended.links_held), seconds=round(ended.seconds, 1),
        refused=attempt, control_error_db=round(truth.control_error_db, 3),
        video_error_db=round(truth.video_error_db, 3),
    )  # fmt: skip


def aim(chance: np.random.Generator) -> float:
    """Return which chance the brief shall say: most between 0.75 and 0.99."""
    kind = chance.random()
    if kind < 0.45:
        return float(chance.uniform(0.85, 0.95))
    return float(chance.uniform(0.75, 0.99)) if kind < 0.7 else float(chance.uniform(0.03, 0.99))


def _task(task: Task) -> Row:
    return row_of(task[0], task[1], Path(task[2]), task[3])


def _start() -> None:
    os.nice(5)


def rows(kind: str, count: int, workers: int, keep: Path | None, common: int | None = None) -> list[Row]:
    """Return rows 0 to `count` of a kind: those kept, and the missing ones flown now."""
    have = {row.number: row for row in kept(keep)} if keep else {}
    missing = [number for number in range(count) if number not in have]
    with tempfile.TemporaryDirectory() as name:
        folder_with_terrain(Path(name))
        for row in _flown([(kind, number, name, common) for number in missing], workers):
            have[row.number] = row
            if keep:
                _append(keep, row)
    return [have[number] for number in range(count)]


def _flown(tasks: list[Task], workers: int) -> Iterator[Row]:
    if workers < 2:
        yield from map(_task, tasks)
        return
    os.environ["NUMBA_NUM_THREADS"] = "1"
    with get_context("spawn").Pool(workers, initializer=_start) as pool:
        yield from pool.imap_unordered(_task, tasks, chunksize=4)


def _append(path: Path, row: Row) -> None:
    new = not path.exists()
    with path.open("a", newline="") as file:
        writer = csv.DictWriter(file, [field.name for field in fields(Row)])
        if new:
            writer.writeheader()
        writer.writerow(asdict(row))


def kept(path: Path) -> list[Row]:
    """Return the rows that were flown before."""
    if not path.exists():
        return []
    kinds = {field.name: field.type for field in fields(Row)}
    convert = {"int": int, "float": float, "str": str}
    with path.open(newline="") as file:
        return [
            Row(**{key: convert[str(kinds[key])](value) for key, value in row.items()}) for row in csv.DictReader(file)
        ]


def digest() -> str:
    """Return a name for what the rows depend on, product and simulator: where either changed, all is flown anew."""
    files = [*sorted((ROOT / "src").rglob("*.py")), *sorted((ROOT / "src").rglob("*.toml"))]
    files += sorted(path for path in Path(__file__).parent.glob("*.py") if path.name not in WORDS_ONLY)
    found = hashlib.sha256()
    for path in files:
        found.update(path.read_bytes())
    return found.hexdigest()[:12]


def main() -> int:
    """Fly what is missing and write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plans", type=int, default=1600, help="plans of every kind of knowledge")
    parser.add_argument("--careful", type=int, default=800, help="near and careful plans, of which many end in a go")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--page", type=Path, default=ROOT / "docs" / "calibration.md")
    parser.add_argument("--rows", type=Path, help="folder of rows to keep to; by the sources' digest if left out")
    asked = parser.parse_args()
    keep = asked.rows or OUT / digest()
    keep.mkdir(parents=True, exist_ok=True)
    flown = rows(OPEN, asked.plans, asked.workers, keep / "open.csv")
    careful = rows(CAREFUL, asked.careful, asked.workers, keep / "careful.csv")
    from studies.calibration import page  # noqa: PLC0415 - not needed to fly
    from studies.calibration.rotor_flights import kept_flights  # noqa: PLC0415

    page.write(asked.page, page.figures(flown, careful, kept_flights(keep / "rotor.csv")))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
