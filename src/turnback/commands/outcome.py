"""What a command gives back: an exit status and what to print. Nothing is printed before the answer is whole."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Status(IntEnum):
    """Exit statuses; scripts rely on them."""

    REACHED = 0
    """An answer was reached, whatever it says."""
    CRASH = 1
    """A fault of this program."""
    BAD_INPUT = 2
    GATE = 3
    """The verdict does not meet ``--gate``."""
    STOPPED = 130
    """Stopped from the keyboard, as shells count it: 128 and the signal's number."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """The result of one command.

    Parameters
    ----------
    out : str
        For standard output, ending in a line feed, or empty.
    status : Status
        For the shell.
    aside : str
        For standard error, such as the report's path where standard output holds JSON.
    """

    out: str
    status: Status = Status.REACHED
    aside: str = ""
