"""Files of an older version, brought up to today's before they are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import Enum
from typing import Any, Final

from turnback.base.errors import Fault
from turnback.readers.said import said
from turnback.records.common import SCHEMA

Table = dict[str, Any]
Upgrader = Callable[[Table], Table]


class FileKind(Enum):
    """What a file holds; a plan's parts have the same names inside it."""

    PLAN = "plan"
    AIRCRAFT = "aircraft"
    PACK = "pack"
    RADIO = "radio"
    SITE = "site"
    WEATHER = "weather"
    PILOT = "pilot"
    LEARNED = "learned"


PARTS: Final = (
    FileKind.AIRCRAFT, FileKind.PACK, FileKind.RADIO, FileKind.SITE, FileKind.WEATHER, FileKind.PILOT,
)  # fmt: skip
"""Parts that a plan holds as a table or names as a file."""

Upgraders = Mapping[FileKind, Mapping[int, Upgrader]]

UPGRADERS: Final[Upgraders] = {}
"""By kind and by the version they start from: each makes of a table of version n one of version n + 1.

Version 1 is the first, so there are none yet. Each takes the table without its ``schema`` key and returns a new one.
"""


def upgraded(
    table: Table, kind: FileKind, where: str, *, newest: int = SCHEMA, upgraders: Upgraders = UPGRADERS
) -> tuple[Table, list[Fault], bool]:
    """Return a file's table as version `newest` would write it, without its ``schema`` key.

    Parameters
    ----------
    table : dict
        As read.
    kind : FileKind
    where : str
        The file's name, for faults.
    newest : int
        The version to arrive at.
    upgraders : mapping
        By kind and version.

    Returns
    -------
    tuple
        The new table; faults of its version; whether the table can be judged at all (one from the future cannot).
    """
    rest = {key: value for key, value in table.items() if key != "schema"}
    if "schema" not in table:
        return rest, [Fault(f"{where}: schema", "it is missing", f"write schema = {newest} on the first line")], True
    version = table["schema"]
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        what = f"{version if isinstance(version, float) else said(version)} is not a whole number from 1 on"
        return rest, [Fault(f"{where}: schema", what, f"write schema = {newest}")], True
    if version > newest:
        what = f"version {version} is newer than this Turnback reads ({newest})"
        return rest, [Fault(f"{where}: schema", what, "install a newer Turnback")], False
    for step in range(version, newest):
        rest = _one_step(rest, kind, step, upgraders)
    return rest, [], True


def _one_step(table: Table, kind: FileKind, step: int, upgraders: Upgraders) -> Table:
    """Upgrade by one version; parts that stand in a plan go with it."""
    if kind is FileKind.PLAN:
        parts = {part.value: part for part in PARTS}
        table = {
            key: _one_step(value, parts[key], step, upgraders) if key in parts and isinstance(value, dict) else value
            for key, value in table.items()
        }
    change = upgraders.get(kind, {}).get(step)
    return change(table) if change else table
