"""Print to a stream that may have gone away, and keep text from strangers from steering a terminal."""

from __future__ import annotations

import os
from typing import Final, TextIO

from turnback.base.errors import bad_input

_UNSAFE: Final = {
    *range(0x20), *range(0x7F, 0xA0), 0x061C, *range(0x200B, 0x2010), *range(0x2028, 0x202F), *range(0x2060, 0x2070),
    *range(0xD800, 0xE000), 0xFEFF,
}  # fmt: skip
_MARKS: Final = dict.fromkeys(_UNSAFE, "\ufffd")


def safe(text: str) -> str:
    """Return one line of text in which control and direction characters are shown as a mark."""
    return text.translate(_MARKS)


def put(stream: TextIO, text: str) -> None:
    """Write and flush; a reader that has left (a closed pipe) is no fault of anybody.

    Raises
    ------
    InputError
        If the output cannot be written, such as on a full disk.
    """
    if not text:
        return
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        _close_quietly(stream)
    except OSError as error:
        _close_quietly(stream)
        reason = (error.strerror or "it failed").lower()
        raise bad_input("standard output", f"cannot be written ({reason})", "send it where there is room") from None


def _close_quietly(stream: TextIO) -> None:
    """Point the stream nowhere, so that the interpreter's last flush at exit does not fail again."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
