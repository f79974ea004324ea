"""Read the book from its TOML files, and refuse an inconsistent one with all of its faults.

A book is a folder of files ``causes_*.toml``, ``signs_*.toml`` and ``checks_*.toml``; a cause of one file may show a
sign of another. The book of this package stands beside this module.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.knowledge.book import Book
from turnback.knowledge.consistent import Pages, inconsistencies
from turnback.knowledge.rows import Row, Table, read_cause, read_decider, read_sign

MOST_FILES: Final = 60  # our choice: the book has three files for each group of causes
MOST_BYTES: Final = 256 * 1024  # our choice: a file of a hundred causes has half of it
MOST_ROWS: Final = 500  # our choice: of one kind in a book
LONGEST_LINE: Final = 2000  # our choice: a key of thousands of steps takes the parser minutes

KINDS: Final = ("cause", "sign", "check")
BUNDLED: Final = Path(__file__).parent


def read_book(folder: Path | None = None) -> Book:
    """Return the book of a folder.

    Parameters
    ----------
    folder : Path, optional
        Where its files stand; the book of this package, read once, if left out.

    Returns
    -------
    Book
        Rows in the order of the files' names and inside them as written.

    Raises
    ------
    InputError
        If a file cannot be read or the book is inconsistent; all faults are told at once.
    """
    return _bundled() if folder is None else _read(folder)


@cache
def _bundled() -> Book:
    return _read(BUNDLED)


def _read(folder: Path) -> Book:
    pages, whole = Pages(), True
    faults: list[Fault] = []
    for kind in KINDS:
        for path in _files(folder, kind):
            try:
                table = _open(path)
            except InputError as error:
                faults += error.faults
                whole = False
                continue
            _take(pages, kind, path.name, table, faults)
    if not pages.causes and whole:
        faults.append(Fault(folder.name, "there are no causes in it", "give the folder of a book"))
    if whole:  # a file that is missing from the picture would make good rows of the others look wrong
        faults += inconsistencies(pages)
    if faults:
        raise InputError(*faults)
    return Book(
        tuple(pages.causes.values()),
        tuple(pages.signs.values()),
        tuple(pages.deciders.values()),
        tuple(pages.likelihoods),
        _strength(pages),
    )


def _files(folder: Path, kind: str) -> list[Path]:
    if not folder.is_dir():
        raise bad_input(folder.name, "it is no folder", "give the folder of a book")
    files = sorted(folder.glob(f"{kind}s_*.toml"))
    if len(files) > MOST_FILES:
        raise bad_input(folder.name, f"it has more than {MOST_FILES} files of one kind", "join some of them")
    return files


def _open(path: Path) -> Table:
    """Return the table of one small TOML file."""
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise bad_input(path.name, "it cannot be read", "correct the file's rights") from error
    if len(data) > MOST_BYTES:
        raise bad_input(path.name, f"it is larger than {MOST_BYTES // 1024} kB", "split it into two files")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise bad_input(path.name, "it is not UTF-8 text", "save it as UTF-8") from error
    if any(len(line) > LONGEST_LINE for line in text.splitlines()):
        raise bad_input(path.name, f"a line has more than {LONGEST_LINE} letters", "break the list into lines")
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        found = re.search(r"at line (\d+)", str(error))
        place = f"line {found[1]} is not TOML or names a thing twice" if found else "it is not TOML"
        raise bad_input(path.name, place, "write one table for each key and one line for each field") from error


def _take(pages: Pages, kind: str, name: str, table: Table, faults: list[Fault]) -> None:
    """Add the rows of one file to the pages, and their faults to the faults."""
    for stray in sorted(set(table) - {kind}):
        faults.append(
            Fault(f"{name}: {stray[:60]}", "does not belong into this file", f"write [{kind}.its-key] tables")
        )
    rows = table.get(kind, {})
    if not isinstance(rows, dict):
        faults.append(Fault(f"{name}: {kind}", "is not a table", f"write [{kind}.its-key] tables"))
        return
    for key, fields in rows.items():
        where = f"{name}: {kind}.{key[:60]}"
        if not isinstance(fields, dict):
            faults.append(Fault(where, "is not a table", f"write [{kind}.its-key] with its fields below"))
        elif (kind, key) in pages.places:
            other = pages.places[kind, key]
            faults.append(Fault(where, f"the key is there twice, first in {other}", "keep one of the two"))
        else:
            pages.places[kind, key] = where
            _add(pages, kind, Row(where, key, fields, faults))
    if len([place for place in pages.places if place[0] == kind]) > MOST_ROWS:
        raise bad_input(name, f"the book has more than {MOST_ROWS} rows of this kind", "leave out what never decides")


def _add(pages: Pages, kind: str, row: Row) -> None:
    if kind == "cause":
        pages.causes[row.key], likelihoods, pages.alike[row.key] = read_cause(row)
        pages.likelihoods += likelihoods
    elif kind == "sign":
        pages.signs[row.key] = read_sign(row)
    else:
        pages.deciders[row.key] = read_decider(row)


def _strength(pages: Pages) -> NDArray[np.float64]:
    """Return noisy-OR chances, shape (causes, signs), not to be written to."""
    of_cause = {key: index for index, key in enumerate(pages.causes)}
    of_sign = {key: index for index, key in enumerate(pages.signs)}
    strength = np.zeros((len(of_cause), len(of_sign)))
    for one in pages.likelihoods:
        strength[of_cause[one.cause], of_sign[one.sign]] = one.chance
    strength.flags.writeable = False
    return strength
