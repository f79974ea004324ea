"""The fall in words: plain sentences for report and card, the expert's table, the published thresholds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from turnback.records.aircraft import RadioLossAction
from turnback.records.fall import EnergyThreshold, FallPlace, FallResult
from turnback.report import numbers, words
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.report.table_rows import Row, Table

FALL_TIME: Final = "fall s"
AT_LAUNCH_M: Final = 10.0  # a way out this short is a hover over the launch point


@dataclass(frozen=True, slots=True)
class ThresholdWords:
    """Words of one published threshold: what is compared, and what its clause is about."""

    title: str
    about: str


THRESHOLD_WORDS: Final[dict[str, ThresholdWords]] = {
    "energy.cfr_107_110": ThresholdWords(
        mark("Mass, beside the United States' lightest category over people"),
        mark("0.55 pounds or less with all that it carries, and no bare turning parts that would cut skin."),
    ),
    "energy.cfr_107_120": ThresholdWords(
        mark("Energy at the ground, beside their second category"),
        mark(
            "An injury less severe than that of 11 foot-pounds handed over by a rigid object. It compares injuries; "
            "it is no limit on the energy of the fall itself."
        ),
    ),
    "energy.cfr_107_130": ThresholdWords(
        mark("Energy at the ground, beside their third category"),
        mark(
            "An injury less severe than that of 25 foot-pounds handed over by a rigid object. It compares injuries; "
            "it is no limit on the energy of the fall itself."
        ),
    ),
    "energy.eu_c0_mass": ThresholdWords(
        mark("Mass, beside the European class C0"),
        mark("Less than 250 g at take-off. Privately built aircraft are outside the class marks; read second-hand."),
    ),
    "energy.eu_c0_speed": ThresholdWords(
        mark("Greatest level speed, beside the European class C0"),
        mark(
            "No faster than 19 m/s in level flight; it is not about falling. Privately built aircraft are outside "
            "the class marks; read second-hand."
        ),
    ),
    "energy.eu_c1_mass": ThresholdWords(
        mark("Mass, beside the European class C1"),
        mark(
            "Less than 900 g at take-off, or else the energy below. Privately built aircraft are outside the class "
            "marks; read second-hand."
        ),
    ),
    "energy.eu_c1_energy": ThresholdWords(
        mark("Energy at terminal speed, beside the European class C1"),
        mark(
            "Less than 80 J passed to a human head at terminal speed, which is less than the aircraft's own energy. "
            "Privately built aircraft are outside the class marks; read second-hand."
        ),
    ),
}
CONTEXT: Final = mark(
    "These are context, never a licence: to be below one makes no flight over people safe or lawful. Energy alone "
    "predicts injury poorly; where it strikes, edges, propellers and the pack count as much. "
    "This does not know your local law."
)
AFTER_LOSS: Final[dict[RadioLossAction, str]] = {
    RadioLossAction.MOTORS_STOP: mark("On radio loss its motors stop: it falls so, wherever it is."),
    RadioLossAction.DESCEND_IN_PLACE: mark(
        "On radio loss it descends where it is: about {time} to the ground, which it meets at about {speed}, with the "
        "wind up to {away} off."
    ),
    RadioLossAction.KEEP_LAST_STICKS: mark(
        "On radio loss it flies on until the ground or an empty pack stops it, up to {away} away; nobody can say where."
    ),
    RadioLossAction.AUTOMATIC_RETURN: mark(
        "On radio loss it flies home if the automatic return works; where that or a part fails, it falls so."
    ),
    RadioLossAction.UNKNOWN: mark(
        "Nobody knows what it does on radio loss: it may fall so, or fly on, up to {away} away."
    ),
}


def fall_lines(result: FallResult, units: Units) -> tuple[str, ...]:
    """Return three or four plain sentences: the fall from the far end, its energy, radio loss, people.

    Parameters
    ----------
    result : FallResult
    units : Units
    """
    return (_fall_line(_far_place(result), units), _energy_line(result, units), _loss_line(result, units),
            *_people_lines(result))  # fmt: skip


def _far_place(result: FallResult) -> FallPlace:
    """Return the place farthest out on the way out."""
    out = [place for place in result.places if not place.homeward] or list(result.places)
    return max(out, key=lambda place: (place.from_launch_m, place.along_m))


def _fall_line(place: FallPlace, units: Units) -> str:
    said = {
        "height": numbers.words(place.above_ground_m, "m", units),
        "time": numbers.words(place.fall_s.mid, FALL_TIME, units),
        "speed": numbers.words(place.speed_mps.mid, "m/s", units),
    }
    if place.from_launch_m < AT_LAUNCH_M:
        return text(
            "If its motors stop, it falls {height} in about {time} and meets the ground at about {speed}.", **said
        )
    return text(
        "If its motors stop at the far end, it falls {height} in about {time} and meets the ground at about {speed}.",
        **said,
    )


def _energy_line(result: FallResult, units: Units) -> str:
    worst = result.places[result.worst]
    return text(
        "Anywhere on the route it comes down within about {reach} of the place below it, with up to about {energy}. No "
        "threshold makes that harmless: keep everybody out from under it.",
        reach=numbers.words(max(place.reach_m.high for place in result.places), "m", units, Toward.UP),
        energy=numbers.words(worst.energy_j.high, "J", units, Toward.UP),
    )


def _loss_line(result: FallResult, units: Units) -> str:
    return text(
        AFTER_LOSS[result.action],
        time=numbers.words(result.after_loss_s.mid, FALL_TIME, units),
        speed=numbers.words(result.after_loss_speed_mps.mid, "m/s", units),
        away=numbers.words(result.after_loss_m.high, "m", units, Toward.UP),
    )


def _people_lines(result: FallResult) -> tuple[str, ...]:
    if not result.meets:
        return ()
    first = result.meets[0] or text("unnamed")
    return (
        plural(
            "A fall can end in an area where people may be: {first}.",
            "A fall can end in {count} areas where people may be, first: {first}.",
            len(result.meets),
            first=first,
        ),
    )


def fall_table(result: FallResult, units: Units) -> Table:
    """Return the numbers of the hardest fall, of radio loss, and the published thresholds beside them.

    Parameters
    ----------
    result : FallResult
    units : Units
    """
    worst = result.places[result.worst]
    rows = (
        Row(text("Hardest fall: from this far from launch"), numbers.words(worst.from_launch_m, "m", units)),
        Row(text("Height above ground there"), numbers.words(worst.above_ground_m, "m", units)),
        Row(text("Time to the ground"), words.spread(worst.fall_s, FALL_TIME, units)),
        Row(text("Speed at the ground"), words.spread(worst.speed_mps, "m/s", units)),
        Row(text("Energy at the ground"), words.spread(worst.energy_j, "J", units, Toward.UP)),
        Row(text("Comes down from the place below it"), words.spread(worst.reach_m, "m", units)),
        Row(text("Speed at which drag carries its weight"), words.spread(result.terminal_mps, "m/s", units)),
        Row(text("Mass with the pack"), words.spread(result.mass_kg, "kg", units)),
        Row(text("On radio loss"), text(words.ACTION_ON_RADIO_LOSS[result.action])),
        *_loss_rows(result, units),
        Row(text("Areas of people that a fall can end in"), _areas(result)),
        *(_threshold_row(row, units) for row in result.thresholds),
        Row(text("What such thresholds are worth"), text(CONTEXT)),
    )
    return Table(text("Fall"), rows)


def _loss_rows(result: FallResult, units: Units) -> tuple[Row, ...]:
    ends = result.after_loss_s.mid
    time = (
        words.spread(result.after_loss_s, FALL_TIME, units) if math.isfinite(ends) else text("until something stops it")
    )
    if result.action is RadioLossAction.AUTOMATIC_RETURN:
        time = (
            words.spread(result.after_loss_s, FALL_TIME, units)
            if math.isfinite(ends)
            else text("the wind holds it off")
        )
        return (Row(text("Time home from the farthest place, if it works"), time),)
    return (
        Row(text("From radio loss to the ground"), time),
        Row(text("Comes down from where the link was lost"), words.spread(result.after_loss_m, "m", units)),
        Row(text("Speed at the ground then"), words.spread(result.after_loss_speed_mps, "m/s", units)),
        Row(text("Energy at the ground then"), words.spread(result.after_loss_energy_j, "J", units, Toward.UP)),
    )


def _areas(result: FallResult) -> str:
    if not result.areas_given:
        return text("no file of areas was given: what you said about who can be underneath stands")
    named = [name or text("unnamed") for name in result.meets]
    return ", ".join(named) if named else text("none of those in your file")


def _threshold_row(row: EnergyThreshold, units: Units) -> Row:
    said = THRESHOLD_WORDS[row.key]
    value = text(
        "{has} here; {limit} in {clause}. {about}",
        has=words.spread(row.compared, row.unit, units),
        limit=numbers.words(row.value, row.unit, units),
        clause=text(row.clause),
        about=text(said.about),
    )
    return Row(text(said.title), value)
