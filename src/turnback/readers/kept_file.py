"""A chain that was kept as a JSON file: read from strangers, so with limits."""

from __future__ import annotations

import json
import stat
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import bad_input

MOST_BYTES: Final = 1_000_000
AGAIN: Final = "begin anew without it, or name the chain.json that an earlier answer wrote"


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
