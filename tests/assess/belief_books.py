"""Made-up books and cases for the tests of belief, and belief by counting, written apart from the product."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.book import SOMETHING_ELSE, Basis, Book, Cause, CauseGroup, Channel, Check, CheckKind, Sign
from turnback.records.belief import Observation, Told
from turnback.rules import belief as rules

Floats = NDArray[np.float64]


def made_book(seed: int, causes: int = 6, signs: int = 8, checks: int = 5, *, pilot_errors: int = 0) -> Book:
    """Return a random book; its leaks differ by a factor, so that no two signs are nearly one."""
    chance = np.random.default_rng(seed)
    strength = np.where(chance.random((causes, signs)) < 0.4, chance.uniform(0.2, 0.95, (causes, signs)), 0.0)
    for sign in range(signs):
        if not strength[:, sign].any():
            strength[chance.integers(causes), sign] = 0.6
    kinds = list(CheckKind)
    return Book(
        causes=tuple(
            Cause(f"c{number}", CauseGroup.BUILD, "", float(chance.uniform(0.01, 0.2)), Basis.GUESS, "", "", "",
                  pilot_error=number < pilot_errors)
            for number in range(causes)
        ),
        signs=tuple(
            Sign(f"s{number}", "", list(Channel)[number % 3], 0.008 * 1.5**(number % 10), Basis.GUESS)
            for number in range(signs)
        ),
        checks=tuple(
            Check(f"k{number}", "", kinds[int(chance.integers(4))], float(chance.uniform(0.5, 9.0)),
                  tuple(f"s{sign}" for sign in chance.choice(signs, int(chance.integers(1, 4)), replace=False)))
            for number in range(checks)
        ),
        likelihoods=(),
        strength=strength,
    )  # fmt: skip


def made_observations(seed: int, book: Book, count: int = 6, groups: int = 3) -> tuple[Observation, ...]:
    """Return random observations of a book's signs, each sign once, some of them certain."""
    chance = np.random.default_rng(seed)
    found = []
    for sign in chance.choice(len(book.signs), min(count, len(book.signs)), replace=False):
        group = int(chance.integers(groups))
        sure = 1.0 if chance.random() < 0.3 else float(chance.uniform(0.5, 1.0))
        told = list(Told)[group % 3]
        found.append(Observation(book.signs[sign].key, bool(chance.random() < 0.5), sure, f"g{group}", told))
    return tuple(found)


def wrong_of(told: Told) -> float:
    """Return the chance that a group misleads."""
    words, record, answer = rules.WRONG_WORDS, rules.WRONG_RECORD, rules.WRONG_ANSWER
    return {Told.WORDS: words, Told.RECORD: record, Told.CHECK: answer}[told].value


def levels() -> list[tuple[float, float]]:
    """Return (strength, weight) of something else: a beta density at the middle of five equal parts."""
    first = rules.ELSE_SHOWS.value * rules.ELSE_SPREAD.value
    second = (1.0 - rules.ELSE_SHOWS.value) * rules.ELSE_SPREAD.value
    density = [x ** (first - 1.0) * (1.0 - x) ** (second - 1.0) for x in (0.1, 0.3, 0.5, 0.7, 0.9)]
    return [
        (x * rules.ELSE_MOST.value, one / sum(density))
        for x, one in zip((0.1, 0.3, 0.5, 0.7, 0.9), density, strict=True)
    ]


def hypotheses(book: Book) -> Iterator[tuple[tuple[str, ...], float]]:
    """Yield every set of up to three causes with its prior, not normalised but for the empty one."""
    priors = {cause.key: cause.prior for cause in book.causes} | {SOMETHING_ELSE: rules.SOMETHING_ELSE.value}
    sets = [one for size in (1, 2, 3) for one in combinations(priors, size)]
    weight = {one: np.prod([priors[key] if key in one else 1.0 - priors[key] for key in priors]) for one in sets}
    total = sum(weight.values())
    yield (), rules.NOTHING_WRONG.value
    for one in sets:
        yield one, float((1.0 - rules.NOTHING_WRONG.value) * weight[one] / total)


def shown(book: Book, causes: Sequence[str], sign: str, level: float) -> float:
    """Return the chance of a sign: one minus the chance that neither the leak nor any cause shows it."""
    row = next(number for number, one in enumerate(book.signs) if one.key == sign)
    hidden = 1.0 - book.signs[row].leak
    for number, cause in enumerate(book.causes):
        if cause.key in causes:
            hidden *= 1.0 - book.strength[number, row]
    return 1.0 - hidden * ((1.0 - level) if SOMETHING_ELSE in causes else 1.0)


def counted(book: Book, observations: Sequence[Observation]) -> dict[tuple[str, ...], float]:
    """Return the chance of each set, by going through sets, levels and which groups are right one by one."""
    groups = sorted({(one.told, one.group) for one in observations}, key=str)
    joint = {}
    for causes, prior in hypotheses(book):
        total = 0.0
        for level, share in levels() if SOMETHING_ELSE in causes else [(0.0, 1.0)]:
            for right in product((True, False), repeat=len(groups)):
                chance = share
                for (told, _), is_right in zip(groups, right, strict=True):
                    chance *= 1.0 - wrong_of(told) if is_right else wrong_of(told)
                for one in observations:
                    if not right[groups.index((one.told, one.group))]:
                        chance *= 0.5
                        continue
                    true = shown(book, causes, one.sign, level)
                    true = true if one.seen else 1.0 - true
                    chance *= true * one.sure + (1.0 - true) * (1.0 - one.sure)
                total += chance
        joint[causes] = prior * total
    whole = sum(joint.values())
    return {causes: chance / whole for causes, chance in joint.items()}
