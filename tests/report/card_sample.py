"""Briefs for the card, made by hand: a rose with a gap, six cells, and any verdict. Nothing here was computed."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta, timezone
from itertools import count
from typing import Any

import numpy as np
from tests.report import sample
from tests.report.whole_sample import filled

from turnback.records.care import CareResult
from turnback.records.finding import Severity, Verdict
from turnback.records.ground_plan import RoseResult
from turnback.records.result import BriefResult
from turnback.report.card import Made

CELLS = 6
PLAN_DEG = 280.0
NOON = Made(datetime(2026, 6, 1, 12, 5, tzinfo=timezone(timedelta(hours=2))))
HIDDEN = frozenset({Severity.STOP, Severity.UNKNOWN})


def rose(**changed: Any) -> RoseResult:
    """Return a rose by tens of degrees: 1000 m everywhere, nothing from 50 to 70 degrees, 400 m at 180."""
    bearing = np.arange(0.0, 360.0, 10.0)
    reach = np.full(bearing.size, 1000.0)
    reach[(bearing >= 50.0) & (bearing <= 70.0)] = 0.0
    reach[bearing == 180.0] = 407.0
    height = np.full(bearing.size, 31.2)
    height[bearing == 270.0] = 52.3
    given = RoseResult(bearing, reach, ("energy",) * bearing.size, height, 60.0, "launch", 1600.0, PLAN_DEG)
    return dataclasses.replace(given, **changed)


def care() -> CareResult:
    """Return a pack of six cells; nothing else of it is used."""
    made: CareResult = dataclasses.replace(filled(CareResult, count(1)), cells=CELLS)
    return made


def brief(verdict: Verdict = Verdict.GO, title: str = "Along the hedge", **changed: Any) -> BriefResult:
    """Return a brief with rose and pack; a flight that may go has no finding that stops it."""
    result = sample.brief(verdict, title=title)
    kept = result.findings
    if verdict in (Verdict.GO, Verdict.GO_WITH_LIMITS):
        kept = tuple(finding for finding in kept if finding.severity not in HIDDEN)
    if verdict is Verdict.GO:
        kept = tuple(finding for finding in kept if finding.severity is Severity.NOTE)
    return dataclasses.replace(result, **{"findings": kept, "rose": rose(), "care": care(), **changed})


def without(result: BriefResult, *rules: str) -> BriefResult:
    """Return a brief without the findings of some rules."""
    return dataclasses.replace(result, findings=tuple(each for each in result.findings if each.rule not in rules))
