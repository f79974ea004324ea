"""Signs of the control link on small made-up records, and on flights of the study."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_flown

from turnback.assess.link_events import find_link
from turnback.assess.signs_link import link_signs
from turnback.assess.signs_link_parts import lost_links, sure_of
from turnback.knowledge.book import Channel as BookChannel
from turnback.knowledge.reading import read_book
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer, WhyNot

BOOK = {sign.key for sign in read_book().signs if sign.channel is BookChannel.LINK}
END_S, HZ = 100.0, 50.0
FLIES = (flat(PhaseKind.GROUND, 0.0, 5.0), flat(PhaseKind.CRUISE, 5.0, 95.0), flat(PhaseKind.GROUND, 95.0, END_S))
Made = dict[Channel | Quantity, tuple[Any, Any]]


def flight(seed: int = 1, *, turns: bool = True, leaves: bool = True) -> tuple[np.ndarray, Made]:
    """Out along north to 400 m and back, nose ahead, 20 m up: free space, a small scatter, -55 dBm at 100 m.

    `leaves` False hovers 100 m away throughout.
    """
    rng = np.random.default_rng(seed)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    north_m = np.interp(t_s, [0.0, 5.0, 15.0, 50.0, 85.0, 95.0, END_S], [0.0, 0.0, 40.0, 400.0, 40.0, 0.0, 0.0])
    if not leaves:
        north_m = np.interp(t_s, [0.0, 5.0, 15.0, 85.0, 95.0, END_S], [0.0, 0.0, 100.0, 100.0, 0.0, 0.0])
    height_m = np.interp(t_s, [0.0, 5.0, 12.0, 88.0, 95.0, END_S], [0.0, 0.0, 20.0, 20.0, 0.0, 0.0])
    heading = np.interp(t_s, [0.0, 49.0, 51.0, END_S], [0.0, 0.0, np.pi, np.pi]) if turns else np.zeros(t_s.size)
    away_m = np.maximum(np.hypot(north_m, height_m), 1.0)
    level = -55.0 - 20.0 * np.log10(away_m / 100.0) + 0.7 * rng.standard_normal(t_s.size)
    back = -58.0 - 20.0 * np.log10(away_m / 100.0) + 0.7 * rng.standard_normal(t_s.size)
    made: Made = {
        Quantity.LINK_LEVEL: (t_s, level), Quantity.LINK_LEVEL_BACK: (t_s, back),
        Quantity.LINK_QUALITY: (t_s, np.full(t_s.size, 0.99)),
        Quantity.LINK_QUALITY_BACK: (t_s, np.full(t_s.size, 0.99)),
        Quantity.LATITUDE: (t_s, 50.0 + north_m / 111_320.0), Quantity.LONGITUDE: (t_s, np.full(t_s.size, 10.0)),
        Quantity.HEIGHT_LAUNCH: (t_s, height_m), Quantity.HEADING: (t_s, heading),
        Quantity.GROUND_SPEED: (t_s, np.abs(np.gradient(north_m, t_s))),
        Quantity.CURRENT: (t_s, 10.0 + 3.0 * np.sin(t_s)),
    }  # fmt: skip
    return t_s, made


def add(made: Made, db: Any, *, back: bool = True) -> None:
    """Add decibels to the way there, and to the way back."""
    for each in (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK)[: 2 if back else 1]:
        made[each] = (made[each][0], made[each][1] + db)


def told(
    made: Made, *, ended_s: float = 94.0, events: tuple[Event, ...] = (), earlier: Any = ()
) -> dict[str, RecordSign]:
    """The signs of a made record, by key; every sign of the channel once."""
    flown = make_flown(made, *FLIES)
    found = find_link(flown)
    result = link_signs(Looked(RecordAnswer(flown, (*found.events, *events), (), ()), ended_s, None, earlier))
    keys = [each.sign for each in result.signs] + [each.sign for each in result.not_looked_for]
    assert sorted(keys) == sorted(BOOK)
    return {each.sign: each for each in result.signs}


def seen(signs: dict[str, RecordSign]) -> set[str]:
    """Keys that are seen."""
    return {key for key, each in signs.items() if each.seen}


def test_a_sound_link_shows_nothing_but_that() -> None:
    signs = told(flight()[1])
    assert seen(signs) == {"link-healthy-throughout"}
    assert all(0.5 <= each.sure <= 1.0 for each in signs.values())
    assert signs["link-healthy-throughout"].sure > 0.95


def test_a_record_without_link_tells_nothing_and_says_what_it_needs() -> None:
    t_s = np.arange(0.0, END_S, 0.1)
    flown = make_flown({Quantity.PACK_VOLTS: (t_s, 15.0)}, *FLIES)
    result = link_signs(Looked(RecordAnswer(flown, (), (), ()), 94.0))
    assert not result.signs
    assert all(each.why is WhyNot.NO_CHANNEL for each in result.not_looked_for)
    need = {each.sign: each.needs for each in result.not_looked_for}
    assert Channel(Quantity.LINK_LEVEL) in need["level-steps-down"]
    assert need["range-walk-short-one-side"] == ()  # no channel would tell


@pytest.mark.parametrize("hz", [5.0, 50.0, 500.0])
def test_a_shadow_behind_an_edge_steps_down_and_is_there_again(hz: float) -> None:
    t_s, made = flight()
    north_m = 111_320.0 * (made[Quantity.LATITUDE][1] - 50.0)
    add(made, np.where(north_m > 250.0, -20.0, 0.0))
    grid = np.arange(0.0, END_S, 1.0 / hz)
    made = {key: (grid, np.interp(grid, t_s, values)) for key, (_, values) in made.items()}
    signs = told(made)
    assert {"level-steps-down", "level-falls-at-one-place"} <= seen(signs)
    assert not {"level-dips-at-moments", "level-fades-with-time", "level-dips-with-attitude"} & seen(signs)
    assert signs["level-steps-down"].start_s == pytest.approx(15.0 + 210.0 / (360.0 / 35.0), abs=1.5)


def test_a_dip_at_moments_goes_with_nothing() -> None:
    t_s, made = flight()
    for start_s in (25.0, 35.0, 66.0):
        add(made, np.where((t_s >= start_s) & (t_s < start_s + 2.0), -15.0, 0.0))
    signs = told(made)
    assert "level-dips-at-moments" in seen(signs)
    assert not {"level-steps-down", "level-falls-at-one-place", "level-dips-with-attitude"} & seen(signs)


def test_a_blind_tail_goes_with_attitude() -> None:
    t_s, made = flight()
    heading = made[Quantity.HEADING][1] + 0.9 * np.sin(2.0 * np.pi * t_s / 14.0)
    made[Quantity.HEADING] = (t_s, heading)
    tail = np.cos(heading)  # of the way out: the pilot lies behind
    loss = np.minimum(18.0, -10.0 * np.log10(np.maximum(1.0 - tail**2, 1e-3)))
    add(made, np.where(tail > 0.0, -loss, 0.0))
    signs = told(made)
    assert "level-dips-with-attitude" in seen(signs)
    assert "level-dips-at-moments" not in seen(signs)


def test_power_that_falls_in_flight_is_no_path() -> None:
    t_s, made = flight()
    add(made, np.where(t_s > 45.0, -9.0, 0.0), back=False)
    assert "level-fades-with-time" in seen(told(made))
    both = flight()[1]
    add(both, np.where(t_s > 45.0, -9.0, 0.0))
    assert "level-fades-with-time" not in seen(told(both))


@pytest.mark.parametrize(("there_db", "back_db", "sign"), [
    (-12.0, 0.0, "commands-weaker-than-way-back"), (0.0, -14.0, "way-back-weaker-than-commands"),
])  # fmt: skip
def test_which_end_is_weak(there_db: float, back_db: float, sign: str) -> None:
    t_s, made = flight()
    add(made, there_db, back=False)
    made[Quantity.LINK_LEVEL_BACK] = (t_s, made[Quantity.LINK_LEVEL_BACK][1] + back_db)
    assert seen(told(made)) & {"one-direction-only-weak", "commands-weaker-than-way-back",
                               "way-back-weaker-than-commands"} == {"one-direction-only-weak", sign}  # fmt: skip


def test_lower_than_before_both_ways_or_one() -> None:
    before = tuple(RecordAnswer(make_flown(flight(seed)[1], *FLIES), (), (), ()) for seed in (5, 6))
    both = flight()[1]
    add(both, -18.0)
    assert seen(told(both, earlier=before)) >= {"level-low-every-direction"}
    assert "level-low-fixed-step" not in seen(told(both, earlier=before))
    one = flight()[1]
    add(one, -10.0, back=False)
    assert "level-low-fixed-step" in seen(told(one, earlier=before))
    assert "level-low-every-direction" not in seen(told(one, earlier=before))
    same = told(flight()[1], earlier=before)
    assert not {"level-low-every-direction", "level-low-fixed-step"} & seen(same)


def test_lost_at_the_end_of_the_range() -> None:
    t_s, made = flight()
    add(made, -45.0)
    level = made[Quantity.LINK_LEVEL][1]
    made[Quantity.LINK_QUALITY] = (t_s, np.clip((level + 112.0) / 4.0, 0.0, 1.0))
    signs = told(made)
    assert {"level-falls-with-distance", "link-lost-first"} <= seen(signs)
    assert not {"level-high-quality-low", "link-healthy-throughout", "level-steps-down"} & seen(signs)


def test_a_loss_after_something_broke_is_not_first() -> None:
    t_s, made = flight()
    made[Quantity.LINK_QUALITY] = (t_s, np.where(t_s > 60.0, 0.0, 0.99))
    assert "link-lost-first" in seen(told(made, ended_s=63.0))
    broke = Event(EventKind.SPEED_COLLAPSE, 59.0, 63.0, (), "record.output.made")
    assert "link-lost-first" not in seen(told(made, ended_s=63.0, events=(broke,)))


def test_packets_lost_at_a_good_level_and_with_the_load() -> None:
    t_s, made = flight()
    made[Quantity.LINK_QUALITY] = (t_s, np.where((t_s > 30.0) & (t_s < 33.0), 0.3, 0.99))
    signs = told(made)
    assert "level-high-quality-low" in seen(signs)
    assert "quality-drops-with-throttle" not in seen(signs)
    made[Quantity.LINK_QUALITY] = (t_s, 0.8 - 0.06 * (made[Quantity.CURRENT][1] - 10.0))
    assert {"level-high-quality-low", "quality-drops-with-throttle"} <= seen(told(made))


def test_never_linked() -> None:
    t_s, made = flight()
    made[Quantity.LINK_QUALITY] = (t_s, np.zeros(t_s.size))
    made[Quantity.LINK_LEVEL] = (t_s, np.full(t_s.size, -130.0))
    assert "no-level-from-power-up" in seen(told(made))


def test_sureness_grows_smoothly_from_the_threshold() -> None:
    beyond = np.linspace(-4.0, 4.0, 41)
    sure = np.array([sure_of(float(each)) for each in beyond])
    assert sure[20] == 0.5
    assert (np.diff(sure[20:]) > 0.0).all()
    assert sure.max() <= 0.98


@pytest.mark.slow
def test_on_flights_of_the_study() -> None:
    from studies.debrief_flown.own import fly_cause
    from studies.debrief_flown.read import looked_at

    for cause, sign in (("power-level-low", "commands-weaker-than-way-back"),
                        ("way-back-weak", "way-back-weaker-than-commands"),
                        ("control-not-linked", "no-level-from-power-up"),
                        ("transmitter-overheats", "level-fades-with-time")):  # fmt: skip
        signs = {each.sign: each for each in link_signs(looked_at(fly_cause(77_001, cause, "full"))).signs}
        assert signs[sign].seen, cause
    for seed in (77_002, 77_003):
        signs = {each.sign: each for each in link_signs(looked_at(fly_cause(seed, None, "full"))).signs}
        assert {key for key, each in signs.items() if each.seen and each.sure > 0.8} <= {"link-healthy-throughout"}


@pytest.mark.parametrize(("down_db", "high"), [(0.0, True), (-35.0, False)])
def test_a_link_that_goes_at_once_from_a_high_level_was_not_taken_by_the_path(down_db: float, high: bool) -> None:
    t_s, made = flight()
    gone = (t_s > 45.0) & (t_s < 55.0)
    add(made, down_db)
    add(made, np.where(gone, -90.0, 0.0))
    made[Quantity.LINK_QUALITY] = (t_s, np.where(gone, 0.0, 0.99))
    signs = told(made)
    assert signs["lost-from-a-high-level"].seen is high
    assert not told(flight()[1])["lost-from-a-high-level"].seen


@pytest.mark.parametrize(("far_db", "falls"), [(-35.0, True), (10.0, False)])
def test_power_that_falls_is_told_and_power_saved_near_by_is_not(far_db: float, falls: bool) -> None:
    t_s, made = flight()
    add(made, far_db)
    low = t_s > 45.0
    add(made, np.where(low, -10.0, 0.0), back=False)
    made[Quantity.TRANSMIT_POWER] = (t_s, np.where(low, 0.01, 0.1))
    del made[Quantity.LINK_LEVEL_BACK]
    assert ("power-falls-in-flight" in seen(told(made))) is falls


def test_one_dip_on_the_way_and_a_level_out_of_hearing_are_no_dip_of_a_moment() -> None:
    t_s, made = flight()
    add(made, np.where((t_s > 30.0) & (t_s < 32.0), -15.0, 0.0))
    made[Quantity.LONGITUDE] = (t_s, 10.0 + np.where(t_s > 50.0, 0.001, 0.0))  # never there a second time
    assert "level-dips-at-moments" not in told(made)
    t_s, made = flight()
    add(made, np.where((t_s > 45.0) & (t_s < 55.0), -90.0, 0.0))
    signs = told(made)
    assert not {"level-dips-at-moments", "level-steps-down"} & set(signs)


@pytest.mark.parametrize(("throttle", "gone"), [(0.5, True), (0.0, False)])
def test_packets_that_stop_for_good_with_the_throttle_open_are_a_lost_link(throttle: float, gone: bool) -> None:
    t_s, made = flight()
    silent = t_s > 96.0  # after what was taken for a landing
    made[Quantity.LINK_QUALITY] = (t_s, np.where(silent, 0.0, 0.99))
    made[Quantity.ARMED] = (t_s, np.ones(t_s.size))
    made[Quantity.THROTTLE] = (t_s, np.full(t_s.size, throttle))
    looked = Looked(RecordAnswer(make_flown(made, *FLIES), (), (), ()), 98.0)
    found = lost_links(looked, 1.0)
    assert [round(each.start_s) for each in found] == ([96] if gone else [])
