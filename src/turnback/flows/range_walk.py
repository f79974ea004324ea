"""What link levels measured on site say about the predicted reception, and what that changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Final

import numpy as np

from turnback.assess.judge import sorted_findings
from turnback.assess.walk_fit import fit_walk, walk_prior
from turnback.assess.walk_judge import cause_of, limits_of, walk_findings
from turnback.assess.walk_reception import nothing_below_dbm, predicted, require_ground
from turnback.assess.world import fill
from turnback.base.errors import Fault, InputError
from turnback.flows.brief import brief
from turnback.flows.home_map import home_map
from turnback.flows.range_walk_kept import entries_of, typed_in, with_entries, without_walk
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.case import Case
from turnback.records.home_map import HomeMap
from turnback.records.terrain import TerrainKind
from turnback.records.walk import Walk
from turnback.records.walk_answer import WalkAnswer
from turnback.records.walk_read import WalkRead

Tell = Callable[[float], None]

MOST_FAULTS: Final = 5
AT_FIT, AT_BRIEFS, AT_FIRST_MAP = 0.1, 0.3, 0.65
"""Shares of the work, for `tell`."""


def range_walk(
    case: Case, read: WalkRead, *, on: date, seed: int = 1, maps: bool = True, tell: Tell | None = None
) -> WalkAnswer:
    """Return what a range walk teaches about one link, and what that changes.

    Parameters
    ----------
    case : Case
        The plan and all it refers to. What an earlier walk taught about the same link is set aside first.
    read : WalkRead
    on : date
        When it was walked.
    seed : int
        Of the random draws, as in a brief.
    maps : bool
        Also draw the turn-back map without the walk and with it; none where the walk teaches nothing.
    tell : callable, optional
        Called now and then with the share that is done, 0 to 1. It may raise, to stop.

    Raises
    ------
    InputError
        Where the plan has no such link, a reading lies beyond its ground, or a bearing is missing on real ground.
    """
    told = tell or _nobody
    told(0.0)
    _require_bearings(case, read)
    require_ground(case.terrain, read.walk, read.rows)
    bare = without_walk(case, read.walk.link)
    world = fill(bare)
    below_dbm = None if read.floor_dbm is not None or not read.lost else nothing_below_dbm(world, read.walk)
    read = read if below_dbm is None else replace(read, walk=_lost_below(read.walk, below_dbm))
    terrain = case.terrain
    ground = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    model = predicted(world, ground, terrain, read.walk, seed)
    fit = fit_walk(read.walk, model.level_dbm, model.sigma_db, walk_prior(model.offset_sd_db))
    told(AT_FIT)
    teaches = not limits_of(fit)
    entries = entries_of(case, read.walk, fit, world, on) if teaches else ()
    corrected = with_entries(bare, entries)
    before = brief(bare, seed=seed)
    after = brief(corrected, seed=seed) if teaches else before
    told(AT_BRIEFS)
    maps = maps and teaches  # without a correction there are no two maps to hold side by side
    map_before = _map(bare, seed, told, AT_BRIEFS, AT_FIRST_MAP) if maps else None
    map_after = _map(corrected, seed, told, AT_FIRST_MAP, 1.0) if maps else None
    told(1.0)
    return WalkAnswer(
        read=read,
        fit=fit,
        cause=cause_of(fit),
        findings=sorted_findings(walk_findings(read, fit)),
        before=before,
        after=after,
        map_before=map_before,
        map_after=map_after,
        entries=entries if case.plan.site.id is not None else (),
        kept=False,
        site_id=case.plan.site.id,
        on=on,
        lost_below_dbm=below_dbm,
        typed_in=typed_in(case, read.walk.link),
        seed=seed,
        title=case.title,
        teaches=teaches,
    )


def _require_bearings(case: Case, read: WalkRead) -> None:
    """A distance alone is a place only where every bearing is the same: on flat ground."""
    open_rows = np.flatnonzero(~read.bearing_known)
    if case.terrain.kind is TerrainKind.FLAT or not open_rows.size:
        return
    do = "add the bearing: the ground differs from one side to the other"
    faults = [Fault(read.rows[row], "it has a distance and no bearing", do) for row in open_rows[:MOST_FAULTS]]
    raise InputError(*faults)


def _lost_below(walk: Walk, below_dbm: float) -> Walk:
    """Give a spot where nothing came the level that it surely stood below."""
    return replace(walk, level_dbm=np.where(np.isnan(walk.level_dbm), below_dbm, walk.level_dbm))


def _nobody(_share: float) -> None:
    """Nobody wants to know."""


def _map(case: Case, seed: int, tell: Tell, start: float, end: float) -> HomeMap:
    return home_map(case, seed=seed, tell=lambda share: tell(start + share * (end - start)))
