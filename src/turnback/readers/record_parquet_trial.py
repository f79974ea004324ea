"""Read a stranger's Parquet file once in a process of its own.

A damaged one can make the parser ask for more memory than there is, which ends a process at once: then let it be this
one.
Run as ``python -m turnback.readers.record_parquet_trial FILE``; it ends with status 0 where the file can be read.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any, Final

from turnback.readers.record_table_bounds import LEAST_ROWS, MOST_CELLS, MOST_COLUMNS, MOST_ROWS

MOST_MEMORY_BYTES: Final = 6 * 1024**3  # our choice: of addresses, most of which threads only reserve
LONGEST_S: Final = 120.0  # our choice: a whole file takes under two seconds


def survives(path: Path) -> bool:
    """Tell whether a file can be read without harm."""
    command = [sys.executable, "-P", "-m", __name__, str(path.resolve())]
    try:
        done = subprocess.run(command, capture_output=True, timeout=LONGEST_S, check=False)  # noqa: S603 - our own module
    except (OSError, ValueError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def outside_bounds(schema: Any, rows: int) -> bool:
    """Tell whether a table is nested, or too large to be read."""
    return (
        len(schema) > MOST_COLUMNS
        or nested_column(schema) is not None
        or not LEAST_ROWS <= rows <= MOST_ROWS
        or rows * len(schema) > MOST_CELLS
    )


def nested_column(schema: Any) -> str | None:
    """Return the name of a column that holds more than one value in a cell, or None."""
    return next((name for name, kind in schema.items() if kind.is_nested() or str(kind) in ("Binary", "Object")), None)


def _try(path: str) -> None:
    """Read the file column by column; what is too large is left to be refused."""
    import polars as pl  # noqa: PLC0415 - not in the process that only starts this one

    try:
        import resource  # noqa: PLC0415 - not on every system

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    except (ImportError, ValueError, OSError):
        pass
    schema = pl.read_parquet_schema(path)
    rows = int(pl.scan_parquet(path).select(pl.len()).collect().item())
    pl.read_parquet_metadata(path)
    if outside_bounds(schema, rows):
        return
    for name in schema:
        if len(pl.read_parquet(path, columns=[name])) != rows:
            sys.exit(1)


if __name__ == "__main__":
    _try(sys.argv[1])
