"""A chain that was kept as a JSON file: read from strangers, so with limits."""

from __future__ import annotations

import hashlib
import json
import stat
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import bad_input

MOST_BYTES: Final = 1_000_000
PIECE_BYTES: Final = 1 << 20
AGAIN: Final = "begin anew without it, or name the chain.json that an earlier answer wrote"


def mark_of(path: Path) -> str:
    """Return size and digest of a file, by which a chain knows it again; empty where it cannot be read."""
    try:
        size = path.stat().st_size
        digest = hashlib.blake2b(digest_size=16)
        with path.open("rb") as handle:
            while piece := handle.read(PIECE_BYTES):
                digest.update(piece)
    except OSError:
        return ""
    return f"{size}-{digest.hexdigest()}"


def is_marked(path: Path, mark: str) -> bool:
    """Tell whether a file is the one that a chain knows.

    A chain may come from a stranger and name any path: what is no plain file of the size that it says is not opened at
    all, and what does not hold what it says is only measured.

    Parameters
    ----------
    path : Path
    mark : str
        Of `mark_of`.
    """
    size = mark.partition("-")[0]
    try:
        found = path.stat()
    except (OSError, ValueError):
        return False
    return stat.S_ISREG(found.st_mode) and size == str(found.st_size) and mark_of(path) == mark


def kept_json(file: Path, mark: str, what: str) -> dict[str, Any]:
    """Return the object that a chain's file holds.

    Parameters
    ----------
    file : Path
    mark : str
        Key whose value 1 says that the file is one.
    what : str
        Of what it is the chain, for errors.

    Raises
    ------
    InputError
        If it is not there, is a pipe, is too large, is not JSON, or is no such chain.
    """
    try:
        if stat.S_ISFIFO(file.stat().st_mode):  # nobody may ever write to it
            raise bad_input(str(file), "is a pipe, not a file", AGAIN)
        with file.open("rb") as handle:
            data = handle.read(MOST_BYTES + 1)
    except OSError as error:
        raise bad_input(str(file), f"cannot be read: {error.strerror or error}", AGAIN) from None
    if len(data) > MOST_BYTES:
        raise bad_input(str(file), "is larger than a chain can be (1 MB)", AGAIN)
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        raise bad_input(str(file), "is not JSON", AGAIN) from None
    if not isinstance(found, dict) or found.get(mark) != 1:
        raise bad_input(str(file), f"is not the chain of a {what}", AGAIN)
    return found
