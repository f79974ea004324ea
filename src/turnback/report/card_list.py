"""The card's pre-flight list, in the order in which it is worked through: bench first, people and law last, aloud."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.aircraft import RadioLossAction
from turnback.records.result import BriefResult
from turnback.report import keep_to, numbers
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units


@dataclass(frozen=True, slots=True)
class Group:
    """Items to tick at one place and time."""

    title: str
    items: tuple[str, ...]


SEEN_BY_ACTION: Final[dict[RadioLossAction, str]] = {
    RadioLossAction.MOTORS_STOP: mark("Armed, transmitter off: motors stop"),
    RadioLossAction.KEEP_LAST_STICKS: mark("Armed, transmitter off: it does as set"),
    RadioLossAction.AUTOMATIC_RETURN: mark("Armed, transmitter off: it does as set"),
    RadioLossAction.DESCEND_IN_PLACE: mark("Armed, transmitter off: it does as set"),
    RadioLossAction.UNKNOWN: mark("Armed, transmitter off: look what it does"),
}


def groups(result: BriefResult, units: Units) -> tuple[Group, ...]:
    """Return the list of this flight."""
    return (
        Group(text("Bench, propellers off"), (
            text("Frame, screws, wires, antennas: tight"),
            text("Each motor turns its way, from above"),
            text(SEEN_BY_ACTION[result.back.action]),
        )),
        Group(text("Propellers on, pack off"), (
            text("Right direction, right way up, no nicks"),
            text("Pack and leads strapped, clear of blades"),
        )),
        Group(text("Site"), (
            text("Wires, masts, cranes, trees looked for"),
            text("Nobody below; a second place to land"),
        )),
        Group(text("Radio"), _radio(result)),
        Group(text("Weather, measured here"), (_wind(result, units), text("No rain, fog or ice; light enough"))),
        Group(text("Battery"), _battery(result, units)),
        Group(text("People and law, said aloud"), (
            text("“You watch it and the sky. I fly.”"),
            text("“Limits looked up: height, distance, place.”"),
            text("Both drills, by heart"),
            text("“All behind the pilot? Arming.”"),
        )),
    )  # fmt: skip


def _radio(result: BriefResult) -> tuple[str, ...]:
    items = [
        text("Antennas on before power; channel agreed"),
        text("Walked out at low power: both links hold"),
    ]
    if result.back.action is RadioLossAction.AUTOMATIC_RETURN:
        items.append(text("Launch point stored, position fix good"))
    return tuple(items)


def _wind(result: BriefResult, units: Units) -> str:
    return text("Wind no more than {wind}", wind=numbers.words(keep_to.wind_mps(result), "m/s", units, Toward.DOWN))


def _battery(result: BriefResult, units: Units) -> tuple[str, ...]:
    full = numbers.words(float(result.energy.rest_mid_v[0]), "V", units)
    land_by = keep_to.land_by(result, units)
    return (
        text("Each cell {volts} or more at rest", volts=full),
        text("Not swollen, not dented, hand-warm"),
        text("Goggles warn at {volts}; timer set", volts=land_by.pack or land_by.cell),
    )
