"""The debrief as a whole: words alone, the example record, a plan beside it, answers that go on, and an injury."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from turnback.base.errors import InputError
from turnback.flows.debrief import DebriefGiven, belief_of, debrief, record_observations, signs_of
from turnback.flows.record import record
from turnback.knowledge.book import Channel
from turnback.knowledge.from_study import Kind, Study
from turnback.knowledge.reading import read_book
from turnback.readers.case import read_case
from turnback.records.belief import Judged, Told
from turnback.records.debrief import Answered, DebriefAnswer, Hurt, RecordSign, SignsTold, Step, ToldInWords

ROOT = Path(__file__).resolve().parents[2]
RECORD = ROOT / "examples" / "records" / "link-lost.csv.gz"
PLAN = ROOT / "examples" / "demo.toml"
BOOK = read_book()
ON = date(2026, 5, 2)
HURT = Answered("hurt", "yes")


@pytest.fixture(scope="module")
def whole() -> DebriefAnswer:
    """The example record with its plan."""
    given = DebriefGiven(on=ON, words=("lost it behind the ridge",), record=RECORD, case=read_case(PLAN))
    return debrief(given, BOOK)


def test_words_alone_are_enough_to_begin() -> None:
    answer = debrief(DebriefGiven(on=ON, words=("it flipped over the moment I gave throttle",)), BOOK)
    assert answer.record is None
    assert answer.belief is not None
    assert answer.steps[:2] == (Step.ASK_HURT, Step.ASK_PACK)
    assert answer.question in {check.key for check in BOOK.checks}
    assert any(each.sign == "said-flips-at-lift" and each.seen for each in answer.told.heard)


def test_nothing_told_is_refused_with_what_to_do() -> None:
    with pytest.raises(InputError, match="nothing was told; give a record"):
        debrief(DebriefGiven(on=ON, words=("  ",)), BOOK)


def test_after_an_injury_there_is_no_cause_no_question_and_no_belief() -> None:
    answer = debrief(DebriefGiven(on=ON, words=("it flipped at once",), record=RECORD, answers=(HURT,)), BOOK)
    assert answer.held_back
    assert answer.steps[0] is Step.HURT
    assert (answer.belief, answer.question) == (None, None)
    assert Step.CAUSES not in answer.steps
    assert Step.ASK_ONE not in answer.steps
    assert answer.record is not None  # what happened is kept


def test_every_sign_of_a_record_is_told_or_said_not_to_be_looked_for(whole: DebriefAnswer) -> None:
    of_records = {Channel.LINK, Channel.VOLTS, Channel.OUTPUTS, Channel.MOTION, Channel.PLACE, Channel.STICKS}
    told = [each.sign for each in whole.signs.signs]
    left = [each.sign for each in whole.signs.not_looked_for]
    assert {sign.key for sign in BOOK.signs if sign.channel in of_records} <= set(told) | set(left)
    assert len(told) == len(set(told))
    assert not set(told) & set(left)
    assert all(0.5 <= each.sure <= 1.0 for each in whole.signs.signs)


def test_the_example_is_told_as_it_was_flown(whole: DebriefAnswer) -> None:
    """Its makers (studies/record_example.py) put in: link lost on the way out, an automatic return, a weak pack."""
    seen = {each.sign for each in whole.signs.signs if each.seen}
    assert {"link-lost-first", "return-mode-active"} <= seen
    assert "link-healthy-throughout" not in seen
    assert whole.against is not None
    assert whole.against.compared
    assert whole.against.at_loss is not None
    assert whole.belief is not None
    assert whole.belief.judged is not Judged.NOTHING_WRONG


def test_saturation_is_no_cause_and_a_pilot_is_named_only_after_following(whole: DebriefAnswer) -> None:
    assert not any("saturat" in cause.key or "saturat" in cause.name.lower() for cause in BOOK.causes)
    wild = [
        RecordSign("sticks-go-to-and-fro", True, 0.98, "sticks"),
        RecordSign("tilt-extreme-while-sinking", True, 0.98, "place"),
        RecordSign("rate-mode-flown", True, 0.98, "modes"),
        RecordSign("sticks-held-at-their-stops", True, 0.98, "sticks"),
    ]
    follows = RecordSign("follows-its-pilot-to-the-end", True, 0.98, "motion")
    errors = {cause.key for cause in BOOK.causes if cause.pilot_error}
    without = belief_of(BOOK, SignsTold(tuple(wild)), ToldInWords(), ())
    proven = belief_of(BOOK, SignsTold((*wild, follows)), ToldInWords(), ())
    assert without is not None
    assert proven is not None
    assert not set(without.survivors) & errors
    assert without.judged is not Judged.CAUSE
    assert set(proven.survivors) & errors


def test_an_answer_moves_belief_and_takes_the_place_of_what_was_heard() -> None:
    words = ("it flipped over the moment I gave throttle",)
    before = debrief(DebriefGiven(on=ON, words=words), BOOK)
    heard = before.told.heard[0].sign
    denied = debrief(DebriefGiven(on=ON, words=words, answers=(Answered(heard, "no"),)), BOOK)
    assert denied.belief is not None
    about = [each for each in denied.belief.observations if each.sign == heard]
    assert [(each.seen, each.told) for each in about] == [(False, Told.CHECK)]


def test_signs_of_a_record_count_no_surer_than_the_study_bears_out() -> None:
    told = [RecordSign("link-lost-first", True, 0.99, "link"), RecordSign("level-steps-down", False, 0.51, "link")]
    (one,) = record_observations(told, Kind.FAST, Study(power=0.5, sure_most=0.9))
    assert one.sign == "link-lost-first"
    assert one.sure == pytest.approx(0.9)
    (half,) = record_observations(told[:1], None, Study(power=0.5, sure_most=0.99))
    assert half.sure == pytest.approx(1.0 / (1.0 + (0.01 / 0.99) ** 0.5))  # half of its log odds
    unseen = [RecordSign("link-lost-first", False, 0.99, "link")]
    (one,) = record_observations(unseen, Kind.FAST, Study(unseen_power=0.5, unseen_most=0.9))
    assert not one.seen
    assert one.sure == pytest.approx(0.9)


def test_signs_are_the_same_each_time() -> None:
    read = record(RECORD)
    assert signs_of(read, None) == signs_of(record(RECORD), None)


def test_a_return_from_a_healthy_flight_before_changes_what_is_looked_at() -> None:
    answer = debrief(DebriefGiven(on=ON, record=RECORD, earlier=(RECORD,)), BOOK)
    alone = debrief(DebriefGiven(on=ON, record=RECORD), BOOK)
    assert answer.earlier == (RECORD.name,)
    told = {each.sign for each in answer.signs.signs} - {each.sign for each in alone.signs.signs}
    assert told  # some signs need a flight to be held against
    # the same flight is no worse than itself, and its link is lost at the same place
    assert {each.sign for each in answer.signs.signs if each.seen} & told <= {"same-spot-every-time"}


def test_hurt_by_words_holds_back_even_without_an_answer() -> None:
    answer = debrief(DebriefGiven(on=ON, words=("the propeller cut his hand, he is in hospital",)), BOOK)
    assert answer.told.hurt is Hurt.YES
    assert answer.held_back
