"""The chain of a talk at the bench, kept as a file: read from strangers, so with limits."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.said import said
from turnback.records.bench_talk import Step, StepKind

CHAIN_NAME: Final = "chain.json"
MOST_BYTES: Final = 1_000_000
MOST_STEPS: Final = 500
LONGEST_TEXT: Final = 20_000
AGAIN: Final = "begin anew without it, or name the chain.json that a bench wrote"


def chain_text(steps: Sequence[Step]) -> str:
    """Return a chain as JSON; `read_chain` reads it back."""
    rows = [{each.kind.value: each.text} for each in steps]
    return json.dumps({"turnback_bench_chain": 1, "steps": rows}, ensure_ascii=False, indent=1) + "\n"


def read_chain(path: Path) -> tuple[Step, ...]:
    """Read a chain that was kept.

    Parameters
    ----------
    path : Path
        The file, or the folder that holds it as ``chain.json``.

    Raises
    ------
    InputError
        If it is not there, is too large, or is no chain.
    """
    file = path / CHAIN_NAME if path.is_dir() else path
    try:
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
    rows = found.get("steps") if isinstance(found, dict) else None
    if not isinstance(rows, list) or found.get("turnback_bench_chain") != 1:
        raise bad_input(str(file), "is not the chain of a bench", AGAIN)
    if len(rows) > MOST_STEPS:
        raise bad_input(str(file), f"has more than {MOST_STEPS} steps", AGAIN)
    return tuple(_steps(rows, file))


def _steps(rows: list[Any], file: Path) -> list[Step]:
    kinds = {kind.value: kind for kind in StepKind}
    steps: list[Step] = []
    faults: list[Fault] = []
    for k, row in enumerate(rows, 1):
        pair = next(iter(row.items())) if isinstance(row, dict) and len(row) == 1 else (None, None)
        kind = kinds.get(pair[0]) if isinstance(pair[0], str) else None
        if kind is None or not isinstance(pair[1], str) or not 0 < len(pair[1]) <= LONGEST_TEXT:
            faults.append(Fault(f"{file}, step {k}", f"{said(row)} is no step", AGAIN))
        else:
            steps.append(Step(kind, pair[1]))
    if faults:
        raise InputError(*faults)
    return steps
