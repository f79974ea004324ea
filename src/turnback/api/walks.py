"""The range walk: a plan and readings in, what they teach out, kept with the site."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.flows.range_walk import range_walk as _range_walk
from turnback.flows.range_walk_kept import new_entries
from turnback.readers.case import LEARNED_NAME, read_case
from turnback.readers.learned import append_learned, read_learned
from turnback.readers.walk import WalkSettings, read_walk
from turnback.records.case import Case
from turnback.records.learned import NOTHING_LEARNED
from turnback.records.walk_answer import WalkAnswer
from turnback.records.walk_read import WalkRead

Tell = Callable[[float], None]
BEYOND_M: Final = 400.0
"""Ground behind the farthest reading: as far as a brief looks past a route's end."""


def range_walk(
    plan: Path,
    record: Path | None = None,
    spots: Sequence[str] = (),
    settings: WalkSettings | None = None,
    *,
    on: date,
    learned: Path | None = None,
    now: datetime | None = None,
    seed: int = 1,
    maps: bool = True,
    tell: Tell | None = None,
) -> WalkAnswer:
    """Return what levels measured on site teach about the predicted reception. Nothing is kept yet.

    Parameters
    ----------
    plan, now, seed
        As for `brief`.
    learned : Path or None
        As for `brief`; one that is not there yet holds nothing, and is made when something is kept.
    record : Path or None
        A CSV table; see ``docs/range-walk.md`` for its columns.
    spots : sequence of str
        Such as ``"120 m, 45 deg, -71"``.
    settings : WalkSettings or None
        How it was walked.
    on : date
        When it was walked.
    maps : bool
        Also the turn-back map without the walk and with it.
    tell : callable or None
        Told the share of the work that is done, 0 to 1.

    Raises
    ------
    InputError
        With every fault of the plan, or of the readings.
    """
    case = _case(plan, learned, now)
    read = _read(case, record, spots, settings or WalkSettings())
    farthest_m = float(read.walk.from_launch_m.max())
    if farthest_m > case.terrain.radius_m:
        case = _case(plan, learned, now, farthest_m + BEYOND_M)
    return _range_walk(case, read, on=on, seed=seed, maps=maps, tell=tell)


def keep_walk(answer: WalkAnswer, plan: Path, learned: Path | None = None) -> Path:
    """Keep what a walk taught with the site, in ``learned.toml`` beside the plan unless another file is named.

    A walk that is kept already is not kept twice.

    Raises
    ------
    InputError
        If the file holds faults or cannot be written; it is then as it was.
    """
    path = plan.parent / LEARNED_NAME if learned is None else learned
    entries = new_entries(read_learned(path), answer.entries) if path.exists() else answer.entries
    if entries:
        append_learned(path, entries)
    return path


def kept_walk(answer: WalkAnswer) -> WalkAnswer:
    """Return the answer as it reads once it is kept."""
    return replace(answer, kept=bool(answer.entries))


def _case(plan: Path, learned: Path | None, now: datetime | None, radius_m: float | None = None) -> Case:
    """Read the case; a file of learned values that is named and not there yet holds nothing."""
    if learned is None or learned.exists():
        return read_case(plan, learned=learned, now=now, radius_m=radius_m)
    if not learned.absolute().parent.is_dir():
        raise bad_input(str(learned), "its folder does not exist", "make the folder first, or name another file")
    return replace(read_case(plan, now=now, radius_m=radius_m), learned=NOTHING_LEARNED)


def _read(case: Case, record: Path | None, spots: Sequence[str], settings: WalkSettings) -> WalkRead:
    site = case.plan.site
    lat_deg, lon_deg = site.latitude_deg, site.longitude_deg
    launch = None if lat_deg is None or lon_deg is None else (lat_deg, lon_deg)
    return read_walk(record, spots, settings, launch)
