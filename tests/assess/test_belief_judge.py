"""What may be named: one, several, something else, nothing wrong, cannot say; and no pilot without a showing."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.assess.belief_books import made_book, made_observations

from turnback.assess.belief import believe
from turnback.assess.belief_judge import followed, judged
from turnback.knowledge.book import SOMETHING_ELSE
from turnback.knowledge.reading import read_book
from turnback.records.belief import Believed, Judged, Observation, Told
from turnback.rules import belief as rules

BOOK = made_book(0, causes=6, pilot_errors=1)  # c0 is a pilot's mistake
SOME = (Observation("s0", True, 1.0, "g", Told.CHECK),)
SHOWN = (Observation(rules.FOLLOWED_SIGN, True, 0.9, "g", Told.RECORD),)


def judge(
    nothing: float = 0.0, told: tuple[Observation, ...] = SOME, **chances: float
) -> tuple[Judged, tuple[str, ...]]:
    """Return what is judged of these chances; `other` is something else."""
    names = {"other": SOMETHING_ELSE}
    every = dict.fromkeys(("c1", "c2", "c3", "other"), 0.0) | chances
    causes = [Believed(names.get(key, key), chance, ()) for key, chance in every.items()]
    return judged(BOOK, sorted(causes, key=lambda one: -one.chance), nothing, told)


def test_one_cause_is_named_alone_from_its_chance_and_its_lead_on() -> None:
    chance, lead = rules.NAME_CHANCE.value, rules.NAME_LEAD.value
    assert judge(c1=chance + 0.01) == (Judged.CAUSE, ("c1",))
    assert judge(c1=chance + 0.01, c2=(chance + 0.01) / lead + 0.01) == (Judged.SEVERAL, ("c1", "c2"))
    assert judge(c1=chance - 0.01) == (Judged.CANNOT_SAY, ())


def test_all_causes_that_the_signs_leave_are_told() -> None:
    assert judge(c1=0.4, c2=0.35, c3=0.2) == (Judged.SEVERAL, ("c1", "c2", "c3"))
    assert judge(c1=0.5, c2=0.45, c3=0.01) == (Judged.SEVERAL, ("c1", "c2"))


def test_what_the_book_does_not_know_and_what_is_too_flat_name_nobody() -> None:
    assert judge(other=0.5, c1=0.4) == (Judged.SOMETHING_ELSE, ())
    assert judge(c1=rules.LEADS.value - 0.01, c2=0.24, c3=0.24) == (Judged.CANNOT_SAY, ())
    assert judge(nothing=0.9, c1=0.05) == (Judged.NOTHING_WRONG, ())
    assert judge(nothing=0.5, c1=0.4) == (Judged.CANNOT_SAY, ())
    assert judge(told=(), c1=0.95) == (Judged.CANNOT_SAY, ())


def test_a_pilots_mistake_is_named_only_where_the_aircraft_is_shown_to_have_followed() -> None:
    assert judge(c0=0.95) == (Judged.CANNOT_SAY, ())
    assert judge(c0=0.95, told=SHOWN) == (Judged.CAUSE, ("c0",))
    assert judge(c0=0.4, c1=0.5, c2=0.45) == (Judged.SEVERAL, ("c1", "c2"))
    assert judge(c1=0.75, c0=0.2) == (Judged.CANNOT_SAY, ())  # nothing is named alone beside an unproven mistake
    assert judge(c0=0.5, c1=0.45, told=SHOWN) == (Judged.SEVERAL, ("c0", "c1"))


def test_a_pilots_own_words_are_no_showing() -> None:
    assert followed(SHOWN)
    assert not followed(tuple(replace(one, told=Told.WORDS) for one in SHOWN))
    assert not followed(tuple(replace(one, sure=rules.FOLLOWED.value - 0.01) for one in SHOWN))
    assert not followed(tuple(replace(one, seen=False) for one in SHOWN))
    assert not followed((*SHOWN, replace(SHOWN[0], seen=False, told=Told.CHECK)))


def test_no_record_of_an_aircraft_that_flew_by_itself_shows_that_it_followed_its_pilot() -> None:
    """It followed its own demand on the way home; the pilot's part only somebody who looked can tell."""
    returns = Observation(rules.BY_ITSELF_SIGN, True, 0.95, "modes", Told.RECORD)
    assert not followed((*SHOWN, returns))
    assert followed((*SHOWN, replace(returns, seen=False)))
    assert followed((*SHOWN, replace(returns, sure=rules.FOLLOWED.value - 0.01)))
    assert followed((*SHOWN, replace(returns, told=Told.WORDS)))
    assert followed((returns, replace(SHOWN[0], told=Told.CHECK)))
    assert judge(c0=0.95, told=(*SHOWN, returns)) == (Judged.CANNOT_SAY, ())


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 5000), st.integers(0, 5000))
def test_survivors_fit_what_is_judged(seed: int, other: int) -> None:
    book = made_book(seed, causes=7, pilot_errors=3)
    belief = believe(book, made_observations(other, book), checks=0)
    wanted = {Judged.CAUSE: {1}, Judged.SEVERAL: {2, 3, 4, 5}}.get(belief.judged, {0})
    assert len(belief.survivors) in wanted
    assert SOMETHING_ELSE not in belief.survivors
    blamed = {cause.key for cause in book.causes if cause.pilot_error}
    assert blamed.isdisjoint(belief.survivors)  # a made-up book has no sign of having followed


def test_the_bundled_book_has_the_sign_that_blame_needs() -> None:
    book = read_book()
    assert {rules.FOLLOWED_SIGN, rules.BY_ITSELF_SIGN} <= {sign.key for sign in book.signs}
    assert any(cause.pilot_error for cause in book.causes)


def test_the_bundled_book_names_causes_from_their_own_signs() -> None:
    book = read_book()
    named = 0
    rich = sorted(range(len(book.causes)), key=lambda row: -book.strength[row].sum())
    for row in [row for row in rich if not book.causes[row].pilot_error][:10]:
        columns = sorted(range(len(book.signs)), key=lambda column: -book.strength[row, column])[:6]
        told = [Observation(book.signs[column].key, True, 1.0, f"g{column}", Told.CHECK) for column in columns]
        belief = believe(book, told, checks=0)
        assert next(one.cause for one in belief.causes if one.cause != SOMETHING_ELSE) == book.causes[row].key
        named += book.causes[row].key in belief.survivors
    assert named >= 7
