"""Throw away compiled kernels that an edit elsewhere made wrong.

numba keys a cached kernel on the text of its own module only. A kernel compiles the kernels and constants that it
uses into itself, so after an edit of one of those, or an upgrade, the cache would go on giving the old numbers and
nobody would see it. Here the cache is keyed on the text of every module that kernels are made of.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Final

FLOORS: Final = ("assess", "base", "physics", "records", "rules")
"""Kernels live in physics, and those of the map in assess; both use constants of the floors below them."""
STAMP: Final = "turnback-kernels.stamp"


@cache
def sources_digest(package: Path) -> str:
    """Return a digest of every module that a kernel can be made of; empty where there are no files to read."""
    digest = hashlib.blake2b(digest_size=16)
    files = sorted(path for floor in FLOORS for path in (package / floor).glob("*.py"))
    for path in files:
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest() if files else ""


@cache
def drop_stale(cache_folder: Path, digest: str) -> int:
    """Delete the cached kernels of a folder unless they were made from the same sources.

    Parameters
    ----------
    cache_folder : Path
        Where numba keeps the kernels of one source folder; it may not exist yet.
    digest : str
        Of today's sources (`sources_digest`); with an empty one nothing is deleted.

    Returns
    -------
    int
        How many files went. A folder that cannot be written is left alone: numba does not read it either.
    """
    stamp = cache_folder / STAMP
    gone = 0
    try:
        if not digest or (stamp.exists() and stamp.read_text(encoding="ascii") == digest):
            return 0
        cache_folder.mkdir(parents=True, exist_ok=True)
        for path in [*cache_folder.glob("*.nbi"), *cache_folder.glob("*.nbc")]:
            path.unlink(missing_ok=True)
            gone += 1
        stamp.write_text(digest, encoding="ascii")
    except OSError:
        return gone
    return gone
