"""One belief over the whole book, next checks included, against counting every set in plain Python and pgmpy.

The promise: at most 50 ms for a dozen signs, warm, one thread. The peers run in this process: plain Python over every
set of up to three of the same book with the same signs (a part of the sets, and from that the whole), and pgmpy's
variable elimination for all causes of a small network (8 causes, 10 signs), with ours on the same small book.
"""

from __future__ import annotations

import json
import sys
import time
import timeit
import warnings
from collections.abc import Callable
from itertools import combinations, islice
from math import comb
from typing import Any

import numpy as np
from tests.assess.belief_books import made_book, made_observations, shown
from tests.published.test_belief_pgmpy import network

from turnback.assess.belief import believe
from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.knowledge.reading import read_book
from turnback.records.belief import Observation, Told

PROMISED_MS = 50.0
SOME_SETS = 400
SIGNS = 12


def dozen(book: Book) -> list[Observation]:
    """Return what is told of a damaged case: signs of two causes that show most, and others that were not seen."""
    chance = np.random.default_rng(12)
    rich = np.argsort(-(book.strength > 0.0).sum(axis=1), kind="stable")[:2]
    own = np.flatnonzero((book.strength[rich] > 0.0).any(axis=0))[: SIGNS // 2]
    others = np.setdiff1d(np.arange(len(book.signs)), own)
    signs = [*own, *chance.choice(others, SIGNS - own.size, replace=False)]
    told = list(Told)
    return [
        Observation(book.signs[sign].key, row < own.size, 0.9, f"g{row % 4}", told[row % 4 % 3])
        for row, sign in enumerate(signs)
    ]


def best_ms(action: Callable[[], Any], calls: int) -> float:
    """Return the best of seven means, milliseconds a call, after a warm-up."""
    action()
    return min(timeit.repeat(action, number=calls, repeat=7)) / calls * 1e3


def counting_ms(book: Book, observations: list[Observation]) -> float:
    """Return what plain Python needs for every set, one level of something else: timed on some, told for all."""
    keys = [*(cause.key for cause in book.causes), SOMETHING_ELSE]
    whole = sum(comb(len(keys), size) for size in range(4))
    start = time.perf_counter()
    for causes in islice(combinations(keys, 3), 0, SOME_SETS):
        for one in observations:
            shown(book, causes, one.sign, 0.3)
    return (time.perf_counter() - start) * 1e3 * whole / SOME_SETS


def elimination_ms() -> tuple[float, float]:
    """Return what pgmpy and ours need for all causes of a small network."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.inference import VariableElimination  # noqa: PLC0415 - three seconds to load

    book = made_book(3, causes=8, signs=10)
    observations = made_observations(3, book, count=10)
    model, evidence = network(book, observations)
    keys = [*(cause.key for cause in book.causes), SOMETHING_ELSE]
    start = time.perf_counter()
    engine = VariableElimination(model)
    for key in keys:
        engine.query([key], evidence=evidence, show_progress=False)
    peer = (time.perf_counter() - start) * 1e3
    return peer, best_ms(lambda: believe(book, observations, checks=0), 20)


def main() -> int:
    """Print a table and one JSON line; return 1 if the promise is not kept."""
    book = read_book()
    observations = dozen(book)
    ours = best_ms(lambda: believe(book, observations), 5)
    bare = best_ms(lambda: believe(book, observations, checks=0), 5)
    counting = counting_ms(book, observations)
    peer, small = elimination_ms()
    print(f"Belief over {len(book.causes)} causes, {len(book.signs)} signs, {len(book.checks)} checks; {SIGNS} told")
    print(f"{'':52}{'ms':>12}")
    for name, value in (
        ("turnback, belief with what to do next", ours),
        ("turnback, belief alone", bare),
        ("plain Python over every set (from a part of them)", counting),
        ("8 causes, 10 signs: turnback", small),
        ("8 causes, 10 signs: pgmpy, variable elimination", peer),
    ):
        print(f"{name:52}{value:12.2f}")
    kept = ours <= PROMISED_MS
    result = {
        "benchmark": "belief", "ours_ms": ours, "belief_alone_ms": bare, "counting_ms": counting, "small_ms": small,
        "pgmpy_ms": peer, "ratio_pgmpy": peer / small, "promised_ms": PROMISED_MS, "kept": kept,
    }  # fmt: skip
    print(json.dumps(result))
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
