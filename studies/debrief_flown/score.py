"""Scores of debriefs of flights whose true cause is known: definitions, intervals and the trivial baseline."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from studies.debrief_flown.told import Scored, ToldCase

from turnback.assess.belief import believe
from turnback.assess.belief_held import held_to_flights
from turnback.assess.look_alikes import beside_look_alikes, left_open
from turnback.knowledge.book import Book
from turnback.knowledge.from_study import Study
from turnback.knowledge.look_alikes import Kit
from turnback.records.belief import Judged, Observation, Told

KEPT: Final = 12
Z95: Final = 1.959963984540054
BINS: Final = 10
NAMES_ONE: Final = frozenset({Judged.CAUSE.name})
FAULTY: Final = frozenset({Judged.CAUSE.name, Judged.SEVERAL.name, Judged.SOMETHING_ELSE.name})
SAYS_LEAST: Final = 0.02
"""A sign that counts this little above one half says nothing, and costs its time."""


def observations(case: ToldCase, study: Study) -> tuple[Observation, ...]:
    """Return what a case's signs count as."""
    found = (
        Observation(one.sign, one.seen, study.sure(one.sure, seen=one.seen), one.group, Told.RECORD, one.sure)
        for one in case.signs
    )
    return tuple(each for each in found if each.sure > 0.5 + SAYS_LEAST)


def scored(book: Book, study: Study, case: ToldCase) -> Scored:
    """Return what is believed of one case, by the product's own belief.

    Parameters
    ----------
    book : Book
        With the study's numbers in it.
    study : Study
        For how sure a sign counts.
    case : ToldCase
    """
    known = {sign.key for sign in book.signs}
    told = [one for one in observations(case, study) if one.sign in known]
    bare = believe(book, told, checks=0, weights=False)
    held = held_to_flights(book, bare, study.curve)
    kit, has_plan = Kit(case.kit), case.has_plan
    belief = beside_look_alikes(book, held, kit, has_plan=has_plan)
    left = left_open(book, belief, kit, has_plan=has_plan)
    ranked = tuple((one.cause, round(one.chance, 4)) for one in belief.causes[:KEPT])
    return Scored(case, ranked, round(belief.nothing_wrong, 4), belief.judged.name, belief.survivors,
                  left, bare.causes[0].chance)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many."""

    of: int
    n: int

    @property
    def share(self) -> float:
        """NaN of none."""
        return self.of / self.n if self.n else math.nan

    def wilson(self) -> tuple[float, float]:
        """Return the ends of the 95 % interval (Wilson 1927)."""
        if not self.n:
            return 0.0, 1.0
        p, n, z2 = self.share, self.n, Z95 * Z95
        middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n)
        half = Z95 / (1.0 + z2 / n) * math.sqrt(p * (1.0 - p) / n + z2 / (4.0 * n * n))
        return max(0.0, middle - half), min(1.0, middle + half)

    def words(self) -> str:
        """Return it for a table."""
        if not self.n:
            return "none"
        low, high = self.wilson()
        return f"{100 * self.share:.1f} % ({100 * low:.1f} to {100 * high:.1f}; {self.of} of {self.n})"


def share(cases: Iterable[Scored], holds: Callable[[Scored], bool]) -> Share:
    """Return of how many cases something holds."""
    told = [holds(case) for case in cases]
    return Share(sum(told), len(told))


def first(case: Scored) -> bool:
    """Whether the true cause is the likeliest, something else counted as an answer."""
    return case.first


def in_three(case: Scored) -> bool:
    """Whether the true cause is among the three likeliest."""
    return case.case.cause in [cause for cause, _ in case.ranked[:3]]


def listed(case: Scored) -> bool:
    """Whether the true cause is among those that the answer leaves open."""
    return case.case.cause in case.left_open


def not_one(case: Scored) -> bool:
    """Whether no single cause is named."""
    return case.judged not in NAMES_ONE


def one_of_group(case: Scored) -> bool:
    """Whether one of the look-alikes is the likeliest."""
    return case.ranked[0][0] in case.case.group


def called_faulty(case: Scored) -> bool:
    """Whether one cause, several, or something else is named."""
    return case.judged in FAULTY


def how_many(cases: Sequence[Scored]) -> tuple[float, int]:
    """Return how many causes answers leave open: the mean, and what nine in ten do not pass."""
    counts = sorted(len(case.left_open) for case in cases)
    return (sum(counts) / len(counts), counts[math.ceil(0.9 * len(counts)) - 1]) if counts else (math.nan, 0)


def always(book: Book, cases: Sequence[Scored], count: int) -> Share:
    """Return how often the true cause is among so many of the book's commonest of those flown."""
    names = _commonest(book, cases)[:count]
    return share(cases, lambda one: one.case.cause in names)


def _commonest(book: Book, cases: Sequence[Scored]) -> list[str]:
    flown = {case.case.cause for case in cases}
    return [one.key for one in sorted(book.causes, key=lambda one: (-one.prior, one.key)) if one.key in flown]


def commonest(book: Book, cases: Sequence[Scored]) -> tuple[tuple[str, ...], Share, Share]:
    """Return the three causes that the book holds for the commonest of those flown, and how often they are right.

    Parameters
    ----------
    book : Book
    cases : sequence of Scored
    """
    names = tuple(_commonest(book, cases)[:3])
    once = share(cases, lambda one: one.case.cause in names[:1])
    return names, once, share(cases, lambda one: one.case.cause in names)


def prior_weights(book: Book, cases: Sequence[Scored]) -> list[float]:
    """Return weights with which each cause counts by its share of troubled cases, however often it was flown."""
    prior = {cause.key: cause.prior for cause in book.causes}
    flown = Counter(case.case.cause for case in cases)
    return [prior.get(case.case.cause or "", 0.0) / flown[case.case.cause] for case in cases]


@dataclass(frozen=True, slots=True)
class Bin:
    """Cases whose likeliest cause was given a chance of one tenth."""

    low: float
    said: float
    true: float
    weight: float
    n: int


def calibration(cases: Sequence[Scored], weights: Sequence[float] | None = None) -> tuple[float, tuple[Bin, ...]]:
    """Return the expected calibration error of the likeliest cause, and the tenths that it is made of.

    The mean distance between the chance said and the share true, over ten bins of equal width, by weight
    (Guo and others 2017, equation 3).

    Parameters
    ----------
    cases : sequence of Scored
        Of faulty flights.
    weights : sequence of float, optional
        Equal where left out.
    """
    weights = [1.0] * len(cases) if weights is None else weights
    held: dict[int, list[tuple[float, float, float]]] = defaultdict(list)
    for case, weight in zip(cases, weights, strict=True):
        chance = case.ranked[0][1]
        held[min(int(chance * BINS), BINS - 1)].append((weight, chance, float(first(case))))
    total = sum(weights)
    bins, error = [], 0.0
    for place in sorted(held):
        rows = held[place]
        weight = sum(row[0] for row in rows)
        if weight <= 0.0:
            continue
        said = sum(row[0] * row[1] for row in rows) / weight
        true = sum(row[0] * row[2] for row in rows) / weight
        error += weight / total * abs(said - true)
        bins.append(Bin(place / BINS, said, true, weight / total, len(rows)))
    return error, tuple(bins)


@dataclass(frozen=True, slots=True)
class Headline:
    """The figures that count, of one set of cases."""

    first: Share
    in_three: Share
    listed: Share
    not_one: Share
    of_group: Share
    healthy: Share
    traceless: Share
    error: float
    error_by_prior: float
    baseline: Share
    baseline_three: Share
    commonest: tuple[str, ...]
    left_open: tuple[float, int]
    """How many causes an answer leaves open, of flights that are not separable: mean, and nine in ten."""
    listed_trivially: Share
    """By as many of the book's commonest."""


def headline(book: Book, cases: Sequence[Scored]) -> Headline:
    """Return the figures that count.

    Parameters
    ----------
    book : Book
        For its priors.
    cases : sequence of Scored
    """
    faulty = [case for case in cases if case.case.cause is not None]
    alone = [case for case in faulty if len(case.case.group) == 1]
    alike = [case for case in faulty if len(case.case.group) > 1]
    names, once, thrice = commonest(book, alone)
    many = how_many(alike)
    return Headline(
        share(alone, first), share(alone, in_three), share(alike, listed), share(alike, not_one),
        share(alike, one_of_group), share((case for case in cases if case.case.cause is None), called_faulty),
        share((case for case in faulty if not case.case.group), not_one),
        calibration(faulty)[0], calibration(faulty, prior_weights(book, faulty))[0], once, thrice, names,
        many, always(book, alike, round(many[0]) if alike else 0),
    )  # fmt: skip


def by(cases: Iterable[Scored], key: Callable[[Scored], str]) -> Mapping[str, list[Scored]]:
    """Return cases by a key, keys in order."""
    found: dict[str, list[Scored]] = defaultdict(list)
    for case in cases:
        found[key(case)].append(case)
    return dict(sorted(found.items()))
