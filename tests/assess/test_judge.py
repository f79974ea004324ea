"""The judge: precedence, both ends of what is not known, and that a better margin never worsens a verdict."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.assess.judge import ORDER, at_least, chance_severity, deciding_of, found, sorted_findings, verdict_of
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.rules import chance, flight, people

CHANCES = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3).map(sorted)


def finding(severity: Severity) -> Finding:
    """Return any finding of a severity."""
    return found(people.LOOK_FOR, severity)


@pytest.mark.parametrize(
    ("severities", "verdict"),
    [
        ([], Verdict.GO),
        ([Severity.NOTE], Verdict.GO),
        ([Severity.NOTE, Severity.LIMIT], Verdict.GO_WITH_LIMITS),
        ([Severity.LIMIT, Severity.UNKNOWN], Verdict.CANNOT_SAY),
        ([Severity.UNKNOWN, Severity.STOP, Severity.LIMIT], Verdict.NO_GO),
    ],
)
def test_the_worst_finding_decides(severities: list[Severity], verdict: Verdict) -> None:
    """Precedence of the issue: no-go, cannot say, go with limits, go."""
    assert verdict_of(finding(severity) for severity in severities) is verdict


@pytest.mark.parametrize(
    ("low", "high", "severity"),
    [
        (0.995, 0.999, Severity.NOTE),
        (0.99, 0.99, Severity.NOTE),
        (0.96, 0.999, Severity.LIMIT),
        (0.95, 0.95, Severity.LIMIT),
        (0.90, 0.999, Severity.UNKNOWN),
        (0.90, 0.95, Severity.UNKNOWN),
        (0.10, 0.94, Severity.STOP),
    ],
)
def test_a_chance_is_judged_at_both_ends(low: float, high: float, severity: Severity) -> None:
    """The issue: go only if it holds at the unfavourable end, no-go if it fails even at the favourable one."""
    assert chance_severity(Spread((low + high) / 2, low, high)) is severity


@given(CHANCES, CHANCES)
def test_a_better_chance_never_worsens_the_severity(one: list[float], other: list[float]) -> None:
    """Raise every end: the severity must not move toward a stop."""
    worse = Spread(*(min(a, b) for a, b in zip(one, other, strict=True)))
    better = Spread(*(max(a, b) for a, b in zip(one, other, strict=True)))
    before = chance_severity(Spread(worse.low, worse.mid, worse.high))
    after = chance_severity(Spread(better.low, better.mid, better.high))
    assert ORDER.index(after) >= ORDER.index(before)


@given(CHANCES, st.floats(0.0, 1.0), st.floats(0.0, 0.5))
def test_a_better_value_never_worsens_a_least_value(ends: list[float], limit: float, better: float) -> None:
    """The same for values that must reach a limit."""
    order = [*ORDER[:3], None]
    low, mid, high = ends
    before = at_least(Spread(mid, low, high), limit, Severity.STOP)
    after = at_least(Spread(mid + better, low + better, high + better), limit, Severity.STOP)
    assert order.index(after) >= order.index(before)


@given(st.lists(st.sampled_from(list(Severity)), max_size=8), st.sampled_from(list(Severity)))
def test_one_more_finding_never_betters_a_verdict(severities: list[Severity], more: Severity) -> None:
    """Verdicts only fall as findings come in; taking one away never worsens."""
    order = [Verdict.NO_GO, Verdict.CANNOT_SAY, Verdict.GO_WITH_LIMITS, Verdict.GO]
    few = verdict_of(finding(severity) for severity in severities)
    all_of_them = verdict_of(finding(severity) for severity in [*severities, more])
    assert order.index(all_of_them) <= order.index(few)


def test_findings_come_worst_first_and_keep_their_order() -> None:
    """A reader meets what must be mended first."""
    rows = [
        found(people.LOOK_FOR, Severity.NOTE),
        found(people.PEOPLE_UNKNOWN, Severity.UNKNOWN),
        found(people.LIMITS_UNKNOWN, Severity.UNKNOWN),
        found(flight.ACTION_KEEP, Severity.STOP),
    ]
    in_order = sorted_findings(rows)
    assert [row.severity for row in in_order] == [Severity.STOP, Severity.UNKNOWN, Severity.UNKNOWN, Severity.NOTE]
    assert [row.rule for row in in_order[1:3]] == ["people.unknown", "law.not_looked_up"]
    deciding = deciding_of(in_order)
    assert deciding is not None
    assert deciding.do == "look_who_is_underneath"
    assert deciding_of(in_order[3:]) is None


def test_a_finding_carries_its_rule() -> None:
    """Value, ends, limit, unit, source and what to do travel together."""
    row = found(chance.LANDING_CHANCE, Severity.LIMIT, Spread(0.97, 0.96, 0.98))
    assert (row.value, row.low, row.high, row.limit) == (0.97, 0.96, 0.98, 0.99)
    assert (row.rule, row.source, row.do) == ("energy.landing_chance", "our-choice", "shorten_or_charge")
    assert found(people.PEOPLE_OTHERS, Severity.STOP).limit is None
