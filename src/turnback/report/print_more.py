"""The parts of the printed report that a brief may lack: fall, pilot and pack care."""

from __future__ import annotations

from turnback.records.result import BriefResult
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.print_parts import Block, items, pairs, section
from turnback.report.tables import Table
from turnback.report.words_fall import fall_lines, fall_table


def more_sections(place: str, result: BriefResult, units: Units) -> list[Block]:
    """Return those parts that the brief has.

    Parameters
    ----------
    place : str
        ``"first"`` for page one, ``"behind"`` for the expert's pages.
    result : BriefResult
        The answer.
    units : Units
        Metric or imperial.
    """
    found: list[Block] = []
    if place == "behind" and result.fall is not None:
        found.append(
            _part("fall", text("Where it comes down"), fall_lines(result.fall, units), fall_table(result.fall, units))
        )
    return found


def _part(name: str, title: str, lines: tuple[str, ...], table: Table) -> Block:
    return section(name, title, items(lines), pairs([(row.name, row.value) for row in table.rows], title=table.title))
