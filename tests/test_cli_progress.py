"""Progress: told only to a person who looks on, only after a second, and wiped away at the end."""

from __future__ import annotations

import io
import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from turnback.commands import progress as module
from turnback.commands.printing import put, safe
from turnback.commands.progress import progress

ROOT = Path(__file__).resolve().parent.parent


class Terminal(io.StringIO):
    """Text that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_a_terminal_is_told_and_left_clean(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PATIENCE_S", 0.05)
    stream = Terminal()
    with progress("Working", stream):
        waited_until_s = time.monotonic() + 30.0  # a busy machine may not let the other thread run at once
        while "Working: 0 s" not in stream.getvalue() and time.monotonic() < waited_until_s:
            time.sleep(0.05)
    said = stream.getvalue()
    assert "Working: 0 s" in said
    assert said.endswith("\r\x1b[K")


def test_a_quick_answer_says_nothing() -> None:
    stream = Terminal()
    with progress("Working", stream):
        pass
    assert stream.getvalue() == ""


def test_a_file_is_told_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PATIENCE_S", 0.01)
    stream = io.StringIO()
    with progress("Working", stream):
        time.sleep(0.1)
    assert stream.getvalue() == ""


def test_it_ends_when_the_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PATIENCE_S", 0.02)
    stream = Terminal()
    with pytest.raises(ValueError, match="no"), progress("Working", stream):
        time.sleep(0.1)
        raise ValueError("no")
    told = stream.getvalue()
    time.sleep(0.1)
    assert stream.getvalue() == told


def test_a_terminal_gets_colour_unless_it_asks_for_none() -> None:
    """A real brief with standard output and standard error on a pseudo-terminal."""
    for no_colour, coloured in (("", True), ("1", False)):
        ours, theirs = pty.openpty()
        command = subprocess.Popen(
            [sys.executable, "-m", "turnback", "brief", str(ROOT / "examples" / "go.toml")],
            stdout=theirs, stderr=theirs, env={**os.environ, "NO_COLOR": no_colour, "TERM": "xterm"},
        )  # fmt: skip
        os.close(theirs)
        said = _all_of(ours)
        assert command.wait(timeout=120) == 0
        assert (b"\x1b[1;32mGO\x1b[0m" in said) is coloured
        assert b"What to do" in said


def _all_of(descriptor: int) -> bytes:
    """Read a pseudo-terminal until its other end is closed."""
    said = b""
    while select.select([descriptor], [], [], 120.0)[0]:
        try:
            read = os.read(descriptor, 65536)
        except OSError:  # Linux: the other end is closed
            break
        if not read:
            break
        said += read
    os.close(descriptor)
    return said


def test_safe_marks_what_steers_and_keeps_the_rest() -> None:
    assert safe("a\x1b[2J\u009b\u202eé−Ω\n") == "a\ufffd[2J\ufffd\ufffdé−Ω\ufffd"


def test_nothing_to_say_is_not_written() -> None:
    stream = io.StringIO()
    put(stream, "")
    assert stream.getvalue() == ""
