"""Words on the pilot: what this aircraft asks for, what was shown, the next step, what a crash costs."""

from __future__ import annotations

import math
from typing import Final

from turnback.records.aircraft import AircraftClass
from turnback.records.pilot_result import CrashCost, Demand, PilotResult, Step, StepState, Trials
from turnback.records.plan import FlightMode, Skill
from turnback.report import numbers, words
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.table_rows import Row, Table
from turnback.report.words_skills import CLASS_NAMES, CRITERION_WORDS, DEMAND_NAMES, SKILL_NAMES

STATE_WORDS: Final[dict[StepState, str]] = {
    StepState.SHOWN: mark("shown"),
    StepState.NEXT: mark("not shown: the next step"),
    StepState.LATER: mark("not shown"),
}
MODE_WORDS: Final[dict[FlightMode, str]] = {
    FlightMode.SELF_LEVEL: mark("It is flown in self-level."),
    FlightMode.RATE: mark("It is flown in rate mode: letting go of the sticks does not level it."),
    FlightMode.UNKNOWN: mark("Nobody said in which mode it is flown."),
}
BETWEEN: Final = "; "


def pilot_lines(result: PilotResult, units: Units = Units.METRIC) -> tuple[str, ...]:
    """Return what to know about pilot and aircraft, most important first.

    Parameters
    ----------
    result : PilotResult
    units : Units
    """
    needed = [step.skill for step in result.steps if step.needed]
    lines = [text("This flight asks its pilot for: {skills}.", skills=_names(needed)), _shown_line(result)]
    step = next((step for step in result.steps if step.skill is result.next), None)
    if step is not None:
        named, asked = skill(step.skill), criterion(step, units)
        if result.said:
            lines.append(text("The next step: {skill}. {criterion}", skill=named, criterion=asked))
        else:
            lines.append(
                text("If nothing was shown, it begins with: {skill}. {criterion}", skill=named, criterion=asked)
            )
    if result.mode_matters:
        lines.append(text("Nobody said in which mode it is flown, and rate mode was not shown: keep it in self-level."))
    else:
        lines.append(text(MODE_WORDS[result.mode]))
    return (*lines, crash_line(result.crash, units), *(what_it_proves(row) for row in result.trials))


def pilot_tables(result: PilotResult, units: Units = Units.METRIC) -> tuple[Table, ...]:
    """Return the graded way, what to show before moving on, and what asks for it.

    Parameters
    ----------
    result : PilotResult
    units : Units
    """
    way = tuple(Row(_capital(skill(step.skill)), _state(step)) for step in result.steps)
    show = tuple(
        Row(_capital(skill(step.skill)), f"{criterion(step, units)} {_bound(step.trials)}") for step in result.steps
    )
    asks = tuple(Row(text(DEMAND_NAMES[row.key]), _demand(row, units)) for row in result.demands)
    return (
        Table(text("The graded way"), way),
        Table(text("To show before moving on"), show),
        Table(text("What this flight asks for"), asks),
        Table(text("What a crash brings to bear"), _crash_rows(result.crash, units)),
    )


def skill(which: Skill) -> str:
    """Return a step of the graded way, as a noun."""
    return text(SKILL_NAMES[which])


def criterion(step: Step, units: Units) -> str:
    """Return what has to be shown before moving on from a step."""
    within = numbers.words(step.within_m, "m", units, Toward.DOWN)
    return text(CRITERION_WORDS[step.skill], of=step.trials.of, within=within)


def what_it_proves(row: Trials) -> str:
    """Say honestly what a row of successes proves."""
    return text(
        "{successes} of {of} proves less than it seems: it may still fail in up to {fails} of tries.",
        successes=row.successes,
        of=row.of,
        fails=numbers.percent(1.0 - row.lower_bound),
    )


def crash_line(crash: CrashCost, units: Units = Units.METRIC) -> str:
    """Say with what energy it hits at cruise, beside smaller aircraft; no claim on injury."""
    energy, speed = numbers.words(crash.energy_j, "J", units), numbers.words(crash.speed_mps, "m/s", units)
    if not crash.smaller_class:
        return text("At {speed} it hits with {energy}: it is of the smallest class.", speed=speed, energy=energy)
    smallest = _class(crash.smallest_class)
    if crash.smaller_class == crash.smallest_class:
        return text(
            "At {speed} it hits with {energy}: {times} times the energy of {smallest}.",
            speed=speed, energy=energy, times=_times(crash.smallest_ratio), smallest=smallest,
        )  # fmt: skip
    return text(
        "At {speed} it hits with {energy}: {times} times the energy of {smaller}, {most} times that of {smallest}.",
        speed=speed, energy=energy, times=_times(crash.ratio), smaller=_class(crash.smaller_class),
        most=_times(crash.smallest_ratio), smallest=smallest,
    )  # fmt: skip


def _shown_line(result: PilotResult) -> str:
    if not result.said:
        return text("Nobody said what the pilot has shown.")
    if not result.missing:
        return text("All of it was shown.")
    return text("Not shown yet: {skills}.", skills=_names(list(result.missing)))


def _names(skills: list[Skill]) -> str:
    return BETWEEN.join(skill(which) for which in skills)


def _state(step: Step) -> str:
    if step.by_later:
        return text("behind the pilot: a later step was shown")
    if step.state is StepState.SHOWN:
        return text(STATE_WORDS[step.state])
    if not step.needed:
        return text("not shown; this flight does not ask for it")
    asks = BETWEEN.join(text(DEMAND_NAMES[key]) for key in step.why_needed)
    return text("{state}; asked for by: {reasons}", state=text(STATE_WORDS[step.state]), reasons=asks)


def _bound(row: Trials) -> str:
    return text("(That shows at least {share}, with 95 % confidence.)", share=numbers.percent(row.lower_bound))


def _demand(row: Demand, units: Units) -> str:
    """Say a demand's value and what it asks for; a plain fact is yes or no."""
    asks = "" if row.asks is None else skill(row.asks)
    if not row.unit and row.limit == 1.0:
        return text("yes: {skill}", skill=asks) if asks else text("no")
    value = words.spread(row.value, row.unit, units)
    limit = numbers.words(row.limit, row.unit, units)
    if asks:
        return text("{value}, held against {limit}: {skill}", value=value, limit=limit, skill=asks)
    return text("{value}, held against {limit}: nothing more", value=value, limit=limit)


def _crash_rows(crash: CrashCost, units: Units) -> tuple[Row, ...]:
    rows = [
        Row(text("Mass with the pack"), numbers.words(crash.mass_kg, "kg", units)),
        Row(text("Cruise speed"), numbers.words(crash.speed_mps, "m/s", units)),
        Row(text("Energy at cruise"), numbers.words(crash.energy_j, "J", units)),
    ]
    if crash.smaller_class:
        smaller, smallest = _class(crash.smaller_class), _class(crash.smallest_class)
        rows += [
            Row(
                text("Energy of {smaller} at cruise", smaller=smaller),
                numbers.words(crash.smaller_energy_j, "J", units),
            ),
            Row(text("Over the energy of {smaller}", smaller=smaller), _ratio(crash.ratio)),
            Row(text("Over the energy of {smaller}", smaller=smallest), _ratio(crash.smallest_ratio)),
        ]
        rows = list(dict.fromkeys(rows))
    return tuple(rows)


def _class(name: str) -> str:
    return text(CLASS_NAMES[AircraftClass(name)])


def _ratio(times: float) -> str:
    return text("{times} times", times=_times(times))


def _times(ratio: float) -> str:
    """Say how many times: one digit after the point below ten, and no more than two digits that count above."""
    if not math.isfinite(ratio):
        return numbers.ratio(ratio)
    step = 0.1 if ratio < 10.0 else 1.0 if ratio < 100.0 else 10.0
    shown = numbers.rounded(ratio, step)
    return f"{shown:.1f}" if step < 1.0 else f"{shown:.0f}"


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]
