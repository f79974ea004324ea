"""Contradictions within a pack, and between a pack and what was answered about it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from turnback.base.errors import Fault
from turnback.readers.known_keys import Place
from turnback.records.common import How
from turnback.records.labels import Label, filled_from_label, read_label
from turnback.records.pack import ChemistryName, PackFile
from turnback.records.plan import Answers

Where = Callable[[Place], str]

HIGHEST_REST_V: Final = {
    ChemistryName.LIPO: 4.25,
    ChemistryName.HIGH_VOLTAGE_LIPO: 4.40,
    ChemistryName.LI_ION: 4.25,
}
"""Full, and 0.05 V for the charger and the meter (full: common practice; the allowance: our choice)."""
LOWEST_REST_V: Final = 2.0  # our choice: a cell below that is no longer one, in every chemistry here
LABEL_SHARE: Final = 0.02  # our choice: a capacity typed in from a label is that of the label
MEASURED_SHARES: Final = (0.3, 1.3)  # our choice: beyond these of the label, one of the two is a slip
CHARGED_SHARE: Final = 1.1  # our choice: a charger's meter reads up to a tenth high
DISAGREEMENT_V: Final = 0.05  # our choice: five times what a cell meter errs by
MOST_CELLS: Final = 14
CAPACITY_MAH: Final = (50.0, 50000.0)
C_RATING: Final = (1.0, 300.0)


def pack_faults(pack: PackFile, where: Where) -> list[Fault]:
    """Return what contradicts itself in a pack, its label included."""
    label = read_label(pack.label) if pack.label is not None else None
    faults = _missing(pack, label, where)
    if label is not None:
        faults += _against_label(pack, label, where)
    filled = filled_from_label(pack)
    for number, volts in enumerate(pack.cell_rest_v or ()):
        faults += _volts(volts, filled, where(("pack", "cell_rest_v", number)))
    if pack.cell_rest_v and filled.cells is not None and len(pack.cell_rest_v) != filled.cells:
        what = f"{len(pack.cell_rest_v)} cells are listed, but the pack has {filled.cells}"
        faults.append(Fault(where(("pack", "cell_rest_v")), what, "give the rest volts of every cell"))
    return faults


def answer_faults(answers: Answers, pack: PackFile, where: Where) -> list[Fault]:
    """Return what contradicts the pack among the answers. `pack` is filled from its label."""
    faults = []
    volts, place = answers.rest_v_per_cell, where(("answers", "rest_v_per_cell"))
    if volts is not None:
        faults += _volts(volts, pack, place)
        cells = pack.cell_rest_v
        if cells and not min(cells) - DISAGREEMENT_V <= volts <= max(cells) + DISAGREEMENT_V:
            low, high = f"{min(cells):g}", f"{max(cells):g}"
            listed = low if low == high else f"{low} to {high}"
            what = f"{volts:g} V per cell does not agree with the cells' {listed} V"
            faults.append(Fault(place, what, "measure again, or leave one of the two out"))
    last = answers.last_flight
    if last is not None and pack.capacity_mah is not None:
        most = pack.capacity_mah.value * CHARGED_SHARE
        if last.charger_mah > most:
            what = f"{last.charger_mah:g} mAh were put back into a pack of {pack.capacity_mah.value:g} mAh"
            do = "give the charge of one flight of this pack, or leave it out"
            faults.append(Fault(where(("answers", "last_flight", "charger_mah")), what, do))
    if last is not None and last.rest_v_after_per_cell is not None:
        faults += _volts(last.rest_v_after_per_cell, pack, where(("answers", "last_flight", "rest_v_after_per_cell")))
    return faults


def _missing(pack: PackFile, label: Label | None, where: Where) -> list[Fault]:
    lacking = [
        ("cells", pack.cells or (label and label.cells), "cells = 4"),
        ("capacity_mah", pack.capacity_mah or (label and label.capacity_mah), "capacity_mah = 1500"),
    ]
    faults = []
    for key, found, example in lacking:
        if found is not None:
            continue
        word = "how many cells" if key == "cells" else "the capacity"
        what = f"neither it nor the label says {word}" if label is None else f"the label does not say {word}"
        do = f'write {example}, or the label as in label = "4S 1500 mAh 95C"'
        faults.append(Fault(where(("pack", key if label is None else "label")), what, do))
    return faults


def _against_label(pack: PackFile, label: Label, where: Where) -> list[Fault]:
    faults = []
    if label.cells is not None and not 1 <= label.cells <= MOST_CELLS:
        what = f"the label says {label.cells} cells, outside 1 to {MOST_CELLS}"
        faults.append(Fault(where(("pack", "label")), what, "correct the label"))
    low, high = CAPACITY_MAH
    if label.capacity_mah is not None and not low <= label.capacity_mah <= high:
        what = f"the label says {label.capacity_mah:.9g} mAh, outside {low:g} to {high:g} mAh"
        faults.append(Fault(where(("pack", "label")), what, "correct the label: mAh and Ah are easily mixed up"))
    low, high = C_RATING
    if label.c_rating is not None and not low <= label.c_rating <= high:
        what = f"the label says {label.c_rating:g} C, outside {low:g} to {high:g} C"
        faults.append(Fault(where(("pack", "label")), what, "correct the label, or leave the rating out of it"))
    pairs = [
        ("cells", pack.cells, label.cells),
        ("c_rating", pack.c_rating, label.c_rating),
        ("chemistry", pack.chemistry and pack.chemistry.value, label.chemistry and label.chemistry.value),
    ]
    for key, typed, read in pairs:
        if typed is not None and read is not None and typed != read:
            what = f"{_plain(typed)} contradicts the label, which says {_plain(read)}"
            faults.append(Fault(where(("pack", key)), what, "correct one of the two"))
    return faults + _capacity_against_label(pack, label, where)


def _capacity_against_label(pack: PackFile, label: Label, where: Where) -> list[Fault]:
    typed, read = pack.capacity_mah, label.capacity_mah
    if typed is None or read is None:
        return []
    share, place = typed.value / read, where(("pack", "capacity_mah"))
    what = f"{typed.value:g} mAh contradicts the label, which says {read:g} mAh"
    if typed.how is How.MEASURED:
        low, high = MEASURED_SHARES
        return [] if low <= share <= high else [Fault(place, what, "measure again, or correct one of the two")]
    if abs(share - 1.0) <= LABEL_SHARE:
        return []
    do = f'correct one of the two, or write {{ value = {typed.value:g}, how = "measured" }} if you measured it'
    return [Fault(place, what, do)]


def _volts(volts: float, pack: PackFile, place: str) -> list[Fault]:
    chemistry = pack.chemistry or ChemistryName.LIPO
    highest = HIGHEST_REST_V[chemistry]
    if LOWEST_REST_V <= volts <= highest:
        return []
    what = f"{volts:g} V is no rest voltage of one {chemistry.value} cell ({LOWEST_REST_V:g} to {highest:g} V)"
    do = "measure again at rest, one cell"
    if highest < volts <= HIGHEST_REST_V[ChemistryName.HIGH_VOLTAGE_LIPO]:
        do = 'write chemistry = "high-voltage LiPo" if its label says so; otherwise it is overcharged: do not fly it'
    return [Fault(place, what, do)]


def _plain(value: float | str) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"
