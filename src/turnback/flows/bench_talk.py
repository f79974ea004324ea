"""A talk at the bench: what was told, how it may be put together, and what the whole book makes of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from turnback.assess.belief import believe
from turnback.assess.hearing import hear, observations_of
from turnback.flows.bench import bench
from turnback.knowledge.book import Book
from turnback.readers.bench_said import seen_from
from turnback.readers.book_signs import known_signs
from turnback.records.aircraft import Rotation
from turnback.records.belief import Belief, Observation, Told
from turnback.records.bench import Gains, Saw, Seen
from turnback.records.bench_talk import BenchTalk, Step, StepKind
from turnback.records.heard import Heard

SIGHTS: Final = {
    "said-flips-at-lift": Saw.FLIPS_AT_ONCE,
    "said-lifts-then-flips": Saw.LIFTS_THEN_FLIPS,
    "said-stays-down": Saw.STAYS_DOWN,
    "said-spins": Saw.SPINS,
    "said-loud-weak-hot": Saw.WEAK_LOUD,
    "another-corner-answers": Saw.WRONG_CORNER_TURNS,
    "shown-tilt-on-another-axis": Saw.TILT_SHOWN_WRONG,
}
"""Signs of the book that are sights of the bench as well: told to one, they count for both."""


def bench_talk(
    steps: Sequence[Step],
    book: Book,
    front_left: Rotation | None = None,
    gains: Gains | None = None,
    taken_back: Sequence[Step] = (),
) -> BenchTalk:
    """Say what everything that was told leaves.

    Parameters
    ----------
    steps : sequence of Step
        Oldest first.
    book : Book
    front_left : Rotation, optional
        How the front-left motor should turn, seen from above.
    gains : Gains, optional
    taken_back : sequence of Step
        They were told and no longer count; they are only shown.

    Raises
    ------
    InputError
        For what is not understood: all of it at once.
    """
    steps = settled(steps)
    known_signs([each.text for each in steps if each.kind in {StepKind.SIGN, StepKind.NO_SIGN}], book)
    back = seen_of(taken_back)
    answer = bench((*seen_of(steps), *back), front_left, gains, back)
    heard = heard_of(steps, book)
    return BenchTalk(tuple(steps), tuple(taken_back), answer, heard, belief_of(steps, heard, book), gains)


def settled(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps without answers on a sign of the book that were given anew later: the last one stands."""
    about = {StepKind.SIGN, StepKind.NO_SIGN}
    last = {each.text: place for place, each in enumerate(steps) if each.kind in about}
    return tuple(each for place, each in enumerate(steps) if each.kind not in about or last[each.text] == place)


def seen_of(steps: Sequence[Step]) -> tuple[Seen, ...]:
    """Return what was seen at the bench, in the order told; signs of the book that are such sights among it."""
    saw = [each.text for each in steps if each.kind is StepKind.SAW]
    checked = [each.text for each in steps if each.kind is StepKind.CHECKED]
    both = {StepKind.SAW: iter(seen_from(saw, checked)[: len(saw)]), StepKind.CHECKED: iter(seen_from([], checked))}
    found: list[Seen] = []
    for each in steps:
        if each.kind in both:
            found.append(next(both[each.kind]))
        elif each.kind is StepKind.SIGN and each.text in SIGHTS:
            found.append(Seen(SIGHTS[each.text], said=each.text))
    return tuple(found)


def heard_of(steps: Sequence[Step], book: Book) -> tuple[Heard, ...]:
    """Return what is heard in the pilot's words and was not confirmed or denied since."""
    named = {each.text for each in steps if each.kind in {StepKind.SIGN, StepKind.NO_SIGN}}
    words = "\n".join(each.text for each in steps if each.kind is StepKind.SAID)
    return tuple(each for each in hear(words, book) if each.sign not in named) if words else ()


def belief_of(steps: Sequence[Step], heard: Sequence[Heard], book: Book) -> Belief | None:
    """Return what the book makes of named signs and, less sure, of words not yet confirmed.

    That a named one may be wrong is in `rules.belief`.
    """
    named = [
        Observation(each.text, each.kind is StepKind.SIGN, 1.0, f"named {each.text}", Told.CHECK)
        for each in steps
        if each.kind in {StepKind.SIGN, StepKind.NO_SIGN}
    ]
    observations = [*named, *observations_of(tuple(heard))]
    if not observations:
        return None
    told = {each.sign for each in observations}
    seen = {each.what for each in seen_of([each for each in steps if each.kind is StepKind.SAW])}
    also = [
        Observation(sign, True, 1.0, f"named {sign}", Told.CHECK)
        for sign, saw in SIGHTS.items()
        if saw in seen and sign not in told
    ]
    return believe(book, [*observations, *also])
