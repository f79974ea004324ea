"""Signs of a record's positions and heights, and of the plan's site, on tracks that are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_place import TELLERS, place_signs
from turnback.assess.signs_site import TELLERS as SITE_TELLERS
from turnback.assess.signs_site import site_signs
from turnback.knowledge.book import Channel as BookChannel
from turnback.knowledge.reading import read_book
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AgainstPlan, AtLoss, Looked, RecordSign
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, RecordAnswer

Floats = NDArray[np.float64]
Made = dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]]
M_PER_DEG = 111_195.0
STEP_S = 0.1


def _track(east_m: Floats, north_m: Floats, height_m: Floats, **also: ArrayLike) -> Made:
    """Channels of a track on the equator, ten rows a second."""
    t_s = np.arange(east_m.size) * STEP_S
    v_e, v_n = np.gradient(east_m, STEP_S), np.gradient(north_m, STEP_S)
    made: Made = {
        Quantity.LATITUDE: (t_s, north_m / M_PER_DEG), Quantity.LONGITUDE: (t_s, east_m / M_PER_DEG),
        Quantity.GROUND_SPEED: (t_s, np.hypot(v_e, v_n)),
        Quantity.COURSE: (t_s, np.mod(np.arctan2(v_e, v_n), 2 * np.pi)),
        Quantity.HEIGHT_LAUNCH: (t_s, height_m), Quantity.CLIMB_RATE: (t_s, np.gradient(height_m, STEP_S)),
    }  # fmt: skip
    return made | {Quantity(key): (t_s, values) for key, values in also.items()}


def _out_and_back(
    seconds: float = 60.0, speed: float = 8.0, back: float | None = None
) -> tuple[Floats, Floats, Floats]:
    """North and home again, 20 m high."""
    t_s = np.arange(0.0, seconds, STEP_S)
    v = np.where(t_s < seconds / 2.0, speed, -(speed if back is None else back))
    v[t_s < 5.0] = 0.0
    return np.zeros(t_s.size), np.cumsum(v) * STEP_S, np.interp(t_s, [0.0, 5.0], [0.0, 20.0])


def _looked(
    made: Made, *events: Event, phases: tuple[Phase, ...] = (), ended_s: float | None = None,
    at_loss: AtLoss | None = None, **expected: float,
) -> Looked:  # fmt: skip
    record = make_record(made)
    end_s = record.clock.length_s
    spreads = {key: Spread(value, value - 1.0, value + 1.0) for key, value in expected.items()}
    flown = Flown(record, phases or (flat(PhaseKind.CRUISE, 0.0, end_s),), 4, "LiPo")
    against = AgainstPlan(at_loss=at_loss, expected=spreads) if expected or at_loss is not None else None
    return Looked(RecordAnswer(flown, events, (), ()), end_s if ended_s is None else ended_s, against)


def _event(kind: EventKind, start_s: float, end_s: float, **values: float) -> Event:
    return Event(kind, start_s, end_s, (), "made", values)


def _signs(looked: Looked) -> dict[str, RecordSign]:
    return {each.sign: each for each in place_signs(looked).signs}


def _site(looked: Looked) -> dict[str, RecordSign]:
    return {each.sign: each for each in site_signs(looked).signs}


def test_every_sign_of_both_channels_is_told_or_said_not_to_be_looked_for() -> None:
    """Exactly once each; a record without places says why."""
    book = read_book()
    place = {each.key for each in book.signs if each.channel is BookChannel.PLACE}
    site = {each.key for each in book.signs if each.channel is BookChannel.SITE}
    assert set(TELLERS) == place
    assert set(SITE_TELLERS) == site
    t_s = np.arange(0.0, 20.0, 0.1)
    bare: Made = {Quantity.PACK_VOLTS: (t_s, t_s)}
    for made in (_track(*_out_and_back()), bare):
        for tell, keys in ((place_signs, place), (site_signs, site)):
            looked = _looked(dict(made))
            told = tell(looked)
            every = [each.sign for each in told.signs] + [each.sign for each in told.not_looked_for]
            assert sorted(every) == sorted(keys)


def test_a_flight_out_and_back_shows_nothing() -> None:
    """Nothing is seen on it."""
    looked = _looked(_track(*_out_and_back()), wind_mps=1.5, density_kg_m3=1.2, temperature_c=18.0)
    seen = [each.sign for each in (*place_signs(looked).signs, *site_signs(looked).signs) if each.seen]
    assert seen == []


def test_circles_that_grow_are_told_from_circles_that_do_not() -> None:
    """A spiral, sticks still; a round circle; the same spiral flown by the thumbs."""
    t_s = np.arange(0.0, 50.0, STEP_S)
    for grows, stick, seen in ((0.25, 0.0, True), (0.0, 0.0, False), (0.25, 0.5, False)):
        radius, turn = 3.0 + grows * t_s, 0.7 * t_s
        sticks = dict.fromkeys(("roll_stick", "pitch_stick"), np.full(t_s.size, stick))
        made = _track(radius * np.cos(turn), radius * np.sin(turn), np.full(t_s.size, 10.0), **sticks)
        found = _signs(_looked(made)).get("circles-grow")  # by the thumbs: not looked for
        assert (found is not None and found.seen) is seen


def test_drifting_is_leaning_one_way_and_going_the_other() -> None:
    """Leans north (nose down, heading north) and goes south steadily; braking for two seconds is none."""
    n = 300
    north = np.asarray(np.arange(n) * (-4.0 * STEP_S), np.float64)
    attitude = {"roll": np.zeros(n), "pitch": np.full(n, -0.35), "heading": np.zeros(n)}
    made = _track(np.zeros(n), north, np.full(n, 15.0), **attitude)
    drifts = _signs(_looked(made))["drifts-down-wind"]
    assert drifts.seen
    assert drifts.sure > 0.95
    t_s = np.arange(n) * STEP_S
    brakes = attitude | {"pitch": np.where((t_s > 10.0) & (t_s < 12.0), -0.35, 0.1)}
    assert not _signs(_looked(_track(np.zeros(n), north, np.full(n, 15.0), **brakes)))["drifts-down-wind"].seen


def test_slow_into_the_wind_needs_both_legs() -> None:
    """Twelve out and three home against a wind from the south; eight and eight without."""
    wind = Event(EventKind.WIND, 0.0, 60.0, (), "made", {"wind_mps": 4.5, "from_rad": np.pi, "air_mps": 7.5},
                 words={"part": "whole", "by": "lean"})  # fmt: skip
    slow = _looked(_track(*_out_and_back(speed=12.0, back=3.0)), wind)
    assert _signs(slow)["slow-into-wind"].seen
    assert not _signs(_looked(_track(*_out_and_back()), replace(wind, values=wind.values)))["slow-into-wind"].seen
    assert _site(slow)["strong-wind"].seen


def test_standing_still_on_the_way_home() -> None:
    """In automatic return, 150 m out: it gains half a metre a second, or eight."""
    returns = (flat(PhaseKind.CRUISE, 0.0, 30.0), flat(PhaseKind.RETURN, 30.0, 59.9))
    slow = _looked(_track(*_out_and_back(back=0.5), return_active=np.ones(600)), phases=returns)
    assert _signs(slow)["stands-still-on-the-way-home"].seen
    quick = _looked(_track(*_out_and_back(back=6.0), return_active=np.ones(600)), phases=returns)
    assert not _signs(quick)["stands-still-on-the-way-home"].seen


@pytest.mark.parametrize(("home_m", "seen"), [(35.0, True), (8.0, False)])
def test_lower_than_what_stands_on_the_way_home(home_m: float, seen: bool) -> None:
    """Twenty metres high in automatic return, against the plan's ground; without a plan it is not told."""
    returns = (flat(PhaseKind.CRUISE, 0.0, 30.0), flat(PhaseKind.RETURN, 30.0, 59.9))
    made = _track(*_out_and_back(back=6.0), return_active=np.ones(600))
    found = _signs(_looked(made, phases=returns, home_height_m=home_m))["below-obstacles-on-the-way-home"]
    assert found.seen is seen
    assert found.sure > 0.95
    assert "below-obstacles-on-the-way-home" not in _signs(_looked(made, phases=returns))


def test_hanging_over_the_launch_point() -> None:
    """Half a minute at 20 m over it; or coming down."""
    t_s = np.arange(0.0, 60.0, STEP_S)
    phases = (flat(PhaseKind.CRUISE, 0.0, 20.0), flat(PhaseKind.RETURN, 20.0, 59.9))
    north = np.interp(t_s, [5.0, 15.0, 25.0], [0.0, 80.0, 0.0])
    up = np.interp(t_s, [0.0, 5.0], [0.0, 20.0])
    down = np.interp(t_s, [0.0, 5.0, 26.0, 40.0], [0.0, 20.0, 20.0, 0.0])
    for height, seen in ((up, True), (down, False)):
        made = _track(
            np.zeros(t_s.size), north, np.asarray(height, np.float64), return_active=(t_s > 20.0).astype(float)
        )
        assert _signs(_looked(made, phases=phases))["stays-over-launch-point"].seen is seen


def test_flying_on_after_the_loss() -> None:
    """The distance grows by 8 m each second; or it stops and comes back."""
    loss = _event(EventKind.LINK_LOST, 15.0, 29.0)
    on = _looked(_track(*_out_and_back()), loss, ended_s=28.0)
    assert _signs(on)["flies-on-away"].seen
    assert _signs(on)["lost-at-greatest-distance"].seen
    back = _looked(_track(*_out_and_back(seconds=32.0)), loss, ended_s=30.0)
    assert not _signs(back)["flies-on-away"].seen
    assert not _signs(_looked(_track(*_out_and_back())))["flies-on-away"].seen


def test_events_become_signs_with_how_sure() -> None:
    """Launch point, jumps, return track, free fall, end aloft; just beyond a limit is hardly sure."""
    made = _track(*_out_and_back(), return_active=np.ones(600))
    for off_m, least in ((11.0, 0.5), (60.0, 0.97)):
        found = _signs(_looked(made, _event(EventKind.LAUNCH_POINT_OFF, 1.0, 1.0, off_m=off_m)))["launch-point-off"]
        assert found.seen
        assert found.sure >= least
        assert off_m > 20.0 or found.sure < 0.7
    jumps = _event(EventKind.POSITION_JUMP, 20.0, 20.0, jump_m=40.0)
    assert _signs(_looked(made, jumps))["position-jumps"].seen
    track = _event(EventKind.RETURN_TRACK_OFF, 35.0, 50.0, off_rad=1.6)
    returns = (flat(PhaseKind.CRUISE, 0.0, 30.0), flat(PhaseKind.RETURN, 30.0, 59.9))
    assert _signs(_looked(made, track, phases=returns))["return-track-off-home"].seen
    fall = _event(EventKind.FREE_FALL, 40.0, 41.5, free_s=1.4, height_m=9.0)
    assert _signs(_looked(made, fall, ended_s=41.0))["falls-free"].seen
    caught = _event(EventKind.FREE_FALL, 20.0, 20.6, free_s=0.55, height_m=3.0)
    assert not _signs(_looked(made, caught))["falls-free"].seen
    ends = _event(EventKind.ENDS_ALOFT, 59.9, 59.9, height_m=20.0)
    rates: Made = {Quantity.ROLL_RATE: (np.arange(600) * STEP_S, np.zeros(600))}
    # nobody flies it in automatic return: a record that stops there says nothing of why
    assert "record-ends-aloft" not in _signs(_looked(made | rates, ends))
    made[Quantity.RETURN_ACTIVE] = np.arange(600) * STEP_S, np.zeros(600)
    on_board = _signs(_looked(made | rates, ends))["record-ends-aloft"]
    assert on_board.seen
    assert on_board.sure > 0.95
    assert _signs(_looked(made, ends))["record-ends-aloft"].sure <= 0.6
    assert not _signs(_looked(made, ends, ended_s=50.0))["record-ends-aloft"].seen


def test_hits_while_flying_steadily_or_after_something_went_wrong() -> None:
    """The same blow, quiet before; with a motor lost before; after sinking fast."""
    made = _track(*_out_and_back())
    blow = _event(EventKind.IMPACT, 40.0, 40.1, before_mps=8.0, after_mps=0.0)
    assert _signs(_looked(made, blow, ended_s=40.0))["hits-while-flying-steadily"].seen
    lost = _event(EventKind.SPEED_COLLAPSE, 39.0, 39.9)
    assert not _signs(_looked(made, blow, lost, ended_s=40.0))["hits-while-flying-steadily"].seen
    t_s = np.arange(600) * STEP_S
    whirls = made | {Quantity.HEADING: (t_s, np.mod(8.0 * t_s, 2.0 * np.pi)), Quantity.YAW_STICK: (t_s, 0.0 * t_s)}
    assert not _signs(_looked(whirls, blow, ended_s=40.0))["hits-while-flying-steadily"].seen
    landing = replace(blow, values={"before_mps": 0.8})
    assert not _signs(_looked(made, landing, ended_s=40.0))["hits-while-flying-steadily"].seen


def test_throttle_closed_too_long_sinks_fast_and_opens_late() -> None:
    """From 30 m, throttle shut for two seconds and full 0.4 s before the ground."""
    t_s = np.arange(0.0, 30.0, STEP_S)
    climb = np.where((t_s > 20.0) & (t_s < 22.6), -9.8 * (t_s - 20.0), 0.0)
    height = np.maximum(30.0 + np.cumsum(climb) * STEP_S, 0.0)
    throttle = np.where((t_s > 19.9) & (t_s < 22.1), 0.02, np.where(t_s < 22.1, 0.4, 0.98))
    north = 3.0 * t_s
    made = _track(np.zeros(t_s.size), north, height, throttle=throttle)
    blow = _event(EventKind.IMPACT, 22.5, 22.6, before_mps=20.0, after_mps=0.0)
    phases = (flat(PhaseKind.CRUISE, 0.0, 20.2), flat(PhaseKind.FALL, 20.2, 22.5), flat(PhaseKind.GROUND, 22.5, 29.9))
    found = _signs(_looked(made, blow, phases=phases, ended_s=21.2))
    assert found["sinks-fast-before-the-ground"].seen
    assert found["full-throttle-just-before-the-ground"].seen
    # motors that stopped by themselves: the fall is what came of it, and no sign of the throttle
    mid = _track(np.zeros(t_s.size), north, height, throttle=np.full(t_s.size, 0.4))
    fell = _signs(_looked(mid, blow, phases=phases, ended_s=21.2))
    assert "sinks-fast-before-the-ground" not in fell
    assert not fell["full-throttle-just-before-the-ground"].seen


def test_sinking_straight_down() -> None:
    """Four metres a second with hardly any way on; or on the way."""
    t_s = np.arange(0.0, 30.0, STEP_S)
    height = np.interp(t_s, [0.0, 15.0, 22.0], [40.0, 40.0, 12.0])
    for speed, seen in ((0.2, True), (7.0, False)):
        made = _track(np.zeros(t_s.size), speed * t_s, height)
        assert _signs(_looked(made))["sinks-straight-down"].seen is seen


def test_the_site_beside_the_record() -> None:
    """What the plan knows: ground between, margin, air, temperature; the pack's own temperature before the day's."""
    made = _track(*_out_and_back())
    behind = AtLoss(20.0, 400.0, 0.0, 20.0, -30.0, 200.0, 60.0, Spread(-12.0, -20.0, -4.0), False)
    found = _site(_looked(made, _event(EventKind.LINK_LOST, 20.0, 25.0), at_loss=behind))
    assert found["ground-crosses-the-ray"].seen
    assert "margin-used-up-by-distance" not in found  # the ridge takes it
    far = replace(behind, clearance_m=60.0, line_of_sight=True, margin_db=Spread(0.5, -4.0, 5.0))
    open_ground = _site(_looked(made, _event(EventKind.LINK_LOST, 20.0, 25.0), at_loss=far))
    assert open_ground["margin-used-up-by-distance"].seen
    assert not open_ground["ground-crosses-the-ray"].seen
    assert not open_ground["trees-or-walls-in-between"].seen
    assert _site(_looked(made, temperature_c=-2.0))["cold-day"].seen
    warm = made | {Quantity.PACK_TEMPERATURE: (np.arange(600) * STEP_S, np.full(600, 24.0))}
    assert not _site(_looked(warm, temperature_c=-2.0))["cold-day"].seen
    thin = _looked(made)
    thin = replace(thin, against=AgainstPlan(expected={"density_kg_m3": Spread(0.9, 0.88, 0.92)}))
    assert _site(thin)["high-or-hot-place"].seen
