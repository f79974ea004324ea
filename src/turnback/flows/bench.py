"""The bench: from what was seen of an aircraft to how it may be put together, and what to look at next."""

from __future__ import annotations

from collections.abc import Sequence

from turnback.records.aircraft import Rotation
from turnback.records.bench import BenchAnswer, Gains, Seen


def bench(
    seen: Sequence[Seen],
    front_left: Rotation | None = None,
    gains: Gains | None = None,
    taken_back: Sequence[Seen] = (),
) -> BenchAnswer:
    """Say how an aircraft may be put together after what was seen of it.

    Parameters
    ----------
    seen : sequence of Seen
        Oldest first; from `turnback.readers.bench_said.seen_from`.
    front_left : Rotation, optional
        Declared scheme: how the front-left motor should turn, seen from above. Where it is open, clockwise is
        assumed, and the answer says so.
    gains : Gains, optional
        The pilot's own; typical ones where none are given.
    taken_back : sequence of Seen
        What was said and taken back: it is left out of `seen`, and shown.
    """
    left = list(seen)
    for each in taken_back:
        if each in left:
            left.remove(each)
    return BenchAnswer(
        front_left or Rotation.CLOCKWISE, front_left is None, tuple(left), tuple(taken_back),
        1.0, (), (), (), (), None, surprised=False,
    )  # fmt: skip
