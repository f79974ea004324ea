"""How a teller of signs says what it saw: a measure held against a limit, or why it could not look."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import erf, log, sqrt
from typing import Final, TypeVar

from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked, RecordSign, SignNotLookedFor, SignsTold
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer, WhyNot

MOST_SURE: Final = 0.98
SPARE_S: Final = 0.3
Z90: Final = 1.645
Seen = TypeVar("Seen")


@dataclass(frozen=True, slots=True)
class Saw:
    """A measure beside its limit.

    Parameters
    ----------
    beyond : float
        How far it is beyond the limit; positive is seen. In standard errors of the measure.
    group : str
    values : mapping
        As in `RecordSign`.
    start_s, end_s : float or None
    channels : tuple of Channel
    most : float
        Never surer than this.
    """

    beyond: float
    group: str
    values: Mapping[str, float] = field(default_factory=dict)
    start_s: float | None = None
    end_s: float | None = None
    channels: tuple[Channel, ...] = ()
    most: float = MOST_SURE


@dataclass(frozen=True, slots=True)
class Blind:
    """Why it could not look."""

    why: WhyNot
    needs: tuple[Channel, ...] = ()


NOBODY: Final = Blind(WhyNot.NO_CHANNEL)
"""What no record tells: it takes the pilot's word, eyes, or another flight."""


def needs(*quantities: Quantity) -> Blind:
    """Say that channels are missing."""
    return Blind(WhyNot.NO_CHANNEL, tuple(map(Channel, quantities)))


def sure_of(beyond: float, most: float = MOST_SURE) -> float:
    """Return how sure a measure is on its side of a limit, so many standard errors away: the normal distribution.

    Parameters
    ----------
    beyond : float
        Dimensionless.
    most : float
        0.5 to 1.
    """
    return min(0.5 * (1.0 + erf(abs(beyond) / sqrt(2.0))), most)


def told_of(seen: Seen, table: Mapping[str, Callable[[Seen], Saw | Blind]]) -> SignsTold:
    """Ask every teller of a table and say what each says under its sign's key.

    Parameters
    ----------
    seen
        What each gets.
    table : mapping of str to callable
    """
    signs: list[RecordSign] = []
    blind: list[SignNotLookedFor] = []
    for key, tell in table.items():
        said = tell(seen)
        if isinstance(said, Blind):
            blind.append(SignNotLookedFor(key, said.why, said.needs))
            continue
        there = bool(said.beyond > 0.0)
        sure = float(sure_of(said.beyond, said.most))
        span = (said.start_s, said.end_s) if there else (None, None)
        values = {name: float(value) for name, value in said.values.items()}
        signs.append(RecordSign(key, there, sure, said.group, *span, values, said.channels))
    return SignsTold(tuple(signs), tuple(blind))


def events_of(answer: RecordAnswer, kind: EventKind, until_s: float) -> tuple[Event, ...]:
    """Return the events of a kind that begin before a time."""
    return tuple(each for each in answer.events if each.kind is kind and each.start_s < until_s)


def ends_aloft_event(looked: Looked) -> Event | None:
    """Return where the record ends in the air, unless what came before it had ended the flight.

    A fall that it flew out of, moments before, has not.

    Parameters
    ----------
    looked : Looked
    """
    ends = next((each for each in looked.answer.events if each.kind is EventKind.ENDS_ALOFT), None)
    if ends is None or looked.ended_s >= ends.start_s - SPARE_S:
        return ends
    fell = ends.words.get("phase") == PhaseKind.FALL.value or ends.values.get("runs") == 0.0
    blown = any(each.kind is EventKind.IMPACT and each.start_s > looked.ended_s - 1.0 for each in looked.answer.events)
    last_fall = max((each.end_s for each in looked.answer.flown.phases if each.kind is PhaseKind.FALL), default=-1.0)
    flew_on = looked.ended_s < last_fall < ends.start_s
    return ends if flew_on and not (fell or blown) else None


def why_not(answer: RecordAnswer, kind: EventKind) -> Blind | None:
    """Return why a kind of event was not looked for; None where it was."""
    found = next((each for each in answer.not_told if each.kind is kind), None)
    return None if found is None else Blind(found.why, found.needs)


def log_spread(spread: Spread | None) -> float:
    """Return the standard deviation of the logarithm of a positive spread of 5 to 95 %; 0 of none."""
    if spread is None or not 0.0 < spread.low <= spread.high:
        return 0.0
    return log(spread.high / spread.low) / (2.0 * Z90)
