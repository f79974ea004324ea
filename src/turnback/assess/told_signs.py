"""What typed readings say of signs of the book: volts against the chemistry's limits, distance, wind, cold."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from turnback.knowledge.book import Book
from turnback.records.debrief import Reading, RecordSign, TypedReading
from turnback.rules import told as rules
from turnback.rules.chemistry import Chemistry, chemistry, chemistry_names

USUAL: Final = "LiPo"
"""Most new pilots' packs; its limits count where nothing is known."""
AT_REST: Final = re.compile(
    r"\b(?:rest\w*|after (?:the )?(?:landing|flight)|when i picked|picked (?:it )?up|at home|charger|balance lead"
    r"|on (?:the )?bench)\b",
    re.I,
)
BY_METER: Final = re.compile(r"\b(?:meter|multimeter|charger|tester|checker|balance lead|measured)\b", re.IGNORECASE)
ONE_CELL: Final = re.compile(r"\b(?:one cell|a cell|cell \d|other(?:s| cells)|middle cell|weak cell)\b", re.IGNORECASE)
AROUND: Final = 45
"""Letters before and after a reading in which its circumstances are looked for."""


def signs_of_readings(
    text: str, readings: Sequence[TypedReading], book: Book, *, cells: int | None, chemistry_name: str | None
) -> tuple[RecordSign, ...]:
    """Return what typed readings tell of signs that the book has; of each sign once, as surely as the surest.

    Parameters
    ----------
    text : str
    readings : sequence of TypedReading
    book : Book
    cells : int or None
        In series; without it only volts told for one cell count.
    chemistry_name : str or None
        As `rules.chemistry.chemistry` names it; LiPo without one.
    """
    limits = chemistry(chemistry_name if chemistry_name in chemistry_names() else USUAL)
    known = {sign.key for sign in book.signs}
    best: dict[str, RecordSign] = {}
    for one in (*_of_volts(text, readings, cells, limits), *_of_the_way(readings), *_of_weather(readings)):
        if one.sign in known and (one.sign not in best or one.sure > best[one.sign].sure):
            best[one.sign] = one
    return tuple(best.values())


def _of_volts(
    text: str, readings: Sequence[TypedReading], cells: int | None, limits: Chemistry
) -> Iterator[RecordSign]:
    per_cell = list(_per_cell(readings, cells))
    for one, cell_v in per_cell:
        around = text[max(0, one.start - AROUND) : one.end + AROUND]
        values = {"cell_v": cell_v, "land_by_loaded_v": limits.land_by_loaded_v}
        if cell_v > limits.full_v + rules.TOO_HIGH.value:
            yield _sign("volts-do-not-fit-cells", rules.SURE_CLEAR.value, one, values)
        elif cell_v < rules.CELL_LEAST.value:
            yield _sign("volts-do-not-fit-cells", rules.SURE_WEAK.value, one, values)
        elif one.at_s is not None and one.at_s <= rules.AT_START.value:
            if cell_v < limits.full_v - rules.NOT_FULL.value:
                yield _sign("starts-not-full", rules.SURE_LIKELY.value, one, values)
        elif AT_REST.search(around):
            low = cell_v < limits.land_by_rest_v
            yield _sign("rests-low-after-landing", rules.SURE_LIKELY.value, one, values, seen=low)
            if cell_v < limits.damage_v:  # loaded it was lower still
                yield _sign("volts-below-damage", rules.SURE_LIKELY.value, one, values)
        else:
            yield from _loaded(one, cell_v, limits, values)
    yield from _last_loaded(text, per_cell, limits)
    yield from _two_meters(text, readings, cells)
    yield from _uneven(text, readings)


def _loaded(one: TypedReading, cell_v: float, limits: Chemistry, values: Mapping[str, float]) -> Iterator[RecordSign]:
    """Return what loaded volts tell; those in the goggles are loaded, by how much nobody knows."""
    if cell_v < limits.land_by_loaded_v:
        yield _sign("volts-below-land-by", rules.SURE_LIKELY.value, one, values)
    if cell_v < limits.damage_v:
        yield _sign("volts-below-damage", rules.SURE_LIKELY.value, one, values)
    early = one.at_s is not None and one.at_s <= rules.EARLY.value
    if early and cell_v < limits.land_by_loaded_v + rules.EARLY_LOW.value:
        yield _sign("volts-low-all-along", rules.SURE_LIKELY.value, one, values)
        yield _sign("sag-large", rules.SURE_WEAK.value, one, values)


def _last_loaded(text: str, per_cell: Sequence[tuple[TypedReading, float]], limits: Chemistry) -> Iterator[RecordSign]:
    """Return that the pack was not empty, where the last volts told are clearly above the land-by ones."""
    if not per_cell:
        return
    one, cell_v = per_cell[-1]
    around = text[max(0, one.start - AROUND) : one.end + AROUND]
    late = one.at_s is None or one.at_s > rules.AT_START.value
    clear = limits.land_by_loaded_v + rules.CLEARLY_ABOVE.value <= cell_v <= limits.full_v + rules.TOO_HIGH.value
    if late and clear and not BY_METER.search(around) and not AT_REST.search(around):
        values = {"cell_v": cell_v, "land_by_loaded_v": limits.land_by_loaded_v}
        yield _sign("volts-below-land-by", rules.SURE_LIKELY.value, one, values, seen=False)


def _two_meters(text: str, readings: Sequence[TypedReading], cells: int | None) -> Iterator[RecordSign]:
    """Return that a meter disagrees, where one of two volts of the pack is told as a meter's."""
    packs = [one for one in readings if one.of is Reading.PACK_VOLTS and one.at_s is None]
    for first, second in pairwise(packs):
        between = text[first.start : second.end + AROUND]
        apart_v = abs(first.value - second.value) / (cells or max(round(max(first.value, second.value) / 4.2), 1))
        if BY_METER.search(between) and apart_v > rules.METERS_APART.value:
            yield _sign("meter-disagrees", rules.SURE_CLEAR.value, second, {"apart_v": apart_v})


def _uneven(text: str, readings: Sequence[TypedReading]) -> Iterator[RecordSign]:
    """Return that cells are apart, where volts of one cell are told beside those of the others."""
    ones = [one for one in readings if one.of is Reading.CELL_VOLTS]
    for first, second in pairwise(ones):
        between = text[max(0, first.start - AROUND) : second.end + AROUND]
        apart_v = abs(first.value - second.value)
        beside = first.at_s == second.at_s and ONE_CELL.search(between) and re.search("other", between, re.I)
        if beside and apart_v > rules.METERS_APART.value:
            yield _sign("cells-apart", rules.SURE_LIKELY.value, second, {"apart_v": apart_v})
            yield _sign("meter-cell-low", rules.SURE_LIKELY.value, second, {"apart_v": apart_v})


def _of_the_way(readings: Sequence[TypedReading]) -> Iterator[RecordSign]:
    far = [one for one in readings if one.of is Reading.DISTANCE]
    if far:
        most = max(far, key=lambda one: one.value)
        if most.value >= rules.FAR.value:
            yield _sign("said-went-far", rules.SURE_LIKELY.value, most, {"distance_m": most.value})
        elif most.value <= rules.CLOSE.value:
            yield _sign("said-went-far", rules.SURE_LIKELY.value, most, {"distance_m": most.value}, seen=False)


def _of_weather(readings: Sequence[TypedReading]) -> Iterator[RecordSign]:
    for one in readings:
        if one.of is Reading.TEMPERATURE:
            values = {"temperature_c": one.value}
            yield _sign("cold-day", rules.SURE_CLEAR.value, one, values, seen=one.value < rules.COLD.value)
            if one.value > rules.FREEZING.value:
                yield _sign("freezing-and-damp", rules.SURE_CLEAR.value, one, values, seen=False)
        if one.of is Reading.WIND:
            values = {"wind_mps": one.value}
            if one.value >= rules.WINDY.value:
                yield _sign("strong-wind", rules.SURE_CLEAR.value, one, values)
            elif one.value <= rules.CALM.value:
                yield _sign("strong-wind", rules.SURE_LIKELY.value, one, values, seen=False)


def _per_cell(readings: Sequence[TypedReading], cells: int | None) -> Iterator[tuple[TypedReading, float]]:
    for one in readings:
        if one.of is Reading.CELL_VOLTS:
            yield one, one.value
        elif one.of is Reading.PACK_VOLTS and cells:
            yield one, one.value / cells


def _sign(key: str, sure: float, one: TypedReading, values: Mapping[str, float], *, seen: bool = True) -> RecordSign:
    # Readings of one kind share their error: they come from one display and one memory.
    return RecordSign(key, seen, sure, f"told {one.of.value}", one.at_s, one.at_s, dict(values))
