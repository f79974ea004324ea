"""What a record taught of its pack, aircraft and site: numbers for the next brief, each with its band, or why not."""

from __future__ import annotations

from typing import Final

from turnback.assess.learn_flight import Lesson
from turnback.assess.learn_link import KEYS, learn_link
from turnback.assess.learn_pack import learn_capacity, learn_resistance
from turnback.assess.learn_power import learn_currents, learn_drag
from turnback.records.case import Case
from turnback.records.debrief import AgainstPlan, LearnedNumber, Lessons, NotLearned
from turnback.records.happened import RecordAnswer
from turnback.records.learned import LearnedAbout

OF_PACK: Final = ("resistance_mohm_per_cell", "capacity_mah")
OF_AIRCRAFT: Final = ("hover_current_a", "cruise_current_a", "drag_area_cm2")
LINK: Final = KEYS[0]
"""What stands for all that is learned of the link, where nothing is."""


def lessons(
    answer: RecordAnswer, against: AgainstPlan | None, case: Case | None, put_back_ah: float | None = None
) -> Lessons:
    """Return what a record taught.

    Parameters
    ----------
    answer : RecordAnswer
    against : AgainstPlan or None
        None without a plan.
    case : Case or None
        The plan, with what earlier records taught: a band only narrows by what is new in this one.
    put_back_ah : float, optional
        What the charger put back after this very flight, Ah: it stands for the current sensor's own scale.

    Returns
    -------
    Lessons
        A fault in flight takes only what was measured after it began.
    """
    if case is None or against is None:
        return Lessons((), tuple((key, NotLearned.NO_PLAN) for key in (*OF_PACK, *OF_AIRCRAFT, LINK)))
    lesson = Lesson(answer, case, put_back_ah)
    found: dict[str, LearnedNumber | NotLearned] = {}
    if case.plan.pack.id is None:
        found |= dict.fromkeys(OF_PACK, NotLearned.NO_ID)
    else:
        found |= {OF_PACK[0]: learn_resistance(lesson), OF_PACK[1]: learn_capacity(lesson)}
    if case.plan.aircraft.id is None:
        found |= dict.fromkeys(OF_AIRCRAFT, NotLearned.NO_ID)
    else:
        found |= learn_currents(lesson)
        found[OF_AIRCRAFT[2]] = learn_drag(lesson)
    link = dict.fromkeys(KEYS, NotLearned.NO_ID) if case.plan.site.id is None else learn_link(lesson)
    found |= link if isinstance(link[LINK], LearnedNumber) else {LINK: link[LINK]}
    return Lessons(
        tuple(each for each in found.values() if isinstance(each, LearnedNumber)),
        tuple((key, each) for key, each in found.items() if isinstance(each, NotLearned)),
    )


def owner_id(case: Case, about: LearnedAbout) -> str | None:
    """Return the id under which a number is kept."""
    plan = case.plan
    return {LearnedAbout.PACK: plan.pack.id, LearnedAbout.AIRCRAFT: plan.aircraft.id}.get(about, plan.site.id)
