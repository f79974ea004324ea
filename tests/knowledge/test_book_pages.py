"""The page of causes is what the tool writes, holds every row, and says chances as people do."""

from __future__ import annotations

import pytest
from tools import book_pages

from turnback.knowledge.book import Basis, CauseGroup, CheckKind
from turnback.knowledge.reading import read_book


def test_the_page_is_what_the_tool_writes() -> None:
    committed = book_pages.PAGE.read_text(encoding="utf-8").splitlines()
    told = "run python tools/book_pages.py, and commit what it writes"
    assert committed == book_pages.page(read_book()).splitlines(), told


def test_the_page_holds_every_row() -> None:
    book, page = read_book(), book_pages.PAGE.read_text(encoding="utf-8")
    texts = [text for cause in book.causes for text in (cause.name, cause.fix, cause.prevention, cause.caution)]
    texts += [text for one in book.checks for text in (one.name.rstrip(".?"), one.caution)]
    texts += [text for sign in book.signs for text in (sign.name[1:], *sign.phrases)]
    assert [text for text in texts if text not in page] == []
    likelihoods = [line for line in page.splitlines() if line.startswith("- ") and line.endswith(tuple(ENDS))]
    assert len(likelihoods) == len(book.likelihoods)


ENDS = [f" in {many} ({basis.value})" for basis in Basis for many in (10, *book_pages.ROUND, *book_pages.LEFT)]


def test_the_page_counts_where_numbers_come_from() -> None:
    book = read_book()
    guesses = sum(row.basis is Basis.GUESS for rows in (book.causes, book.signs, book.likelihoods) for row in rows)
    last = next(line for line in book_pages.counts(book).splitlines() if line.startswith("| all |"))
    numbers = [int(cell) for cell in last.split("|")[2:-1]]
    assert numbers[-2] == guesses
    assert numbers[-1] == len(book.causes) + len(book.signs) + len(book.likelihoods)


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.9, "9 in 10"), (0.95, "19 in 20"), (0.98, "49 in 50"), (0.5, "5 in 10"), (0.3, "3 in 10"), (0.1, "1 in 10"),
     (0.05, "1 in 20"), (0.025, "1 in 40"), (0.012, "1 in 80"), (0.003, "1 in 300"), (0.0001, "1 in 10000")],
)  # fmt: skip
def test_a_chance_is_said_as_people_say_it(chance: float, words: str) -> None:
    assert book_pages.chance_words(chance) == words


def test_every_mistake_of_a_pilot_asks_for_proof_that_the_aircraft_followed() -> None:
    book = read_book()
    proof = {one.cause for one in book.likelihoods if one.sign == "follows-its-pilot-to-the-end" and one.chance >= 0.5}
    assert {cause.key for cause in book.causes if cause.pilot_error} - proof == set()
    assert {cause.group for cause in book.causes if cause.pilot_error} == {CauseGroup.PILOT}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("pack-cold", "pack-worn"),
        ("blocked-by-terrain", "blocked-by-trees-or-buildings"),
        ("blocked-by-terrain", "beyond-range"),
        ("blocked-by-trees-or-buildings", "beyond-range"),
        ("antenna-null", "control-antenna-broken"),
        ("antenna-null", "power-level-low"),
        ("control-antenna-broken", "power-level-low"),
        ("interference", "beyond-range"),
        ("cells-out-of-balance", "balance-lead-faulty"),
        ("video-antenna-missing", "video-output-burnt"),
        ("polarisation-of-opposite-hands", "polarisation-linear-with-circular"),
        ("control-not-linked", "wrong-model-memory"),
        ("volts-shown-wrong", "low-volts-warning-absent"),
        ("throttle-cut-too-long", "caught-in-own-wash"),
        ("another-mode-than-thought", "mode-switch-gives-another-mode"),
        ("bird-strike", "wire-or-line-struck"),
    ],
)
def test_causes_that_look_alike_are_told_apart_by_a_check_both_ways(one: str, other: str) -> None:
    book = read_book()
    rows = {cause.key: book.strength[index] for index, cause in enumerate(book.causes)}
    columns = {sign.key: index for index, sign in enumerate(book.signs)}
    told = {columns[sign] for check in book.checks for sign in check.signs}
    for seen, unseen in ((one, other), (other, one)):
        assert max(rows[seen][column] - rows[unseen][column] for column in told) >= 0.5, f"{seen} beside {unseen}"


LITHIUM = ("pack-worn", "pack-over-discharged", "pack-swollen-or-dented", "charged-with-wrong-setting", "water-inside")


@pytest.mark.parametrize("key", LITHIUM)
def test_harmed_packs_are_never_charged(key: str) -> None:
    cause = next(cause for cause in read_book().causes if cause.key == key)
    told = f"{cause.fix} {cause.caution}".lower()
    assert "outdoors" in told
    assert "watch" in told
    assert "never charge" in told or "not charge" in told or "charging a harmed cell can set it on fire" in told


def test_whatever_is_powered_says_how() -> None:
    powered = [one for one in read_book().checks if one.kind is CheckKind.POWERED]
    assert len(powered) >= 20
    for one in powered:
        told = one.caution.lower()
        assert all(words in told for words in ("propellers off", "restrained", "no throttle")), one.key
        assert "short" in told or "seconds" in told, one.key
