"""Two looks taken after the result was known: ``python -m studies.calibration.afterwards FOLDER_OF_ROWS``.

They ask what keeps flights away. Neither moves a figure of the study: each changes one thing in plans that were drawn
already, and leaves all else as it was.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Final
from unittest.mock import patch

from scipy import stats
from studies.calibration import page, reception, run
from studies.calibration.figures import share
from studies.calibration.flyer import Ended, fly
from studies.calibration.plans import HOVER_S

FIRST_SEED: Final = 20
"""Of the one error of the typical values that all plans of the study's first run had."""
FOR_EVER_M: Final = 1e12


def flown_again(row: run.Row, shadow_length_m: float | None = None) -> Ended:
    """Fly the flight of an open row once more; where a length is given, shadowing changes over that."""
    chance, truth, _, _ = run.drawn(run.OPEN, row.number, row.refused)
    run.aim(chance)
    if shadow_length_m is not None:
        truth.general["shadow_length_m"] = shadow_length_m
    return fly(truth, row.distance_m, HOVER_S, int(chance.integers(2**31)))


def one_shadowing(rows: Sequence[run.Row]) -> list[bool]:
    """Return which flights come home where shadowing is one number for the whole flight, as a brief takes it."""
    with patch.object(reception, "OUT_AND_HOME", 1.0):
        ends = [flown_again(row, FOR_EVER_M) for row in rows]
    return [ended.home and (ended.links_held or page.credited(row)) for ended, row in zip(ends, rows, strict=True)]


def compared(before: Sequence[bool], after: Sequence[bool]) -> str:
    """Return both shares, and how many flights only one of the two brought home (sign test)."""
    more = sum(b and not a for a, b in zip(before, after, strict=True))
    less = sum(a and not b for a, b in zip(before, after, strict=True))
    p = float(stats.binomtest(more, more + less).pvalue) if more + less else 1.0
    return f"{share(before)}, then {share(after)}: {more} more, {less} fewer (p = {p:.3f})"


def main() -> int:
    """Take both looks and print what they show."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", type=Path, help="folder of the study's rows")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    own = sorted(run.kept(asked.rows / "open.csv"), key=lambda row: row.number)
    near = page.near_09(own)
    print("one shadowing:", compared([page.as_claimed(row) for row in near], one_shadowing(near)))
    common = run.rows(run.OPEN, len(own), asked.workers, asked.rows / "common.csv", FIRST_SEED)
    print(
        "all plans, own error and one for all:",
        compared(*[[page.as_claimed(row) for row in of] for of in (own, common)]),
    )
    for name, of in (("own", own), ("one for all", common)):
        said = sum(row.mean for row in of) / len(of)
        print(f"{name}: says {said:.3f};", "near 0.9:", share([page.as_claimed(row) for row in page.near_09(of)]))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
