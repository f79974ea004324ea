"""Write a range walk's files whole or not at all."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.records.walk_answer import WalkAnswer
from turnback.report.files import FOR_ANYTHING, made_folder, unwritable
from turnback.report.numbers import Units
from turnback.report.walk_json import walk_json
from turnback.report.walk_page import walk_html

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
    missing = [each for each in (out, *out.parents) if not each.exists()]
    made_folder(out, FOR_ANYTHING)
    try:
        _written(answer, out, units, file, places=places, before=before)
    except BaseException as error:
        for each in missing:  # the innermost first; where somebody else has put something, it stays
            with suppress(OSError):
                each.rmdir()
        if isinstance(error, OSError):
            raise unwritable(out, error) from None
        raise
    return out / PAGE


def _written(
    answer: WalkAnswer, out: Path, units: Units, file: str, *, places: bool, before: Callable[[], object] | None
) -> None:
    said = {PAGE: walk_html(answer, units, file), DATA: walk_json(answer, places=places)}
    for name in said:
        if (out / name).is_dir():
            raise bad_input(str(out / name), "is a folder where a file belongs", "move it, or name another folder")
    with tempfile.TemporaryDirectory(dir=out, prefix=".walk.") as beside:
        fresh, old = Path(beside) / "fresh", Path(beside) / "old"
        fresh.mkdir()
        old.mkdir()
        for name, content in said.items():
            (fresh / name).write_text(content, encoding="utf-8", newline="\n")
        if before is not None:
            before()
        _move(fresh, old, out)


def _move(fresh: Path, old: Path, out: Path) -> None:
    """Move both in; whatever stops it, all is as it was before."""
    stood = {name for name in (PAGE, DATA) if (out / name).exists()}
    try:
        for name in (PAGE, DATA):
            if name in stood:
                (out / name).rename(old / name)
            (fresh / name).rename(out / name)
    except BaseException:
        for name in (PAGE, DATA):
            if (old / name).exists():
                (old / name).replace(out / name)
            elif name not in stood:
                (out / name).unlink(missing_ok=True)
        raise
