"""A heading that turns with the height above the ground, nobody turning: steel under the place."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import Made, flat, make_record

from turnback.assess.signs_place import place_signs
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_place_steel import turns_with_height
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

STEP_S, END_S = 0.1, 60.0
SIGN = "field-wrong-near-ground"


def flown(bent_rad: float, *, turns_up_rad: float = 0.0, stick: float = 0.0, without: Quantity | None = None) -> Looked:
    """Up to 15 m in six seconds and down again in ten; the heading is bent by steel that reaches four metres.

    `turns_up_rad` is a true turn while it climbs, with so much yaw stick.
    """
    t_s = np.arange(0.0, END_S, STEP_S)
    height_m = np.interp(t_s, [5.0, 11.0, 45.0, 55.0], [0.0, 15.0, 15.0, 0.0])
    climbs = np.interp(t_s, [5.0, 11.0], [0.0, 1.0])
    noise = 0.01 * np.random.default_rng(7).standard_normal(t_s.size)
    heading = 6.0 + bent_rad * np.exp(-height_m / 4.0) + turns_up_rad * climbs + noise
    made: Made = {
        Quantity.HEADING: (t_s, np.mod(heading, 2.0 * np.pi)), Quantity.HEIGHT_LAUNCH: (t_s, height_m),
        Quantity.YAW_STICK: (t_s, np.where((t_s > 5.0) & (t_s < 11.0), stick, 0.02)),
        Quantity.GROUND_SPEED: (t_s, np.full(t_s.size, 0.3)), Quantity.COURSE: (t_s, np.zeros(t_s.size)),
    }  # fmt: skip
    made = {key: each for key, each in made.items() if key is not without}
    phases = (flat(PhaseKind.GROUND, 0.0, 5.0), flat(PhaseKind.ALOFT, 5.0, 55.0), flat(PhaseKind.GROUND, 55.0, END_S))
    return Looked(RecordAnswer(Flown(make_record(made), phases, 4, "LiPo"), (), (), ()), 55.0)


def told(looked: Looked) -> RecordSign | None:
    return {each.sign: each for each in place_signs(looked).signs}.get(SIGN)


@pytest.mark.parametrize(("bent_rad", "seen"), [(0.0, False), (0.8, True), (-1.2, True)])
def test_steel_turns_it_as_it_climbs_and_back_as_it_comes_down(bent_rad: float, seen: bool) -> None:
    looked = flown(bent_rad)
    found = turns_with_height(place_seen(looked))
    assert found is not None
    assert found.times == 2
    assert found.turn_rad == pytest.approx(abs(bent_rad), abs=0.1)
    sign = told(looked)
    assert sign is not None
    assert sign.seen is seen
    assert sign.sure > 0.9


def test_a_turn_on_the_way_up_alone_is_none() -> None:
    found = turns_with_height(place_seen(flown(0.0, turns_up_rad=1.0)))
    assert found is not None
    assert found.turn_rad < 0.25
    assert (sign := told(flown(0.0, turns_up_rad=1.0))) is not None
    assert not sign.seen


def test_where_the_thumb_turns_it_that_climb_does_not_count() -> None:
    found = turns_with_height(place_seen(flown(0.8, turns_up_rad=2.0, stick=0.4)))
    assert found is not None
    assert found.times == 1
    assert found.turn_rad == pytest.approx(0.8, abs=0.1)


@pytest.mark.parametrize("without", [Quantity.HEADING, Quantity.YAW_STICK, Quantity.HEIGHT_LAUNCH])
def test_without_heading_stick_or_height_it_is_not_told(without: Quantity) -> None:
    assert told(flown(0.8, without=without)) is None


@pytest.mark.parametrize("rows", [12, 15, 25])
def test_a_record_shorter_than_a_stick_must_rest_is_read_and_tells_nothing(rows: int) -> None:
    whole = flown(0.8)
    record = whole.answer.flown.record
    series: Made = {each.channel: (each.t_s[:rows], each.values[:rows]) for each in record.series.values()}
    phases = (flat(PhaseKind.ALOFT, 0.0, rows * STEP_S),)
    short = Looked(RecordAnswer(Flown(make_record(series), phases, 4, "LiPo"), (), (), ()), rows * STEP_S)
    assert turns_with_height(place_seen(short)) is None
    sign = told(short)
    assert sign is None or not sign.seen
