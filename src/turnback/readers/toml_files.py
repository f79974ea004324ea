"""Open a stranger's TOML file: small, plain, UTF-8, not nested without end; each failure told in one sentence."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import InputError, bad_input
from turnback.readers.said import LONGEST_NAME, dotted, on_one_line, short

MOST_BYTES: Final = 256 * 1024  # our choice: a hundred times the longest plan thought of
DEEPEST: Final = 8  # our choice: a plan nests four tables deep
LARGEST: Final = 1e15  # our choice: no quantity of a plan is larger; beyond it whole numbers lose digits

MANY_DOTS: Final = re.compile(r"""(?:\.[ \t]*(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*){20}""")
"""A key of twenty steps: the parser's time grows with the square of them, to a minute for a file of allowed size."""

Table = dict[str, Any]


def read_toml(path: Path, where: str, name: str | None = None, whose: str = "a plan") -> Table:
    """Return the table of a TOML file.

    Parameters
    ----------
    path : Path
    where : str
        The file as the user named it, with the field that names it where another file does: for errors of opening it.
    name : str, optional
        The file itself, for errors of what it holds; `where` if left out.

    whose : str
        Whose tables these are, for the one error that speaks of them.

    Raises
    ------
    InputError
        If it is no such file, too large, not UTF-8, not TOML, or nested too deep.
    """
    data = read_small(path, MOST_BYTES, where)
    where = name or where
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise bad_input(where, f"line {line} is not UTF-8 text", "save the file as UTF-8") from error
    if MANY_DOTS.search(text):
        raise _too_deep(where, whose)
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(str(error), text, where) from error
    except RecursionError as error:
        raise _too_deep(where, whose) from error
    except (ValueError, OverflowError) as error:  # a number of thousands of digits, a day that no calendar has
        raise bad_input(where, "a number or date in it cannot be read", "write ordinary numbers and dates") from error
    _verify_values(table, where, whose)
    return table


def read_small(path: Path, most_bytes: int, where: str) -> bytes:
    """Return the bytes of an ordinary file of at most `most_bytes`.

    Raises
    ------
    InputError
        If it is missing, a folder, no ordinary file, unreadable or larger.
    """
    name = on_one_line(path.name, LONGEST_NAME)
    try:
        if path.is_dir():
            raise bad_input(where, f"{name} is a folder", "give the file inside it")
        if not path.exists():
            raise bad_input(where, f"{name} does not exist", "correct the path")
        if not path.is_file():
            raise bad_input(where, f"{name} is not an ordinary file", "give a file")
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        raise bad_input(where, f"{name} cannot be read", "correct the path or the file's rights") from error
    if len(data) > most_bytes:
        size = f"{most_bytes // 1024} kB" if most_bytes < 1024**2 else f"{most_bytes // 1024**2} MB"
        raise bad_input(where, f"{name} is larger than {size}", "give the right file, or a smaller one")
    return data


def inside(root: Path, naming_file: Path, reference: str, where: str) -> Path:
    """Return the path that a reference means, held inside the plan's own folder.

    Parameters
    ----------
    root : Path
        The plan's folder.
    naming_file : Path
        The file that holds the reference: relative paths count from its folder.
    reference : str
        As written.
    where : str
        For errors.

    Raises
    ------
    InputError
        If it is absolute, or leads out of `root`, by ``..`` or by a link.
    """
    if "\0" in reference or "://" in reference:
        raise bad_input(where, f"{reference[:80]!r} is not a path", "write a path relative to this file")
    if reference.startswith(("/", "\\", "~")) or re.match(r"[A-Za-z]:", reference):
        raise bad_input(
            where, f"{reference[:80]!r} is an absolute path", "write a path relative to this file, so the plan can move"
        )
    try:
        target = (naming_file.parent / reference.replace("\\", "/")).resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise bad_input(where, f"{reference[:80]!r} cannot be followed", "correct the path") from error
    if not target.is_relative_to(root.resolve()):
        raise bad_input(
            where,
            f"{reference[:80]!r} leads out of the plan's folder",
            "put the file into the plan's folder or below it",
        )
    return target


def _syntax(message: str, text: str, where: str) -> InputError:
    """Say which line it is; the parser's own words change between versions and help nobody."""
    found = re.search(r"\(at line (\d+), column \d+\)$", message)
    if not found:
        return bad_input(where, "it ends in the middle of a value or table", "close its quotes and brackets")
    lines = text.splitlines()
    line = lines[int(found[1]) - 1].strip() if int(found[1]) <= len(lines) else ""
    if re.search(r"overwrite a value|twice|already|Duplicate", message):
        return bad_input(
            where, f"line {found[1]}: {short(line)!r} names something for the second time", "keep one of the two"
        )
    do = "write key = value, words in double quotes, numbers without a unit and with a decimal point"
    return bad_input(where, f"line {found[1]} is not TOML: {short(line)!r}", do)


def _too_deep(where: str, whose: str) -> InputError:
    return bad_input(where, f"tables are nested more than {DEEPEST} deep", f"write {whose}'s tables side by side")


def _verify_values(table: Table, where: str, whose: str) -> None:
    """Refuse nesting and numbers that no plan has, before anything walks over them."""
    level: list[tuple[tuple[str | int, ...], Any]] = [((), table)]
    for _ in range(DEEPEST):
        level = [((*place, step), inner) for place, value in level for step, inner in _entries(value)]
        for place, value in level:
            if isinstance(value, int) and abs(value) > LARGEST:
                what = f"{dotted(place)} is larger than any quantity"
                raise bad_input(where, what, "write an ordinary number")
        level = [(place, value) for place, value in level if isinstance(value, (dict, list))]
    if level:
        raise _too_deep(where, whose)


def _entries(value: Any) -> Iterable[tuple[str | int, Any]]:
    return value.items() if isinstance(value, dict) else enumerate(value)
