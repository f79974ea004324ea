"""From a validation error to one sentence: where, what was met, what is allowed, what to do."""

from __future__ import annotations

import datetime
import difflib
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from turnback.base.errors import Fault
from turnback.readers.known_keys import (
    Place,
    field_at,
    keys_of,
    range_words,
    record_at,
    tables_with,
    unit_of,
    with_unit,
    words_of,
)
from turnback.records.common import DONT_KNOW, FileRecord, Reading

Where = Callable[[Place], str]
Words = tuple[str, str]

_LIMITS: Final = frozenset(["greater_than_equal", "greater_than", "less_than_equal", "less_than"])
_ENTER: Final = {"ge": "enter no less", "gt": "enter more", "le": "enter no more", "lt": "enter less"}
_OPEN: Final = frozenset(["", "?", "unknown", "maybe", "perhaps", "not sure", "none", "n/a", "dunno"])
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
    places = [tuple(row["loc"]) for row in rows]
    faults = []
    for row, place in zip(rows, places, strict=True):
        if row["type"] == "too_short" and any(len(p) > len(place) and p[: len(place)] == place for p in places):
            continue  # the entries were there; each has its own fault
        written = _as_written(place, given)
        what, do = _words(row, root, place)
        faults.append(Fault(where(written), what, do))
    return faults


def said(value: Any) -> str:
    """Return a value as a person would recognise it, short and on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return repr(value if len(value) <= 60 else value[:57] + "...")
    if isinstance(value, (int, float)):
        return f"{value:.9g}"
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return "a table" if isinstance(value, dict) else "a list"


def dotted(place: Place) -> str:
    """Return a place as a person reads it: ``route.waypoints entry 2 height_m``; entries count from 1."""
    text = ""
    for step in place:
        if isinstance(step, int):
            text += f" entry {step + 1} "
        elif not text or text.endswith(" "):
            text += _shown(step)
        else:
            text += f".{_shown(step)}"
    return text.strip()


def _shown(key: str) -> str:
    """A key of a stranger's file may hold anything: keep it on one line."""
    short = key if len(key) <= 60 else key[:57] + "..."
    return short if short.isprintable() and short else repr(short)


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
    key, unit = _key_and_unit(root, place)
    if kind == "extra_forbidden":
        return _unknown_key(root, place)
    if kind == "missing":
        return "it is missing", f"add it: {_expected(key, info)}"
    if kind == "out_of_range":
        what = f"{with_unit(context['value'], unit)} is outside {context['low']} to {with_unit(context['high'], unit)}"
        return what, context["slip"]
    if kind == "order":
        return "low, value and high are out of order", "write low <= value <= high"
    if kind == "enum":
        return _wrong_word(value, words_of(info))
    if kind in _NUMBER or (kind == "model_type" and context.get("class_name") == "Reading"):
        return _no_number(value, kind, unit)
    if kind in _LIMITS:
        return _outside(value, context, unit)
    if kind in _PLAIN:
        return _PLAIN[kind](value, context, info)
    return f"{said(value)} cannot be used ({row['msg'][:1].lower()}{row['msg'][1:]})", f"write {_expected(key, info)}"


def _key_and_unit(root: type[FileRecord], place: tuple[str | int, ...]) -> tuple[str, str]:
    """Return the key at a place and its unit; a reading's value, low and high have the reading's."""
    names = [step for step in place if isinstance(step, str)]
    if not names:
        return "", ""
    if len(names) > 1 and record_at(root, names[:-1]) is Reading and names[-1] in ("value", "low", "high"):
        return names[-1], unit_of(names[-2], field_at(root, names[:-1]))
    return names[-1], unit_of(names[-1], field_at(root, names))


def _unknown_key(root: type[FileRecord], place: tuple[str | int, ...]) -> Words:
    key = str(place[-1])
    record = record_at(root, place[:-1])
    known = list(keys_of(record)) if record else []
    near = nearest(key, known)
    if near:
        return "the key is not known", f"write {near} if that was meant"
    elsewhere = list(tables_with(root, key))
    if elsewhere:
        return "the key is not known here", f"it belongs in {elsewhere[0]}"
    return "the key is not known", f"known here: {', '.join(known)}"


def nearest(key: str, known: Sequence[str]) -> str | None:
    """Return the known key that was most likely meant: one with a unit added, or one slip of the pen away."""
    small = key.lower().replace("-", "_").replace(" ", "_")
    longer = [name for name in known if name.startswith(f"{small}_") or name.rsplit("_", 1)[0] == small]
    if small in known or longer:
        return small if small in known else min(longer, key=len)
    close = difflib.get_close_matches(small, known, n=1, cutoff=0.6)
    if close:
        return close[0]
    stem = small.rsplit("_", 1)[0]  # the right quantity in the wrong unit
    return next((name for name in known if "_" in small and name.rsplit("_", 1)[0] == stem), None)


def _wrong_word(value: Any, words: Sequence[str]) -> Words:
    listed = ", ".join(f'"{word}"' for word in words)
    if isinstance(value, bool) and "yes" in words:
        return f"{said(value)} is not one of {listed}", f'write "{"yes" if value else "no"}" in quotes'
    folded = {word.lower(): word for word in words}
    small = value.strip().lower() if isinstance(value, str) else ""
    near = difflib.get_close_matches(small, list(folded), n=1, cutoff=0.5)
    if DONT_KNOW in words and small in _OPEN:
        near = [DONT_KNOW]
    do = f'write "{folded[near[0]]}" if that was meant' if near else "write one of these words in quotes"
    return f"{said(value)} is not one of {listed}", do


def _no_number(value: Any, kind: str, unit: str) -> Words:
    plain = f"write a plain number in {unit}, without quotes or unit" if unit else "write a plain number without quotes"
    if kind == "finite_number":
        return f"{said(value)} is not a number that can be used", plain
    if kind in ("int_type", "int_from_float") and isinstance(value, float):
        return f"{said(value)} is not written as a whole number", f"write {value:.0f}" if abs(value) < 1e9 else plain
    return f"{said(value)} is not a number", plain


def _expected(key: str, info: FieldInfo | None) -> str:
    """What may stand in a field, in words."""
    described = info.description if info else None
    text = ", ".join(part for part in (described, range_words(key, info)) if part)
    return text or "see the plan's documentation"


def _outside(value: Any, limits: Mapping[str, float], unit: str) -> Words:
    """Words for a number beyond an end of its range; only the end that it broke is known here."""
    (kind, limit), *_ = limits.items()
    side = {"ge": "less than", "gt": "not more than", "le": "more than", "lt": "not less than"}[kind]
    return f"{with_unit(said(value), unit)} is {side} {with_unit(f'{limit:g}', unit)}", _ENTER[kind]


def _table(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not a table", "write it as { key = value, ... } or under a [heading] of its own"


def _text(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not text", "write it in double quotes"


def _list(value: Any, _context: Any, _info: Any) -> Words:
    return f"{said(value)} is not a list", "write it in square brackets: [a, b, c]"


def _long_text(value: Any, context: Any, _info: Any) -> Words:
    return f"the text has {len(value)} letters, more than {context['max_length']}", "shorten it"


def _few(_value: Any, context: Any, _info: Any) -> Words:
    return f"fewer than {context['min_length']} entries are given", "add the missing ones or leave it out"


def _many(_value: Any, context: Any, _info: Any) -> Words:
    return f"more than {context['max_length']} entries are given", "leave some out"


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
