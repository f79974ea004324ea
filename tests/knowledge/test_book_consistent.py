"""The book of this package: what it must hold so that a beginner can trust it, whoever adds a row."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from turnback.knowledge import reading
from turnback.knowledge.book import Basis, CauseGroup, Channel, CheckKind
from turnback.knowledge.reading import read_book

BOOK: Final = read_book()
SIGNS: Final = {sign.key: sign for sign in BOOK.signs}
CAUSES: Final = {cause.key: cause for cause in BOOK.causes}
FILES: Final = sorted(Path(reading.__file__).parent.glob("*_*.toml"))


def shown_by(key: str) -> dict[str, float]:
    """Return the signs that a cause shows, with their chances."""
    return {one.sign: one.chance for one in BOOK.likelihoods if one.cause == key}


def texts() -> dict[str, str]:
    """Return every text of the book by its place."""
    found = {}
    for cause in BOOK.causes:
        for name in ("name", "fix", "prevention", "caution"):
            found[f"{cause.key}.{name}"] = getattr(cause, name)
    for sign in BOOK.signs:
        found[f"{sign.key}.name"] = sign.name
        found |= {f"{sign.key}.{number}": phrase for number, phrase in enumerate(sign.phrases)}
    for decider in BOOK.checks:
        found |= {f"{decider.key}.name": decider.name, f"{decider.key}.caution": decider.caution}
    return found


def test_every_group_has_its_causes_signs_and_deciders() -> None:
    assert {cause.group for cause in BOOK.causes} == set(CauseGroup)
    assert {sign.channel for sign in BOOK.signs} == set(Channel)
    assert {decider.kind for decider in BOOK.checks} == set(CheckKind)
    assert len(BOOK.causes) >= 60


def test_every_cause_shows_itself_in_more_than_one_channel() -> None:
    # what shows in one channel only stands or falls with one error of that channel
    few = {}
    for key in CAUSES:
        signs = shown_by(key)
        channels = {SIGNS[sign].channel for sign in signs}
        if not 3 <= len(signs) <= 9 or len(channels) < 2:
            few[key] = (len(signs), len(channels))
    assert few == {}


def test_a_cause_raises_the_chance_of_each_sign_that_it_shows_well_above_the_leak() -> None:
    # noisy-OR: with its cause there, a sign comes with 1 - (1 - leak)(1 - chance); its weight is that over the leak
    weak = [
        (key, sign)
        for key in CAUSES
        for sign, chance in shown_by(key).items()
        if 1 - (1 - SIGNS[sign].leak) * (1 - chance) < 1.5 * SIGNS[sign].leak
    ]
    assert weak == []


def test_each_cause_has_a_sign_that_speaks_ten_to_one_for_it() -> None:
    blunt = [key for key in CAUSES if max(chance / SIGNS[sign].leak for sign, chance in shown_by(key).items()) < 10]
    assert blunt == []


def test_any_two_causes_are_told_apart_by_something_that_can_be_done() -> None:
    # some sign of some decider is far likelier under the one than under the other
    leak = np.array([sign.leak for sign in BOOK.signs])
    told = {sign for decider in BOOK.checks for sign in decider.signs}
    chance = (1 - (1 - leak) * (1 - BOOK.strength))[:, [sign.key in told for sign in BOOK.signs]]
    near = [
        (BOOK.causes[one].key, BOOK.causes[other].key)
        for one, other in combinations(range(len(BOOK.causes)), 2)
        if np.abs(chance[one] - chance[other]).max() < 0.35
    ]
    assert near == []


def test_what_looks_alike_in_flight_is_decided_by_looking_first_and_then_on_the_bench() -> None:
    propeller = shown_by("propeller-direction-wrong-at-one-corner")
    motor = shown_by("motor-direction-wrong-at-one-corner")
    both = propeller.keys() & motor.keys()
    assert {SIGNS[sign].channel for sign in both} == {Channel.SAID, Channel.OUTPUTS, Channel.MOTION}
    assert {propeller[sign] - motor[sign] for sign in both} == {0.0}
    deciding = {
        decider.kind for decider in BOOK.checks for sign in decider.signs if sign in (propeller.keys() ^ motor.keys())
    }
    assert {CheckKind.LOOK, CheckKind.POWERED} <= deciding


def test_whoever_can_say_a_sign_has_three_to_eight_ways_to_say_it() -> None:
    wrong = {
        sign.key: len(sign.phrases)
        for sign in BOOK.signs
        if (sign.phrases or sign.channel is Channel.SAID) and not 3 <= len(sign.phrases) <= 8
    }
    assert wrong == {}


def test_phrases_are_said_as_people_talk() -> None:
    assert [p for sign in BOOK.signs for p in sign.phrases if p.endswith(".") or len(p.split()) > 16] == []


def test_powered_deeds_say_propellers_off_restrained_short_and_no_throttle() -> None:
    powered = [decider for decider in BOOK.checks if decider.kind is CheckKind.POWERED]
    assert len(powered) >= 10
    loose = []
    for decider in powered:
        said = decider.caution.lower()
        short = re.search(r"\bshort\b|\bbriefly\b|seconds at a time|\bfew seconds\b", said)
        held = re.search(r"\brestrained\b", said)
        if not ("propellers off" in said and "no throttle" in said and short and held):
            loose.append(decider.key)
    assert loose == []


def test_what_is_done_by_hand_is_done_unplugged() -> None:
    hands = [one for one in BOOK.checks if one.kind in {CheckKind.LOOK, CheckKind.METER}]
    # what is done to the pack or the charger alone cannot be unplugged
    of_pack = {one.key for one in hands if re.search(r"\bcell|\bcharger?\b", one.name)}
    unplugged = {one.key for one in hands if re.search(r"unplug|plug apart", f"{one.name} {one.caution}", re.I)}
    assert {one.key for one in hands} - of_pack - unplugged == set()


def test_words_are_plain_and_sentences_short() -> None:
    long = {}
    for place, text in texts().items():
        for sentence in re.split(r"(?<=[.?;:]) ", text):
            if len(sentence.split()) > 30:
                long[place] = len(sentence.split())
    assert long == {}


FORBIDDEN: Final = re.compile(
    r"\bmotor \d|\bM\d\b"  # corners have names, no numbers
    r"|\b(left|right)[- ]hand(ed)?\b|\b(CW|CCW)\b"  # directions are seen from above
    r"|[a-z][A-Z]|\b[A-Z]{3,}\b"  # names of makers, protocols and modes are written so
    r"|\b[Cc]heck(ed|ing|s)?\b"  # one thing only is called so, and it is never a verb
    r"|—"
)
ALLOWED: Final = frozenset({"dBm", "mAh", "kHz", "MHz", "GHz"})


def test_no_text_uses_a_word_that_is_not_ours() -> None:
    found = {}
    for place, text in texts().items():
        plain = re.sub(r"\b(" + "|".join(ALLOWED) + r"|dB)\b", "", text)
        if match := FORBIDDEN.search(plain):
            found[place] = match[0]
    assert found == {}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_published_number_names_its_source_in_the_file(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if f'"{Basis.PUBLISHED.value}"' in text:
        assert re.search(r"^#.*\b(published|Recommendation|\d{4})\b", text, re.MULTILINE | re.IGNORECASE)
    assert text.startswith("# ")
    assert len(text.encode()) < reading.MOST_BYTES


def test_priors_leave_room_for_what_the_book_does_not_know() -> None:
    # shares of troubled cases; several causes may be there at once, but not all of them all the time
    assert 0.5 < sum(cause.prior for cause in BOOK.causes) < 2.0
    assert all(cause.basis in {Basis.GUESS, Basis.STUDY, Basis.PUBLISHED} for cause in BOOK.causes)


def test_pilots_are_blamed_only_beside_proof_that_the_aircraft_followed() -> None:
    proof = "follows-its-pilot-to-the-end"
    blamed = [cause.key for cause in BOOK.causes if cause.pilot_error]
    assert blamed
    assert {CAUSES[key].group for key in blamed} == {CauseGroup.PILOT}
    assert SIGNS[proof].channel is Channel.MOTION
