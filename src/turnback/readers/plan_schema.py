"""The JSON Schema of a plan and of its parts' files, generated from the records, for editors and other programs.

A schema sees one field at a time: contradictions between fields, paths that lead out of the plan's folder and whole
numbers written with a point are found by the reader alone.
"""

from __future__ import annotations

from typing import Any, Final

from turnback.readers.upgrade import PARTS, FileKind
from turnback.records.aircraft import AircraftFile
from turnback.records.common import DONT_KNOW, SCHEMA, FileRecord
from turnback.records.pack import PackFile
from turnback.records.plan import PilotFile, PlanFile
from turnback.records.radio import RadioFile
from turnback.records.site import SiteFile, WeatherFile

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
RECORDS: Final[dict[FileKind, type[FileRecord]]] = {
    FileKind.PLAN: PlanFile,
    FileKind.AIRCRAFT: AircraftFile,
    FileKind.PACK: PackFile,
    FileKind.RADIO: RadioFile,
    FileKind.SITE: SiteFile,
    FileKind.WEATHER: WeatherFile,
    FileKind.PILOT: PilotFile,
}
"""Of each kind of file, the record that it is read as."""

_READING: Final = "#/$defs/Reading"
_FILE_OF_ITS_OWN: Final = {
    "type": "string",
    "pattern": r"\.[tT][oO][mM][lL]$",
    "description": "or the path of a file of its own, counted from this one",
}

Schema = dict[str, Any]


def plan_schema() -> Schema:
    """Return the JSON Schema (2020-12) of a plan's file; the table is what a TOML reader gives."""
    return file_schema(FileKind.PLAN)


def file_schema(kind: FileKind) -> Schema:
    """Return the JSON Schema (2020-12) of a file of one kind.

    Parameters
    ----------
    kind : FileKind
        A plan, or a part that may stand in a file of its own.

    Raises
    ------
    KeyError
        For a kind with a reader of its own (what was learned).
    """
    schema = _as_written(RECORDS[kind].model_json_schema(by_alias=True))
    fields = {key: field for key, field in schema["properties"].items() if key != "schema"}
    schema["properties"] = {"schema": {"const": SCHEMA, "description": "version of the file"}, **fields}
    schema["required"] = ["schema", *(key for key in schema.get("required", []) if key != "schema")]
    if kind is FileKind.PLAN:
        for part in PARTS:
            inside = schema["properties"][part.value]
            schema["properties"][part.value] = {"anyOf": [inside, _FILE_OF_ITS_OWN]}
    return {"$schema": DIALECT, "title": f"Turnback: {kind.value}", **schema}


def _as_written(node: Any) -> Any:
    """Turn the records' schema into that of the written file: "don't know" for nulls, ranges inside readings."""
    if isinstance(node, list):
        return [_as_written(item) for item in node]
    if not isinstance(node, dict):
        return node
    if node.get("type") == "null":
        return {"const": DONT_KNOW}
    if _is_ranged_reading(node):
        limits = {"minimum": node["minimum"], "maximum": node["maximum"]}
        node = {**node, "properties": dict.fromkeys(("value", "low", "high"), limits)}
    return {key: _inner(key, value) for key, value in node.items() if not _is_noise(key, value)}


def _inner(key: str, value: Any) -> Any:
    if key in ("properties", "$defs"):  # what stands under these are names, not words of the schema language
        return {name: _as_written(inner) for name, inner in value.items()}
    return _as_written(value)


def _is_ranged_reading(node: Schema) -> bool:
    return "minimum" in node and any(option.get("$ref") == _READING for option in node.get("anyOf", ()))


def _is_noise(key: str, value: Any) -> bool:
    """Titles made of keys say nothing; a default is kept where it is a word or a number that a file may hold."""
    if key == "title":
        return isinstance(value, str)
    return key == "default" and (value is None or isinstance(value, (dict, list)))
