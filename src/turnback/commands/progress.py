"""Say what goes on, once it lasts longer than a second, and only where a person looks on."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, TextIO

PATIENCE_S: Final = 1.0
LONG_S: Final = 8.0
ERASE: Final = "\r\x1b[K"
FIRST_RUN: Final = " (the first run on a machine prepares its kernels, later ones take seconds)"


@contextmanager
def progress(doing: str, stream: TextIO | None = None) -> Iterator[None]:
    """Show `doing` and the seconds on standard error while the block runs, if that is a terminal."""
    stream = sys.stderr if stream is None else stream
    if not stream.isatty():
        yield
        return
    done = threading.Event()
    teller = threading.Thread(target=_tell, args=(doing, done, stream), daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def _tell(doing: str, done: threading.Event, stream: TextIO) -> None:
    start_s = time.monotonic()
    told = False
    while not done.wait(PATIENCE_S):
        elapsed_s = time.monotonic() - start_s
        hint = FIRST_RUN if elapsed_s >= LONG_S else ""
        stream.write(f"{ERASE}{doing}: {elapsed_s:.0f} s{hint}")
        stream.flush()
        told = True
    if told:
        stream.write(ERASE)
        stream.flush()
