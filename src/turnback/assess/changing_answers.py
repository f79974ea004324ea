"""A case with its open questions answered well: what would be left to mend, were they all answered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from turnback.assess.changing import with_parts, with_return_height
from turnback.records.aircraft import RadioLossAction
from turnback.records.case import Case
from turnback.records.common import Answer
from turnback.records.finding import Finding, Severity
from turnback.records.plan import FlightMode, People, Skill
from turnback.rules import flight, people, pilot
from turnback.rules.chemistry import Chemistry


@dataclass(frozen=True, slots=True)
class Well:
    """What a good answer is on this very site."""

    law: Chemistry
    return_height_m: float | None
    """Height of the return that clears ground, trees and margin within what may be advised; None where none does."""


def _propellers(case: Case, _: Well) -> Case:
    return _answered(case, propellers_verified_today=Answer.YES)


def _people(case: Case, _: Well) -> Case:
    return _answered(case, who_can_be_underneath=People.NOBODY)


def _observer(case: Case, _: Well) -> Case:
    return with_parts(case, observer=Answer.YES)


def _limits(case: Case, _: Well) -> Case:
    limits = case.plan.site.local_limits.model_copy(update={"looked_up": Answer.YES})
    return with_parts(case, site=case.plan.site.model_copy(update={"local_limits": limits}))


def _volts(case: Case, well: Well) -> Case:
    return _answered(case, rest_v_per_cell=well.law.full_v)


def _height(case: Case, well: Well) -> Case:
    return case if well.return_height_m is None else with_return_height(case, well.return_height_m)


def _tested(case: Case, _: Well) -> Case:
    return _answered(case, return_tested_on_this_build=Answer.YES)


def _action(case: Case, well: Well) -> Case:
    """Set an automatic return: where its height is not known, that too; tested, unless it is known not to be."""
    craft = case.plan.aircraft.model_copy(update={"on_radio_loss": RadioLossAction.AUTOMATIC_RETURN})
    returns = with_parts(case, aircraft=craft)
    if craft.automatic_return is None or craft.automatic_return.height_m is None:
        returns = _height(returns, well)
    untold = case.plan.answers.return_tested_on_this_build is Answer.UNKNOWN
    return _tested(returns, well) if untold else returns


def _shown(case: Case, _: Well) -> Case:
    return with_parts(case, pilot=case.plan.pilot.model_copy(update={"shown": tuple(Skill)}))


def _mode(case: Case, _: Well) -> Case:
    return with_parts(case, route=case.plan.route.model_copy(update={"mode": FlightMode.SELF_LEVEL}))


def _answered(case: Case, **answers: object) -> Case:
    return with_parts(case, answers=case.plan.answers.model_copy(update=answers))


ANSWERS: Final[Mapping[str, Callable[[Case, Well], Case]]] = {
    people.PROPELLERS_UNKNOWN.key: _propellers,
    people.PROPELLERS_NO.key: _propellers,
    people.PEOPLE_UNKNOWN.key: _people,
    people.LIMITS_UNKNOWN.key: _limits,
    people.OBSERVER_UNKNOWN.key: _observer,
    flight.ACTION_UNKNOWN.key: _action,
    flight.RETURN_HEIGHT_UNKNOWN.key: _height,
    flight.RETURN_UNTESTED.key: _tested,
    flight.PACK_UNKNOWN.key: _volts,
    pilot.UNKNOWN.key: _shown,
    pilot.MODE_OPEN.key: _mode,
}
"""Questions that a look, a reading or a word answers, and how a good answer changes the plan."""


def open_rules(case: Case, findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the rules of the questions left open, in the order found; one answered badly is not open."""
    untold = case.plan.answers.return_tested_on_this_build is Answer.UNKNOWN
    return tuple(
        finding.rule
        for finding in findings
        if finding.rule in ANSWERS
        and finding.severity is not Severity.NOTE
        and (finding.rule != flight.RETURN_UNTESTED.key or untold)
    )


def answered_well(case: Case, rules: Iterable[str], well: Well) -> Case:
    """Return the case with those questions answered well."""
    for rule in rules:
        case = ANSWERS[rule](case, well)
    return case
