"""Write several files of one answer into a folder, all or none: beside their place first, then moved in."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from turnback.base.errors import bad_input
from turnback.report.files import FOR_ANYTHING, made_folder, unwritable


def write_together(
    said: Mapping[str, str],
    out: Path,
    name: str,
    *,
    gone: Iterable[str] = (),
    before: Callable[[], object] | None = None,
) -> None:
    """Write texts into a folder, all or none; whatever stops it, the folder is as it was.

    Parameters
    ----------
    said : mapping of str to str
        What each file holds, by its name.
    out : Path
        The folder; it is made where it is missing, and its other files are left alone.
    name : str
        Of the answer, for the folder in which the files are made ready.
    gone : iterable of str
        Files of an earlier answer that this one does not have: they are taken away together with the writing.
    before : callable, optional
        Done when all files are made ready and before they are moved in; if it raises, nothing is written.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written, or a folder stands where a file belongs.
    """
    missing = [each for each in (out, *out.parents) if not each.exists()]
    made_folder(out, FOR_ANYTHING)
    try:
        _write(said, out, name, tuple(gone), before)
    except BaseException as error:
        for each in missing:  # the innermost first; where somebody else has put something, it stays
            with suppress(OSError):
                each.rmdir()
        if isinstance(error, OSError):
            raise unwritable(out, error) from None
        raise


def _write(
    said: Mapping[str, str], out: Path, name: str, gone: tuple[str, ...], before: Callable[[], object] | None
) -> None:
    names = (*said, *gone)
    for each in names:
        if (out / each).is_dir():
            raise bad_input(str(out / each), "is a folder where a file belongs", "move it, or name another folder")
    with tempfile.TemporaryDirectory(dir=out, prefix=f".{name}.") as beside:
        fresh, old = Path(beside) / "fresh", Path(beside) / "old"
        fresh.mkdir()
        old.mkdir()
        for each, content in said.items():
            (fresh / each).write_text(content, encoding="utf-8", newline="\n")
        if before is not None:
            before()
        _move(names, fresh, old, out)


def _move(names: tuple[str, ...], fresh: Path, old: Path, out: Path) -> None:
    """Move every new file in and every old one of the same name out; whatever stops it, all is as it was before."""
    stood = {name for name in names if (out / name).exists()}
    try:
        for name in names:
            if name in stood:
                (out / name).rename(old / name)
            if (fresh / name).exists():
                (fresh / name).rename(out / name)
    except BaseException:
        for name in names:
            if (old / name).exists():
                (old / name).replace(out / name)
            elif name not in stood:
                (out / name).unlink(missing_ok=True)
        raise
