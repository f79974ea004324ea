"""A range walk for scripts: SI numbers in a fixed order, the same bytes for the same walk."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.records.common import SCHEMA
from turnback.records.finding import Finding, Spread, Verdict
from turnback.records.home_map import HomeMap
from turnback.records.result import BriefResult
from turnback.records.walk import WalkEnd, WalkFit, WalkMode
from turnback.records.walk_answer import WalkAnswer, WalkCause
from turnback.records.walk_read import FloorFrom
from turnback.report import words
from turnback.report.brief_json import FindingData, json_text, plain
from turnback.report.numbers import Units
from turnback.report.walk_tables import walk_cautions
from turnback.report.words_walk import told_lines, walk_lines

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ReadingData:
    """The readings, each array of one length. Places are left out of an answer that was redacted."""

    distance_m: Array
    x_m: Array | None
    y_m: Array | None
    above_ground_m: Array
    power_dbm: Array
    measured_dbm: Array
    predicted_dbm: Array
    censored: tuple[bool, ...]
    """True where the level stood at the floor, packets were lost or nothing came: the true level is no higher."""


@dataclass(frozen=True, slots=True)
class FitData:
    """Loss beyond the model: ``offset + 10 exponent log10(distance / reference)``."""

    offset_db: Spread
    excess_exponent: Spread
    sigma_db: Spread
    sigma_ratio: Spread
    reference_m: float
    walked_m: float
    correlation_m: float
    readings: int
    censored: int
    effective: float
    power_or_antenna: float
    falls_too_fast: float
    outliers: float


@dataclass(frozen=True, slots=True)
class SideData:
    """The plan's flight without the walk, or with it."""

    verdict: Verdict
    home: Spread
    reach_m: Spread
    link_holds: Spread
    turn_back_m: Spread
    turn_back_reason: str
    ring_bearing_deg: Array | None
    """Of the turn-back map; null where none was drawn."""
    ring_turn_back_m: Array | None
    ring_reason: tuple[str, ...] | None
    share_home: float | None


@dataclass(frozen=True, slots=True)
class KeptData:
    """One value that is kept with the site."""

    quantity: str
    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class WalkData:
    """The answer to a range walk."""

    schema: int
    title: str
    on: str
    link: str
    mode: WalkMode
    read_at: WalkEnd
    cause: WalkCause
    said: tuple[str, ...]
    """The five plain lines, metric."""
    told: tuple[str, ...]
    findings: tuple[FindingData, ...]
    floor_dbm: float | None
    floor_from: FloorFrom
    lost: int
    packets_lost: int
    left_out: int
    fit: FitData
    without: SideData
    with_: SideData
    kept: bool
    keeps: tuple[KeptData, ...]
    readings: ReadingData
    cautions: tuple[str, ...]
    seed: int


def walk_json(answer: WalkAnswer, *, places: bool = True) -> str:
    """Return the answer as JSON.

    Parameters
    ----------
    answer : WalkAnswer
    places : bool
        With where each reading was taken; without, only how far from launch.
    """
    return json_text(plain(walk_data(answer, places=places)))


def walk_data(answer: WalkAnswer, *, places: bool) -> WalkData:
    """Return what is written."""
    read, fit = answer.read, answer.fit
    walk = read.walk
    return WalkData(
        schema=SCHEMA,
        title=answer.title,
        on=answer.on.isoformat(),
        link=fit.link,
        mode=fit.mode,
        read_at=walk.read_at,
        cause=answer.cause,
        said=tuple(line.text for line in walk_lines(answer, Units.METRIC)),
        told=told_lines(answer, Units.METRIC),
        findings=tuple(_finding(finding) for finding in answer.findings),
        floor_dbm=read.floor_dbm,
        floor_from=read.floor_from,
        lost=read.lost,
        packets_lost=read.packets,
        left_out=read.other,
        fit=_fit(fit),
        without=_side(answer.before, answer.map_before, fit.link),
        with_=_side(answer.after, answer.map_after, fit.link),
        kept=answer.kept,
        keeps=tuple(KeptData(each.quantity, each.value, each.low, each.high) for each in answer.entries),
        readings=ReadingData(
            distance_m=fit.distance_m,
            x_m=walk.x_m if places else None,
            y_m=walk.y_m if places else None,
            above_ground_m=walk.above_ground_m,
            power_dbm=walk.power_dbm,
            measured_dbm=fit.measured_dbm,
            predicted_dbm=fit.predicted_dbm,
            censored=tuple(bool(each) for each in fit.was_censored),
        ),
        cautions=walk_cautions(answer),
        seed=answer.seed,
    )


def _finding(finding: Finding) -> FindingData:
    given = {field.name: getattr(finding, field.name) for field in dataclasses.fields(Finding)}
    return FindingData(**given, said=words.sentence(finding), do_said=words.action(finding.do))


def _fit(fit: WalkFit) -> FitData:
    return FitData(
        fit.offset_db, fit.excess_exponent, fit.sigma_db, fit.sigma_ratio, fit.reference_m, fit.walked_m,
        fit.correlation_m, fit.readings, fit.censored, fit.effective, fit.power_or_antenna, fit.falls_too_fast,
        fit.outliers,
    )  # fmt: skip


def _side(brief: BriefResult, found: HomeMap | None, name: str) -> SideData:
    link = brief.control if name == "control" or brief.video is None else brief.video
    ring = None if found is None else found.ring
    return SideData(
        verdict=brief.verdict,
        home=brief.home,
        reach_m=link.reach_m,
        link_holds=link.probability,
        turn_back_m=brief.back.turn_back_m,
        turn_back_reason=brief.back.turn_back_reason,
        ring_bearing_deg=None if ring is None else ring.bearing_deg,
        ring_turn_back_m=None if ring is None else ring.turn_back_m,
        ring_reason=None if ring is None else ring.reason,
        share_home=None if ring is None else ring.share_home,
    )
