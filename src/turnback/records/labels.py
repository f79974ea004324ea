"""What a pack's label says: cells, capacity, C rating, chemistry."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from turnback.records.common import How, Reading
from turnback.records.pack import ChemistryName, PackFile

_CELLS: Final = re.compile(r"(?<![\d.])(\d{1,2})\s*(?:S(?:\d{1,2}P)?(?![a-z])|cells?(?![a-z]))", re.IGNORECASE)
_CAPACITY: Final = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*(m?)Ah(?![a-z])", re.IGNORECASE)
_C_RATING: Final = re.compile(r"(?<![\d.])(\d{1,3}(?:\.\d+)?)\s*C(?![a-z])(?!\s*/)", re.IGNORECASE)
_HIGH_VOLTAGE: Final = re.compile(r"(?<![a-z])(?:Li-?HV|HV|high[- ]voltage)(?![a-z])", re.IGNORECASE)
_LI_ION: Final = re.compile(r"(?<![a-z])(?:Li-?ion|Li ion|18650|21700)(?![a-z\d])", re.IGNORECASE)
_LIPO: Final = re.compile(r"(?<![a-z])(?:Li-?po|Li po)(?![a-z])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Label:
    """What was read from a label; None where it does not say."""

    cells: int | None
    capacity_mah: float | None
    c_rating: float | None
    chemistry: ChemistryName | None


def read_label(text: str) -> Label:
    """Return what a label says, such as ``"4S 1500 mAh 95C"``, ``"6s 1.1Ah"`` or ``"4S HV 850mAh 80C"``.

    A decimal comma is read as a decimal point; "1,500 mAh" is read as fifteen hundred. Of two C ratings (steady and
    burst, "75C/150C") the lower is taken: it is the steady one. Where two cell counts or capacities contradict each
    other, none is taken.
    """
    cells = {int(found) for found in _CELLS.findall(text)}
    capacities = {_mah(number, bool(milli)) for number, milli in _CAPACITY.findall(text)}
    ratings = [float(found) for found in _C_RATING.findall(text.replace("/", " "))]
    return Label(
        cells=cells.pop() if len(cells) == 1 else None,
        capacity_mah=capacities.pop() if len(capacities) == 1 else None,
        c_rating=min(ratings) if ratings else None,
        chemistry=_chemistry(text),
    )


def filled_from_label(pack: PackFile) -> PackFile:
    """Return the pack with cells, capacity, C rating and chemistry taken from its label where it does not say them."""
    if pack.label is None:
        return pack
    label = read_label(pack.label)
    filled: dict[str, object] = {}
    if pack.cells is None and label.cells is not None:
        filled["cells"] = label.cells
    if pack.capacity_mah is None and label.capacity_mah is not None:
        filled["capacity_mah"] = Reading(value=label.capacity_mah, how=How.LABEL)
    if pack.c_rating is None and label.c_rating is not None:
        filled["c_rating"] = label.c_rating
    if pack.chemistry is None and label.chemistry is not None:
        filled["chemistry"] = label.chemistry
    return pack.model_copy(update=filled) if filled else pack


def _mah(number: str, milli: bool) -> float:
    if milli and re.fullmatch(r"\d{1,2}[.,]\d{3}", number):  # 1,500 mAh and 1.500 mAh: a thousands mark
        return float(re.sub(r"[.,]", "", number))
    value = float(number.replace(",", "."))
    return value if milli else round(value * 1000.0, 6)


def _chemistry(text: str) -> ChemistryName | None:
    if _HIGH_VOLTAGE.search(text):
        return ChemistryName.HIGH_VOLTAGE_LIPO
    if _LI_ION.search(text):
        return ChemistryName.LI_ION
    return ChemistryName.LIPO if _LIPO.search(text) else None
