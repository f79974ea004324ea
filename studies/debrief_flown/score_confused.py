"""What went wrong, for those who mend it: flights that broke, and each wrong answer with the signs that made it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from studies.debrief_flown.fit import KIND_OF_KIT
from studies.debrief_flown.score import called_faulty, first
from studies.debrief_flown.told import Scored, ToldCase

from turnback.knowledge.book import Book, Channel
from turnback.knowledge.from_study import Kind, Study, put_in

if TYPE_CHECKING:
    from studies.debrief_flown.run import Fold

MOST_PAIRS: Final = 40
MOST_SEEDS: Final = 3
OF_RECORDS: Final = frozenset({
    Channel.LINK, Channel.VOLTS, Channel.OUTPUTS, Channel.MOTION, Channel.PLACE, Channel.STICKS, Channel.SITE,
})  # fmt: skip


def broken(cases: Sequence[ToldCase]) -> str:
    """Return what reading or flying ended in where it did not end well."""
    lines = []
    for case in cases:
        if case.broke:
            lines.append(f"BROKE {case.generator} {case.seed} {case.cause} {case.kit}\n{case.broke}")
    return "\n".join([f"{len(lines)} flights broke", *lines]) + "\n"


def wrongly(book: Book, folds: Sequence[Fold]) -> str:
    """Return every wrong answer on a separable cause, and every healthy flight called faulty, with its signs."""
    lines = []
    for fold in folds:
        fitted = {kind: put_in(book, fold.study.of(kind)) for kind in Kind}
        for case in fold.cases:
            bad = (case.case.separable and not first(case)) or (case.case.cause is None and called_faulty(case))
            if bad:
                lines.append(_told(fitted[KIND_OF_KIT[case.case.kit]], fold.study, case))
    return "\n".join(lines) + "\n"


def _told(book: Book, study: Study, case: Scored) -> str:
    """Return one wrong answer: the strongest signs for what was taken against what is true."""
    del study
    told = case.case
    taken = case.ranked[0][0]
    lines = [f"{told.generator} {told.seed} {told.kit} TRUE {told.cause or 'healthy ' + told.healthy}: {case.judged}, "
             + ", ".join(f"{cause} {chance:.2f}" for cause, chance in case.ranked[:4])
             + f", nothing wrong {case.nothing_wrong:.2f}"]  # fmt: skip
    true_rows, taken_rows = _chances(book, told.cause), _chances(book, taken)
    for one in told.signs:
        leak = next((sign.leak for sign in book.signs if sign.key == one.sign), 0.0)
        true, other = true_rows.get(one.sign, leak), taken_rows.get(one.sign, leak)
        if one.seen or abs(true - other) > 0.25:
            word = "seen" if one.seen else "NOT "
            lines.append(f"    {word} {one.sign} sure {one.sure:.2f} [{one.group}]: true {true:.2f}, taken {other:.2f}")
    return "\n".join(lines)


def _chances(book: Book, cause: str | None) -> dict[str, float]:
    leak = {sign.key: sign.leak for sign in book.signs}
    return {one.sign: 1.0 - (1.0 - leak[one.sign]) * (1.0 - one.chance)
            for one in book.likelihoods if one.cause == cause}  # fmt: skip


def notes(book: Book, folds: Sequence[Fold]) -> str:
    """Return the worst confusions, what signs a cause should have shown and did not, and what is told falsely."""
    cases = [case for fold in folds for case in fold.cases]
    return "\n".join([*_pairs(cases), *_missing(book, cases), *_false(book, cases)])


def _pairs(cases: Sequence[Scored]) -> list[str]:
    seeds: dict[tuple[str, str], list[str]] = defaultdict(list)
    for case in cases:
        if case.case.separable and not first(case):
            key = (case.case.cause or "", case.ranked[0][0])
            seeds[key].append(f"{case.case.generator}:{case.case.seed}:{case.case.kit}")
    flown = Counter(case.case.cause for case in cases if case.case.separable)
    lines = [" CONFUSED (separable): true -> taken, flights, generator:seed:kit"]
    for (true, taken), some in sorted(seeds.items(), key=lambda row: (-len(row[1]), row[0]))[:MOST_PAIRS]:
        lines.append(f"  {true} -> {taken}: {len(some)} of {flown[true]}; {' '.join(some[:MOST_SEEDS])}")
    return lines


def _missing(book: Book, cases: Sequence[Scored]) -> list[str]:
    """Return signs that a cause shows by the book and that are told rarely or never."""
    of_sign = {sign.key: sign for sign in book.signs}
    seen, looked, flown = Counter[tuple[str, str]](), Counter[tuple[str, str]](), Counter[str]()
    for case in cases:
        if case.case.cause is None:
            continue
        flown[case.case.cause] += 1
        for one in case.case.signs:
            looked[case.case.cause, one.sign] += 1
            seen[case.case.cause, one.sign] += one.seen
    lines = [" MISSING: cause, sign: seen of looked of flown (the book's chance)"]
    for row in book.likelihoods:
        if row.cause not in flown or of_sign[row.sign].channel not in OF_RECORDS:
            continue
        key = (row.cause, row.sign)
        if row.chance >= 0.4 and seen[key] < 0.5 * row.chance * max(looked[key], 1):
            told = f"{seen[key]} of {looked[key]} of {flown[row.cause]}"
            lines.append(f"  {row.cause}, {row.sign}: {told} ({row.chance})")
    return lines


def _false(book: Book, cases: Sequence[Scored]) -> list[str]:
    """Return signs that are told of healthy flights much more often than their leak."""
    leak = {sign.key: sign.leak for sign in book.signs}
    seen, looked, seeds = Counter[str](), Counter[str](), defaultdict[str, list[str]](list)
    for case in cases:
        if case.case.cause is not None:
            continue
        for one in case.case.signs:
            looked[one.sign] += 1
            if one.seen:
                seen[one.sign] += 1
                seeds[one.sign].append(f"{case.case.generator}:{case.case.seed}:{case.case.kit}")
    lines = [" FALSE on healthy flights: sign: seen of looked (the book's leak)"]
    for sign in sorted(seen):
        if seen[sign] >= 2 and seen[sign] > 2.0 * leak.get(sign, 0.0) * looked[sign]:
            where = " ".join(seeds[sign][:MOST_SEEDS])
            lines.append(f"  {sign}: {seen[sign]} of {looked[sign]} ({leak.get(sign, 0.0)}); {where}")
    return lines
