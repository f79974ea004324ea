"""What was heard in a pilot's own words; nothing of it counts before it is confirmed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heard:
    """One sign that a text tells.

    Parameters
    ----------
    sign : str
        Key in the book.
    seen : bool
        False where the text says that it is not there: "it did not flip".
    score : float
        0 to 1: weight of a known phrase's words that the text has, near together.
    sure : float
        0.5 to 1: share of such matches that are right.
    start, end : int
        Where in the text; characters from its beginning, the end not included.
    sentence : int
        0 for the first sentence: what one sentence tells shares its error.
    phrase : str
        The known phrase that it was likened to.
    """

    sign: str
    seen: bool
    score: float
    sure: float
    start: int
    end: int
    sentence: int
    phrase: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit as it stands in a text: "14.2 V".

    Parameters
    ----------
    value : float
    unit : str
        As people's units are written: V, A, mAh, Ah, m, km, ft, dBm, dB, %, s, min, °C, km/h, m/s, mph, kn.
    start, end : int
        Where in the text.
    """

    value: float
    unit: str
    start: int
    end: int
