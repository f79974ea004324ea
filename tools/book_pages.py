"""Write the book of causes, signs and checks as the page ``docs/causes.md``.

The page is kept in the repository, so that a change of a number can be read in a review as people will read it; a test
holds it up to date. Nothing in it is worked out beyond counting and putting chances into words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from turnback.knowledge.book import Basis, Book, Cause, CauseGroup, Channel, Check, CheckKind, Sign
from turnback.knowledge.reading import read_book

PAGE: Final = Path(__file__).resolve().parent.parent / "docs" / "causes.md"

TENTHS: Final = (1, 2, 3, 4, 5, 6, 7, 8, 9)
OFTEN: Final = 0.935
"""From here on a chance is told by what is left of it."""
LEFT: Final = (20, 30, 50, 100)
SELDOM: Final = 0.075
"""Up to here a chance is told as one in so many."""
ROUND: Final = (15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 300, 500, 1000, 2000, 5000, 10000)
"""Numbers that people say."""

INTRO: Final = """\
# Causes, signs and checks

Made from the files in `src/turnback/knowledge` by `python tools/book_pages.py`.

This is all that Turnback knows of why a flight goes wrong. A **cause** shows **signs**; a **check** is something to
ask, look at, measure or try that tells whether signs are there. From what was seen, the belief engine works out which
causes are left, and which check is worth doing next. What the book does not know is always one more cause: *something
else*.

A chance beside a sign says how often the cause, alone, shows it where somebody could have noticed. Every number says
where it comes from:

- *study*: made by a study in this repository;
- *published*: from a source that is named in the file;
- *common practice*: people who build and mend these aircraft take it for granted; nobody measured it;
- *our guess*: a careful guess. Most numbers are. They keep causes in a sensible order and are no more than that.

Mistakes of a pilot are never named before a record or an answer shows that the aircraft followed its pilot to the end.

Looking comes before measuring, and measuring before powering. Anything powered is done with the propellers off, the
aircraft restrained, for a short time, with no throttle. A swollen, dented, hot or smelling lithium pack ends every
check: outdoors with it, watched, and never charged again. This does not know your local law.
"""

KIND_WORDS: Final = {
    CheckKind.ASK: "Ask",
    CheckKind.LOOK: "Look, unplugged",
    CheckKind.METER: "Measure, unplugged",
    CheckKind.RECORD: "Look into a record",
    CheckKind.POWERED: "Powered: propellers off, restrained, short, no throttle",
    CheckKind.FLIGHT: "A short flight, low and near",
}


def page(book: Book) -> str:
    """Return the whole page."""
    parts = [INTRO, counts(book), "## Causes"]
    for group in CauseGroup:
        parts.append(f"### {capital(group.value)}")
        parts += [cause_part(book, cause) for cause in book.causes if cause.group is group]
    parts.append("## Signs")
    for channel in Channel:
        signs = [sign for sign in book.signs if sign.channel is channel]
        parts += [f"### {capital(channel.value)}", *(sign_part(book, sign) for sign in signs)] if signs else []
    parts.append("## Checks")
    for kind in CheckKind:
        deciders = [one for one in book.checks if one.kind is kind]
        parts += [f"### {KIND_WORDS[kind]}", *(check_part(book, one) for one in deciders)] if deciders else []
    return "\n\n".join(part.strip("\n") for part in parts) + "\n"


def counts(book: Book) -> str:
    """Return how many rows there are, and how many numbers are of which basis."""
    told = {
        "how common a cause is": Counter(cause.basis for cause in book.causes),
        "how often a cause shows a sign": Counter(one.basis for one in book.likelihoods),
        "how often a sign is there without its causes": Counter(sign.basis for sign in book.signs),
    }
    lines = [
        "## What is in it",
        "",
        f"{len(book.causes)} causes, {len(book.signs)} signs, {len(book.checks)} checks. Where numbers come from:",
        "",
        f"| number | {' | '.join(basis.value for basis in Basis)} | all |",
        f"| --- |{' ---: |' * (len(Basis) + 1)}",
    ]
    for name, of in told.items():
        lines.append(row(name, [of[basis] for basis in Basis]))
    lines.append(row("all", [sum(of[basis] for of in told.values()) for basis in Basis]))
    return "\n".join(lines)


def row(name: str, numbers: list[int]) -> str:
    """Return one row of counts with its sum."""
    return f"| {name} | {' | '.join(map(str, [*numbers, sum(numbers)]))} |"


def cause_part(book: Book, cause: Cause) -> str:
    """Return one cause: how common, what shows it, what decides, what to do."""
    names = {sign.key: sign.name for sign in book.signs}
    shown = sorted((one for one in book.likelihoods if one.cause == cause.key), key=lambda one: -one.chance)
    lines = [
        f"#### {cause.name}",
        "",
        f"There in about {chance_words(cause.prior)} troubled cases ({cause.basis.value}).",
    ]
    if cause.pilot_error:
        lines[-1] += " A mistake in the air: named only after the aircraft is shown to have followed its pilot."
    lines += ["", "What shows it:", ""]
    lines += [f"- {names[one.sign]}: {chance_words(one.chance)} ({one.basis.value})" for one in shown]
    lines += ["", "What decides:", ""]
    lines += [f"- {one.name}" for one in deciding(book, {one.sign for one in shown})]
    lines += [
        "",
        f"**Mend.** {cause.fix}",
        "",
        f"**Prevent.** {cause.prevention}",
        "",
        f"**Take care.** {cause.caution}",
    ]
    return "\n".join(lines)


def deciding(book: Book, signs: set[str]) -> Iterator[Check]:
    """Yield the checks that tell any of the signs, in the order in which they may be asked for."""
    for kind in CheckKind:
        yield from (one for one in book.checks if one.kind is kind and signs & set(one.signs))


def sign_part(book: Book, sign: Sign) -> str:
    """Return one sign: how it is said, and what shows it."""
    names = {cause.key: cause.name for cause in book.causes}
    shown = sorted((one for one in book.likelihoods if one.sign == sign.key), key=lambda one: -one.chance)
    lines = [f"#### {capital(sign.name)}", ""]
    lines.append(f"Without any of its causes: {chance_words(sign.leak)} ({sign.basis.value}).")
    if sign.phrases:
        lines += ["", f"Pilots say: {listed(quoted(sign.phrases))}."]
    lines += ["", f"Shown by: {'; '.join(f'{lower(names[one.cause])} ({chance_words(one.chance)})' for one in shown)}."]
    return "\n".join(lines)


def check_part(book: Book, one: Check) -> str:
    """Return one check: what to do, how long it takes, what it tells, what to mind."""
    names = {sign.key: sign.name for sign in book.signs}
    lines = [f"#### {one.name.rstrip('.?')}", "", f"{minutes_words(one.minutes)}. It tells whether", ""]
    lines += [f"- {names[sign]}" for sign in one.signs]
    if one.caution:
        lines += ["", f"**Take care.** {one.caution}"]
    return "\n".join(lines)


def chance_words(chance: float) -> str:
    """Return a chance as people say it: "9 in 10", "19 in 20", "1 in 40"."""
    if chance >= OFTEN:
        many = nearest(1.0 / (1.0 - chance), LEFT)
        return f"{many - 1} in {many}"
    if chance <= SELDOM:
        return f"1 in {nearest(1.0 / chance, ROUND)}"
    return f"{min(TENTHS, key=lambda tenth: abs(tenth / 10.0 - chance))} in 10"


def nearest(many: float, said: tuple[int, ...]) -> int:
    """Return the number that people say nearest to another, by ratio."""
    return min(said, key=lambda one: abs(one / many - 1.0) if one < many else abs(many / one - 1.0))


def minutes_words(minutes: float) -> str:
    """Return a time of work in words."""
    if minutes < 1.0:
        return "Less than a minute"
    return "About a minute" if minutes < 1.5 else f"About {minutes:.0f} minutes"


def capital(words: str) -> str:
    """Return words with a capital first letter."""
    return words[:1].upper() + words[1:]


def lower(words: str) -> str:
    """Return words with a small first letter."""
    return words[:1].lower() + words[1:]


def quoted(words: Iterable[str]) -> list[str]:
    """Return each in quotation marks."""
    return [f'"{one}"' for one in words]


def listed(words: list[str]) -> str:
    """Return words joined by commas."""
    return ", ".join(words)


if __name__ == "__main__":
    PAGE.write_text(page(read_book()), encoding="utf-8")
