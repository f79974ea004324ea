"""The one way bad input is told: where, what, what to do.

A fault is data. All faults of an input are collected and raised together, so a person mends a file once.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input.

    Parameters
    ----------
    where : str
        File (as the user named it) and field, such as ``plan.toml: pack.cells``.
    what : str
        What is wrong, with the value met and the range allowed.
    do : str
        What to do about it, naming the likely slip.
    """

    where: str
    what: str
    do: str

    def sentence(self) -> str:
        """One sentence: where, what, what to do."""
        return f"{self.where}: {self.what}; {self.do}."


class InputError(Exception):
    """Input that cannot be used. Faces print its faults and end with exit status 2, no traceback."""

    exit_status = 2

    def __init__(self, *faults: Fault) -> None:
        super().__init__("\n".join(f.sentence() for f in faults))
        self.faults: tuple[Fault, ...] = faults


def bad_input(where: str, what: str, do: str) -> InputError:
    """Make an `InputError` of a single fault."""
    return InputError(Fault(where, what, do))
