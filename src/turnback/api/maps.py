"""The turn-back map: a plan file in, the map out, and its files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from turnback.flows.home_map import home_map as _home_map
from turnback.flows.map_heights import asked_right, swept_heights
from turnback.readers.case import read_case
from turnback.records.home_map import HomeMap
from turnback.report.map_schema import map_schema_json
from turnback.report.redact_map import redacted_map

Tell = Callable[[float], None]
"""Told now and then which share of the work is done; what it raises stops the work."""


def home_map(
    plan: Path,
    *,
    radius_m: float | None = None,
    height_m: float | None = None,
    height_above: str | None = None,
    chance: float = 0.95,
    heights: Sequence[float] | None = (),
    learned: Path | None = None,
    now: datetime | None = None,
    seed: int = 1,
    redact: bool = False,
    tell: Tell | None = None,
) -> HomeMap:
    """Return for every place around the launch point of a plan whether an aircraft sent there comes home.

    Parameters
    ----------
    plan, learned, now, seed
        As for `brief`.
    radius_m : float or None
        How far around the launch point; by the plan's route if None.
    height_m : float or None
        The height flown; that of the plan's route if None.
    height_above : str or None
        ``"launch"`` or ``"ground"``; as the plan has it if None.
    chance : float
        How surely it has to come home, 0.5 to 0.999.
    heights : sequence of float, or None
        Also compare these heights; None for even steps up to the height limit entered in the plan.
    redact : bool
        Leave out position and names, and count every height from the launch point.
    tell : callable or None
        Told the share of the work that is done, 0 to 1.

    Raises
    ------
    InputError
        With every fault of the plan and its files, or of how the map is asked for; a height to compare that lies above
        the entered limit is one.
    """
    asked_right(chance, height_m, radius_m, heights)
    case = read_case(plan, learned=learned, now=now, radius_m=radius_m)
    found = _home_map(
        case,
        height_m=height_m,
        height_above=height_above,
        chance=chance,
        heights=swept_heights(heights, case.plan.site.local_limits.height_m),
        seed=seed,
        tell=tell,
    )
    return redacted_map(found) if redact else found


def map_schema() -> str:
    """Return the JSON Schema of ``map.json`` as text."""
    return map_schema_json()
