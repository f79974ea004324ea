"""What this aircraft asks of a pilot, what the pilot has shown, and the way between the two."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.finding import Spread
from turnback.records.plan import Skill


class StepState(Enum):
    """Where one step of the graded way stands."""

    SHOWN = "shown"
    NEXT = "next"
    LATER = "later"


@dataclass(frozen=True, slots=True)
class Trials:
    """Successes in a row, and what they prove: the 95 % lower bound of the chance of success."""

    successes: int
    of: int
    lower_bound: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the graded way to this flight."""

    skill: Skill
    state: StepState
    needed: bool
    """True where this flight asks for it."""
    trials: Trials
    """What has to be shown before moving on."""
    why_needed: tuple[str, ...]
    """Keys of what asks for it, such as ``"pilot.demand_thrust"``; worded in ``report/words_pilot.py``."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing this aircraft or this flight asks of its pilot."""

    key: str
    """``"pilot.demand_thrust"`` and so on."""
    value: Spread
    unit: str
    limit: float
    """From here on it asks for `step`; in `unit`."""
    asks: Skill | None
    """The step it asks for; None where it asks for nothing beyond the first flights."""


@dataclass(frozen=True, slots=True)
class CrashCost:
    """What a crash of this aircraft brings to bear beside one of a smaller class."""

    mass_kg: float
    speed_mps: float
    energy_j: float
    """At cruise, into something that stands."""
    smaller_class: str
    """Class name of the smaller aircraft, as a plan writes it; empty where this is the smallest."""
    smaller_mass_kg: float
    smaller_speed_mps: float
    smaller_energy_j: float
    ratio: float
    """This aircraft's energy over the smaller one's; not a number where there is no smaller one."""


@dataclass(frozen=True, slots=True)
class PilotResult:
    """The pilot and the aircraft together."""

    said: bool
    """False where the plan says nothing about the pilot."""
    packs_flown: float | None
    simulator_hours: float | None
    steps: tuple[Step, ...]
    """The whole graded way, in order."""
    missing: tuple[Skill, ...]
    """Needed and not shown, in order."""
    next: Skill | None
    """The step to practise next; None where all that is needed was shown."""
    demands: tuple[Demand, ...]
    trials: tuple[Trials, ...]
    """Examples for the statistics: 5 of 5, 20 of 20."""
    crash: CrashCost
