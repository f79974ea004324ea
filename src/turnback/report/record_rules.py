"""The thresholds of reading a record, by key: what each phase and event was held against."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from turnback import rules
from turnback.rules.rule import Threshold

PREFIX = "record_"


def threshold_of(key: str) -> Threshold | None:
    """Return the threshold of a key, or None where there is none."""
    return thresholds().get(key)


@cache
def thresholds() -> dict[str, Threshold]:
    """Return all thresholds of reading a record, from every room that holds some."""
    rooms = sorted(each.name for each in iter_modules(rules.__path__) if each.name.startswith(PREFIX))
    rows = [row for name in rooms for row in import_module(f"{rules.__name__}.{name}").RULES]
    return {row.key: row for row in rows if isinstance(row, Threshold)}
