"""What every plan file shares: strictness, ids, readings with their band, answers that may be "don't know"."""

from __future__ import annotations

from enum import Enum
from typing import Annotated, Any, Final

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    StringConstraints,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError

SCHEMA: Final = 1
"""The version every file carries. It only grows; each version keeps a golden file and an upgrader."""

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,62}$")]
"""Small letters, digits, hyphens: what is learned from records is kept under it."""

Text = Annotated[str, StringConstraints(max_length=500)]
FilePath = Annotated[str, StringConstraints(min_length=1, max_length=300)]
"""A path relative to the file that names it, inside the plan's folder."""

Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]

DONT_KNOW: Final = "don't know"
"""May stand in place of any value that may be left out: it says that the question was read."""


class Answer(Enum):
    """A yes-or-no question that may stay open."""

    YES = "yes"
    NO = "no"
    UNKNOWN = DONT_KNOW


class How(Enum):
    """How the person came by a value: it decides how far the value is trusted."""

    MEASURED = "measured"
    LABEL = "label"
    GUESS = "guess"


class FileRecord(BaseModel):
    """A table of a plan file: unknown keys are errors, nothing changes after reading."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=False)

    @field_validator("*", mode="before")
    @classmethod
    def _left_open(cls, value: Any, info: ValidationInfo) -> Any:
        open_question = value == DONT_KNOW and cls.model_fields[str(info.field_name)].default is None
        return None if open_question else value

    @field_validator("*", mode="after")
    @classmethod
    def _inside_its_range(cls, value: Any, info: ValidationInfo) -> Any:
        extra = cls.model_fields[str(info.field_name)].json_schema_extra
        if not isinstance(extra, dict) or "minimum" not in extra:
            return value
        numbers = value.numbers() if isinstance(value, Reading) else (value,)
        for number in numbers:
            if isinstance(number, (int, float)) and not extra["minimum"] <= number <= extra["maximum"]:  # type: ignore[operator]
                raise PydanticCustomError(
                    "out_of_range",
                    "{value} {unit} is outside {low} to {high} {unit}",
                    {
                        "value": f"{number:.9g}",
                        "unit": extra["x-unit"],
                        "low": f"{extra['minimum']:g}",
                        "high": f"{extra['maximum']:g}",
                        "slip": extra["x-slip"],
                    },
                )
        return value


class Reading(FileRecord):
    """A value and, where the person knows it, its band: ``420`` or ``{ value = 420, low = 410, high = 430 }``.

    `low` and `high` hold 90 % of what the person believes possible.
    """

    value: Number
    low: Number | None = None
    high: Number | None = None
    how: How | None = None

    def numbers(self) -> tuple[float, ...]:
        """Return all numbers of the reading, for range verification."""
        return tuple(n for n in (self.value, self.low, self.high) if n is not None)

    @model_validator(mode="before")
    @classmethod
    def _bare_number(cls, given: Any) -> Any:
        if isinstance(given, bool) or not isinstance(given, (int, float)):
            return given
        return {"value": given}

    @model_validator(mode="after")
    def _in_order(self) -> Reading:
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        if not low <= self.value <= high:
            raise PydanticCustomError("order", "low, value and high are out of order", {})
        return self

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Both written forms are allowed."""
        table = handler.resolve_ref_schema(handler(core_schema))
        return {"anyOf": [{"type": "number"}, table]}


def quantity(low: float, high: float, unit: str, text: str, slip: str = "enter a value inside that range") -> Any:
    """Declare an optional field with its range, unit, meaning and likely slip.

    Parameters
    ----------
    low, high : float
        Inclusive range, in `unit`.
    unit : str
        Unit as shown to people.
    text : str
        What the field is, one line: it becomes the JSON Schema's description and the comment of a new plan.
    slip : str
        What to do when the value is outside.
    """
    return Field(
        default=None,
        description=text,
        json_schema_extra={"minimum": low, "maximum": high, "x-unit": unit, "x-slip": slip},
    )
