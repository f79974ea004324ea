"""What this aircraft asks of a pilot, what the pilot has shown, and the way between the two."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.finding import Spread
from turnback.records.plan import FlightMode, Skill


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
    within_m: float = 0.0
    """Size of the landing circle, gap or place that the criterion speaks of."""
    by_later: bool = False
    """Not named in the plan, and behind a pilot who has shown a later step."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing this aircraft or this flight asks of its pilot, or would from a limit on."""

    key: str
    """``"pilot.demand_thrust"`` and so on."""
    value: Spread
    """1 for a plain fact."""
    unit: str
    limit: float
    """From here on it asks for `asks`; in `unit`."""
    asks: Skill | None
    """The step it asks for; None where it asks for nothing beyond the first flights."""


@dataclass(frozen=True, slots=True)
class CrashCost:
    """What a crash of this aircraft brings to bear beside one of a smaller class. Context: no claim on injury."""

    mass_kg: float
    """With the pack."""
    speed_mps: float
    energy_j: float
    """At cruise, into something that stands."""
    smaller_class: str
    """Class name of the next smaller aircraft, as a plan writes it; empty where this is the smallest."""
    smaller_mass_kg: float
    smaller_speed_mps: float
    smaller_energy_j: float
    ratio: float
    """This aircraft's energy over the smaller one's; not a number where there is no smaller one."""
    smallest_class: str = ""
    """The class that the graded way begins with."""
    smallest_ratio: float = float("nan")
    """This aircraft's energy over that of the smallest class; not a number for that class itself."""


@dataclass(frozen=True, slots=True)
class PilotResult:
    """The pilot and the aircraft together."""

    said: bool
    """False where the plan does not say what the pilot has shown."""
    packs_flown: float | None
    simulator_hours: float | None
    steps: tuple[Step, ...]
    """The whole graded way, in order."""
    missing: tuple[Skill, ...]
    """Needed and not shown, in order; where nobody said what was shown, all that is needed."""
    next: Skill | None
    """The step to practise next; None where all that is needed was shown."""
    demands: tuple[Demand, ...]
    trials: tuple[Trials, ...]
    """Examples for the statistics: 5 of 5, 20 of 20."""
    crash: CrashCost
    mode: FlightMode = FlightMode.UNKNOWN
    mode_matters: bool = False
    """Nobody said in which mode it is flown, and rate mode was not shown."""
    first_steps_only: bool = False
    """The flight asks for nothing beyond the first two steps of the graded way."""
    far_beyond: tuple[str, ...] = ()
    """Keys of rules by which the aircraft is far beyond a pilot who has not flown an open aircraft in sight."""
