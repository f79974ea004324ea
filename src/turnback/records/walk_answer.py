"""What a range walk answers: what it measured, what that points to, and what it changes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from turnback.records.finding import Finding
from turnback.records.home_map import HomeMap
from turnback.records.learned import LearnedEntry
from turnback.records.result import BriefResult
from turnback.records.walk import WalkFit
from turnback.records.walk_read import WalkRead


class WalkCause(Enum):
    """What the walk points to."""

    AS_PREDICTED = "as predicted"
    LOW = "low everywhere"
    """Power, antenna, connector."""
    FALLS = "falls too fast"
    """Something in the way, or noise."""
    BOTH = "low, and falls too fast"
    STRONGER = "stronger than predicted"
    UNSURE = "not sure"
    """Some of it may be so; these readings cannot tell."""


@dataclass(frozen=True, slots=True, eq=False)
class WalkAnswer:
    """The whole answer to a range walk.

    Attributes
    ----------
    read : WalkRead
    fit : WalkFit
    cause : WalkCause
    findings : tuple of Finding
        What has to be told about the readings, worst first.
    before, after : BriefResult
        The plan's flight without this walk, and with it; the same where it teaches nothing.
    map_before, map_after : HomeMap or None
        The turn-back maps likewise; None where none was asked for.
    entries : tuple of LearnedEntry
        What is kept with the site; empty where the site has no id, or the walk teaches nothing.
    kept : bool
        They were written.
    site_id : str or None
    on : date
    lost_below_dbm : float or None
        What a spot where nothing came was taken to be below; None where there is none, or a floor is known.
    typed_in : bool
        The plan itself says what a walk of this link found, which goes before anything kept.
    teaches : bool
        Enough was read above the receiver's floor to correct the prediction.
    """

    read: WalkRead
    fit: WalkFit
    cause: WalkCause
    findings: tuple[Finding, ...]
    before: BriefResult
    after: BriefResult
    map_before: HomeMap | None
    map_after: HomeMap | None
    entries: tuple[LearnedEntry, ...]
    kept: bool
    site_id: str | None
    on: date
    lost_below_dbm: float | None
    typed_in: bool
    seed: int
    title: str
    teaches: bool
