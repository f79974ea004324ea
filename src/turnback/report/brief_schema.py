"""The JSON Schema (2020-12) of ``brief.json``, made from the records that are written there."""

from __future__ import annotations

import ast
import dataclasses
import inspect
import re
import sys
import types
from collections.abc import Iterator, Mapping
from enum import Enum
from functools import cache
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from turnback.records.common import SCHEMA
from turnback.report.brief_json import BriefData, json_text, written

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
UNIT_OF_ENDING: Final = {
    "m": "m", "s": "s", "mps": "m/s", "kg": "kg", "j": "J", "v": "V", "a": "A", "ah": "Ah", "mah": "mAh", "db": "dB",
    "mhz": "MHz", "deg": "°", "c": "°C", "hpa": "hPa", "m3": "kg/m³", "hours": "h", "months": "month",
}  # fmt: skip
UNIT_OF_NAME: Final = {"pack_c": "1/h"}
"""Names whose ending means something else than usual."""
ALWAYS: Final = {"links": ["control"], "chance": ["home", "landing", "control"]}
"""Keys that are there however many links a flight has."""
_SCALARS: Final[dict[Any, dict[str, Any]]] = {
    float: {"type": ["number", "null"]},  # not a number and infinity are null
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    str: {"type": "string"},
    types.NoneType: {"type": "null"},
}

Schema = dict[str, Any]


@cache
def brief_schema_json() -> str:
    """Return the schema as JSON text, the same bytes every time."""
    return json_text(brief_schema())


def brief_schema() -> Schema:
    """Return the schema as plain data.

    Returns
    -------
    dict
        Every record in ``$defs`` under its name, every key required and no other allowed; a number's unit is in
        ``x-unit``, and what it is in ``description``.
    """
    return schema_of(BriefData, "Turnback: brief", {name: {"required": keys} for name, keys in ALWAYS.items()})


def schema_of(kind: type, title: str, more: Mapping[str, Schema] | None = None) -> Schema:
    """Return the schema of a file that holds one record, which names its schema in ``$schema``.

    Parameters
    ----------
    kind : type
        A dataclass with a field ``schema``, the version of its shape.
    title : str
    more : mapping of str to dict, optional
        What else is to be said of a key.
    """
    defs: Schema = {}
    _of(kind, defs)
    top = defs.pop(kind.__name__)
    properties = {"$schema": {"type": "string"}, **top["properties"], "schema": {"const": SCHEMA}}
    for name, said in (more or {}).items():
        properties[name] = {**properties[name], **said}
    return {
        "$schema": DIALECT,
        "title": title,
        **top,
        "properties": properties,
        "required": ["$schema", *top["required"]],
        "$defs": {name: defs[name] for name in sorted(defs)},
    }


def unit_of(name: str) -> str:
    """Return the unit that a name ends in; empty where it ends in none."""
    return UNIT_OF_NAME.get(name) or UNIT_OF_ENDING.get(name.rsplit("_", 1)[-1] if "_" in name else "", "")


def _of(hint: Any, defs: Schema) -> Schema:  # noqa: PLR0911 - one line for each kind
    """Return the schema of a type; records and enumerations go to `defs`."""
    if hint in _SCALARS:
        return dict(_SCALARS[hint])
    if isinstance(hint, type) and (issubclass(hint, Enum) or dataclasses.is_dataclass(hint)):
        return _named(hint, defs)
    origin, parts = get_origin(hint), get_args(hint)
    if origin is Literal:
        return {"enum": list(parts)}
    if origin in (Union, types.UnionType):
        return _either([_of(part, defs) for part in parts])
    if origin is tuple and parts[-1] is Ellipsis:
        return {"type": "array", "items": _of(parts[0], defs)}
    if origin is np.ndarray:
        kind = get_args(parts[1])[0]
        return {"type": "array", "items": dict(_SCALARS[bool if kind is np.bool_ else float])}
    if isinstance(origin, type) and issubclass(origin, Mapping):
        names = {} if parts[0] is str else {"propertyNames": _of(parts[0], defs)}
        return {"type": "object", **names, "additionalProperties": _of(parts[1], defs)}
    raise TypeError(f"{hint} has no written form")


def _either(options: list[Schema]) -> Schema:
    """Return one schema for several, as short as can be."""
    if all(option.keys() == {"type"} for option in options):
        kinds: list[str] = []
        for option in options:
            kinds += [option["type"]] if isinstance(option["type"], str) else option["type"]
        return {"type": list(dict.fromkeys(kinds))}
    return {"anyOf": options}


def _named(kind: type, defs: Schema) -> Schema:
    name = kind.__name__
    if name not in defs:
        defs[name] = {}  # a record may hold itself
        defs[name] = _enumeration(kind) if issubclass(kind, Enum) else _record(kind, defs)
    return {"$ref": f"#/$defs/{name}"}


def _enumeration(kind: type[Enum]) -> Schema:
    return {"description": _line(kind.__doc__ or ""), "enum": [member.value for member in kind]}


def _record(kind: type, defs: Schema) -> Schema:
    hints, said = get_type_hints(kind), _said_of_fields(kind)
    properties = {}
    for field in dataclasses.fields(kind):
        node = _of(hints[field.name], defs)
        unit = unit_of(field.name)
        if field.name in said:
            node["description"] = said[field.name]
        if unit:
            node["x-unit"] = unit
        properties[written(field.name)] = node
    return {
        "description": _line(kind.__doc__ or ""),
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _said_of_fields(kind: type) -> dict[str, str]:
    """Return what is said of each field: in the record's docstring, or in the text under the field."""
    said: dict[str, str] = {}
    for each in reversed(kind.__mro__):
        node = _classes(each.__module__).get(each.__name__) if dataclasses.is_dataclass(each) else None
        if node is not None:
            said |= _sections(inspect.cleandoc(each.__doc__ or "")) | dict(_under_fields(node))
    return said


@cache
def _classes(module: str) -> Mapping[str, ast.ClassDef]:
    tree = ast.parse(inspect.getsource(sys.modules[module]))
    return {node.name: node for node in tree.body if isinstance(node, ast.ClassDef)}


def _under_fields(node: ast.ClassDef) -> Iterator[tuple[str, str]]:
    for field, below in zip(node.body, node.body[1:], strict=False):
        match field, below:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(text))):
                yield name, _line(text)


def _sections(docstring: str) -> dict[str, str]:
    """Return what a numpydoc docstring says of its parameters or attributes, by name."""
    found: dict[str, str] = {}
    for names, text in re.findall(r"^([a-z]\w*(?:, \w+)*) : .*\n((?:[ ]{4}.*\n?)+)", docstring, re.MULTILINE):
        found |= dict.fromkeys(names.split(", "), _line(text))
    return found


def _line(text: str) -> str:
    """Return a text of several lines as one, its marks of code taken off."""
    return " ".join(text.split("\n\n", maxsplit=1)[0].replace("`", "").split())
