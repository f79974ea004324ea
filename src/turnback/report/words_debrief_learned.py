"""What a flight taught for the next brief, in words: each number with its band, before and after, and what was not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.debrief import LearnedNumber, Lessons, NotLearned
from turnback.records.finding import Spread
from turnback.records.learned import LearnedAbout
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_values import value_words
from turnback.report.words_belief_chance import capital

QUANTITIES: Final[dict[str, tuple[str, str, float]]] = {
    "resistance_mohm_per_cell": (mark("resistance of one cell"), "ohm", 1e-3),
    "capacity_mah": (mark("capacity"), "Ah", 1e-3),
    "temperature_c": (mark("temperature at take-off"), "°C", 1.0),
    "mass_g": (mark("mass"), "kg", 1e-3),
    "cruise_mps": (mark("airspeed at cruise"), "m/s", 1.0),
    "hover_current_a": (mark("current in hover"), "A", 1.0),
    "cruise_current_a": (mark("current at cruise"), "A", 1.0),
    "drag_area_cm2": (mark("drag area"), "m²", 1e-4),
    "control_offset_db": (mark("loss of the control link beyond the model"), "dB", 1.0),
    "video_offset_db": (mark("loss of the video link beyond the model"), "dB", 1.0),
}
"""What it is called, and its unit in SI with the factor from the plan's."""
ABOUT: Final[dict[LearnedAbout, str]] = {
    LearnedAbout.PACK: mark("this pack"),
    LearnedAbout.AIRCRAFT: mark("this aircraft"),
    LearnedAbout.SITE: mark("this site"),
}
WHY_NOT: Final[dict[NotLearned, str]] = {
    NotLearned.NO_CHANNEL: mark("the record lacks a channel that it takes"),
    NotLearned.NO_CELLS: mark("it is not known how many cells the pack has"),
    NotLearned.TOO_STEADY: mark("the load changed too little"),
    NotLearned.TOO_SHORT: mark("the flight was too short"),
    NotLearned.NO_SUCH_SEGMENT: mark("no stretch of the flight was flown in that way"),
    NotLearned.NOT_FULL_AT_START: mark("the pack was not full at take-off"),
    NotLearned.NO_REST_AT_END: mark("the record ends before the pack came to rest"),
    NotLearned.NO_PLAN: mark("there is no plan"),
    NotLearned.NO_ID: mark("the plan gives it no id to keep it under"),
    NotLearned.OUT_OF_BOUNDS: mark("what comes out cannot be"),
    NotLearned.FAULTY_FLIGHT: mark("something that bends it went wrong in this flight"),
}
METHODS: Final[dict[str, str]] = {
    "resistance-fit": mark("how the volts follow the current"),
    "hover-power": mark("the power in still hover"),
    "cruise-power": mark("the power at cruise"),
    "drag-ratio": mark("the power at cruise beside that in hover"),
    "capacity-counted": mark("counting what was drawn between two rests"),
    "capacity-charger": mark("what the charger put back"),
}
"""How a number was learned."""
NEXT: Final = mark("The next brief with this plan uses them, and says so.")
KEPT_BACK: Final = mark("Nothing was learned for the next brief.")


@dataclass(frozen=True, slots=True)
class LearnedSaid:
    """One learned number as people read it."""

    name: str
    value: str
    """With its band."""
    before: str
    """What the plan said; empty where it said nothing."""
    method: str
    """How it was learned."""


def quantity_name(key: str) -> str:
    """Return what a quantity of the plan is called; its key where it has no words."""
    return text(QUANTITIES[key][0]) if key in QUANTITIES else key


def method_words(key: str) -> str:
    """Return how a number was learned."""
    return text(METHODS[key]) if key in METHODS else text("this record")


def learned_value(key: str, value: float, units: Units) -> str:
    """Return a value in the plan's unit as people read it."""
    if key not in QUANTITIES:
        return value_words(key, value, units)
    _, unit, factor = QUANTITIES[key]
    return numbers.words(value * factor, unit, units)


def learned_said(lessons: Lessons, units: Units) -> tuple[LearnedSaid, ...]:
    """Return each learned number with its band, and what stood there before."""
    return tuple(_said(each, units) for each in lessons.numbers)


def _said(each: LearnedNumber, units: Units) -> LearnedSaid:
    name = capital(text("{quantity} of {what}", quantity=quantity_name(each.quantity), what=text(ABOUT[each.about])))
    value = _band(each.quantity, Spread(each.value, each.low, each.high), units)
    before = "" if each.before is None else _band(each.quantity, each.before, units)
    return LearnedSaid(name, value, before, method_words(each.method))


def _band(key: str, spread: Spread, units: Units) -> str:
    mid = learned_value(key, spread.mid, units)
    low, high = learned_value(key, spread.low, units), learned_value(key, spread.high, units)
    if low == high:
        return mid
    return text("{value} ({low} to {high})", value=mid, low=low, high=high)


def learned_lines(lessons: Lessons, units: Units) -> tuple[str, ...]:
    """Return one sentence for each learned number."""
    return tuple(
        text("{name}: {value}; before {before}.", name=each.name, value=each.value, before=each.before)
        if each.before
        else text("{name}: {value}; the plan said nothing of it.", name=each.name, value=each.value)
        for each in learned_said(lessons, units)
    )


def not_learned_lines(lessons: Lessons) -> tuple[str, ...]:
    """Return what was not learned, one line for each reason."""
    groups: dict[NotLearned, list[str]] = {}
    for quantity, why in lessons.not_learned:
        groups.setdefault(why, []).append(quantity_name(quantity))
    return tuple(
        text("Not learned: {quantities}. The reason: {why}.", quantities="; ".join(names), why=text(WHY_NOT[why]))
        for why, names in groups.items()
    )
