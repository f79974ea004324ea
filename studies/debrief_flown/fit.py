"""How surely each cause shows each sign, and how often a sign comes without: counted in flights, kept near the book.

Each number is the mean of a Beta distribution whose prior is the book's own number, worth `WEIGHT` flights. Where a
flown cause shows a sign for which the book has no row, the prior is the sign's leak, and a row is made only where the
count lies clearly above it. How sure a sign counts is tempered by two numbers, chosen on the same flights.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown.fit_together import HEALTHY_COUNTS, fit_together
from studies.debrief_flown.told import ToldCase

from turnback.knowledge.book import Book
from turnback.knowledge.from_study import LEAST, MOST, Kind, Study, put_in
from turnback.rules import belief as rules

Floats = NDArray[np.float64]

WEIGHT: Final = 90.0
"""Flights that the book's own number counts as, and that of all records for one kind: what holds in one generator alone
is worth little in the other, however often it was flown there. Chosen between generators on flights of seeds 22, 24 and
25, about 40 of each cause to count in, where 40 to 250 did as well within half a point and 18 a point less."""
NEW_ROW: Final = 0.06
"""A row that the book does not have is made from this chance on."""
CLEARLY: Final = 1.0
"""Standard errors that a count has to lie above the leak to make a row that the book does not have."""
POWERS: Final = (0.5, 0.7, 0.85, 1.0, 1.2, 1.5, 1.9)
MOSTS: Final = (0.88, 0.94, 0.97, 0.99)
UNSEEN_POWER, UNSEEN_MOST = 0.6, 0.9
"""For what a record does not show. Flights of one generator cannot choose it: there, what a fault leaves out is as sure
as what it shows. Chosen between generators on the same flights: as sure as what is seen, one in four more true causes
were missed among the three likeliest; powers of 0.3 to 1 and limits of 0.8 to 0.99 did as well within two flights."""
ROUNDS: Final = 6
"""Settling which causes change a sign."""
LEAST_CHANCE: Final = 1e-3
"""No single flight outweighs all others."""


@dataclass(slots=True)
class Count:
    """How often a sign was seen where it was looked for."""

    seen: float = 0.0
    looked: float = 0.0

    def mean(self, prior: float) -> float:
        """Return the mean of the Beta distribution whose prior mean is `prior`, worth `WEIGHT` flights."""
        return (self.seen + WEIGHT * prior) / (self.looked + WEIGHT)


Counts = dict[str, dict[str | None, Count]]
Shows = Mapping[str, Mapping[str, tuple[float, int]]]


def counted(cases: Iterable[ToldCase]) -> Counts:
    """Return by sign and by cause (None: healthy) how often it was seen; a telling counts as far as it is sure."""
    found: Counts = defaultdict(lambda: defaultdict(Count))
    for case in cases:
        for one in case.signs:
            count = found[one.sign][case.cause]
            surely = 2.0 * one.sure - 1.0
            count.looked += surely
            count.seen += surely * one.seen
    return found


KIND_OF_KIT: Final = {"full": Kind.FAST, "board": Kind.FAST, "radio": Kind.SLOW, "track": Kind.TRACK}
"""As `turnback.assess.record_kind.kind_of` tells of their records; a test holds that."""


def fit(book: Book, cases: Sequence[ToldCase]) -> Study:
    """Return the numbers that flights give, of all records, by kind and together, with the tempering of 1.

    A number of one kind of record has that of all as its prior: where few were flown it stays there.
    """
    own = {(one.cause, one.sign): one.chance for one in book.likelihoods}
    leak_of = {sign.key: sign.leak for sign in book.signs}
    before = {(cause, sign): 1.0 - (1.0 - leak_of[sign]) * (1.0 - chance) for (cause, sign), chance in own.items()}
    whole = _fit(cases, leak_of, before)
    kinds = {}
    for kind in Kind:
        of_kind = [case for case in cases if KIND_OF_KIT[case.kit] is kind]
        if of_kind:
            leaks = leak_of | {sign: leak for sign, (leak, _) in whole.leak.items()}
            rows = {(cause, sign): row[0] for cause, shown in whole.shows.items() for sign, row in shown.items()}
            part = _fit(of_kind, leaks, rows)
            kinds[kind] = Study(_over(whole.shows, part.shows), {**whole.leak, **part.leak})
    return replace(whole, kinds=kinds, together=fit_together(cases))


def _over(whole: Shows, part: Shows) -> Shows:
    """Return rows of one kind, and those of all where it has none."""
    return {cause: {**whole.get(cause, {}), **part.get(cause, {})} for cause in sorted({*whole, *part})}


def _fit(cases: Sequence[ToldCase], leak_of: Mapping[str, float], before: Mapping[tuple[str, str], float]) -> Study:
    """Return the numbers of some flights.

    Parameters
    ----------
    cases : sequence of ToldCase
    leak_of : mapping of str to float
        Leaks beforehand.
    before : mapping of (str, str) to float
        By cause and sign: chance to see it with this cause alone, beforehand.
    """
    counts = counted(cases)
    flown = sorted({case.cause for case in cases if case.cause is not None})
    shows: dict[str, dict[str, tuple[float, int]]] = {cause: {} for cause in flown}
    leaks: dict[str, tuple[float, int]] = {}
    for sign in sorted(counts.keys() & leak_of.keys()):
        by_cause = counts[sign]
        leak, flights = leak_from(by_cause, leak_of[sign], {cause for cause in flown if (cause, sign) in before})
        leaks[sign] = (round(leak, 4), flights)
        for cause in flown:
            count = by_cause.get(cause, Count())
            chance = chance_from(count, leak, before.get((cause, sign)))
            if chance is not None:
                shows[cause][sign] = (round(chance, 4), int(count.looked))
    return Study({cause: row for cause, row in shows.items() if row}, leaks)


def leak_from(by_cause: dict[str | None, Count], book_leak: float, causes: set[str]) -> tuple[float, int]:
    """Return the leak of a sign, and in how many flights it was counted.

    The share of flights in which it was seen without a cause that changes it: of healthy ones, and of causes for which
    the book has no row and whose own share lies near it. A few rounds settle which those are.

    Parameters
    ----------
    by_cause : dict
        None: healthy flights.
    book_leak : float
        Prior, worth `WEIGHT` flights.
    causes : set of str
        That the book has a row for.
    """
    plain = {cause: count for cause, count in by_cause.items() if cause not in causes and count.looked > 0.0}
    leak, flights = book_leak, 0.0
    kept = dict(plain)
    for _ in range(ROUNDS):
        seen = looked = 0.0
        for cause, count in kept.items():
            weight = HEALTHY_COUNTS if cause is None else 1.0
            seen, looked = seen + weight * count.seen, looked + weight * count.looked
        leak, flights = (seen + WEIGHT * book_leak) / (looked + WEIGHT), sum(one.looked for one in kept.values())
        near = {cause: one for cause, one in plain.items() if cause is None or not _apart(one, leak)}
        if near.keys() == kept.keys():
            break
        kept = near
    return min(max(leak, LEAST), MOST), int(flights)


def _apart(count: Count, leak: float) -> bool:
    """True where a share lies clearly off a leak."""
    mean = count.mean(leak)
    error = math.sqrt(max(mean * (1.0 - mean), 0.01) / (count.looked + WEIGHT))
    return abs(mean - leak) > max(CLEARLY * error, NEW_ROW)


def chance_from(count: Count, leak: float, before: float | None) -> float | None:
    """Return the chance that one cause alone shows one sign; None where that is the leak.

    Parameters
    ----------
    count : Count
    leak : float
        Fitted.
    before : float or None
        That chance beforehand; None where no row is known, and it is the leak.
    """
    if before is None and not _apart(count, leak):
        return None
    return min(max(count.mean(leak if before is None else before), LEAST), MOST)


# --- tempering, on singles alone: quick, and used for nothing else ----------------------------------------------------


class Singles:
    """Belief over one cause at a time, nothing wrong, and levels of something else: an approximation for choosing."""

    def __init__(self, book: Book) -> None:
        """Take the numbers of a book."""
        part = (np.arange(5) + 0.5) / 5.0
        mean, spread = rules.ELSE_SHOWS.value, rules.ELSE_SPREAD.value
        weight = part ** (mean * spread - 1.0) * (1.0 - part) ** ((1.0 - mean) * spread - 1.0)
        weight = weight / weight.sum()
        self.place = {cause.key: place for place, cause in enumerate(book.causes)}
        self.column = {sign.key: place for place, sign in enumerate(book.signs)}
        self.leak = np.array([sign.leak for sign in book.signs])
        levels = np.repeat((part * rules.ELSE_MOST.value)[:, None], len(book.signs), axis=1)
        self.shows = np.concatenate([book.strength, levels, np.zeros((1, len(book.signs)))])
        prior = np.array([cause.prior for cause in book.causes])
        rest = np.concatenate([prior / (1.0 - prior), rules.SOMETHING_ELSE.value / 0.85 * weight])
        nothing = rules.NOTHING_WRONG.value
        self.prior = np.concatenate([rest / rest.sum() * (1.0 - nothing), [nothing]])

    def chance(self, case: ToldCase, study: Study) -> float:
        """Return the chance of the true cause, or of one of its look-alikes."""
        logs = np.log(self.prior)
        groups: dict[str, list[tuple[int, float]]] = defaultdict(list)
        for one in case.signs:
            if one.sign in self.column:
                sure = study.sure(one.sure, seen=one.seen)
                groups[one.group].append((self.column[one.sign], sure if one.seen else 1.0 - sure))
        wrong = rules.WRONG_RECORD.value
        for told in groups.values():
            columns = [column for column, _ in told]
            chance = np.array([sure for _, sure in told])
            seen = 1.0 - (1.0 - self.leak[columns]) * (1.0 - self.shows[:, columns])
            right = np.prod(2.0 * (chance * seen + (1.0 - chance) * (1.0 - seen)), axis=1)
            logs = logs + np.log((1.0 - wrong) * right + wrong)
        held = np.exp(logs - logs.max())
        held /= held.sum()
        return float(sum(held[self.place[cause]] for cause in case.group if cause in self.place))


def tempering(book: Book, pairs: Sequence[tuple[Study, Sequence[ToldCase]]]) -> tuple[float, float]:
    """Return power and greatest `sure` under which what is believed is truest, by the mean log score.

    The score of a case is the log of the chance of its true cause, or of one of those that look alike: to say little is
    no way to score well.

    Parameters
    ----------
    book : Book
    pairs : sequence of (Study, cases)
        Numbers, and flights that they were not counted in.
    """
    held = [
        (Singles(put_in(book, study.of(kind))), [one for one in cases if one.group and KIND_OF_KIT[one.kit] is kind])
        for study, cases in pairs
        for kind in Kind
    ]
    best = (-math.inf, 1.0, MOSTS[-1])
    for most in MOSTS:
        for power in POWERS:
            tried = Study(power=power, sure_most=most, unseen_power=UNSEEN_POWER, unseen_most=UNSEEN_MOST)
            score = 0.0
            for singles, cases in held:
                for case in cases:
                    score += math.log(max(singles.chance(case, tried), LEAST_CHANCE))
            if score > best[0]:
                best = (score, power, most)
    return best[1], best[2]


def written(study: Study, remark: str) -> str:
    """Return a study as TOML."""
    lines = [f"# {line}" for line in remark.splitlines()]
    lines += ["", "[sure]", f"power = {study.power:g}", f"most = {study.sure_most:g}"]
    lines += [f"unseen_power = {study.unseen_power:g}", f"unseen_most = {study.unseen_most:g}"]
    if study.curve:
        said, true = zip(*study.curve, strict=True)
        lines += ["", "[curve]", f"said = {list(said)}", f"true = {list(true)}"]
    for before, part in (("", study), *((f"{kind.value}.", one) for kind, one in study.kinds.items())):
        lines += ["", f"[{before}leak]"]
        lines += [f"{sign} = [{chance:g}, {flights}]" for sign, (chance, flights) in sorted(part.leak.items())]
        for cause, row in sorted(part.shows.items()):
            lines += ["", f"[{before}cause.{cause}]"]
            lines += [f"{sign} = [{chance:g}, {flights}]" for sign, (chance, flights) in sorted(row.items())]
    return "\n".join(lines) + "\n"


def fit_tempered(book: Book, cases: Sequence[ToldCase]) -> Study:
    """Fit, with a tempering chosen on flights that were not counted: each half is told with the other half's numbers.

    Parameters
    ----------
    book : Book
    cases : sequence of ToldCase
        Of the training generators alone.
    """
    power, most = tempering(book, halves(book, cases))
    return replace(fit(book, cases), power=power, sure_most=most, unseen_power=UNSEEN_POWER, unseen_most=UNSEEN_MOST)


def halves(book: Book, cases: Sequence[ToldCase]) -> list[tuple[Study, list[ToldCase]]]:
    """Return what each half of the flights gives, with the other half; each has all causes and kits."""
    order = sorted(cases, key=lambda case: (case.cause or "", case.kit, case.generator, case.seed))
    return [(fit(book, order[a::2]), order[b::2]) for a, b in ((0, 1), (1, 0))]
