"""Which change can move which finding: spares flights that could lift nothing. What is not listed, any change may."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from turnback.assess.judge import verdict_of
from turnback.records.changes import ChangeKind
from turnback.records.finding import Finding, Severity, Verdict

Kinds = frozenset[ChangeKind]

NONE: Final[Kinds] = frozenset()
EVERY: Final[Kinds] = frozenset(ChangeKind)
WAY: Final[Kinds] = frozenset({ChangeKind.DISTANCE, ChangeKind.HEIGHT})
PACK: Final[Kinds] = frozenset({ChangeKind.PACK_CHARGED, ChangeKind.PACK_LARGER, ChangeKind.PACK_WARM})
ANTENNA: Final[Kinds] = frozenset({ChangeKind.GROUND_ANTENNA_HEIGHT, ChangeKind.GROUND_ANTENNA_GAIN})
MEASURE: Final[Kinds] = frozenset({ChangeKind.MEASUREMENT})
WIND: Final[Kinds] = frozenset({ChangeKind.WIND})

MOVES: Final[Mapping[str, Kinds]] = {
    "propellers.": NONE,
    "people.": NONE,
    "people.area": frozenset({ChangeKind.DISTANCE}),
    "law.": NONE,
    "law.height": WAY,
    "law.distance": frozenset({ChangeKind.DISTANCE}),
    # a mast lifts the antennas, not the eyes that have to see the aircraft
    "law.in_sight": WAY,
    "law.return_height": frozenset({ChangeKind.DISTANCE}),
    "law.return_set_height": frozenset({ChangeKind.RETURN_HEIGHT}),
    "observer.": NONE,
    "observer.orientation": frozenset({ChangeKind.DISTANCE}),
    "terrain.": NONE,
    "terrain.assumed": frozenset({ChangeKind.DISTANCE}),
    "terrain.uncovered": frozenset({ChangeKind.DISTANCE}),
    "route.terrain": WAY | MEASURE,
    "site.canopy_breaks": WAY | ANTENNA | MEASURE,
    "link.": WAY | ANTENNA | MEASURE,
    "energy.": WAY | PACK | WIND | MEASURE,
    "energy.thrust": PACK | MEASURE,
    "energy.current_limit": PACK | MEASURE,
    "energy.c_rating": PACK | MEASURE | WIND,
    "energy.last_flight": MEASURE,
    "pack.": NONE,
    "pack.not_full": frozenset({ChangeKind.PACK_CHARGED}),
    "pack.cold": frozenset({ChangeKind.PACK_WARM}),
    "return.action_unknown": NONE,
    "return.keep_last_sticks": NONE,
    "return.motors_stop": NONE,
    "return.descend_in_place": NONE,
    "return.untested": NONE,
    "return.height_unknown": frozenset({ChangeKind.RETURN_HEIGHT}),
    "return.clearance": frozenset({ChangeKind.DISTANCE, ChangeKind.RETURN_HEIGHT}),
    "return.headwind": frozenset({ChangeKind.DISTANCE, ChangeKind.RETURN_HEIGHT}) | WIND | MEASURE,
    "weather.unknown": MEASURE,
    "weather.gusts": WIND | PACK | MEASURE,
    "weather.air_cold": NONE,
    "pilot.": WAY | MEASURE,
    "pilot.mode_open": NONE,
    "fall.": WAY | WIND | MEASURE | frozenset({ChangeKind.RETURN_HEIGHT}),
    "care.": NONE,
}
"""By a rule's key or the beginning of it; the longest that fits counts."""


def kinds_that_move(rule: str) -> Kinds:
    """Return the kinds of change that may lift a finding of a rule."""
    fits = [start for start in MOVES if rule.startswith(start)]
    return MOVES[max(fits, key=len)] if fits else EVERY


def best_by(kind: ChangeKind, findings: Iterable[Finding]) -> Verdict:
    """Return the best verdict that a kind of change could reach: that of the findings which it cannot move."""
    return verdict_of(finding for finding in findings if kind not in kinds_that_move(finding.rule))


def holds_back(finding: Finding) -> bool:
    """True where a finding keeps the verdict from a go."""
    return finding.severity is not Severity.NOTE
