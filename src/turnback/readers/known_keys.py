"""What a plan may hold at a place: the record of a table, its keys, words and ranges."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final

from annotated_types import Ge, Gt, Le, Lt
from pydantic.fields import FieldInfo

from turnback.records.common import FileRecord

Place = Sequence[str | int]

UNIT_OF_ENDING: Final = {
    "m": "m", "mm": "mm", "km": "km", "in": "in", "g": "g", "a": "A", "v": "V", "mah": "mAh", "s": "s", "h": "h",
    "deg": "°", "mps": "m/s", "percent": "%", "minutes": "minutes",
}  # fmt: skip
"""The unit that the end of a key says, where its field does not say it."""


@dataclass(frozen=True, slots=True)
class Range:
    """What a number may be; None where there is no such end."""

    low: float | None
    high: float | None
    unit: str
    above_low: bool
    """The low end itself is not allowed."""

    def words(self) -> str:
        """Return it as said to people: ``0.3 to 30 m``."""
        low = f"more than {self.low:g}" if self.above_low else f"{self.low:g}"
        if self.high is None:
            return with_unit(low if self.above_low else f"{low} or more", self.unit)
        return f"{low}{', up' if self.above_low else ''} to {with_unit(f'{self.high:g}', self.unit)}"


def with_unit(number: str, unit: str) -> str:
    """Return a number with its unit as people write it."""
    return number if not unit else f"{number}{unit}" if unit == "°" else f"{number} {unit}"


def keys_of(record: type[FileRecord]) -> dict[str, FieldInfo]:
    """Return a record's fields by the key a file writes."""
    return {info.alias or name: info for name, info in record.model_fields.items()}


def record_at(root: type[FileRecord], place: Place) -> type[FileRecord] | None:
    """Return the record whose table stands at a place, or None where no table may stand."""
    record: type[FileRecord] | None = root
    for step in place:
        if isinstance(step, int):
            continue
        info = keys_of(record).get(step) if record else None
        record = next(_records(info.annotation), None) if info else None
    return record


def field_at(root: type[FileRecord], place: Place) -> FieldInfo | None:
    """Return the field at a place; of one entry of a list, the list's."""
    names = [step for step in place if isinstance(step, str)]
    if not names:
        return None
    record = record_at(root, names[:-1])
    return keys_of(record).get(names[-1]) if record else None


def words_of(info: FieldInfo | None) -> list[str]:
    """Return the words that a field allows, if it allows only words."""
    found = next((part for part in _parts(info.annotation) if _is_enum(part)), None) if info else None
    return [str(member.value) for member in found] if found else []


def unit_of(key: str, info: FieldInfo | None) -> str:
    """Return a field's unit as people write it, or nothing."""
    extra = info.json_schema_extra if info else None
    if isinstance(extra, dict) and "x-unit" in extra:
        return str(extra["x-unit"])
    return UNIT_OF_ENDING.get(key.rsplit("_", 1)[-1], "")


def range_of(key: str, info: FieldInfo | None) -> Range | None:
    """Return the range of a field, or None where it has no low end."""
    extra = info.json_schema_extra if info else None
    if isinstance(extra, dict) and isinstance(extra.get("minimum"), (int, float)):
        return Range(extra["minimum"], extra["maximum"], unit_of(key, info), above_low=False)  # type: ignore[arg-type]
    found: dict[str, Any] = {}
    for limit in info.metadata if info else ():
        for kind, name in ((Ge, "ge"), (Gt, "gt"), (Le, "le"), (Lt, "lt")):
            if isinstance(limit, kind):
                found[name] = getattr(limit, name)
    low = found.get("ge", found.get("gt"))
    if low is None:
        return None
    return Range(low, found.get("le", found.get("lt")), unit_of(key, info), above_low="gt" in found)


def range_words(key: str, info: FieldInfo | None) -> str:
    """Return what a field allows, in words: its range with unit, its words, or nothing where any text will do."""
    words = words_of(info)
    if words:
        return "one of " + ", ".join(f'"{word}"' for word in words)
    allowed = range_of(key, info)
    return allowed.words() if allowed else ""


def tables_with(root: type[FileRecord], key: str, under: str = "") -> Iterator[str]:
    """Yield the tables of a plan in which a key is known."""
    for name, info in keys_of(root).items():
        inner = next(_records(info.annotation), None)
        if inner is None or inner is root or not _has_tables(inner):
            continue
        place = f"{under}{name}"
        if key in keys_of(inner):
            yield place
        yield from tables_with(inner, key, f"{place}.")


def _has_tables(record: type[FileRecord]) -> bool:
    return record.__name__ != "Reading"


def _records(annotation: Any) -> Iterator[type[FileRecord]]:
    for part in _parts(annotation):
        if isinstance(part, type) and issubclass(part, FileRecord):
            yield part


def _parts(annotation: Any) -> Iterator[Any]:
    """Yield what an annotation is made of: unions, lists and constraints taken apart."""
    origin = typing.get_origin(annotation)
    if origin in (typing.Union, types.UnionType, typing.Annotated, tuple):
        for part in typing.get_args(annotation):
            yield from _parts(part)
    else:
        yield annotation


def _is_enum(part: Any) -> bool:
    return isinstance(part, type) and issubclass(part, Enum)
