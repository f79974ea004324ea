"""What a flight taught for the next brief, in words: each number with its band, before and after, and what was not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.debrief import LearnedNumber, Lessons, NotLearned
from turnback.records.finding import Spread
from turnback.records.learned import LearnedAbout
from turnback.report import numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
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
    "control_excess_exponent": (mark("extra fading of the control link with distance"), "exponent", 1.0),
    "control_sigma_ratio": (mark("unevenness of the control link, over that of the model"), "", 1.0),
    "control_reference_m": (mark("distance that the control link's extra loss was found for"), "m", 1.0),
    "control_walked_m": (mark("farthest distance at which the control link was measured"), "m", 1.0),
    "video_offset_db": (mark("loss of the video link beyond the model"), "dB", 1.0),
    "video_excess_exponent": (mark("extra fading of the video link with distance"), "exponent", 1.0),
    "video_sigma_ratio": (mark("unevenness of the video link, over that of the model"), "", 1.0),
    "video_reference_m": (mark("distance that the video link's extra loss was found for"), "m", 1.0),
    "video_walked_m": (mark("farthest distance at which the video link was measured"), "m", 1.0),
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
    "link-as-walk": mark("the levels along the flight"),
}
"""How a number was learned."""
LINKS: Final[dict[str, str]] = {
    "control": mark("Control link at this site"), "video": mark("Video link at this site"),
}  # fmt: skip
OF_LINK: Final = ("offset_db", "excess_exponent", "sigma_ratio", "reference_m", "walked_m")
"""All five are told as one."""
LEAST_GROWTH_DB: Final = 0.1
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
    if key.endswith("_walked_m"):
        return numbers.words(value * factor, unit, units, Toward.DOWN)
    return numbers.words(value * factor, unit, units)


def learned_said(lessons: Lessons, units: Units) -> tuple[LearnedSaid, ...]:
    """Return each learned number with its band, and what stood there before; those of one link together."""
    links = {name: _of_link(name, lessons) for name in LINKS}
    together = {each.quantity for rows in links.values() for each in rows.values()}
    alone = tuple(_said(each, units) for each in lessons.numbers if each.quantity not in together)
    return alone + tuple(_link_said(name, rows, units) for name, rows in links.items() if rows)


def _of_link(name: str, lessons: Lessons) -> dict[str, LearnedNumber]:
    """Return what was learned of one link, by the end of its key; nothing unless it is all there."""
    rows = {each.quantity.removeprefix(f"{name}_"): each for each in lessons.numbers
            if each.quantity.startswith(f"{name}_")}  # fmt: skip
    return rows if set(OF_LINK) <= set(rows) else {}


def _link_said(name: str, rows: dict[str, LearnedNumber], units: Units) -> LearnedSaid:
    """Say what a flight taught of a link: how much is lost, whether that grows, how it swings, and how far it holds."""
    offset, growth, swing = (rows[key] for key in OF_LINK[:3])
    parts = [
        text(
            "{away} away, {much} is lost than the model says (from {low} to {high})",
            much=_more(offset.value, units), low=_more(offset.low, units), high=_more(offset.high, units),
            away=numbers.words(rows["reference_m"].value, "m", units),
        )
    ]  # fmt: skip
    tenfold_db = 10.0 * growth.value
    if abs(tenfold_db) >= LEAST_GROWTH_DB:
        parts.append(text("ten times as far away, another {much}", much=_more(tenfold_db, units)))
    parts.append(
        text(
            "the level changes {ratio} times as much from place to place as the model says",
            ratio=numbers.words(swing.value, "", units),
        )
    )
    parts.append(text("measured out to {away}", away=learned_value(f"{name}_walked_m", rows["walked_m"].value, units)))
    before = ""
    if offset.before is not None:
        was = offset.before
        before = text("{much} (from {low} to {high})", much=_more(was.mid, units), low=_more(was.low, units),
                      high=_more(was.high, units))  # fmt: skip
    return LearnedSaid(text(LINKS[name]), "; ".join(parts), before, method_words(offset.method))


def _more(amount_db: float, units: Units) -> str:
    """Return a loss beyond the model: how much more, or less."""
    level = numbers.words(abs(amount_db), "dB", units)
    return text("{level} less", level=level) if amount_db < 0.0 else text("{level} more", level=level)


def _said(each: LearnedNumber, units: Units) -> LearnedSaid:
    quantity, what = quantity_name(each.quantity), text(ABOUT[each.about])
    at_site = each.about is LearnedAbout.SITE
    name = capital(
        text("{quantity} at {what}", quantity=quantity, what=what)
        if at_site
        else text("{quantity} of {what}", quantity=quantity, what=what)
    )
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
    """Return one sentence for each learned number; one for all of a link."""
    return tuple(_line(each) for each in learned_said(lessons, units))


def learned_line(each: LearnedNumber, units: Units) -> str:
    """Return one number's own sentence."""
    return _line(_said(each, units))


def _line(said: LearnedSaid) -> str:
    if said.before:
        return text("{name}: {value}; before {before}.", name=said.name, value=said.value, before=said.before)
    return text("{name}: {value}; the plan said nothing of it.", name=said.name, value=said.value)


def not_learned_lines(lessons: Lessons) -> tuple[str, ...]:
    """Return what was not learned, one line for each reason."""
    groups: dict[NotLearned, list[str]] = {}
    for quantity, why in lessons.not_learned:
        groups.setdefault(why, []).append(quantity_name(quantity))
    return tuple(
        text("Not learned: {quantities}. The reason: {why}.", quantities="; ".join(names), why=text(WHY_NOT[why]))
        for why, names in groups.items()
    )
