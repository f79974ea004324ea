"""Take the verdict: rules as data against results with bands.

Precedence: no-go, cannot say, go with limits, go. Over what is not known, a chance is a stop only if it fails even at
the favourable end, and clear only if it holds at the unfavourable end; between the two nobody can say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.rules.chance import GO_CHANCE, LIMIT_CHANCE
from turnback.rules.rule import Rule

ORDER = (Severity.STOP, Severity.UNKNOWN, Severity.LIMIT, Severity.NOTE)
VERDICTS = {
    Severity.STOP: Verdict.NO_GO,
    Severity.UNKNOWN: Verdict.CANNOT_SAY,
    Severity.LIMIT: Verdict.GO_WITH_LIMITS,
    Severity.NOTE: Verdict.GO,
}


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """Return the verdict of the worst finding; with none, a go."""
    met = {finding.severity for finding in findings}
    return next((VERDICTS[severity] for severity in ORDER if severity in met), Verdict.GO)


def sorted_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Worst first; within one severity in the order they were found."""
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))


def deciding_of(findings: tuple[Finding, ...]) -> Finding | None:
    """Return the finding whose ``do`` would decide, for *cannot say*: the first of the unknowns."""
    return next((finding for finding in findings if finding.severity is Severity.UNKNOWN), None)


def chance_severity(chance: Spread) -> Severity:
    """Judge a chance at both ends of what is not known.

    Rises (never worsens) with either end: a better margin never worsens a verdict.
    """
    if chance.low >= GO_CHANCE.value:
        return Severity.NOTE
    if chance.low >= LIMIT_CHANCE.value:
        return Severity.LIMIT
    if chance.high < LIMIT_CHANCE.value:
        return Severity.STOP
    return Severity.UNKNOWN


def at_least(value: Spread, limit: float, short: Severity) -> Severity | None:
    """Judge a value that must reach a limit: `short` below it throughout, unknown where only an end is below."""
    if value.low >= limit:
        return None
    return short if value.high < limit else Severity.UNKNOWN


def found(
    rule: Rule,
    severity: Severity,
    value: Spread | float | None = None,
    *,
    do: str | None = None,
    limit: float | None = None,
    unit: str | None = None,
    evidence: Mapping[str, float | str] | None = None,
) -> Finding:
    """Make a finding of a rule. A spread gives value, low and high; the rule gives limit, unit, source and ``do``."""
    spread = value if isinstance(value, Spread) else None
    fact = value is None
    return Finding(
        rule=rule.key,
        severity=severity,
        value=spread.mid if spread else value,  # type: ignore[arg-type]
        unit=rule.unit if unit is None else unit,
        limit=limit if limit is not None else (None if fact else rule.value),
        low=spread.low if spread else None,
        high=spread.high if spread else None,
        source=rule.source,
        do=rule.do if do is None else do,
        evidence=dict(evidence or {}),
    )
