"""A debrief in words: order of the answer, what an injury takes out, the letter, and every number with its unit."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.report import debrief_made as made
from tests.report.pseudo import PSEUDO, Pseudo, outside

from turnback.assess.belief import believe
from turnback.knowledge.reading import read_book
from turnback.records.belief import Observation, Told
from turnback.records.debrief import Compare, DebriefAnswer, Hurt, NotLearned, PackState, Reading, Step
from turnback.records.finding import Spread
from turnback.records.happened import WhyNot
from turnback.report import words_debrief_learned, words_debrief_model, words_debrief_safe, words_debrief_signs
from turnback.report.debrief_letter import letter_of
from turnback.report.debrief_said import debrief_said
from turnback.report.debrief_text import debrief_text
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.words_belief_chance import odds
from turnback.report.words_debrief_causes import listed
from turnback.report.words_debrief_model import compared_line
from turnback.report.words_debrief_search import bearing_words, radius_words, walk_words
from turnback.report.words_debrief_told import READINGS

Make = Callable[[], DebriefAnswer]
BLAME = re.compile(r"\b(fault of|your fault|you should have|careless|stupid|blame|guilty|negligen)", re.IGNORECASE)
HEADINGS = {step: str(words_debrief_safe.TITLES[step]) for step in Step}


@pytest.mark.parametrize("make", made.ALL, ids=lambda make: make.__name__)
@pytest.mark.parametrize("units", Units)
def test_the_letter_is_under_150_words_and_never_after_an_injury(make: Make, units: Units) -> None:
    letter = letter_of(make(), units)
    if make in (made.injury,):
        assert letter is None
        return
    assert letter is not None
    assert 10 < len(letter.split()) < 150
    assert BLAME.search(letter) is None


def test_a_letter_of_any_cause_and_any_question_is_under_150_words() -> None:
    answers = list(made.every_cause())
    assert len(answers) >= 240
    for answer in answers:
        for each in (answer, replace(answer, search=None, record=None, steps=(Step.ASK_ONE, Step.CAUSES))):
            letter = letter_of(each, Units.IMPERIAL)
            assert letter is not None
            assert len(letter.split()) < 150, letter


def test_a_letter_names_cause_chance_mending_and_caution_where_there_is_room() -> None:
    answer = replace(next(iter(made.every_cause())), steps=(Step.CAUSES,), record=None, search=None)
    cause = read_book().causes[0]
    letter = letter_of(answer)
    assert letter is not None
    for part in (cause.name, "about 4 in 5", cause.fix, cause.caution, "Why we think so", "least 3.31 V", "1:01.0"):
        assert part in letter


def test_a_letter_asks_for_people_and_pack_before_anything_else() -> None:
    letter = letter_of(made.lost())
    assert letter is not None
    order = [letter.index(each) for each in ("anybody hurt", "Unplug the pack", "Where to look", "What happened")]
    assert order == sorted(order)


def test_a_question_to_be_measured_is_not_in_a_letter_without_its_caution() -> None:
    cautions = {each.key: each.caution for each in read_book().checks}
    seen = 0
    for answer in made.every_cause():
        letter = letter_of(answer)
        assert letter is not None
        caution = cautions[answer.question or ""]
        if "What to check:" in letter and caution:
            assert caution in letter
            seen += 1
    assert seen >= 20


def test_a_letter_asks_what_decides_even_where_much_else_is_to_be_said() -> None:
    answer = made.lost()
    letter = letter_of(answer)
    assert letter is not None
    assert answer.belief is not None
    first = answer.belief.survivors[0]
    sure = odds(next(each.chance for each in answer.belief.causes if each.cause == first))
    for part in ("Please tell us what of this was so: it went a long way out", sure, "propellers off"):
        assert part in letter


def test_a_letter_to_somebody_who_told_nothing_asks_what_was_seen() -> None:
    letter = letter_of(made.nothing_told())
    assert letter is not None
    assert "Please tell us what you saw" in letter
    assert "What happened" not in letter


def test_a_pilots_error_is_said_without_reproach() -> None:
    letter = letter_of(made.pilot_error())
    assert letter is not None
    assert "no reproach" in letter


@pytest.mark.parametrize("held", [{"held_back": False}, {"steps": (Step.PACK, Step.CAUSES)}, {}], ids=str)
def test_after_an_injury_there_is_no_cause_no_letter_no_look_into_the_record(held: dict[str, object]) -> None:
    """Whichever of its three marks says so: the answer's, its steps', or what was told."""
    answer = replace(made.injury(), **held)  # type: ignore[arg-type]
    said = debrief_text(answer)
    names = [cause.name for cause in read_book().causes]
    signs = [sign.name for sign in read_book().signs]
    flat = " ".join(said.split())
    assert [name for name in (*names, *signs) if name in flat] == []
    assert letter_of(answer) is None
    assert "The reply to send" not in said
    assert "The story" not in said
    for kept in ("aircraft", "pack", "goggles", "records", "time", "witnesses", "A person takes over"):
        assert kept in flat
    assert "Unplug the pack if that is safe" not in flat
    assert "collection for batteries only when" in flat


@pytest.mark.parametrize("make", made.ALL, ids=lambda make: make.__name__)
def test_the_steps_come_in_their_order_and_five_lines_before_them(make: Make) -> None:
    answer, said = make(), debrief_text(make())
    assert len(debrief_said(answer, read_book(), Units.METRIC).five) == 5
    shown = [step for step in answer.steps if f"\n{HEADINGS[step]}\n" in said]
    places = [said.index(f"\n{HEADINGS[step]}\n") for step in shown]
    assert places == sorted(places)
    assert len(shown) >= 1
    if "The reply to send" in said:
        assert said.index("The reply to send") > places[-1]


def test_the_story_stands_before_question_and_causes() -> None:
    said = debrief_text(made.lost())
    order = ["Where to look for it\n", "The story\n", "The one question", "Why, most likely\n", "The reply to send"]
    assert [said.index(each) for each in order] == sorted(said.index(each) for each in order)


def test_at_most_five_causes_and_look_alikes_together() -> None:
    answer = made.alike()
    part = next(part for part in debrief_said(answer, read_book(), Units.METRIC).parts if part.causes)
    assert part.causes is not None
    assert len(part.causes.causes) == len(part.causes.alike) == 5
    assert part.causes.alike_left == "2 more look like them."
    assert "about 3 in 10" in part.causes.alike[0]
    assert any(
        line.endswith("speaks strongly for it (confirmed).") or "for it" in line
        for line in part.causes.causes[0].speaks
    )


def test_it_says_plainly_that_it_cannot_say() -> None:
    said = debrief_text(made.cannot_say())
    assert "This cannot say why" in said
    assert "Not sure enough to name one" in said


def test_a_sign_has_its_numbers_and_its_time() -> None:
    said = " ".join(debrief_text(made.lost()).split())
    assert "(a dip of 14 dB; least -92 dBm), from 1:42.3 to 1:45.3" in said


def test_directions_are_those_that_a_person_walks_by() -> None:
    assert walk_words(made.search(), Units.METRIC) == "From the launch point walk 240 m toward north-east (47 degrees)."
    # 239.8 m are 786.7 ft; beyond 500 ft it is shown to ten
    assert walk_words(made.search(), Units.IMPERIAL).startswith("From the launch point walk 790 ft toward")
    assert "within 26 m" in radius_words(made.search(), Units.METRIC)
    # the outline reaches 25.7 m, 84.4 ft: never less than what holds half of it
    assert "within 85 ft" in radius_words(made.search(), Units.IMPERIAL)


@pytest.mark.parametrize(
    ("bearing_deg", "said"),
    [(0.0, "north (0 degrees)"), (359.8, "north (0 degrees)"), (22.4, "north (22 degrees)"),
     (22.6, "north-east (23 degrees)"), (180.0, "south (180 degrees)"), (292.6, "north-west (293 degrees)")],
)  # fmt: skip
def test_bearings_are_named_by_the_nearest_of_eight_points(bearing_deg: float, said: str) -> None:
    assert bearing_words(bearing_deg) == said


def test_an_aircraft_that_may_fly_on_is_said_to() -> None:
    assert "may have flown on" not in debrief_text(made.lost())
    assert "may have flown on" in debrief_text(replace(made.lost(), search=made.search(flies_on=True)))


def test_parts_are_looked_for_only_after_a_hard_fall() -> None:
    soft = replace(made.search(), impact_speed_mps=Spread(0.0, 0.0, 1.0))
    assert "look for parts of it too" in debrief_text(made.lost())
    assert "look for parts of it too" not in debrief_text(replace(made.lost(), search=soft))


def test_the_loss_is_said_with_ray_and_margin() -> None:
    said = " ".join(debrief_text(made.lost()).split())
    assert "ran 14 m below the ground or trees 620 m out" in said
    assert "margin of the link there: -9 dB (-18 dB to 0 dB)" in said


@pytest.mark.parametrize(
    ("residual", "said"),
    [
        (Spread(-0.15, -0.21, -0.09), "below the plan's model by 0.15 V (0.09 V to 0.21 V)."),
        (Spread(0.15, 0.09, 0.21), "above the plan's model by 0.15 V (0.09 V to 0.21 V)."),
        (Spread(-0.05, -0.12, 0.02), "as the plan's model has it, within what the plan does not know."),
        (Spread(float("nan"), float("nan"), float("nan")), "the plan says nothing of it."),
    ],
)
def test_a_residual_is_said_by_its_side_and_size(residual: Spread, said: str) -> None:
    line = compared_line(made.compared(Compare.VOLTS, "V", 4.1, 0.0, 0.1, residual), Units.METRIC)
    assert line.startswith(f"Volts of one cell at rest: {said}")


def test_the_way_home_is_said_by_what_stands_on_it() -> None:
    """The height that is predicted there is the ground's and the trees', and to be above it is no fault."""
    over = made.compared(Compare.RETURN_LINE, "m", 40.0, 30.0, 8.0, Spread(15.0, 10.0, 20.0))
    low = replace(over, recorded=over.high - 6.4)
    clear = replace(over, recorded=over.high + 1.0)
    assert compared_line(clear, Units.METRIC).startswith("It flew above all that stands on the straight way home")
    assert compared_line(low, Units.METRIC) == (
        "For 100 % of the time it flew lower than what can stand on the straight way home, by up to 6.4 m."
    )


def test_an_answer_is_typed_as_the_question_is_named() -> None:
    said = debrief_text(made.words_only())
    assert "    --answer ask-what-came-before=said-worked-on\n" in said
    assert "    --answer ask-what-came-before=none\n" in said
    one = debrief_text(made.cannot_say())
    assert "    --answer look-at-pack=yes\n" in one
    assert "    --answer look-at-pack=no\n" in one


def test_every_kind_has_words() -> None:
    assert set(READINGS) == set(Reading)
    assert set(words_debrief_learned.WHY_NOT) == set(NotLearned)
    assert set(words_debrief_model.COMPARED) == set(Compare)
    assert set(words_debrief_signs.WHY_NOT) == set(WhyNot)
    assert set(words_debrief_safe.TITLES) == set(Step)


def test_names_cannot_steer_a_terminal() -> None:
    answer = replace(made.hostile(), plan_title="barn\x1b[2J\u202e")
    assert not {"\x1b", "\u202e"} & set(debrief_text(answer))


@pytest.mark.parametrize("make", made.ALL[:-1], ids=lambda make: make.__name__)
@pytest.mark.parametrize("width", [40, 80])
def test_the_terminal_keeps_its_width(make: Make, width: int) -> None:
    said = debrief_text(make(), Units.METRIC, width)
    assert "\x1b" not in said
    assert said.endswith("\n")
    for line in said.splitlines():
        assert len(line) <= width or " " not in line.strip() or "--answer" in line, line


@pytest.mark.parametrize("make", [made.lost, made.words_only, made.injury, made.alike], ids=lambda make: make.__name__)
def test_every_word_can_be_translated(make: Make) -> None:
    with speaking_by(Pseudo(), PSEUDO):
        said = debrief_text(make(), Units.METRIC, 100)
    whole = " ".join(line.strip() for line in said.splitlines() if "--answer" not in line)
    assert outside(whole, made.SECRETS) == []


def test_names_words_and_dates_are_taken_out_and_directions_stay() -> None:
    said = debrief_text(made.lost(), places=False)
    assert [secret for secret in made.SECRETS if secret in said] == []
    assert "walk 240 m toward north-east" in said


def test_nobody_hurt_and_a_pack_as_it_was_is_said_only_when_told() -> None:
    answer = made.words_only()
    for hurt in (Hurt.NO, Hurt.NOT_TOLD):
        for pack in PackState:
            told = replace(answer.told, hurt=hurt, pack=pack)
            first = debrief_said(replace(answer, told=told), read_book(), Units.METRIC).five[0].text
            assert ("Nobody is hurt" in first) is (hurt is Hurt.NO)
            assert ("pack is as it was" in first) is (pack is PackState.FINE)


def test_where_no_direction_is_known_none_is_named() -> None:
    around = replace(
        made.search(), last_x_m=0.0, last_y_m=240.0, centre_x_m=0.0, centre_y_m=0.0, bearing_deg=Spread(0.0, 0.0, 360.0)
    )
    said = debrief_text(replace(made.lost(), search=around))
    letter = letter_of(replace(made.lost(), search=around)) or ""
    for each in (said.partition("The story")[0], letter.partition("What happened")[0]):
        assert "not known, only that it is about 240 m" in " ".join(each.split())
        assert "toward north" not in " ".join(each.split())
    assert len(letter.split()) < 150


def test_the_letter_sends_nobody_out_without_a_caution() -> None:
    letter = letter_of(made.lost()) or ""
    assert "touch no wire" in letter
    assert len(letter.split()) < 150


def test_a_mistake_of_the_pilot_is_listed_nowhere_before_it_is_shown_that_the_aircraft_followed() -> None:
    book = read_book()
    errors = {cause.key for cause in book.causes if cause.pilot_error}
    told = (Observation("sticks-go-to-and-fro", True, 0.95, "sticks", Told.RECORD),)
    follows = Observation("follows-its-pilot-to-the-end", True, 0.98, "motion", Told.RECORD)
    unproven = believe(book, told)
    assert {each.cause for each in unproven.causes if each.chance > 0.02} & errors
    assert not {each.cause for each in listed(unproven, book)} & errors
    proven = believe(book, (*told, follows))
    assert {each.cause for each in listed(proven, book)} & errors
