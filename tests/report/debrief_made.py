"""Answers to a debrief made by hand: all is invented."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
from tests.report import record_answers

from turnback.assess.belief import believe
from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief, Believed, Judged, Observation, Told, Weight
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import (
    AgainstPlan,
    Answered,
    AtLoss,
    Compare,
    Compared,
    DebriefAnswer,
    Hurt,
    LearnedNumber,
    Lessons,
    NotLearned,
    PackState,
    Reading,
    RecordSign,
    SearchArea,
    SignNotLookedFor,
    SignsTold,
    Step,
    ToldInWords,
    TypedReading,
    Whereabouts,
)
from turnback.records.finding import Spread
from turnback.records.happened import WhyNot
from turnback.records.heard import Heard
from turnback.records.learned import LearnedAbout

ON = date(2026, 10, 4)
SECRETS = (*record_answers.SECRETS, "2026-10-04", "Behind Anna's barn", "my neighbour Ben", "ben-healthy.csv")
"""What a redacted answer must not hold."""
SAID = "1:40, 14.2 V, picture went, my neighbour Ben saw it drop"
NO_ONE = ToldInWords(hurt=Hurt.NO, pack=PackState.FINE, whereabouts=Whereabouts.FOUND)
LINK = Channel(Quantity.LINK_QUALITY)


def observed(*signs: str, told: Told = Told.RECORD, sure: float = 0.95) -> list[Observation]:
    """Make observations of signs that were seen, each of a group of its own."""
    return [Observation(sign, True, sure, f"{told.value} {sign}", told) for sign in signs]


def ring(x_m: float, y_m: float, along_m: float, across_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Make a closed outline."""
    turn = np.linspace(0.0, 2.0 * np.pi, 73)
    east, north = along_m * np.cos(turn), across_m * np.sin(turn)
    return x_m + 0.7 * east - 0.7 * north, y_m + 0.7 * east + 0.7 * north


@cache
def search(*, flies_on: bool = False) -> SearchArea:
    """Make a search area north-east of the launch point."""
    half, most = ring(175.0, 164.0, 26.0, 14.0), ring(175.0, 164.0, 61.0, 34.0)
    return SearchArea(
        last_x_m=150.0, last_y_m=146.0, last_height_m=38.0, last_speed_mps=11.0, last_course_deg=43.0, last_s=151.0,
        centre_x_m=175.0, centre_y_m=164.0,
        distance_m=Spread(239.8, 190.0, 300.0), bearing_deg=Spread(46.9, 39.0, 55.0),
        half_x_m=half[0], half_y_m=half[1], most_x_m=most[0], most_y_m=most[1], area_m2=6515.0, flies_on=flies_on,
        launch_latitude_deg=record_answers.LAT, launch_longitude_deg=record_answers.LON,
        impact_speed_mps=Spread(19.0, 15.0, 23.0),
    )  # fmt: skip


def compared(what: Compare, unit: str, base: float, off: float, band: float, residual: Spread) -> Compared:
    """Make one channel beside its model."""
    t_s = np.linspace(14.0, 150.0, 300)
    predicted = base * (1.0 - 0.1 * (t_s - 14.0) / 136.0)
    recorded = predicted + off * (t_s - 14.0) / 136.0 + 0.1 * band * np.sin(t_s)
    recorded[120:130] = np.nan
    return Compared(what, unit, t_s, recorded, predicted, predicted - band, predicted + band, residual)


@cache
def against() -> AgainstPlan:
    """Make a plan's model beside a record; the link was lost behind a ridge."""
    return AgainstPlan(
        (
            compared(Compare.VOLTS, "V", 4.1, -0.05, 0.06, Spread(-0.02, -0.06, 0.03)),
            compared(Compare.LOADED_VOLTS, "V", 3.9, -0.3, 0.08, Spread(-0.15, -0.21, -0.09)),
            compared(Compare.POWER, "W", 260.0, 10.0, 30.0, Spread(12.0, -20.0, 40.0)),
            compared(Compare.LEVEL, "dBm", -60.0, -16.0, 9.0, Spread(-8.0, -17.0, 1.0)),
            compared(Compare.RETURN_LINE, "m", 40.0, 5.0, 8.0, Spread(2.0, -3.0, 7.0)),
        ),
        AtLoss(119.0, 842.0, 12.0, 35.0, -14.0, 620.0, 49.0, Spread(-9.0, -18.0, 0.4), line_of_sight=False),
        {"hover_current_a": Spread(17.0, 14.0, 21.0), "margin_db": Spread(-9.0, -18.0, 0.4)},
        4,
        "LiPo",
    )


LESSONS = Lessons(
    (
        LearnedNumber(
            LearnedAbout.PACK, "resistance_mohm_per_cell", 6.4, 5.9, 7.0, Spread(8.0, 4.0, 14.0), "resistance-fit"
        ),
        LearnedNumber(LearnedAbout.AIRCRAFT, "hover_current_a", 17.8, 17.1, 18.4, None, "hover-power"),
        LearnedNumber(LearnedAbout.SITE, "control_offset_db", 4.0, 1.5, 6.2, Spread(0.0, -8.0, 8.0), "level-offset"),
    ),
    (("capacity_mah", NotLearned.NO_REST_AT_END), ("drag_area_cm2", NotLearned.NO_SUCH_SEGMENT)),
)
SIGNS = SignsTold(
    (
        RecordSign("link-lost-first", True, 0.97, "link 119 s", 119.0, 124.0, {}, (LINK,)),
        RecordSign(
            "level-dips-slow-and-ragged", True, 0.9, "link 102 s", 102.3, 105.3,
            {"depth_db": 14.0, "least_dbm": -92.0}, (Channel(Quantity.LINK_LEVEL),),
        ),
        RecordSign("level-comes-back-with-height", False, 0.8, "link", values={"latitude_deg": record_answers.LAT}),
        RecordSign("link-healthy-throughout", False, 0.99, "link 119 s", channels=(LINK,)),
    ),
    (
        SignNotLookedFor("speed-stalls-at-low-throttle", WhyNot.NO_CHANNEL, record_answers.SPEEDS),
        SignNotLookedFor("one-cell-collapses", WhyNot.NO_CHANNEL, (Channel(Quantity.CELL_VOLTS),)),
        SignNotLookedFor("shakes-in-own-wash", WhyNot.TOO_SLOW, (Channel(Quantity.ROLL_RATE),)),
    ),
)  # fmt: skip


@cache
def blocked() -> Belief:
    """Make a belief in one cause: a hill stood in the way."""
    return believe(read_book(), [
        *observed("link-lost-first", "level-dips-slow-and-ragged", "level-comes-back-with-height"),
        *observed("said-worked-on", told=Told.WORDS, sure=0.7),
        Observation("link-healthy-throughout", False, 0.99, "link 119 s", Told.RECORD),
    ])  # fmt: skip


def lost() -> DebriefAnswer:
    """Make an answer with record, plan and a lost aircraft; nobody said whether somebody is hurt."""
    told = ToldInWords(
        (Heard("said-worked-on", True, 0.9, 0.8, 20, 33, 0, "the picture went"),),
        (TypedReading(Reading.PACK_VOLTS, 14.2, 100.0, 6, 12), TypedReading(Reading.WIND, 4.0)),
        whereabouts=Whereabouts.LOST,
    )
    belief = blocked()
    return DebriefAnswer(
        steps=(Step.ASK_HURT, Step.ASK_PACK, Step.SEARCH, Step.ASK_ONE, Step.CAUSES),
        held_back=False,
        words=(SAID,),
        told=told,
        answers=(Answered("whereabouts", "lost"),),
        taken_back=(Answered("ask-what-came-before", "said-worked-on"),),
        record=record_answers.flight(),
        signs=SIGNS,
        belief=belief,
        question=belief.next_checks[0].check,
        against=against(),
        search=search(),
        lessons=LESSONS,
        on=ON,
        plan_title="Behind Anna's barn",
        earlier=("ben-healthy.csv",),
    )


def words_only() -> DebriefAnswer:
    """Make an answer from words and typed readings alone."""
    belief = believe(read_book(), observed("said-flips-at-lift", "said-worked-on", told=Told.WORDS, sure=0.8))
    told = replace(
        NO_ONE,
        heard=(
            Heard("said-flips-at-lift", True, 0.9, 0.8, 0, 20, 0, "it flips at take-off"),
            Heard("said-lifts-then-flips", False, 0.8, 0.7, 21, 40, 0, "it lifts and then flips"),
        ),
        readings=(
            TypedReading(Reading.PACK_VOLTS, 14.2, 100.0),
            TypedReading(Reading.DISTANCE, 180.0, 100.0),
            TypedReading(Reading.BEARING, 48.0),
            TypedReading(Reading.QUALITY, 0.35, 95.0),
            TypedReading(Reading.TIME, 100.0),
            TypedReading(Reading.PUT_BACK, 1.12),
        ),
        pack=PackState.DAMAGED,
    )
    return DebriefAnswer(
        steps=(Step.PACK, Step.ASK_ONE, Step.CAUSES), held_back=False, words=("It flips at take-off.",), told=told,
        answers=(Answered("hurt", "no"),), taken_back=(), record=None, signs=SignsTold(), belief=belief,
        question="ask-what-came-before", against=None, search=None, lessons=Lessons(), on=ON,
    )  # fmt: skip


def injury() -> DebriefAnswer:
    """Make an answer after an injury whose causes somebody forgot to take out."""
    return replace(
        lost(),
        steps=(Step.HURT, Step.PACK, Step.SEARCH, Step.ASK_ONE, Step.CAUSES),
        held_back=True,
        told=replace(lost().told, hurt=Hurt.YES),
    )


def cannot_say() -> DebriefAnswer:
    """Make an answer that cannot name a cause."""
    weak = (
        Believed("pack-worn", 0.12, (Weight("sag-large", True, 2.1),)),
        Believed("wind-too-strong", 0.1, ()),
        Believed("something-else", 0.09, ()),
    )
    belief = Belief(Judged.CANNOT_SAY, (), weak, 0.2, (), ())
    return replace(words_only(), steps=(Step.ASK_ONE, Step.CAUSES), told=NO_ONE, belief=belief, question="look-at-pack")


def alike() -> DebriefAnswer:
    """Make an answer with more look-alikes than are listed."""
    keys = [cause.key for cause in read_book().causes[14:21]]
    causes = tuple(
        Believed(
            key, 0.3 - 0.03 * at, (Weight("said-flips-at-lift", True, 12.0 - at), Weight("said-spins", False, -3.0))
        )
        for at, key in enumerate(keys)
    )
    belief = Belief(Judged.SEVERAL, tuple(keys), causes, 0.01, (), tuple(observed("said-flips-at-lift")))
    return replace(words_only(), belief=belief, question="meter-cells")


def pilot_error() -> DebriefAnswer:
    """Make an answer that names what its pilot did."""
    cause = next(cause.key for cause in read_book().causes if cause.pilot_error)
    belief = Belief(Judged.CAUSE, (cause,), (Believed(cause, 0.81, ()),), 0.01, (), ())
    return replace(words_only(), belief=belief)


def nothing_told() -> DebriefAnswer:
    """Make an answer to nothing."""
    return replace(
        words_only(), steps=(Step.ASK_HURT, Step.ASK_PACK, Step.CAUSES), words=(), told=ToldInWords(), answers=(),
        belief=None, question=None,
    )  # fmt: skip


def healthy() -> DebriefAnswer:
    """Make an answer to a flight in which nothing went wrong."""
    belief = Belief(Judged.NOTHING_WRONG, (), (), 0.93, (), ())
    return replace(
        lost(), steps=(Step.CAUSES,), told=NO_ONE, belief=belief, question=None, search=None, signs=SignsTold(),
        answers=(), taken_back=(), against=replace(against(), at_loss=None),
    )  # fmt: skip


def hostile() -> DebriefAnswer:
    """Make an answer whose names and words would like to be more than text."""
    long = record_answers.LONG
    return replace(
        lost(), words=(long,), plan_title=long, earlier=(long,), record=record_answers.hostile(),
        answers=(Answered(long, long),), taken_back=(Answered("hurt", long),),
    )  # fmt: skip


ALL = (lost, words_only, injury, cannot_say, alike, pilot_error, nothing_told, healthy, hostile)


def every_cause() -> Iterator[DebriefAnswer]:
    """Make one answer for each cause of the book, with everything else that a letter can have to say."""
    book = read_book()
    asked: Sequence[str] = [each.key for each in book.checks]
    for at, cause in enumerate(book.causes):
        likely = next(each.sign for each in book.likelihoods if each.cause == cause.key)
        signs = SignsTold((
            RecordSign(likely, True, 0.9, "made", 61.0, 83.4, {"least_v": 3.31, "limit_v": 3.5, "sag_v": 0.4}),
        ))  # fmt: skip
        believed = (Believed(cause.key, 0.8, (Weight(likely, True, 13.0),)),)
        belief = Belief(Judged.CAUSE, (cause.key,), believed, 0.01, (), ())
        yield replace(lost(), belief=belief, signs=signs, question=asked[at % len(asked)])
    names = [cause.key for cause in sorted(book.causes, key=lambda each: -len(each.name.split()))]
    for at, key in enumerate(asked):
        causes = tuple(Believed(name, 0.2, ()) for name in names[at % 60 : at % 60 + 5])
        belief = Belief(Judged.SEVERAL, tuple(each.cause for each in causes), causes, 0.01, (), ())
        yield replace(lost(), belief=belief, question=key)
