"""Write a range walk's files whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from turnback.records.walk_answer import WalkAnswer
from turnback.report.numbers import Units
from turnback.report.walk_json import walk_json
from turnback.report.walk_page import walk_html
from turnback.report.written import write_together

PAGE: Final = "walk.html"
DATA: Final = "walk.json"


def write_walk(
    answer: WalkAnswer,
    out: Path,
    units: Units = Units.METRIC,
    *,
    file: str = "learned.toml",
    places: bool = True,
    before: Callable[[], object] | None = None,
) -> Path:
    """Write the page and the numbers into a folder, both or neither; return the page's path.

    Parameters
    ----------
    answer : WalkAnswer
    out : Path
        The folder; it is made where it is missing.
    units : Units
        Those of the page.
    file : str
        Where the walk is kept, as the user names it.
    places : bool
        With where each reading was taken.
    before : callable, optional
        Done when both files are written beside their places and before they are moved in; if it raises, nothing is
        written.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    said = {PAGE: walk_html(answer, units, file), DATA: walk_json(answer, places=places)}
    write_together(said, out, "walk", before=before)
    return out / PAGE
