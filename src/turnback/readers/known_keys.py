"""What a plan may hold at a place: the record of a table, its keys, words and ranges."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Sequence
from enum import Enum
from typing import Any

from pydantic.fields import FieldInfo

from turnback.records.common import FileRecord

Place = Sequence[str | int]


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
