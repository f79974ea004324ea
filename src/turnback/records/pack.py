"""The pack as its owner writes it down."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field

from turnback.records.common import FileRecord, Id, Number, Reading, Text, quantity


class ChemistryName(Enum):
    """The chemistry of a pack: every voltage rule depends on it."""

    LIPO = "LiPo"
    HIGH_VOLTAGE_LIPO = "high-voltage LiPo"
    LI_ION = "Li-ion"


class PackFile(FileRecord):
    """A pack: its label is enough (``"4S 1500 mAh 95C"``); measured values narrow the answer."""

    id: Id | None = None
    note: Text | None = None
    label: Annotated[str, Field(max_length=100)] | None = None
    chemistry: ChemistryName | None = None
    cells: Annotated[int, Field(strict=True)] | None = quantity(1, 14, "", "cells in series")
    capacity_mah: Reading | None = quantity(50, 50000, "mAh", "capacity", "enter mAh, not Ah")
    c_rating: Number | None = quantity(1, 300, "C", "C rating on the label")
    resistance_mohm_per_cell: Reading | None = quantity(
        0.2,
        200,
        "mΩ",
        "resistance of one cell, measured warm and about half full",
        "enter milliohms, not ohms",
    )
    mass_g: Reading | None = quantity(3, 5000, "g", "mass of the pack", "enter grams, not kilograms")
    cycles: Number | None = quantity(0, 5000, "", "times charged")
    age_months: Number | None = quantity(0, 240, "months", "age")
    temperature_c: Reading | None = quantity(-30, 60, "°C", "temperature of the pack at launch")
    cell_rest_v: (
        Annotated[tuple[Annotated[Number, Field(ge=0, le=5)], ...], Field(min_length=1, max_length=14)] | None
    ) = None
