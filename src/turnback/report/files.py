"""Write a report's files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final, cast

from turnback.base.errors import InputError, bad_input

FOR_REPORT: Final = "name a folder for the report"
FOR_MAP: Final = "name a folder for the map"
FOR_ANYTHING: Final = "name a folder to write to"
"""What to do where a folder is asked for and a file stands."""


def made_folder(folder: Path, do: str = FOR_REPORT) -> Path:
    """Return `folder`, made where it was missing.

    Parameters
    ----------
    folder : Path
    do : str
        What to do if it is a file.

    Raises
    ------
    InputError
        If it is a file, or cannot be made or written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise bad_input(str(folder), "is a file, not a folder", do) from None
    except OSError as error:
        raise unwritable(folder, error) from None
    return folder


def require_folder(folder: Path, do: str = FOR_ANYTHING) -> None:
    """Make sure that a folder can be written, or be made, before long work begins; it is left as it is.

    Raises
    ------
    InputError
        If it is a file, or cannot be made or written.
    """
    try:
        stands = next(each for each in (folder.absolute(), *folder.absolute().parents) if each.exists())
        if not stands.is_dir():
            raise bad_input(str(folder), "is a file, not a folder", do)
        with tempfile.TemporaryDirectory(dir=stands, prefix=".turnback."):
            pass
    except OSError as error:
        raise unwritable(folder, error) from None


def write_new(path: Path, text: str) -> Path:
    """Write a text file that does not exist yet.

    Raises
    ------
    InputError
        If something stands there already, or the folder cannot be written.
    """
    try:
        with path.open("x", encoding="utf-8", newline="\n") as handle:
            handle.write(text)
    except FileExistsError:
        raise bad_input(str(path), "is there already", "name another file, or take that one away first") from None
    except OSError as error:
        raise unwritable(path, error) from None
    return path


def write_whole(path: Path, text: str) -> Path:
    """Write a text file beside its place and move it in, so that a reader never meets half of it.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    return write_whole_bytes(path, text.encode("utf-8"))


def write_whole_bytes(path: Path, content: bytes) -> Path:
    """Write a file of bytes beside its place and move it in; what stood there is replaced whole.

    Raises
    ------
    InputError
        If the folder cannot be written, or a folder stands there.
    """
    with writing_whole(path) as handle:
        handle.write(content)
    return path


@contextmanager
def writing_whole(path: Path) -> Iterator[BinaryIO]:
    """Open a file to be written beside its place, and move it in when the block ends; if it fails, nothing is left.

    Yields
    ------
    BinaryIO
        Seekable, empty.

    Raises
    ------
    InputError
        If the folder cannot be written, or a folder stands there.
    """
    temporary: Path | None = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as handle:
            temporary = Path(handle.name)
            yield cast(BinaryIO, handle)
        temporary.chmod(0o666 & ~_umask())
        temporary.replace(path)
    except BaseException as error:  # who is interrupted leaves no half file either
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise unwritable(path, error) from None
        raise


def unwritable(path: Path, error: OSError) -> InputError:
    """Return the fault of a place that cannot be written, with the system's reason."""
    reason = (error.strerror or "it failed").lower()
    return bad_input(str(path), f"cannot be written ({reason})", "name a place where you may write")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
