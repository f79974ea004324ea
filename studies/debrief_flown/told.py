"""What the product tells of one flown case, and what is made of it: signs and scores. Data only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ToldSign:
    """One sign of the book, told of one record."""

    sign: str
    seen: bool
    sure: float
    group: str


@dataclass(frozen=True, slots=True)
class ToldCase:
    """One flight with its true cause and the signs that were told.

    Parameters
    ----------
    generator : str
    seed : int
    cause : str or None
    kit : str
    group : tuple of str
        Look-alikes of the cause in this kit, itself among them; empty where it leaves no trace, and of healthy flights.
    healthy : str
        Kind of healthy flight; empty of others.
    signs : tuple of ToldSign
    broke : str
        What reading it ended in, where it did not end well.
    has_plan : bool
        Whether a plan came with the record.
    """

    generator: str
    seed: int
    cause: str | None
    kit: str
    group: tuple[str, ...]
    healthy: str
    signs: tuple[ToldSign, ...]
    broke: str = ""
    has_plan: bool = True

    @property
    def separable(self) -> bool:
        """Whether the channels of its record tell its cause from all others."""
        return self.cause is not None and len(self.group) == 1


@dataclass(frozen=True, slots=True)
class Scored:
    """What was believed of one case.

    Parameters
    ----------
    case : ToldCase
    ranked : tuple of (str, float)
        The likeliest causes with their chances, something else among them.
    nothing_wrong : float
    judged : str
        Name of `turnback.records.belief.Judged`.
    survivors : tuple of str
    left_open : tuple of str
        Every cause that the answer leaves open.
    raw : float
        Chance of the likeliest cause before it was held to a curve.
    """

    case: ToldCase
    ranked: tuple[tuple[str, float], ...]
    nothing_wrong: float
    judged: str
    survivors: tuple[str, ...]
    left_open: tuple[str, ...] = ()
    raw: float = 0.0

    @property
    def first(self) -> bool:
        """Whether the true cause is the likeliest, something else counted as an answer."""
        return self.ranked[0][0] == self.case.cause
