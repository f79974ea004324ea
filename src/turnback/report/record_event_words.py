"""What the words of one kind of event are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class EventWords:
    """Words of one kind of event.

    Parameters
    ----------
    name : str
        What is looked for, as a title: it stands in lists, and where it could not be looked for.
    weight : int
        How much it matters to what came of the flight, 0 to 100: the weightiest are told first and stand in the story.
    lines : tuple of str
        Sentences, the fullest first. Their places are keys of the event's values, as text with its unit, or ``time``,
        ``end``, ``lasting``, ``corners``, ``channels``; the first sentence whose places are all known is said. The
        last one needs no more than the time.
    apart : mapping of str to tuple of str
        Sentences that stand before `lines` where the key holds of the event: one of its words, such as ``"video"``, or
        two of them joined, such as ``"along+speed"``, a value, such as ``"back=0"``, how many corners it has, such as
        ``"corners=1"``, its rule, such as ``"rule=record.outputs.stands_share"``, or the quantity of its first channel.
    worst : str
        Key of the value by whose size several of one kind are compared; empty: by how long they lasted.
    """

    name: str
    weight: int
    lines: tuple[str, ...]
    worst: str = ""
    apart: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
