"""Ground that was fetched before, kept in a folder that never grows past its limit."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input

ENDING: Final = ".tif"
NAME_LETTERS: Final = 40  # of the digest: enough that no two pieces of ground ever share a name


@dataclass(frozen=True, slots=True)
class TerrainCache:
    """A folder of pieces of ground, the longest unused taken out first.

    Attributes
    ----------
    folder : Path
        Made when the first piece is kept.
    limit_bytes : int
        All pieces together; 0 keeps nothing.
    """

    folder: Path
    limit_bytes: int

    def found(self, key: str) -> Path | None:
        """Return the piece kept under a key, marked as used now; None where there is none."""
        path = self._path(key)
        if not path.is_file() or path.is_symlink():
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return path

    def keep(self, key: str, write: Callable[[Path], None]) -> Path:
        """Return where a piece is kept, written whole or not at all, and make room for it.

        Parameters
        ----------
        key : str
            What it is: address and place.
        write : callable
            Given a path, writes the piece there.

        Raises
        ------
        InputError
            If the folder cannot be written.
        """
        path = self._path(key)
        temporary: Path | None = None
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self.folder, prefix=".", suffix=ENDING)
            os.close(handle)
            temporary = Path(name)
            write(temporary)
            temporary.replace(path)
        except OSError as error:
            raise bad_input(str(self.folder), "cannot be written", "name a folder with --cache") from error
        finally:
            if temporary is not None:
                temporary.unlink(missing_ok=True)
        self._make_room(path)
        return path

    def drop(self, key: str) -> None:
        """Take a piece out, such as one that turned out to be damaged."""
        with contextlib.suppress(OSError):
            self._path(key).unlink()

    def size_bytes(self) -> int:
        """Return what all pieces take together."""
        return sum(size for _, size, _ in self._pieces())

    def _make_room(self, newest: Path) -> None:
        """Take out the longest unused until the rest fits; the newest stays until it was read."""
        pieces = sorted(piece for piece in self._pieces() if piece[2] != newest)
        total = sum(size for _, size, _ in pieces) + newest.stat().st_size
        for _, size, path in pieces:
            if total <= self.limit_bytes:
                return
            with contextlib.suppress(OSError):
                path.unlink()
                total -= size

    def trim(self) -> None:
        """Take out the longest unused until all that is left fits."""
        pieces = sorted(self._pieces())
        total = sum(size for _, size, _ in pieces)
        for _, size, path in pieces:
            if total <= self.limit_bytes:
                return
            with contextlib.suppress(OSError):
                path.unlink()
                total -= size

    def _pieces(self) -> list[tuple[float, int, Path]]:
        """Return when each piece was last used, its size and its path; only files that this cache named."""
        pieces = []
        for path in self.folder.glob(f"*{ENDING}") if self.folder.is_dir() else ():
            if len(path.stem) == NAME_LETTERS and not path.is_symlink():
                with contextlib.suppress(OSError):
                    facts = path.stat()
                    pieces.append((facts.st_mtime, facts.st_size, path))
        return pieces

    def _path(self, key: str) -> Path:
        return self.folder / f"{hashlib.sha256(key.encode('utf-8')).hexdigest()[:NAME_LETTERS]}{ENDING}"
