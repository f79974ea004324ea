"""What a fitted range walk points to, and what has to be told about its readings."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.judge import found
from turnback.records.finding import Finding, Severity
from turnback.records.walk import WalkFit
from turnback.records.walk_answer import WalkCause
from turnback.records.walk_read import FloorFrom, WalkRead
from turnback.rules.range_walk import FLOOR_SHARE, PACKETS_LEAST
from turnback.rules.rule import Rule
from turnback.rules.walk import CENSORED, DISTANCE_RATIO, FALLS_FAST, FEW_READINGS, POWER_LOW, SAID

NEAR_ENOUGH_DB: Final = POWER_LOW.value
"""An offset inside this is as predicted: it moves no decision of a flight."""


def cause_of(fit: WalkFit) -> WalkCause:
    """Return what a walk points to: named only where the walk makes it likely, not where it leaves it possible."""
    low, falls = fit.power_or_antenna >= SAID.value, fit.falls_too_fast >= SAID.value
    if low or falls:
        return WalkCause.BOTH if low and falls else WalkCause.LOW if low else WalkCause.FALLS
    if limits_of(fit):
        return WalkCause.UNSURE  # the fit then rests on what was thought before: it may not be told as measured
    offset = fit.offset_db
    if offset.high < -NEAR_ENOUGH_DB or (offset.mid < -NEAR_ENOUGH_DB and offset.high < 0.0):
        return WalkCause.STRONGER
    near = -NEAR_ENOUGH_DB <= offset.mid <= NEAR_ENOUGH_DB
    known = offset.high - offset.low <= 4.0 * NEAR_ENOUGH_DB
    quiet = fit.power_or_antenna <= 1.0 - SAID.value and fit.falls_too_fast <= 0.5
    return WalkCause.AS_PREDICTED if near and known and quiet else WalkCause.UNSURE


def limits_of(fit: WalkFit) -> tuple[Rule, ...]:
    """Return the limits that a walk misses so far that it may correct nothing; empty where it may.

    Its fit rests on what was thought before, and on a spread that nothing holds: a band that wide would make a link
    that breaks look better than it did before anybody walked.
    """
    few = fit.readings - fit.censored < FEW_READINGS.value
    most = fit.censored > CENSORED.value * fit.readings
    return (*([FEW_READINGS] if few else []), *([CENSORED] if most else []))


def walk_findings(read: WalkRead, fit: WalkFit) -> list[Finding]:
    """Say what the readings cannot: too few, too near each other in distance, at the floor, packets lost."""
    findings = []
    walk = read.walk
    sound = int((~walk.censored).sum())
    if sound < FEW_READINGS.value:
        findings.append(found(FEW_READINGS, Severity.LIMIT, float(sound)))
    near_m, far_m = np.quantile(np.maximum(walk.from_launch_m, 1.0), (0.05, 0.95))
    if far_m / near_m < DISTANCE_RATIO.value:
        findings.append(found(DISTANCE_RATIO, Severity.LIMIT, float(far_m / near_m)))
    share = float(walk.censored.mean())
    if share > CENSORED.value:
        findings.append(found(CENSORED, Severity.LIMIT, share))
    if read.floor_from is FloorFrom.DETECTED:
        evidence: dict[str, float | str] = {} if read.floor_dbm is None else {"floor_dbm": read.floor_dbm}
        findings.append(found(FLOOR_SHARE, Severity.NOTE, read.floor_share, do="none", evidence=evidence))
    if read.packets:
        findings.append(found(PACKETS_LEAST, Severity.NOTE, do="none", evidence={"readings": float(read.packets)}))
    if fit.power_or_antenna >= SAID.value:
        findings.append(found(POWER_LOW, Severity.LIMIT, fit.offset_db))
    if fit.falls_too_fast >= SAID.value:
        findings.append(found(FALLS_FAST, Severity.LIMIT, fit.excess_exponent))
    return findings
