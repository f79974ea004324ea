"""The figures of the study as text: headline, folds, calibration, tables by cause, kit and generator, confusions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from studies.debrief_flown.run_flights import seed_of
from studies.debrief_flown.score import (
    Bin,
    Headline,
    Share,
    by,
    calibration,
    called_faulty,
    first,
    headline,
    in_three,
    listed,
    not_one,
    one_of_group,
    prior_weights,
    share,
)
from studies.debrief_flown.told import Scored

from turnback.knowledge.book import Book
from turnback.knowledge.look_alikes import Kit, look_alikes

if TYPE_CHECKING:
    from studies.debrief_flown.run import Fold

MOST_CONFUSED: Final = 30


def page(book: Book, folds: Sequence[Fold], seeds: Sequence[int]) -> str:
    """Return all figures.

    Parameters
    ----------
    book : Book
        For its priors.
    folds : sequence of Fold
        Each generator scored with numbers of the others.
    seeds : sequence of int
        Whose flights were scored.
    """
    cases = [case for fold in folds for case in fold.cases]
    causes = {case.case.cause for case in cases if case.case.cause is not None}
    lone = {case.case.cause for case in cases if case.case.separable}
    parts = [
        f"{len(cases)} flights (seeds {', '.join(map(str, seeds))}) of {len(causes)} causes and of none, in"
        f" {len(by(cases, _kit))} kits of channels; {len(lone)} causes are separable in some kit. Each flight is scored"
        f" with numbers that were fitted on flights of the other generator alone. {_unnoticed(cases)}",
        _heads([
            ("all", headline(book, cases)), *((f.scored_on, headline(book, f.cases)) for f in folds),
            *((f"seed {seed}", headline(book, [one for one in cases if seed_of(one.case) == seed])) for seed in seeds),
        ]),
        *(f"Scored on {f.scored_on}: fitted on {f.flights} flights of {', '.join(f.fitted_on)}; log odds of signs times"
          f" {f.study.power:g}, no sign surer than {f.study.sure_most:g}." for f in folds),
        _calibrations(book, cases),
        "### By kit of channels\n\n" + _by(cases, _kit),
        "### By cause\n\n" + _by([case for case in cases if case.case.cause], lambda case: case.case.cause or ""),
        "### Healthy flights\n\n" + _healthy(cases),
        "### What was taken for what\n\n" + _confused(cases),
    ]  # fmt: skip
    return "\n\n".join(parts)


def _unnoticed(cases: Sequence[Scored]) -> str:
    """Return in how many flights a fault that these channels could show did nothing that anybody would notice."""
    found = Counter(
        case.case.cause
        for case in cases
        if case.case.cause and not case.case.group
        and look_alikes(case.case.cause, Kit(case.case.kit), has_plan=case.case.has_plan)
    )  # fmt: skip
    most = ", ".join(f"{cause} {count}" for cause, count in found.most_common(4))
    return (
        f"In {sum(found.values())} of them the fault did nothing that anybody would notice, however often it was drawn"
        f" ({most}): they count as leaving no trace."
    )


def _kit(case: Scored) -> str:
    return case.case.kit


def _heads(found: Sequence[tuple[str, Headline]]) -> str:
    rows: list[tuple[str, str, Callable[[Headline], str]]] = [
        ("separable: the true cause is the likeliest", "≥ 90 %", lambda one: one.first.words()),
        ("separable: it is among the three likeliest", "≥ 98 %", lambda one: one.in_three.words()),
        ("not separable: the answer leaves it open", "≥ 99 %", lambda one: one.listed.words()),
        ("not separable: how many causes it leaves open, on average; nine in ten at most", "",
         lambda one: f"{one.left_open[0]:.1f}; {one.left_open[1]}"),
        ("not separable: no single cause is named", "≥ 95 %", lambda one: one.not_one.words()),
        ("not separable: one of its look-alikes is the likeliest", "", lambda one: one.of_group.words()),
        ("no trace in these channels: no single cause is named", "", lambda one: one.traceless.words()),
        ("healthy: called faulty", "≤ 1 %", lambda one: one.healthy.words()),
        ("calibration error of the likeliest cause", "≤ 0.05", lambda one: f"{one.error:.3f}"),
        ("the same, causes as common as in the book", "≤ 0.05", lambda one: f"{one.error_by_prior:.3f}"),
        ("for comparison, separable: always the book's commonest", "", lambda one: one.baseline.words()),
        ("for comparison, separable: always its three commonest", "", lambda one: one.baseline_three.words()),
        ("for comparison, not separable: always as many of the book's commonest", "",
         lambda one: one.listed_trivially.words()),
    ]  # fmt: skip
    lines = ["| | wanted | " + " | ".join(name for name, _ in found) + " |", "|---" * (2 + len(found)) + "|"]
    for name, wanted, tell in rows:
        lines.append(f"| {name} | {wanted} | " + " | ".join(tell(one) for _, one in found) + " |")
    return "\n".join(lines)


def _calibrations(book: Book, cases: Sequence[Scored]) -> str:
    faulty = [case for case in cases if case.case.cause is not None]
    once, bins = calibration(faulty)
    weighed, more = calibration(faulty, prior_weights(book, faulty))
    return (
        f"Flights counted alike (error {once:.3f}):\n\n{_bins(bins)}\n\n"
        f"Causes as common as in the book (error {weighed:.3f}):\n\n{_bins(more)}"
    )


def _bins(bins: Sequence[Bin]) -> str:
    lines = ["| chance said of the likeliest cause | mean | true | share of cases | flights |", "|---|---|---|---|---|"]
    lines += [f"| {one.low:.1f} to {one.low + 0.1:.1f} | {one.said:.2f} | {one.true:.2f} | {one.weight:.2f} | {one.n} |"
              for one in bins]  # fmt: skip
    return "\n".join(lines)


def _by(cases: Sequence[Scored], key: Callable[[Scored], str]) -> str:
    lines = ["| | separable: first | in three | not separable: listed | none alone | likeliest is a look-alike |",
             "|---|---|---|---|---|---|"]  # fmt: skip
    for name, some in by(cases, key).items():
        alone = [case for case in some if case.case.separable]
        alike = [case for case in some if len(case.case.group) > 1]
        told = [share(alone, first), share(alone, in_three), share(alike, listed), share(alike, not_one),
                share(alike, one_of_group)]  # fmt: skip
        lines.append(f"| {name} | " + " | ".join(_short(one) for one in told) + " |")
    return "\n".join(lines)


def _short(one: Share) -> str:
    return f"{100 * one.share:.0f} % of {one.n}" if one.n else ""


def _healthy(cases: Sequence[Scored]) -> str:
    sound = [case for case in cases if case.case.cause is None]
    lines = ["| kind of healthy flight | called faulty | how it ends |", "|---|---|---|"]
    for kind, some in by(sound, lambda case: case.case.healthy or "plain").items():
        ends = Counter(case.judged.lower().replace("_", " ") for case in some)
        told = ", ".join(f"{name} {count}" for name, count in sorted(ends.items()))
        lines.append(f"| {kind} | {share(some, called_faulty).words()} | {told} |")
    return "\n".join(lines)


def _confused(cases: Sequence[Scored]) -> str:
    wrong = [case for case in cases if case.case.separable and not first(case)]
    pairs = Counter((case.case.cause or "", case.ranked[0][0]) for case in wrong)
    flown = Counter(case.case.cause for case in cases if case.case.separable)
    lines = ["| true, separable | taken for | flights |", "|---|---|---|"]
    for (true, taken), count in sorted(pairs.items(), key=lambda row: (-row[1], row[0]))[:MOST_CONFUSED]:
        lines.append(f"| {true} | {taken} | {count} of {flown[true]} |")
    return "\n".join(lines)
