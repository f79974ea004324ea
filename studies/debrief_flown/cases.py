"""The shape of one flight of this study: what both generators hand over. Data only.

Both generators give ``fly_cause(seed: int, cause: str | None, kit: str) -> FlownCase``: `own` (our simulator) and the
second one. ``causes()`` of each gives the keys of the book that it can fly.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from studies.record_flown.sensors import Seen

from turnback.records.debrief import AgainstPlan


@dataclass(frozen=True, slots=True, eq=False)
class FlownCase:
    """One flight with its true cause.

    Parameters
    ----------
    seed : int
    cause : str or None
        Key of the book; None of a healthy flight.
    kit : str
        Key of `kits.KITS`: which channels the record has.
    seen : Seen
        ``t_s`` shape (n,), ``rate_hz``, ``channels``: `sensors.Made` with ``quantity`` (the value of a
        `turnback.records.channel.Quantity`), ``values`` shape (n,) in its canonical unit, ``corner`` (place in
        `sensors.CORNERS`: front-left, front-right, rear-left, rear-right), ``cell`` from 1, ``fresh`` (rows measured
        anew; None: all), ``labels`` (words of a mode). ``restart_row``: first row after a restart, or None.
    facts : dict
        What the person who debriefs knows of the aircraft beside the plan: ``cells`` int, ``chemistry`` str,
        ``blades`` int, ``scheme`` +1 (front-left clockwise seen from above) or -1, ``latitude_deg`` and
        ``longitude_deg`` of the true launch point (metres of the record are about it), ``has_plan`` bool.
        What only the scorer may know: ``true`` dict (``at_s`` when the cause sets in, ``ended_s`` of the flight,
        ``healthy`` a word for kinds of healthy flight, and what the fault was drawn as).
    against : AgainstPlan or None
        Of a plan with the errors that a real plan has (`kits.PLAN_ERRORS`); None of one flight in five: no plan.
    group : tuple of str
        The look-alikes of the cause in this kit, itself among them; () where it leaves no trace, and of healthy
        flights.
    """

    seed: int
    cause: str | None
    kit: str
    seen: Seen
    facts: dict[str, Any] = field(default_factory=dict)
    against: AgainstPlan | None = None
    group: tuple[str, ...] = ()
