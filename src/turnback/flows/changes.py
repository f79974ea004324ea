"""What would make this a go: the smallest single changes that lift the verdict, each one run, none guessed.

A changed plan is flown by the very computation of the brief (`turnback.flows.flight`). The quick findings are asked
first, so that most changes are given up before the pack is marched; what is reported was computed to its end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from turnback.assess.changing_answers import Well, answered_well, open_rules
from turnback.assess.world import chemistry_of
from turnback.flows.changes_moves import best_by, holds_back, kinds_that_move
from turnback.flows.changes_options import Ladder, Option, clear_return_m, ladders, worth_measuring
from turnback.flows.changes_unknowns import costs_most, figures_held_back
from turnback.flows.flight import RANK, Flight
from turnback.records.changes import Change, ChangeKind, ChangesResult
from turnback.records.finding import Severity, Verdict

MOST_CHANGES: Final = 8
TARGETS: Final = (Verdict.GO, Verdict.GO_WITH_LIMITS, Verdict.CANNOT_SAY)
DEPTHS: Final = (False, True, None)
"""As far as the quick findings, as far as the pack, to the end."""
EASE: Final = (
    ChangeKind.ANSWERS, ChangeKind.MEASUREMENT, ChangeKind.RETURN_HEIGHT, ChangeKind.PACK_CHARGED, ChangeKind.PACK_WARM,
    ChangeKind.HEIGHT, ChangeKind.DISTANCE, ChangeKind.WIND, ChangeKind.GROUND_ANTENNA_HEIGHT,
    ChangeKind.GROUND_ANTENNA_GAIN, ChangeKind.PACK_LARGER,
)  # fmt: skip
"""What asks least of a pilot first: words and readings, settings, the way flown, waiting, other gear (our choice)."""
SEVERITIES: Final = (Severity.NOTE, Severity.LIMIT, Severity.UNKNOWN, Severity.STOP)


@dataclass(slots=True)
class _Tried:
    """How many flights were run, and the mildest each rule was seen."""

    flights: int = 0
    mildest: dict[str, int] = field(default_factory=dict)
    kinds: list[ChangeKind] = field(default_factory=list)

    def saw(self, flight: Flight, held: tuple[str, ...]) -> None:
        """Note how severe the rules that hold back are in a flight, as far as it was worked out."""
        severe = {rule: 0 for rule in held if flight.looked_at(rule)}
        for finding in flight.seen():
            if finding.rule in severe:
                severe[finding.rule] = max(severe[finding.rule], SEVERITIES.index(finding.severity))
        for rule, found in severe.items():
            self.mildest[rule] = min(found, self.mildest.get(rule, found))


def what_would_help(flight: Flight) -> ChangesResult:
    """Return the smallest single changes that lift a flight's verdict, and the unknown that costs most.

    Parameters
    ----------
    flight : Flight
        As planned, worked out in full.
    """
    if flight.verdict is Verdict.GO:
        return ChangesResult(Verdict.GO, (), Verdict.GO, (), (), None, 0)
    tried = _Tried()
    open_questions = open_rules(flight.case, flight.findings)
    base = _answered(flight, open_questions, tried)
    held = tuple(dict.fromkeys(finding.rule for finding in base.findings if holds_back(finding)))
    rows = [_by_answers(base)] if RANK[base.verdict] > RANK[flight.verdict] else []
    figures = figures_held_back(base)
    worth = worth_measuring(base, figures, flight)
    for ladder in ladders(base, tuple(band for band, _ in worth)):
        ceiling = best_by(ladder.kind, base.findings)
        if RANK[ceiling] > RANK[base.verdict]:
            rows += _rungs(ladder, base, ceiling, held, tried)
    unknown, runs = costs_most(base, worth)
    tried.flights += runs
    return ChangesResult(
        verdict=flight.verdict,
        open_answers=open_questions,
        answered=base.verdict,
        changes=_best_first(rows),
        beside=_beside(base, held, tried),
        costs_most=unknown,
        tried=tried.flights,
        looked_at=tuple(dict.fromkeys(tried.kinds)),
    )


def _answered(flight: Flight, rules: tuple[str, ...], tried: _Tried) -> Flight:
    """Return the flight with its open questions answered well; the flight itself where none is open."""
    if not rules:
        return flight
    well = Well(chemistry_of(flight.case), clear_return_m(flight))
    tried.flights += 1
    return Flight(answered_well(flight.case, rules, well), seed=flight.seed, like=flight)


def _by_answers(flight: Flight) -> Change:
    return Change(ChangeKind.ANSWERS, "", None, None, "", flight.verdict, flight.home)


def _change(option: Option, flight: Flight) -> Change:
    return Change(option.kind, option.key, option.now, option.value, option.unit, flight.verdict, flight.home)


def _rungs(ladder: Ladder, base: Flight, ceiling: Verdict, held: tuple[str, ...], tried: _Tried) -> list[Change]:
    """Return the smallest change of one kind that makes it a go, and the smallest that lifts it less far."""
    flights: dict[int, Flight] = {}

    def at(rung: int) -> Flight:
        if rung not in flights:
            flights[rung] = Flight(ladder.options[rung].make(), seed=base.seed, like=base)
        return flights[rung]

    rows: list[Change] = []
    top = len(ladder.options) - 1
    for target in TARGETS:
        if top < 0 or not RANK[base.verdict] < RANK[target] <= RANK[ceiling]:
            continue
        if target is Verdict.CANNOT_SAY and rows:
            continue
        rung = smallest(at, top, target, rises=ladder.rises)
        if rung is not None:
            rows.append(_change(ladder.options[rung], at(rung)))
            top = rung - 1
    tried.flights += len(flights)
    tried.kinds.append(ladder.kind)
    for flight in flights.values():
        tried.saw(flight, held)
    return rows


def smallest(at: Callable[[int], Flight], top: int, target: Verdict, *, rises: bool = True) -> int | None:
    """Return the lowest rung that reaches a verdict; None where none is found.

    The rungs are halved, once for each depth: what the quick findings deny is never flown farther. Where more of a
    change is never worse, the rung below does not reach the verdict.

    Parameters
    ----------
    at : callable
        The flight of a rung, 0 to `top`.
    target : Verdict
    rises : bool
        Where False, and the highest rung does not do, three rungs between are tried as the highest.
    """
    places = [top] if rises else sorted({top, *(top * part // 4 for part in (3, 2, 1))}, reverse=True)
    high = next((rung for rung in places if at(rung).reaches(target, as_far_as_energy=False)), None)
    if high is None:
        return None
    found = _halved(at, -1, high, target, depth=False)
    for depth in DEPTHS[1:]:  # what does as far as the quick findings mostly does to the end
        if not at(found).reaches(target, as_far_as_energy=depth):
            if not at(high).reaches(target, as_far_as_energy=depth):
                return None
            found = _halved(at, found, high, target, depth=depth)
    return found


def _halved(at: Callable[[int], Flight], low: int, high: int, target: Verdict, *, depth: bool | None) -> int:
    """Return the lowest rung above `low`, which does not reach the verdict, up to `high`, which does."""
    while high - low > 1:
        middle = (low + high) // 2
        if at(middle).reaches(target, as_far_as_energy=depth):
            high = middle
        else:
            low = middle
    return high


def _best_first(rows: list[Change]) -> tuple[Change, ...]:
    """Return the changes, those that lift farthest first, among them those that ask least."""
    if any(row.verdict is not Verdict.CANNOT_SAY for row in rows):  # better is to be had than a question more
        rows = [row for row in rows if row.verdict is not Verdict.CANNOT_SAY]
    ordered = sorted(rows, key=lambda row: (-RANK[row.verdict], EASE.index(row.kind), _effort(row)))
    return tuple(ordered[:MOST_CHANGES])


def _effort(row: Change) -> float:
    if row.now is None or row.value is None:
        return 0.0
    return abs(row.value - row.now) / max(abs(row.now), abs(row.value), 1e-9)


def _beside(base: Flight, held: tuple[str, ...], tried: _Tried) -> tuple[str, ...]:
    """Return the rules that hold back and that no change made milder: not tried, since none can, or tried in vain."""
    severe = {finding.rule: 0 for finding in base.findings}
    for finding in base.findings:
        severe[finding.rule] = max(severe[finding.rule], SEVERITIES.index(finding.severity))
    return tuple(
        rule
        for rule in held
        if (rule in tried.mildest or not kinds_that_move(rule)) and tried.mildest.get(rule, 9) >= severe[rule]
    )
