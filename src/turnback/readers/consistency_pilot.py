"""Contradictions within a pilot: steps shown by somebody who never did what they are made of."""

from __future__ import annotations

from collections.abc import Callable

from turnback.base.errors import Fault
from turnback.readers.known_keys import Place
from turnback.records.plan import PilotFile, Skill

Where = Callable[[Place], str]


def pilot_faults(pilot: PilotFile, where: Where) -> list[Fault]:
    """Return what contradicts itself in a pilot."""
    faults = []
    flown = [skill for skill in pilot.shown if skill is not Skill.SIMULATOR]
    if pilot.packs_flown == 0 and flown:
        what = f'no pack was flown, but "{flown[0].value}" is among what was shown'
        faults.append(Fault(where(("pilot", "packs_flown")), what, "correct one of the two"))
    if pilot.simulator_hours == 0 and Skill.SIMULATOR in pilot.shown:
        what = f'no hour was spent on a simulator, but "{Skill.SIMULATOR.value}" is among what was shown'
        faults.append(Fault(where(("pilot", "simulator_hours")), what, "correct one of the two"))
    return faults
