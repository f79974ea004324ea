"""The debrief: from words, a record and a plan to what went wrong, how sure that is, and what would decide."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import chain
from pathlib import Path
from typing import Final

from turnback.assess.belief import believe
from turnback.assess.belief_held import held_to_flights
from turnback.assess.debrief_answers import (
    answer_from,
    answers_outlived,
    answers_settled,
    observations_of_answers,
    safety_of,
)
from turnback.assess.debrief_steps import first_question, steps_of
from turnback.assess.hearing import observations_of
from turnback.assess.learn_lessons import lessons
from turnback.assess.look_alikes import beside_look_alikes, left_open
from turnback.assess.record_kind import kind_of, kit_of
from turnback.assess.search_area import search_area
from turnback.assess.search_last import LastKnown, last_of_record, last_told
from turnback.assess.signs_link import link_signs
from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_place import place_signs
from turnback.assess.signs_site import site_signs
from turnback.assess.signs_sticks import stick_signs
from turnback.assess.signs_volts import volt_signs
from turnback.assess.told_words import told_in_words
from turnback.base.errors import bad_input
from turnback.flows.against_plan import against_plan
from turnback.flows.debrief_ground import ground_seen
from turnback.flows.debrief_looked import ended_s
from turnback.flows.debrief_search import search_facts
from turnback.flows.record import record as read_record
from turnback.knowledge.book import Book
from turnback.knowledge.from_study import Kind, Study, bundled_study, with_study
from turnback.records.aircraft import RadioLossAction
from turnback.records.belief import Belief, Observation, Told
from turnback.records.case import Case
from turnback.records.debrief import (
    AgainstPlan,
    Answered,
    DebriefAnswer,
    Hurt,
    Lessons,
    Looked,
    RecordSign,
    SearchArea,
    SignsTold,
    ToldInWords,
    Whereabouts,
)
from turnback.records.happened import EventKind, RecordAnswer
from turnback.records.record_read import FlightFacts

__all__ = [
    "DebriefGiven", "answer_from", "answers_outlived", "belief_of", "debrief", "record_observations", "signs_of",
]  # fmt: skip

Tell = Callable[[float], None]
TELLERS: Final = (link_signs, stick_signs, volt_signs, place_signs, site_signs, output_signs, motion_signs)
NO_SIGNS: Final = SignsTold()
SAYS_LEAST: Final = 0.02
"""A sign that counts this little above one half says nothing, and costs its time."""
AT_RECORD, AT_EARLIER, AT_PLAN, AT_SIGNS = 0.4, 0.55, 0.75, 0.85
"""Shares of the work, for `tell`."""


@dataclass(frozen=True, slots=True)
class DebriefGiven:
    """What a debrief starts from.

    Parameters
    ----------
    on : date
        Of the flight.
    words : tuple of str
        The pilot's own.
    record : Path or None
    earlier : tuple of Path
        Records of healthy flights of the same aircraft, oldest first.
    case : Case or None
        The plan of the flight and all it refers to.
    answers, taken_back : tuple of Answered
    facts, earlier_facts : FlightFacts
        What is said beside the record, and beside the earlier ones.
    kept_signs : SignsTold
        What a record showed that is no longer at hand.
    kept_kind : Kind or None
        Of that record.
    """

    on: date
    words: tuple[str, ...] = ()
    record: Path | None = None
    earlier: tuple[Path, ...] = ()
    case: Case | None = None
    answers: tuple[Answered, ...] = ()
    taken_back: tuple[Answered, ...] = ()
    facts: FlightFacts = field(default_factory=FlightFacts)
    earlier_facts: FlightFacts = field(default_factory=FlightFacts)
    kept_signs: SignsTold = NO_SIGNS
    kept_kind: Kind | None = None


def debrief(given: DebriefGiven, book: Book, *, tell: Tell | None = None, seed: int = 1) -> DebriefAnswer:
    """Say what happened, why, how sure that is, and what would decide.

    Parameters
    ----------
    given : DebriefGiven
    book : Book
        The one of this package, without the study's numbers.
    tell : callable, optional
        Told the share of the work that is done, 0 to 1.
    seed : int
        Of the search area's draws.

    Raises
    ------
    InputError
        Where nothing was given, for a record that cannot be read, and for answers that are not understood.
    """
    say = tell or (lambda _share: None)
    words = tuple(each for each in given.words if each.strip())
    answers, taken_back = answers_settled(given.answers, given.taken_back, book)
    if not (words or answers or given.record or given.kept_signs.signs):
        raise bad_input(
            "debrief",
            "nothing was told",
            'give a record, or the pilot\'s words with --said "1:40, 14.2 V, picture went"',
        )
    read = _read(given, say)
    earlier = tuple(read_record(path, given.earlier_facts) for path in given.earlier)
    say(AT_EARLIER)
    against = None if read is None or given.case is None else against_plan(read, given.case)
    say(AT_PLAN)
    signs = given.kept_signs if read is None else signs_of(read, against, earlier)
    say(AT_SIGNS)
    told = safety_of(_told(words, given, against, book, beside_record=bool(signs.signs)), answers)
    kind = given.kept_kind if read is None else kind_of(read.flown.record)
    held_back = told.hurt is Hurt.YES
    belief = None if held_back else belief_of(with_study(book, kind), signs, told, answers, kind)
    left: tuple[str, ...] = ()
    if belief is not None and read is not None:
        kit, has_plan = kit_of(read.flown.record), against is not None
        belief = beside_look_alikes(book, belief, kit, has_plan=has_plan)
        left = left_open(book, belief, kit, has_plan=has_plan)
    action = RadioLossAction.UNKNOWN if given.case is None else given.case.plan.aircraft.on_radio_loss
    search = _search(told, read, action, given.case, seed)
    at_hand = told if search is None else replace(told, whereabouts=Whereabouts.LOST)  # nobody can look at it
    asked = None if belief is None else first_question(belief, answers, book, at_hand, has_record=bool(signs.signs))
    steps = steps_of(told, asked, search is not None, held_back=held_back)
    return DebriefAnswer(
        steps=steps,
        held_back=held_back,
        words=words,
        told=told,
        answers=answers,
        taken_back=taken_back,
        record=read,
        signs=signs,
        belief=belief,
        question=asked,
        against=against,
        search=search,
        lessons=Lessons() if read is None else lessons(read, against, given.case),
        on=given.on,
        plan_title="" if given.case is None else given.case.title,
        earlier=tuple(each.flown.record.name for each in earlier),
        kind="" if kind is None else kind.value,
        ground=ground_seen(given.case, read, search),
        left_open=left,
    )


def signs_of(read: RecordAnswer, against: AgainstPlan | None, earlier: Sequence[RecordAnswer] = ()) -> SignsTold:
    """Return every sign of the book that a record shows or would have shown, and those that it cannot tell of."""
    looked = Looked(read, ended_s(read), against, tuple(earlier))
    found = [teller(looked) for teller in TELLERS]
    return SignsTold(
        tuple(chain.from_iterable(each.signs for each in found)),
        tuple(chain.from_iterable(each.not_looked_for for each in found)),
    )


def record_observations(
    signs: Sequence[RecordSign], kind: Kind | None, study: Study | None = None
) -> tuple[Observation, ...]:
    """Return signs of a record as the belief engine takes them: no surer than flown cases bear out.

    Parameters
    ----------
    signs : sequence of RecordSign
    kind : Kind or None
        Of the record.
    study : Study, optional
        The one of this package if left out.
    """
    held = (study or bundled_study()).of(kind)
    found = (
        Observation(each.sign, each.seen, held.sure(each.sure, seen=each.seen), each.group, Told.RECORD, each.sure)
        for each in signs
    )
    return tuple(each for each in found if each.sure > 0.5 + SAYS_LEAST)


def belief_of(
    book: Book, signs: SignsTold, told: ToldInWords, answers: Sequence[Answered], kind: Kind | None = None
) -> Belief | None:
    """Return what is believed for all that was told; None where nothing of it is a sign.

    Parameters
    ----------
    book : Book
        With the study's numbers for this kind of record.
    signs : SignsTold
    told : ToldInWords
    answers : sequence of Answered
    kind : Kind or None
        Of the record.
    """
    recorded = record_observations(signs.signs, kind)
    observations = (
        *recorded,
        *(Observation(each.sign, each.seen, each.sure, each.group, Told.WORDS) for each in told.signs),
        *observations_of_answers(answers, book),
        *_unanswered(observations_of(told.heard), answers, book),
    )
    lean = () if recorded else told.lean  # beside a record its words are heard, and lean on nothing
    if not observations and not lean:
        return None
    belief = believe(book, observations, lean=lean)
    if not recorded:
        return belief  # words alone were not flown
    alone = None if len(recorded) == len(observations) else believe(book, recorded, checks=0, weights=False)
    return held_to_flights(book, belief, bundled_study().curve, alone)


def _unanswered(heard: Sequence[Observation], answers: Sequence[Answered], book: Book) -> tuple[Observation, ...]:
    """Return what was heard and was not confirmed or denied since."""
    named = {each.sign for each in observations_of_answers(answers, book)}
    return tuple(each for each in heard if each.sign not in named)


def _read(given: DebriefGiven, say: Tell) -> RecordAnswer | None:
    if given.record is None:
        return None
    facts = given.facts
    if given.case is not None:
        pack = given.case.plan.pack
        cells = pack.cells if isinstance(pack.cells, int | float) else None
        chemistry = getattr(pack.chemistry, "value", None)
        facts = replace(
            facts,
            cells=facts.cells or (None if cells is None else int(cells)),
            chemistry=facts.chemistry or chemistry,
        )
    return read_record(given.record, facts, tell=lambda share: say(AT_RECORD * share))


def _told(
    words: tuple[str, ...], given: DebriefGiven, against: AgainstPlan | None, book: Book, *, beside_record: bool
) -> ToldInWords:
    cells, chemistry = given.facts.cells, given.facts.chemistry
    if against is not None:
        cells, chemistry = cells or against.cells, chemistry or against.chemistry
    return told_in_words(words, book, cells=cells, chemistry=chemistry, beside_record=beside_record)


def _search(
    told: ToldInWords, read: RecordAnswer | None, action: RadioLossAction, case: Case | None, seed: int
) -> SearchArea | None:
    """Return where to look, where the aircraft is lost or its record ends in the air and nobody says it was found."""
    ends_aloft = read is not None and any(each.kind is EventKind.ENDS_ALOFT for each in read.events)
    lost = told.whereabouts is Whereabouts.LOST or (told.whereabouts is Whereabouts.NOT_TOLD and ends_aloft)
    if not lost:
        return None
    last: LastKnown | None = None if read is None else last_of_record(read, action)
    last = last or last_told(told.readings, action)
    return None if last is None else search_area(last, search_facts(read, case, last.launch_deg), seed=seed)
