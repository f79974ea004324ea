"""How a return ends and what stood in the way, on small made-up tracks: passed by, stopped short, hidden by trees."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess import signs_place_home
from turnback.assess.signs_link import link_signs
from turnback.assess.signs_place_home import aims_off, stops_short
from turnback.assess.signs_place_return import launch_point_off
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_site import site_signs
from turnback.assess.signs_volts_told import Blind, Saw
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AgainstPlan, AtLoss, Looked, RecordSign
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, Flown, NotTold, Phase, PhaseKind, RecordAnswer, WhyNot

STEP_S, M_PER_DEG = 0.1, 111_195.0
Made = dict[Channel | Quantity, tuple[Any, Any]]


def _made(t_s: Any, north_m: Any, height_m: Any, **also: Any) -> Made:
    """A track north of the launch point on the equator, ten rows a second, in automatic return from second 30 on."""
    v_mps = np.gradient(north_m, STEP_S)
    made: Made = {
        Quantity.LATITUDE: (t_s, north_m / M_PER_DEG), Quantity.LONGITUDE: (t_s, np.zeros(t_s.size)),
        Quantity.GROUND_SPEED: (t_s, np.abs(v_mps)), Quantity.COURSE: (t_s, np.where(v_mps < 0.0, np.pi, 0.0)),
        Quantity.HEADING: (t_s, np.where(v_mps < 0.0, np.pi, 0.0)),
        Quantity.HEIGHT_LAUNCH: (t_s, height_m), Quantity.CLIMB_RATE: (t_s, np.gradient(height_m, STEP_S)),
        Quantity.RETURN_ACTIVE: (t_s, (t_s > 30.0).astype(float)),
    }  # fmt: skip
    return made | {Quantity(key): (t_s, values) for key, values in also.items()}


def _looked(made: Made, *events: Event, after: tuple[Phase, ...] = (), at_loss: AtLoss | None = None) -> Looked:
    record = make_record(made)
    end_s = record.clock.length_s
    phases = (flat(PhaseKind.CRUISE, 0.0, 30.0), flat(PhaseKind.RETURN, 30.0, end_s), *after)
    against = None if at_loss is None else AgainstPlan(at_loss=at_loss)
    return Looked(RecordAnswer(Flown(record, phases, 4, "LiPo"), events, (), ()), end_s, against)


def _by_key(signs: tuple[RecordSign, ...]) -> dict[str, RecordSign]:
    return {each.sign: each for each in signs}


@pytest.fixture
def _true_heading(monkeypatch: pytest.MonkeyPatch) -> None:
    """A heading that was found to be right, without the turns that it takes to find it so."""
    monkeypatch.setattr(signs_place_home, "heading_turned", lambda _seen: SimpleNamespace(off_rad=0.0))


@pytest.mark.usefixtures("_true_heading")
@pytest.mark.parametrize(("last_m", "seen"), [(-40.0, True), (-3.0, False)])
def test_a_return_that_flies_over_where_it_took_off_has_its_point_elsewhere(last_m: float, seen: bool) -> None:
    """It goes on 40 m behind, or slows and stops 3 m behind."""
    t_s = np.arange(0.0, 60.0, STEP_S)
    stops_s = 30.0 + (180.0 - last_m) / 8.0
    north_m = np.interp(t_s, [5.0, 30.0, stops_s], [0.0, 180.0, last_m])
    rows = t_s < stops_s - 0.2
    height_m = np.interp(t_s, [0.0, 5.0], [0.0, 20.0])
    found = aims_off(place_seen(_looked(_made(t_s[rows], north_m[rows], height_m[rows]))))
    assert isinstance(found, Saw)
    assert (found.beyond > 0.5) is seen
    assert (found.beyond < -0.5) is not seen


@pytest.mark.usefixtures("_true_heading")
def test_from_afar_a_point_behind_is_hardly_denied_and_jumps_leave_it_open() -> None:
    """Taken over 100 m out; and the same with places that jump."""
    t_s = np.arange(0.0, 40.0, STEP_S)
    north_m = np.interp(t_s, [5.0, 30.0, 40.0], [0.0, 180.0, 100.0])
    made = _made(t_s, north_m, np.interp(t_s, [0.0, 5.0], [0.0, 20.0]))
    found = aims_off(place_seen(_looked(made)))
    assert isinstance(found, Saw)
    assert found.beyond < 0.0
    assert found.most == pytest.approx(0.7)
    jump = Event(EventKind.POSITION_JUMP, 20.0, 20.2, (), "made", {"jump_m": 60.0})
    looked = _looked(made, jump)
    unknown = NotTold(EventKind.LAUNCH_POINT_OFF, WhyNot.NO_CHANNEL, (Channel(Quantity.LAUNCH_LATITUDE),))
    answer = RecordAnswer(looked.answer.flown, (jump,), (unknown,), ())
    assert isinstance(launch_point_off(place_seen(replace(looked, answer=answer))), Blind)
    still = RecordAnswer(looked.answer.flown, (), (unknown,), ())
    assert isinstance(launch_point_off(place_seen(replace(looked, answer=still))), Saw)


@pytest.mark.parametrize("high_m", [3.0, 40.0])
def test_what_strikes_something_on_the_way_home_stops_short_however_high_it_was(high_m: float) -> None:
    """It stops 100 m out and falls freely from there: from 40 m that alone takes 2.9 s (h = g t^2 / 2)."""
    fall_s = float(np.sqrt(2.0 * high_m / 9.80665))
    t_s = np.arange(0.0, 40.0 + fall_s + 0.5, STEP_S)
    north_m = np.interp(t_s, [5.0, 30.0, 40.0], [0.0, 180.0, 100.0])
    height_m = np.interp(t_s, [0.0, 5.0], [0.0, high_m])
    height_m = np.maximum(height_m - 0.5 * 9.80665 * np.maximum(t_s - 40.0, 0.0) ** 2, 0.0)
    ground = flat(PhaseKind.GROUND, float(t_s[-1]), float(t_s[-1]) + 1.0)
    found = stops_short(place_seen(_looked(_made(t_s, north_m, height_m), after=(ground,))))
    assert isinstance(found, Saw)
    assert found.beyond > 1.5
    whole = stops_short(place_seen(_looked(_made(t_s, north_m, np.interp(t_s, [0.0, 5.0], [0.0, high_m])))))
    assert isinstance(whole, Saw)
    assert whole.beyond < 0.0  # it still flies when the record ends


def _level_looked(fall_db: float, fall_s: float, margin_db: float, clearance_m: float) -> Looked:
    """Free space on the way out to 300 m, less something from a time on; the link goes at 50 s."""
    t_s = np.arange(0.0, 52.0, STEP_S)
    north_m = np.interp(t_s, [5.0, 50.0], [0.0, 300.0])
    height_m = np.interp(t_s, [0.0, 5.0], [0.0, 20.0])
    away_m = np.maximum(np.hypot(north_m, height_m), 1.0)
    scatter = 0.5 * np.random.default_rng(3).standard_normal(t_s.size)
    level = -91.0 - 20.0 * np.log10(away_m / 100.0) + scatter - np.where(t_s > fall_s, fall_db, 0.0)
    made = _made(t_s, north_m, height_m, link_level=level, link_quality=(t_s < 50.0).astype(float))
    loss = Event(EventKind.LINK_LOST, 50.0, 51.9, (), "made", {})
    margin = Spread(margin_db, margin_db - 6.0, margin_db + 6.0)
    at = AtLoss(50.0, 300.0, 0.0, 20.0, clearance_m, float("nan"), float("nan"), margin, clearance_m > 0.0)
    return replace(_looked(made, loss, at_loss=at), ended_s=51.5)


def test_trees_are_told_by_clear_ground_and_a_level_below_its_line() -> None:
    """Fifteen decibels go 5 s before the loss with margin left; nothing goes where distance alone took the margin."""
    sign = "trees-or-walls-in-between"
    assert _by_key(site_signs(_level_looked(15.0, 45.0, 20.0, 8.0)).signs)[sign].seen
    even = _by_key(site_signs(_level_looked(0.0, 45.0, 0.0, 8.0)).signs)[sign]
    assert not even.seen
    assert even.sure > 0.8
    for ground in (_level_looked(15.0, 45.0, -3.0, -10.0), _level_looked(0.0, 45.0, 20.0, 8.0)):
        assert sign not in _by_key(site_signs(ground).signs)  # the ground may be it; model and record disagree


@pytest.mark.parametrize(("fall_db", "seen"), [(0.0, True), (15.0, False)])
def test_a_level_that_falls_in_the_last_moment_does_not_fall_with_distance(fall_db: float, seen: bool) -> None:
    """Even the whole way to the loss, or even until half a second before."""
    found = _by_key(link_signs(_level_looked(fall_db, 49.5, 0.0, 8.0)).signs)["level-falls-with-distance"]
    assert found.seen is seen
    assert found.sure > 0.8
