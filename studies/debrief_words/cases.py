"""The words-only cases, read from their tables."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent
CASES: Final = HERE / "cases.toml"
FRESH: Final = HERE / "cases_fresh.toml"
THIRD: Final = HERE / "cases_third.toml"
FOURTH: Final = HERE / "cases_fourth.toml"
READING: Final = re.compile(r"(?P<of>[^:]+): (?P<value>-?[\d.]+) (?P<unit>\S+)(?: @ (?P<at_s>\d+))?")


@dataclass(frozen=True, slots=True)
class Expected:
    """One reading that is to be taken from the words; of time only its value counts."""

    of: str
    value: float
    at_s: float | None


@dataclass(frozen=True, slots=True)
class WordsCase:
    """One case: what was said, what it was, and what is to be taken from it.

    Parameters
    ----------
    said : str
    cause : str
    also : tuple of str
        Causes that nobody could tell from it by these words.
    readings : tuple of Expected
    hurt, pack, where : str
        Values of `records.debrief.Hurt`, `PackState`, `Whereabouts`.
    cells : int or None
    """

    said: str
    cause: str
    also: tuple[str, ...]
    readings: tuple[Expected, ...]
    hurt: str
    pack: str
    where: str
    cells: int | None

    @property
    def accepted(self) -> frozenset[str]:
        """The true cause and its look-alikes."""
        return frozenset((self.cause, *self.also))


def cases(path: Path = CASES) -> tuple[WordsCase, ...]:
    """Return the cases of one table, in its order.

    Raises
    ------
    ValueError
        For a reading that is not written as "what: value unit @ seconds".
    """
    rows = tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    return tuple(_case(row) for row in rows)


def tuning() -> tuple[WordsCase, ...]:
    """Return the cases that may be tuned by: all but those of the fourth table."""
    return (*cases(), *cases(FRESH), *cases(THIRD))


def _case(row: dict[str, object]) -> WordsCase:
    where = str(row.get("where", "not told"))
    also, readings = row.get("also", []), row.get("readings", [])
    cells = row.get("cells")
    assert isinstance(also, list) and isinstance(readings, list)
    return WordsCase(
        said=str(row["said"]),
        cause=str(row["cause"]),
        also=tuple(also),
        readings=tuple(_reading(each) for each in readings),
        hurt=str(row.get("hurt", "not told")),
        pack=str(row.get("pack", "damaged" if where == "lost" else "not told")),
        where=where,
        cells=cells if isinstance(cells, int) else None,
    )


def _reading(text: str) -> Expected:
    match = READING.fullmatch(text)
    if match is None:
        raise ValueError(text)
    at_s = match["at_s"]
    return Expected(match["of"], float(match["value"]), None if at_s is None else float(at_s))
