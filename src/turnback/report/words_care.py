"""Words on pack care: what to keep to, at rest or loaded, how to charge it, and what the last flight taught."""

from __future__ import annotations

from typing import Final

from turnback.records.care import CareResult, CareRow
from turnback.records.finding import Spread
from turnback.records.pack import ChemistryName
from turnback.report import numbers, words
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Toward, Units
from turnback.report.table_rows import Row, Table
from turnback.rules.chemistry import chemistry

ROUGH_S: Final = 600.0  # longer times on a charger are said to five minutes
FIRE: Final = mark(
    "Charge on ground that does not burn and away from what does, watched all the time; never a pack that is dented, "
    "swollen or wet, nor one still warm from flight. Afterwards keep it in a place that does not burn either."
)
HIGH_VOLTAGE: Final = mark(
    "Set the charger to high-voltage LiPo, and only for a pack whose label says so: it charges any other too far."
)
ROW_NAMES: Final[dict[str, str]] = {
    "care.full": mark("Full"),
    "care.nominal": mark("The label's volts"),
    "care.storage": mark("Storage charge"),
    "care.land_by_rest": mark("Land by, at rest"),
    "care.land_by_loaded": mark("Land now, under load"),
    "care.damage": mark("Harmed below"),
    "care.spread_watch": mark("Cells apart: watch it from"),
    "care.spread_stop": mark("Cells apart: do not fly from"),
    "care.plan_share": mark("Share of the pack to plan on"),
    "care.never_share": mark("Share of the pack never to pass"),
    "care.usable": mark("To plan on in this pack"),
    "care.charge_c": mark("Charge current over capacity"),
    "care.charge_a": mark("Charge current of this pack, at most"),
    "care.rest": mark("Rest before measuring"),
    "care.charge_cold": mark("Charge it no colder than"),
    "care.charge_hot": mark("Charge it no warmer than"),
}
CAREFUL: Final[dict[str, Toward]] = {
    "care.land_by_rest": Toward.UP,
    "care.land_by_loaded": Toward.UP,
    "care.usable": Toward.DOWN,
    "care.charge_a": Toward.DOWN,
}
"""Which way the number that a pilot keeps to may move."""


def care_lines(result: CareResult, units: Units = Units.METRIC) -> tuple[str, ...]:
    """Return what to do with this pack, in sentences.

    Parameters
    ----------
    result : CareResult
    units : Units
    """
    return (
        text(FIRE),
        *([text(HIGH_VOLTAGE)] if result.chemistry == ChemistryName.HIGH_VOLTAGE_LIPO.value else []),
        *_charging(result, units),
        *_cells(result, units),
        *_cold_and_worn(result, units),
        *_taught(result, units),
        text(
            "Judge a pack by rest volts, ten minutes after load. Under a hard throttle volts fall for a moment and "
            "mean little, unless they stay low for longer than the table says."
        ),
    )


def care_table(result: CareResult, units: Units = Units.METRIC) -> Table:
    """Return every number to keep to, with the cell's and the pack's volts in one row.

    Parameters
    ----------
    result : CareResult
    units : Units
    """
    seen = dict.fromkeys(row.key for row in result.rows)
    rows = [[row for row in result.rows if row.key == key] for key in seen]
    title = plural(
        "Pack care: {chemistry}, one cell", "Pack care: {chemistry}, {count} cells", result.cells,
        chemistry=result.chemistry,
    )  # fmt: skip
    return Table(title, tuple(Row(text(ROW_NAMES[same[0].key]), _row(same, units)) for same in rows))


def rough_time(seconds: float, toward: Toward = Toward.NEAREST) -> str:
    """Return a time that nobody knows to the second: to whole minutes, above ten of them to five."""
    return numbers.minutes(numbers.rounded(seconds, 300.0 if seconds >= ROUGH_S else 60.0, toward))


def _row(rows: list[CareRow], units: Units) -> str:
    """Say one number to keep to, of the cell and of the pack, and how volts are meant."""
    first = rows[0]
    cell = _number(first, units)
    if first.duration_s is None:
        return cell
    if len(rows) > 1:
        cell = text("{cell} a cell, {pack} the pack", cell=cell, pack=_number(rows[1], units))
    if first.at == "rest":
        return text("{volts}; at rest, {rested} after load", volts=cell, rested=numbers.minutes(first.duration_s))
    if first.duration_s > 0.0:
        lasts = numbers.minutes(first.duration_s)
        return text("{volts}; under load, for longer than {lasts}", volts=cell, lasts=lasts)
    return text("{volts}; at rest or under load, even for a moment", volts=cell)


def _number(row: CareRow, units: Units) -> str:
    if row.unit == "s":
        return numbers.minutes(row.value)
    if not row.unit:
        return numbers.percent(row.value)
    if row.unit == "C":
        return text("{rate} C (a full charge an hour is 1 C)", rate=f"{row.value:g}")
    return numbers.words(row.value, row.unit, units, CAREFUL.get(row.key, Toward.NEAREST))


def _charging(result: CareResult, units: Units) -> list[str]:
    current = numbers.words(result.charge_a, "A", units, Toward.DOWN)
    times = _ends(rough_time(result.charge_s.mid), rough_time(result.charge_s.low), rough_time(result.charge_s.high))
    back = words.spread(_ah(result.charge_mah), "Ah", units)
    storage = _volts(result, "care.storage", units)
    down = rough_time(result.storage_s.mid)
    keep = (
        text(
            "If it is not flown within three days, bring it to storage charge: {volts}, about {time} of charging.",
            volts=storage, time=down,
        )
        if result.storage_up
        else text(
            "If it is not flown within three days, bring it to storage charge: {volts}, about {time} of discharging on "
            "a charger.",
            volts=storage, time=down,
        )
    )  # fmt: skip
    return [
        text(
            "Charge it at {current} at most, unless the label allows more, and balance it every time: back to full in "
            "about {times} after this flight.",
            current=current, times=times,
        ),
        text(
            "Flown as planned, the charger should put back {back}. Much more means another wind, another hand or a "
            "part that drags. Write it down: it makes the next answer sharper.",
            back=back,
        ),
        keep,
    ]  # fmt: skip


def _cells(result: CareResult, units: Units) -> list[str]:
    if result.spread_v is None:
        return [text("Measure every cell at rest and enter them: the weakest one ends the flight.")]
    apart = numbers.words(result.spread_v, "V", units)
    if result.lowest_cell is None:
        return [text("The cells are alike ({apart} apart).", apart=apart)]
    fine = numbers.words(_value(result, "care.spread_watch"), "V", units)
    return [
        text(
            "The cells are {apart} apart at rest; cell {cell} is the weakest, counted from 1 as the balance lead "
            "counts. Up to {fine} is sound.",
            apart=apart, cell=result.lowest_cell, fine=fine,
        )
    ]  # fmt: skip


def _cold_and_worn(result: CareResult, units: Units) -> list[str]:
    cold = text(
        "At {temperature} its resistance is {ratio} of that at {warm}: the colder, the deeper it sags.",
        warm=numbers.words(chemistry(result.chemistry).reference_c, "°C", units),
        temperature=words.spread(result.temperature_c, "°C", units),
        ratio=words.spread_percent(result.cold_resistance_ratio),
    )
    worn = text(
        "Warm, it has {ratio} of the resistance of a typical new pack of its size.",
        ratio=words.spread_percent(result.worn_resistance_ratio),
    )
    return [cold, worn, *_age(result)]


def _age(result: CareResult) -> list[str]:
    said = []
    if result.cycles is not None:
        said.append(plural("It was charged once.", "It was charged {count} times.", int(result.cycles)))
    if result.age_months is not None:
        said.append(plural("It is one month old.", "It is {count} months old.", int(result.age_months)))
    if not said:
        said.append(text("Its age and how often it was charged were not said."))
    return said


def _taught(result: CareResult, units: Units) -> list[str]:
    if not result.learned_from_last_flight:
        return [
            text(
                "Enter the last flight's minutes, the charger's mAh and the rest volts before charging: they measure "
                "what this aircraft uses and what this pack holds."
            )
        ]
    used = text(
        "The last flight taught what it uses: {after} on average, where {before} was thought before.",
        after=words.spread(result.consumption_after_a, "A", units),
        before=words.spread(result.consumption_before_a, "A", units),
    )
    holds = text(
        "What the pack holds: {after}, where {before} was thought before.",
        after=words.spread(result.capacity_after_ah, "Ah", units),
        before=words.spread(result.capacity_before_ah, "Ah", units),
    )
    return [used, holds]


def _volts(result: CareResult, key: str, units: Units) -> str:
    found = {row.per: _number(row, units) for row in result.rows if row.key == key}
    if "pack" not in found:
        return text("{cell} a cell at rest", cell=found["cell"])
    return text("{cell} a cell at rest, {pack} the pack", cell=found["cell"], pack=found["pack"])


def _value(result: CareResult, key: str) -> float:
    return next(row.value for row in result.rows if row.key == key)


def _ah(value: Spread) -> Spread:
    return Spread(value.mid / 1e3, value.low / 1e3, value.high / 1e3)


def _ends(mid: str, low: str, high: str) -> str:
    return mid if low == high else text("{mid} ({low} to {high})", mid=mid, low=low, high=high)
