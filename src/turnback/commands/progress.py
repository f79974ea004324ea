"""Say what goes on, once it lasts longer than a second, and only where a person looks on."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, TextIO

PATIENCE_S: Final = 1.0
LONG_S: Final = 8.0
ERASE: Final = "\r\x1b[K"
FIRST_RUN: Final = " (the first run on a machine prepares its kernels, later ones take seconds)"


Tell = Callable[[float], None]


@dataclass(slots=True)
class _Done:
    """The share of the work that is done, where the work tells it."""

    share: float | None = None

    def __call__(self, share: float) -> None:
        """Note it."""
        self.share = share


@contextmanager
def progress(doing: str, stream: TextIO | None = None) -> Iterator[Tell]:
    """Show `doing` and the seconds on standard error while the block runs, if that is a terminal.

    The block may tell the share of its work that is done, 0 to 1, which is then shown too.
    """
    stream = sys.stderr if stream is None else stream
    share = _Done()
    if not stream.isatty():
        yield share
        return
    done = threading.Event()
    teller = threading.Thread(target=_tell, args=(doing, done, stream, share), daemon=True)
    teller.start()
    try:
        yield share
    finally:
        done.set()
        teller.join()


def _tell(doing: str, done: threading.Event, stream: TextIO, work: _Done) -> None:
    start_s = time.monotonic()
    told = False
    while not done.wait(PATIENCE_S):
        elapsed_s = time.monotonic() - start_s
        hint = FIRST_RUN if elapsed_s >= LONG_S and not work.share else ""
        share = f", {min(work.share, 1.0):.0%} done" if work.share else ""
        stream.write(f"{ERASE}{doing}: {elapsed_s:.0f} s{share}{hint}")
        stream.flush()
        told = True
    if told:
        stream.write(ERASE)
        stream.flush()
