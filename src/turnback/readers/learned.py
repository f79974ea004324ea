"""Read and write what records taught: dated values by id, in ``learned.toml``. Plans are never rewritten.

schema = 1

[[entries]]
of = "pack"
id = "six-cells-a"
on = 2025-06-30
quantity = "resistance_mohm_per_cell"
value = 4.6
low = 4.1
high = 5.2
from_record = "flight of 30 June"
"""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import Field, ValidationError

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.fault_words import faults_of
from turnback.readers.known_keys import Place, keys_of, range_of
from turnback.readers.near_words import nearest
from turnback.readers.said import dotted
from turnback.readers.toml_files import MOST_BYTES, read_toml
from turnback.readers.upgrade import FileKind, upgraded
from turnback.records.aircraft import AircraftFile
from turnback.records.common import SCHEMA, FileRecord
from turnback.records.learned import Learned, LearnedAbout, LearnedEntry
from turnback.records.pack import PackFile
from turnback.records.site import SiteFile

MOST_ENTRIES: Final = 5000  # our choice; the size of a plan's file holds it too

_RECORDS: Final[dict[LearnedAbout, type[FileRecord]]] = {
    LearnedAbout.PACK: PackFile,
    LearnedAbout.AIRCRAFT: AircraftFile,
    LearnedAbout.SITE: SiteFile,
}
_HEADING: Final = (
    "# What records taught, by id and date. Turnback writes this file anew when it learns: comments are not kept."
)


class LearnedFile(FileRecord):
    """The file's own table."""

    entries: Annotated[tuple[LearnedEntry, ...], Field(max_length=MOST_ENTRIES)] = ()


def read_learned(path: Path, where: str | None = None) -> Learned:
    """Return what a file of learned values holds.

    Parameters
    ----------
    path : Path
    where : str, optional
        The file as the user named it, for errors; its name if left out.

    Raises
    ------
    InputError
        With every fault: keys, ids, dates, quantities that no plan has, values outside the plan's own range.
    """
    name = where or path.name
    table, faults, readable = upgraded(read_toml(path, name), FileKind.LEARNED, name)
    if not readable:
        raise InputError(*faults)

    def place_of(place: Place) -> str:
        return f"{name}: {dotted(place)}" if place else name

    try:
        file = LearnedFile.model_validate(table)
    except ValidationError as error:
        raise InputError(*faults, *faults_of(error, LearnedFile, table, place_of)) from error
    for number, entry in enumerate(file.entries):
        faults += _faults(entry, place_of(("entries", number)))
    if faults:
        raise InputError(*faults)
    return Learned(file.entries)


def append_learned(path: Path, entries: Iterable[LearnedEntry]) -> Learned:
    """Add values to a file of learned values, made if it is not there, and return all it now holds.

    Parameters
    ----------
    path : Path
        A link is followed; its folder must exist.
    entries : iterable of LearnedEntry

    Returns
    -------
    Learned

    Raises
    ------
    InputError
        If the file holds faults, an entry does, the file would grow too large, or it cannot be written. The file is
        then as it was: the new one is written beside it and takes its place in one step.
    """
    target = Path(os.path.realpath(path))
    there = read_learned(target, path.name).entries if target.exists() else ()
    new = tuple(entries)
    faults = [fault for number, entry in enumerate(new) for fault in _faults(entry, f"new entry {number + 1}")]
    if faults:
        raise InputError(*faults)
    learned = Learned((*there, *new))
    data = _written(learned).encode("utf-8")
    if len(learned.entries) > MOST_ENTRIES or len(data) > MOST_BYTES:
        what = f"{path.name} would grow beyond {MOST_ENTRIES} entries or {MOST_BYTES // 1024} kB"
        raise bad_input(path.name, what, "take out old entries, or name another file")
    _replace(target, data, path.name)
    return learned


def _faults(entry: LearnedEntry, place: str) -> list[Fault]:
    keys = keys_of(_RECORDS[entry.of])
    measured = [key for key, info in keys.items() if range_of(key, info) is not None]
    if entry.quantity not in measured:
        near = nearest(entry.quantity, measured)
        what = f"{entry.quantity!r} is no quantity of a plan's {entry.of.value}"
        return [Fault(f"{place} quantity", what, f"write {near}" if near else f"known: {', '.join(measured)}")]
    allowed = range_of(entry.quantity, keys[entry.quantity])
    if allowed is None:
        return []
    faults = []
    for key, number in (("value", entry.value), ("low", entry.low), ("high", entry.high)):
        if number is not None and not _inside(number, allowed.low, allowed.high):
            what = f"{number:.9g} {allowed.unit} of {entry.quantity} is outside {allowed.words()}"
            faults.append(Fault(f"{place} {key}", what, "enter it in the unit that the quantity's name ends in"))
    return faults


def _inside(number: float, low: float | None, high: float | None) -> bool:
    return (low is None or number >= low) and (high is None or number <= high)


def _written(learned: Learned) -> str:
    """The file's text. Dates and numbers are written as TOML has them, words as JSON strings, which TOML reads."""
    blocks = [_HEADING, f"schema = {SCHEMA}"]
    for entry in learned.entries:
        rows: dict[str, Any] = {
            "of": _quoted(entry.of.value),
            "id": _quoted(entry.id),
            "on": entry.on.isoformat(),
            "quantity": _quoted(entry.quantity),
            "value": _number(entry.value),
            "low": None if entry.low is None else _number(entry.low),
            "high": None if entry.high is None else _number(entry.high),
            "from_record": _quoted(entry.from_record),
        }
        lines = [f"{key} = {value}" for key, value in rows.items() if value is not None]
        blocks.append("\n".join(["", "[[entries]]", *lines]))
    return "\n".join(blocks) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")  # TOML escapes it, JSON does not


def _number(value: float) -> str:
    return repr(float(value))


def _replace(target: Path, data: bytes, name: str) -> None:
    """Write beside the file, then put it in its place in one step, so that a reader never sees half of it."""
    temporary: Path | None = None
    try:
        with tempfile.NamedTemporaryFile(dir=target.parent, prefix=f".{target.name}.", delete=False) as file:
            temporary = Path(file.name)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o644)
        temporary.replace(target)
    except OSError as error:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()
        raise bad_input(name, "it cannot be written", "name a file in a folder that you may write to") from error
