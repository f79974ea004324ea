"""Make cases, delete their causes, believe, and write the figures: ``python -m studies.belief_deleted.run``.

``--tune`` prints the figures of the seed on which thresholds were chosen, and writes nothing.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

from studies.belief_deleted.cases import answered, case, without
from studies.belief_deleted.figures import Ended, page

from turnback.assess.belief import believe
from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book

SEED: Final = 4
TUNING_SEED: Final = 3
COUNT: Final = 1200
PAGE: Final = Path(__file__).parents[2] / "docs" / "belief.md"
BEGIN, END = "<!-- figures: written by studies.belief_deleted.run -->", "<!-- end of the figures -->"


def ended(book: Book, seed: int, count: int) -> list[Ended]:
    """Return how made-up cases end, with and without their causes in the book."""
    found = []
    for number in range(count):
        made = case(book, seed, number)
        whole = believe(book, made.observations, checks=0)
        found.append(Ended(made.causes, whole, believe(without(book, made.causes), made.observations, checks=0)))
    return found


def ended_asking(book: Book, seed: int, count: int) -> list[Ended]:
    """Return how cases end in which belief's own next steps are done."""
    found = []
    for number in range(count):
        made, whole = answered(book, seed, number, deleted=False)
        found.append(Ended(made.causes, whole, answered(book, seed, number, deleted=True)[1]))
    return found


def write(path: Path, figures: str) -> None:
    """Put the figures between the page's two marks.

    Raises
    ------
    ValueError
        Where the page has no such marks.
    """
    text = path.read_text(encoding="utf-8")
    if text.count(BEGIN) != 1 or text.count(END) != 1:
        raise ValueError(f"{path.name} needs the marks {BEGIN!r} and {END!r}, once each")
    before, rest = text.split(BEGIN)
    path.write_text(f"{before}{BEGIN}\n\n{figures}\n\n{END}{rest.split(END)[1]}", encoding="utf-8")


def main() -> None:
    """Run the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tune", action="store_true", help="the tuning seed; print only")
    parser.add_argument("--cases", type=int, default=COUNT)
    asked = parser.parse_args()
    seed = TUNING_SEED if asked.tune else SEED
    book = read_book()
    first = page(ended(book, seed, asked.cases), seed)
    second = page(ended_asking(book, seed, asked.cases // 3), seed)
    figures = f"### Something was looked at\n\n{first}\n\n### What is offered next is done\n\n{second}"
    print(figures)
    if not asked.tune:
        write(PAGE, figures)


if __name__ == "__main__":
    main()
