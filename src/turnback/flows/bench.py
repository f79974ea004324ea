"""The bench: from what was seen of an aircraft to how it may be put together, and what to look at next."""

from __future__ import annotations

from collections.abc import Sequence

from turnback.assess.assembly_belief import believe, sets, slips, survivors
from turnback.assess.assembly_mend import mend
from turnback.assess.assembly_next import worth_doing
from turnback.assess.assembly_signs import likelihood
from turnback.assess.assembly_wind_up import wind_up
from turnback.records.aircraft import Rotation
from turnback.records.bench import BenchAnswer, Gains, Saw, Seen


def bench(
    seen: Sequence[Seen],
    front_left: Rotation | None = None,
    gains: Gains | None = None,
    taken_back: Sequence[Seen] = (),
) -> BenchAnswer:
    """Say how an aircraft may be put together after what was seen of it, and what to look at next.

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
    stands = _without(seen, taken_back)
    declared = front_left or Rotation.CLOCKWISE
    belief = believe(likelihood(stands, declared))
    named, likeliest = slips(belief), sets(belief)
    ran_up = any(each.what is Saw.RUNS_UP_WITHOUT_PROPELLERS for each in stands)
    return BenchAnswer(
        front_left=declared,
        scheme_assumed=front_left is None,
        seen=stands,
        taken_back=tuple(taken_back),
        right=belief.right,
        slips=named,
        sets=likeliest,
        survivors=survivors(likeliest),
        next_checks=worth_doing(belief, stands),
        wind_up=wind_up(gains) if ran_up or gains is not None else None,
        surprised=belief.surprised,
        mends=tuple(mend(each) for each in named),
    )


def _without(seen: Sequence[Seen], taken_back: Sequence[Seen]) -> tuple[Seen, ...]:
    """Leave out what was taken back; each takes back the last that is like it."""
    left = list(seen)[::-1]
    for each in taken_back:
        if each in left:
            left.remove(each)
    return tuple(left[::-1])
