"""Typical values as data (``typical.toml``): what fills a gap, with band, source and reason."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Typical:
    """One row. `low` and `high` hold 90 % of builds of that class; equal to `value` where no band is carried."""

    value: float
    low: float
    high: float
    source: str
    why: str


Table = dict[str, Typical]


def typical(group: str, name: str | None = None) -> Table:
    """Return the rows of a group, such as ``typical("aircraft", "7-inch")`` or ``typical("pack")``.

    Raises
    ------
    KeyError
        If there is no such group or name: a programming error.
    """
    rows = _file()[group]
    return {key: _row(row) for key, row in (rows if name is None else rows[name]).items()}


@cache
def _file() -> dict[str, dict[str, dict[str, object]]]:
    return tomllib.loads(resources.files("turnback.rules").joinpath("typical.toml").read_text(encoding="utf-8"))


def _row(row: object) -> Typical:
    if not isinstance(row, dict):
        raise KeyError("typical.toml: this group has names; ask for one of them")
    value = float(row["value"])
    return Typical(value, float(row.get("low", value)), float(row.get("high", value)), row["source"], row["why"])
