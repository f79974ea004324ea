"""What records taught about a pack, an aircraft or a site: dated values, kept beside the plans, by id."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from turnback.records.common import FileRecord, Id, Number, Reading


class LearnedAbout(StrEnum):
    """What a learned value belongs to."""

    PACK = "pack"
    AIRCRAFT = "aircraft"
    SITE = "site"


class LearnedEntry(FileRecord):
    """One value that a record taught. `quantity` is the key as in the plan, and so is the unit."""

    of: LearnedAbout
    id: Id
    on: date
    quantity: Annotated[str, Field(max_length=60)]
    value: Number
    low: Number | None = None
    high: Number | None = None
    from_record: Annotated[str, Field(min_length=1, max_length=200)]

    @model_validator(mode="after")
    def _in_order(self) -> LearnedEntry:
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        if not low <= self.value <= high:
            raise PydanticCustomError("order", "low, value and high are out of order", {})
        return self

    def reading(self) -> Reading:
        """Return the value with its band."""
        return Reading(value=self.value, low=self.low, high=self.high)


@dataclass(frozen=True, slots=True)
class Learned:
    """All that was learned, in the order of the file."""

    entries: tuple[LearnedEntry, ...] = ()

    def of(self, about: str, of_id: str | None) -> Mapping[str, Reading]:
        """Return the newest value of each quantity of one pack, aircraft or site.

        Parameters
        ----------
        about : LearnedAbout or str
            ``"pack"``, ``"aircraft"`` or ``"site"``.
        of_id : str or None
            Its id; nothing is known of one without.

        Returns
        -------
        Mapping[str, Reading]
            By quantity, as the plan names it. Of two on one day the later in the file counts.
        """
        mine = [entry for entry in self.entries if entry.of.value == about and entry.id == of_id]
        return {entry.quantity: entry.reading() for entry in sorted(mine, key=lambda entry: entry.on)}

    def newest(self, about: str, of_id: str | None, quantity: str) -> date | None:
        """Return the day of the value that `of` gives for a quantity; None where there is none."""
        days = [
            entry.on
            for entry in self.entries
            if entry.of.value == about and entry.id == of_id and entry.quantity == quantity
        ]
        return max(days, default=None)


NOTHING_LEARNED = Learned()
