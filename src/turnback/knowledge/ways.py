"""How pilots tell of each cause in their own words. Data of ``ways.toml``, read once."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources


def ways_from(text: str) -> dict[str, tuple[str, ...]]:
    """Return, by cause, the examples of a TOML text.

    Parameters
    ----------
    text : str
        ``[ways]`` with ``cause = ["as one would tell it", ...]``.
    """
    return {cause: tuple(rows) for cause, rows in tomllib.loads(text)["ways"].items()}


@cache
def read_ways() -> dict[str, tuple[str, ...]]:
    """Return the examples beside this module."""
    return ways_from(resources.files(__package__).joinpath("ways.toml").read_text(encoding="utf-8"))
