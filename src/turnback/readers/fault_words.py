"""From a validation error to one sentence: where, what was met, what is allowed, what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from turnback.base.errors import Fault
from turnback.readers.known_keys import Place, field_at, keys_of, range_words, record_at, unit_of, with_unit, words_of
from turnback.readers.near_words import unknown_key, wrong_word
from turnback.readers.said import dotted, said
from turnback.records.common import DONT_KNOW, FileRecord, Reading

Where = Callable[[Place], str]
Words = tuple[str, str]

_LIMITS: Final = frozenset(["greater_than_equal", "greater_than", "less_than_equal", "less_than"])
_BROKEN_END: Final = {
    "ge": ("less than", "at least"), "gt": ("not more than", "more than"),
    "le": ("more than", "at most"), "lt": ("not less than", "less than"),
}  # fmt: skip
MOST_FAULTS: Final = 100  # our choice: nobody mends more in one sitting, and a hostile file has thousands
_NUMBER: Final = frozenset({"float_type", "finite_number", "int_type", "int_from_float", "float_parsing"})


def faults_of(error: ValidationError, root: type[FileRecord], given: Any, where: Where) -> list[Fault]:
    """Return one fault for each thing wrong.

    Parameters
    ----------
    error : ValidationError
        From validating `given` as `root`.
    root : type of FileRecord
    given : dict
        The table as written.
    where : callable
        From a place in the table to file and field.
    """
    rows = error.errors(include_url=False)
    places = [tuple(row["loc"]) for row in rows[: 2 * MOST_FAULTS]]
    faults = []
    for row, place in zip(rows, places, strict=False):
        if row["type"] == "too_short" and any(len(p) > len(place) and p[: len(place)] == place for p in places):
            continue  # the entries were there; each has its own fault
        written = _as_written(place, given)
        what, do = _words(row, root, place)
        faults.append(Fault(where(written), what, do))
        if len(faults) == MOST_FAULTS and len(rows) > MOST_FAULTS:
            what = f"{len(rows) - MOST_FAULTS} more things are wrong with it"
            return [*faults, Fault(where(()), what, "correct those told here first")]
    return faults


def _as_written(place: tuple[str | int, ...], given: Any) -> tuple[str | int, ...]:
    """Cut off what the reader added: a bare number is a reading's value, a bare word a link's class."""
    node = given
    for depth, step in enumerate(place):
        if isinstance(node, dict):
            if step not in node:
                return place  # a missing key is named
            node = node[step]
        elif isinstance(node, (list, tuple)) and isinstance(step, int) and step < len(node):
            node = node[step]
        else:
            return place[:depth]
    return place


def _words(row: Any, root: type[FileRecord], place: tuple[str | int, ...]) -> Words:  # noqa: PLR0911 - one return for each kind
    kind, value, context = row["type"], row["input"], row.get("ctx", {})
    info = field_at(root, place)
    unit = _key_and_unit(root, place)[1]
    if kind == "extra_forbidden":
        return unknown_key(root, place)
    if kind == "missing":
        return "it is missing", f"add it: {_expected(root, place)}"
    if kind == "out_of_range":
        what = f"{with_unit(context['value'], unit)} is outside {context['low']} to {with_unit(context['high'], unit)}"
        return what, context["slip"]
    if kind == "order":
        return "low, value and high are out of order", "write low <= value <= high"
    if kind == "enum":
        return wrong_word(value, words_of(info))
    if kind in _NUMBER or (kind == "model_type" and context.get("class_name") == "Reading"):
        return _no_number(value, kind, unit)
    if kind in _LIMITS:
        return _outside(value, context, unit)
    if kind in _PLAIN:
        return _PLAIN[kind](value, context, info)
    return f"{said(value)} cannot be used ({row['msg'][:1].lower()}{row['msg'][1:]})", f"write {_expected(root, place)}"


def _key_and_unit(root: type[FileRecord], place: tuple[str | int, ...]) -> tuple[str, str]:
    """Return the key at a place and its unit; a reading's value, low and high have the reading's."""
    names = [step for step in place if isinstance(step, str)]
    if not names:
        return "", ""
    if len(names) > 1 and record_at(root, names[:-1]) is Reading and names[-1] in ("value", "low", "high"):
        return names[-1], unit_of(names[-2], field_at(root, names[:-1]))
    return names[-1], unit_of(names[-1], field_at(root, names))


def _no_number(value: Any, kind: str, unit: str) -> Words:
    plain = f"write a plain number in {unit}, without quotes or unit" if unit else "write a plain number without quotes"
    if unit == "°":
        plain = "write decimal degrees as a plain number, without quotes"
    if value == DONT_KNOW:
        return f"{said(value)} is not a number", f"it cannot stay open: {plain}, as well as you can judge"
    if kind == "finite_number":
        return f"{said(value)} is not a number that can be used", plain
    if kind in ("int_type", "int_from_float") and isinstance(value, float):
        whole = value.is_integer() and abs(value) < 1e9
        return f"{value!r} is not a whole number", f"write {value:.0f}" if whole else "write digits only"
    return f"{said(value)} is not a number", plain


def _expected(root: type[FileRecord], place: tuple[str | int, ...]) -> str:
    """What may stand in a field, in words."""
    info = field_at(root, place)
    key, unit = _key_and_unit(root, place)
    record = record_at(root, place)
    if record is None:
        allowed = range_words(key, info) or (f"a number in {unit}" if unit else "")
    elif record is Reading or "class" in keys_of(record):
        allowed = range_words("class", keys_of(record).get("class")) or range_words(key, info)
    else:
        allowed = f"a table with {_listed([name for name, inner in keys_of(record).items() if inner.is_required()])}"
    described = info.description if info else None
    return ", ".join(part for part in (described, allowed) if part) or "a value"


def _listed(names: Sequence[str]) -> str:
    *others, last = names or ("what you know",)
    return f"{', '.join(others)} and {last}" if others else last


def _outside(value: Any, limits: Mapping[str, float], unit: str) -> Words:
    """Words for a number beyond an end of its range; only the end that it broke is known here."""
    (kind, limit), *_ = limits.items()
    broken, do = _BROKEN_END[kind]
    end = with_unit(f"{limit:g}", unit)
    return f"{with_unit(said(value), unit)} is {broken} {end}", f"enter {do} {end}"


def _table(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not a table", "write it as { key = value, ... } or under a [heading] of its own"


def _text(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not text", "write it in double quotes"


def _list(value: Any, _context: Any, _info: Any) -> Words:
    shown = f'["{value}"]' if isinstance(value, str) and value.isprintable() and len(value) < 60 else "[a, b, c]"
    return f"{said(value)} is not a list", f"write it in square brackets: {shown}"


def _long_text(value: Any, context: Any, _info: Any) -> Words:
    return f"the text has {len(value)} letters, more than {context['max_length']}", "shorten it"


def _few(value: Any, context: Any, _info: Any) -> Words:
    if not value:
        return "the list is empty", "fill it or leave it out"
    return f"it has fewer entries than the {context['min_length']} needed", "add the missing ones or leave it out"


def _many(_value: Any, context: Any, _info: Any) -> Words:
    return f"it has more than {context['max_length']} entries", "leave some out"


def _id(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not an id", 'write small letters, digits and hyphens, such as "blue-5-inch"'


def _truth(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not true or false", "write true or false without quotes"


def _date(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not a date", "write it as 2025-06-30, without quotes"


_PLAIN: Final[dict[str, Callable[[Any, Any, FieldInfo | None], Words]]] = {
    "model_type": _table,
    "dict_type": _table,
    "model_attributes_type": _table,
    "string_type": _text,
    "tuple_type": _list,
    "string_unicode": lambda *_: ("it holds letters that no text file can hold", "type it again"),
    "string_too_long": _long_text,
    "string_too_short": lambda _value, _context, _info: ("the text is empty", "write something or leave it out"),
    "too_short": _few,
    "too_long": _many,
    "string_pattern_mismatch": _id,
    "bool_type": _truth,
    "date_type": _date,
    "date_parsing": _date,
    "date_from_datetime_parsing": _date,
    "date_from_datetime_inexact": _date,
}

__all__ = ["MOST_FAULTS", "Where", "dotted", "faults_of", "said"]
