"""How a teller of signs keeps what it says, and how sure it is near a limit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import RecordSign, SignNotLookedFor, SignsTold
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_outputs import SURE_MOST, SURE_WIDTH

LEAST_SCORE = 1e-6
Span = tuple[float, float]


def sure_of(score: float, most: float = SURE_MOST.value) -> float:
    """Return how sure "beyond its limit or not" is, by how far a value lies from the limit.

    Parameters
    ----------
    score : float
        The value over its limit, at least 0.
    most : float
        Far from the limit.

    Returns
    -------
    float
        0.5 at the limit, toward `most` far from it: the hyperbolic tangent of the logarithm of the score over a width.
    """
    off = abs(math.log(max(score, LEAST_SCORE))) / SURE_WIDTH.value
    return 0.5 + (most - 0.5) * math.tanh(off)


def needing(*quantities: Quantity) -> tuple[Channel, ...]:
    """Return the channels that would tell."""
    return tuple(map(Channel, quantities))


@dataclass(slots=True)
class Telling:
    """Signs as they are told; each sign once."""

    signs: dict[str, RecordSign] = field(default_factory=dict)
    missing: dict[str, SignNotLookedFor] = field(default_factory=dict)

    def scored(
        self, sign: str, group: str, score: float, *, most: float = SURE_MOST.value, span: Span | None = None,
        values: Mapping[str, float] | None = None, channels: tuple[Channel, ...] = (),
    ) -> bool:  # fmt: skip
        """Tell a sign that is seen where its value reaches its limit; return whether it is."""
        seen = score >= 1.0
        self.told(
            sign, group, seen, sure_of(score, most), span=span if seen else None, values=values, channels=channels
        )
        return seen

    def told(
        self, sign: str, group: str, seen: bool, sure: float, *, span: Span | None = None,
        values: Mapping[str, float] | None = None, channels: tuple[Channel, ...] = (),
    ) -> None:  # fmt: skip
        """Tell a sign."""
        start_s, end_s = span or (None, None)
        kept = {key: float(value) for key, value in (values or {}).items() if math.isfinite(value)}
        self.signs[sign] = RecordSign(
            sign, bool(seen), min(max(float(sure), 0.5), 0.98), group, start_s, end_s, kept, channels
        )
        self.missing.pop(sign, None)

    def missed(self, why: WhyNot, *signs: str, needs: tuple[Channel, ...] = ()) -> None:
        """Tell that signs could not be looked for; what was told before stays."""
        for sign in signs:
            if sign not in self.signs:
                self.missing[sign] = SignNotLookedFor(sign, why, needs)

    def all(self) -> SignsTold:
        """Return everything that was told."""
        return SignsTold(tuple(self.signs.values()), tuple(self.missing.values()))
