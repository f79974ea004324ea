"""Phases of made-up flights, for each kind of record. The truth is laid down in `flights_made`."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from tests.assess.flights_made import (
    USUAL,
    MadeFlight,
    armed_channel,
    board_channels,
    fly,
    joined,
    slow_channels,
)
from tests.assess.record_makers import Made, make_record

from turnback.assess.phases import phases_of
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.happened import ALOFT, Phase, PhaseKind

K = PhaseKind
GROUND_THEN_UP = [K.GROUND, K.ARMED_ON_GROUND, K.TAKE_OFF]
DOWN = [K.ARMED_ON_GROUND, K.GROUND]
SLOW_DOWN = [K.TAKE_OFF, K.HOVER, K.CRUISE, K.HOVER]
LIFTS_S, LANDS_S = 7.0, 44.0
FLIGHT = fly(*USUAL)
CRASH = fly(
    ("off", 3, 0, 0), ("idle", 2, 0, 0), ("fly", 3, 5, 0), ("fly", 6, 0, 10), ("fly", 5, 0, 10), ("fall", 1.6, 0, 0),
    ("lie", 4, 0, 0),
)  # fmt: skip


def rng(seed: int = 0) -> np.random.Generator:
    """Return a stream of its own for each test."""
    return np.random.default_rng([seed, 77])


def phases(channels: Made, labels: dict[Quantity, tuple[str, ...]] | None = None) -> tuple[Phase, ...]:
    """Return phases; they must cover the record without gaps."""
    record = make_record(channels, labels=labels)
    found = phases_of(record)
    assert found[0].start_s == 0.0
    assert found[-1].end_s == record.clock.length_s
    assert all(one.end_s == two.start_s and one.kind is not two.kind for one, two in pairwise(found))
    assert all(phase.end_s > phase.start_s and phase.rule.startswith("record.phase.") for phase in found)
    return found


def kinds(channels: Made) -> list[PhaseKind]:
    """Return the kinds of phases in their order."""
    return [phase.kind for phase in phases(channels)]


def full(flight: MadeFlight, generator: np.random.Generator, hz: float = 10.0) -> Made:
    """Everything: board, track, current, armed."""
    return joined(board_channels(flight, generator), slow_channels(flight, generator, hz), armed_channel(flight))


def only(channels: Made, *quantities: Quantity) -> Made:
    """Return some channels of many."""
    return {key: each for key, each in channels.items()
            if (key.quantity if isinstance(key, Channel) else key) in quantities}  # fmt: skip


def one_flight(made: Made) -> tuple[float, float]:
    """Return first and last second of the one flight there is."""
    ((start_s, end_s),) = edges_s(phases_of(make_record(made)))
    return start_s, end_s


def edges_s(found: tuple[Phase, ...]) -> list[tuple[float, float]]:
    """Return first and last second of each flight."""
    spans: list[tuple[float, float]] = []
    for phase in found:
        if phase.kind in ALOFT:
            if spans and spans[-1][1] == phase.start_s:
                spans[-1] = (spans[-1][0], phase.end_s)
            else:
                spans.append((phase.start_s, phase.end_s))
    return spans


# --- each kind of record -------------------------------------------------------------------------------------------


def test_a_full_record_tells_every_phase() -> None:
    assert kinds(full(FLIGHT, rng())) == [*GROUND_THEN_UP, K.HOVER, K.CRUISE, K.HOVER, *DOWN]


def test_a_full_record_has_cruise_where_it_flew_along() -> None:
    cruise = next(each for each in phases(full(FLIGHT, rng())) if each.kind is K.CRUISE)
    # 12 m/s from 18 s to 33 s, evenly reached within a second: 2 m/s are passed at 18.17 s and 33.83 s
    assert cruise.start_s == pytest.approx(18.17, abs=0.5)
    assert cruise.end_s == pytest.approx(33.83, abs=0.5)
    assert cruise.values["speed_mps"] == pytest.approx(12.0, abs=0.2)
    assert cruise.values["height_m"] == pytest.approx(6.0, abs=0.3)


@pytest.mark.parametrize("angles", [False, True])
def test_without_speed_or_place_hover_and_cruise_are_not_told_apart(*, angles: bool) -> None:
    """In 12 m/s of wind from ahead a hover leans as this cruise does, and a flight before it is level."""
    made = dict(board_channels(FLIGHT, rng()))
    if angles:
        made |= {Quantity.ROLL: (FLIGHT.t_s, 0.0 * FLIGHT.t_s), Quantity.PITCH: (FLIGHT.t_s, -FLIGHT.lean_rad)}
    assert kinds(made) == [*GROUND_THEN_UP, K.ALOFT, *DOWN]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("drift_m", [-4.0, 4.0])
def test_a_landing_ends_the_flight_however_far_the_height_has_wandered(drift_m: float, seed: int) -> None:
    """A height of pressure that is four metres off at the end: what draws no load and does not sink stands."""
    channels = dict(slow_channels(FLIGHT, rng(seed), 10.0))
    t_s, height_m = channels[Quantity.HEIGHT_LAUNCH]
    drift = drift_m * np.clip(np.asarray(t_s) / LANDS_S, 0.0, 1.0)
    channels[Quantity.HEIGHT_LAUNCH] = (t_s, np.asarray(height_m) + drift)
    found = phases(channels)
    assert found[-1].kind is K.GROUND
    assert found[-1].start_s == pytest.approx(LANDS_S, abs=0.5)


def test_a_record_that_ends_high_up_as_the_motors_stop_does_not_end_on_the_ground() -> None:
    """Motors stop at 19 s, 15 m up, and the record ends 0.6 s later."""
    channels = slow_channels(CRASH, rng(), 10.0)
    cut = {key: (np.asarray(t)[np.asarray(t) < 19.6], np.asarray(x)[np.asarray(t) < 19.6])
           for key, (t, x) in channels.items()}  # fmt: skip
    assert phases(cut)[-1].kind in ALOFT


@pytest.mark.parametrize("seed", range(3))
def test_rotors_too_smooth_to_be_felt_are_no_motors_off(seed: int) -> None:
    """Rates alone tell of motors, and from 18 s on they hardly shake: speed, height and current say that it flies."""
    channels = dict(board_channels(FLIGHT, rng(seed)))
    channels = {key: each for key, each in channels.items() if key in RATES}
    calm = np.where((FLIGHT.t_s > 18.0) & (FLIGHT.t_s < 30.0), 0.02, 1.0)
    channels = {key: (t_s, calm * np.asarray(values)) for key, (t_s, values) in channels.items()}
    found = phases(joined(channels, slow_channels(FLIGHT, rng(seed), 10.0)))
    assert one_flight(joined(channels, slow_channels(FLIGHT, rng(seed), 10.0))) == pytest.approx(
        (LIFTS_S, LANDS_S), abs=0.6
    )
    assert [each.kind for each in found if each.kind in ALOFT] == SLOW_DOWN


def test_a_fall_lasts_to_the_ground_where_only_a_climb_rate_tells() -> None:
    """No specific force: as the motors stop it does not sink yet, and that is not the end of the fall."""
    channels: Made = {key: each for key, each in full(CRASH, rng()).items() if key not in ACCELERATIONS}
    fall = next(each for each in phases(channels) if each.kind is K.FALL)
    assert fall.start_s == pytest.approx(19.0, abs=0.45)
    assert fall.end_s == pytest.approx(20.6, abs=0.7)


def test_a_still_board_without_any_noise_still_flies() -> None:
    """A hover in which nothing turns at all is told from the ground by what its outputs carry."""
    assert one_flight(board_channels(FLIGHT, rng(), noise=0.0)) == pytest.approx((LIFTS_S, LANDS_S), abs=0.05)


@pytest.mark.parametrize("hz", [1.0, 2.0, 5.0, 10.0])
def test_a_radio_side_record_tells_flights(hz: float) -> None:
    found = phases(slow_channels(FLIGHT, rng(), hz))
    assert [each.kind for each in found] == [K.GROUND, *SLOW_DOWN, K.GROUND]


@pytest.mark.parametrize("hz", [1.0, 5.0])
def test_a_track_of_positions_and_sea_level_heights_tells_flights(hz: float) -> None:
    every = round(1000.0 / hz)
    north_m = np.cumsum(FLIGHT.speed_mps) * 1e-3
    t_s = FLIGHT.t_s[::every]
    noise = rng(int(hz)).standard_normal((3, t_s.size))
    found = phases({
        Quantity.LATITUDE: (t_s, 47.0 + (north_m[::every] + 0.1 * noise[0]) / 111_200.0),
        Quantity.LONGITUDE: (t_s, 8.0 + 0.1 * noise[1] / 75_900.0),
        Quantity.HEIGHT_SEA_LEVEL: (t_s, 412.3 + FLIGHT.height_m[::every] + 0.1 * noise[2]),
    })  # fmt: skip
    assert [each.kind for each in found] == [K.GROUND, *SLOW_DOWN, K.GROUND]


def test_rates_alone_tell_flight_only_if_they_come_fast_enough_to_tell_motors() -> None:
    fast = only(board_channels(FLIGHT, rng()), *RATES)
    found = phases(fast)
    assert [(each.kind in ALOFT, each.kind) for each in found if each.kind in (K.GROUND, K.ALOFT)] == [
        (False, K.GROUND), (True, K.ALOFT), (False, K.GROUND),
    ]  # fmt: skip
    assert one_flight(fast) == pytest.approx((LIFTS_S, LANDS_S), abs=1.0)
    slow = {key: (np.asarray(t_s)[::20], np.asarray(values)[::20]) for key, (t_s, values) in fast.items()}
    assert {each.kind for each in phases(slow)} == {K.GROUND, K.UNKNOWN}


def test_outputs_alone_do_not_tell_a_bench_from_a_flight() -> None:
    assert kinds(only(board_channels(FLIGHT, rng()), Quantity.OUTPUT)) == [K.GROUND, K.UNKNOWN, K.GROUND]


def test_volts_alone_tell_nothing() -> None:
    assert kinds({Quantity.PACK_VOLTS: (FLIGHT.t_s[::100], 15.0)}) == [K.UNKNOWN]


# --- bench, carried, several flights, starts and ends ------------------------------------------------------------


@pytest.mark.parametrize("armed", [True, False])
def test_outputs_without_motion_are_a_bench(armed: bool) -> None:
    made = fly(("off", 3, 0, 0), ("idle", 2, 0, 0), ("bench", 8, 0, 0), ("off", 3, 0, 0))
    channels = board_channels(made, rng())
    assert kinds(joined(channels, armed_channel(made)) if armed else channels) == [K.GROUND, K.BENCH, K.GROUND]


def test_idling_without_flight_is_armed_on_the_ground() -> None:
    made = fly(("off", 3, 0, 0), ("idle", 8, 0, 0), ("off", 3, 0, 0))
    assert kinds(full(made, rng())) == [K.GROUND, K.ARMED_ON_GROUND, K.GROUND]


def test_a_bench_and_a_flight_in_one_record_stay_apart() -> None:
    made = fly(("off", 3, 0, 0), ("bench", 8, 0, 0), *USUAL)
    found = phases(full(made, rng()))
    assert [each.kind for each in found][:3] == [K.GROUND, K.BENCH, K.GROUND]
    assert len(edges_s(found)) == 1


def test_two_flights_are_two() -> None:
    for made in (full(fly(*USUAL, *USUAL), rng()), slow_channels(fly(*USUAL, *USUAL), rng(), 5.0)):
        found = edges_s(phases(made))
        assert [pytest.approx(start_s, abs=0.4) for start_s, _ in found] == [LIFTS_S, 50.0 + LIFTS_S]
        assert [pytest.approx(end_s, abs=0.4) for _, end_s in found] == [LANDS_S, 50.0 + LANDS_S]


def test_a_record_that_starts_and_ends_aloft_has_no_take_off() -> None:
    made = fly(("fly", 5.0, 0.0, 0.0), ("fly", 20.0, 0.0, 10.0))
    board = phases(board_channels(made, rng()))
    assert {each.kind for each in board} <= {K.HOVER, K.ALOFT}
    slow = dict(slow_channels(made, rng(), 5.0))
    t_s, height = slow[Quantity.HEIGHT_LAUNCH]
    slow[Quantity.HEIGHT_LAUNCH] = (t_s, np.asarray(height) + 30.0)
    assert kinds(slow) == [K.HOVER, K.CRUISE]


def test_motion_without_motors_is_carried_and_soon_after_a_flight_is_not() -> None:
    made = fly(("off", 30.0, 0.0, 0.0))
    channels = dict(joined(board_channels(made, rng()), armed_channel(made)))
    t_s = made.t_s
    walks = (t_s > 10.0) & (t_s < 20.0)
    channels[Quantity.ROLL_RATE] = (t_s, np.where(walks, 0.8 * np.sin(2.0 * np.pi * 1.5 * t_s), 0.0))
    found = phases(channels)
    assert [each.kind for each in found] == [K.GROUND, K.CARRIED, K.GROUND]
    assert found[1].start_s == pytest.approx(10.0, abs=0.6)
    assert found[1].end_s == pytest.approx(20.0, abs=0.6)


def test_automatic_return_is_taken_from_the_record_and_never_guessed() -> None:
    made = dict(full(FLIGHT, rng()))
    t_s = FLIGHT.t_s
    assert K.RETURN not in {each.kind for each in phases(made)}
    made[Quantity.RETURN_ACTIVE] = (t_s, ((t_s > 25.0) & (t_s < 38.0)).astype(float))
    back = next(each for each in phases(made) if each.kind is K.RETURN)
    assert back.start_s == pytest.approx(25.0, abs=0.05)
    assert back.end_s == pytest.approx(38.0, abs=0.05)
    del made[Quantity.RETURN_ACTIVE]
    made[Quantity.MODE] = (t_s, ((t_s > 25.0) & (t_s < 38.0)).astype(float))
    back = next(each for each in phases(made, {Quantity.MODE: ("level", "Going Home")}) if each.kind is K.RETURN)
    assert back.start_s == pytest.approx(25.0, abs=0.05)
    assert back.end_s == pytest.approx(38.0, abs=0.05)


def test_a_long_hole_is_unknown_and_a_short_one_is_not() -> None:
    for hole_s, wanted in ((8.0, True), (1.0, False)):
        kept = (FLIGHT.t_s < 20.0) | (FLIGHT.t_s > 20.0 + hole_s)
        made = {key: (FLIGHT.t_s[kept], np.asarray(values)[kept])
                for key, (_, values) in board_channels(FLIGHT, rng()).items()}  # fmt: skip
        assert (K.UNKNOWN in {each.kind for each in phases(made)}) is wanted


def test_channels_may_be_missing_one_by_one() -> None:
    """No channel is needed: with any one of a full record left out, the flight is still one flight of that length."""
    made = full(FLIGHT, rng())
    for left_out in {key.quantity if isinstance(key, Channel) else key for key in made}:
        rest = {key: each for key, each in made.items()
                if (key.quantity if isinstance(key, Channel) else key) is not left_out}  # fmt: skip
        assert one_flight(rest) == pytest.approx((LIFTS_S, LANDS_S), abs=0.3), left_out


@pytest.mark.parametrize("length", [1, 2, 3, 7])
def test_a_few_rows_make_no_fault(length: int) -> None:
    t_s = np.arange(length) * 0.01
    quantities = (*RATES, Quantity.OUTPUT, Quantity.HEIGHT_LAUNCH, Quantity.CURRENT)
    made: Made = dict.fromkeys(quantities, (t_s, 0.0))
    found = phases_of(make_record(made))
    assert all(each.kind in (K.GROUND, K.UNKNOWN) for each in found)


# --- falls -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hz", [None, 5.0, 10.0])
def test_a_crash_is_a_fall_and_then_the_ground(hz: float | None) -> None:
    """Motors stop at 19 s and it reaches the ground 1.6 s later."""
    made = board_channels(CRASH, rng()) if hz is None else slow_channels(CRASH, rng(), hz)
    found = phases(made)
    assert [each.kind for each in found][-2:] == [K.FALL, K.GROUND]
    near_s = 0.25 if hz is None else 0.7  # a track tells sinking, which shows later than the loss of thrust
    assert found[-2].start_s == pytest.approx(19.0, abs=0.05 if hz is None else 0.45)
    assert found[-2].end_s == pytest.approx(20.6, abs=near_s)


def test_a_fall_at_speed_is_a_fall_from_when_the_motors_stop() -> None:
    """Motors stop at 19 s, and until the ground at 20.6 s drag holds it back with half of gravity."""
    channels = dict(full(CRASH, rng()))
    t_s, values = channels[Quantity.ACCELERATION_X]
    falls = (CRASH.t_s > 19.0) & (CRASH.t_s < 20.6)
    channels[Quantity.ACCELERATION_X] = (t_s, np.where(falls, -5.0, np.asarray(values)))
    found = phases(channels)
    assert [each.kind for each in found][-2:] == [K.FALL, K.GROUND]
    assert found[-2].start_s == pytest.approx(19.0, abs=0.45)  # a climb rate shows it later than a force


def test_a_fall_is_told_by_current_and_climb_rate_alone() -> None:
    """Nothing of motors but the current, attitude level: it falls 1.6 s from 19 s on."""
    slow = slow_channels(CRASH, rng(), 10.0)
    every = 100
    made: Made = {Quantity.CURRENT: slow[Quantity.CURRENT], Quantity.GROUND_SPEED: slow[Quantity.GROUND_SPEED],
            Quantity.CLIMB_RATE: (CRASH.t_s[::every], (CRASH.aloft * CRASH.climb_mps)[::every])}  # fmt: skip
    fall = next(each for each in phases(made) if each.kind is K.FALL)
    assert fall.start_s == pytest.approx(19.0, abs=0.45)
    assert fall.end_s == pytest.approx(20.6, abs=0.5)


@pytest.mark.parametrize("seed", range(4))
def test_a_flight_that_only_lands_has_no_fall(seed: int) -> None:
    for made in (full(FLIGHT, rng(seed)), board_channels(FLIGHT, rng(seed)), slow_channels(FLIGHT, rng(seed), 5.0)):
        assert K.FALL not in {each.kind for each in phases(made)}


def test_a_tumble_that_ends_on_the_ground_is_a_fall() -> None:
    """Motors run on while it turns at three turns a second from 19 s on, and it lies still from 21 s on."""
    made = fly(("off", 3, 0, 0), ("idle", 2, 0, 0), ("fly", 3, 5, 0), ("fly", 11, 0, 0), ("fly", 2, 0, 0),
               ("off", 4, 0, 0))  # fmt: skip
    channels = dict(board_channels(made, rng()))
    t_s, values = channels[Quantity.ROLL_RATE]
    channels[Quantity.ROLL_RATE] = (t_s, np.where((made.t_s > 19.0) & (made.t_s < 21.0), 19.0, np.asarray(values)))
    fall = next(each for each in phases(channels) if each.kind is K.FALL)
    assert fall.start_s == pytest.approx(19.0, abs=0.15)
    assert fall.end_s == pytest.approx(21.0, abs=0.3)


def test_a_flip_flown_on_purpose_is_no_fall() -> None:
    channels = dict(board_channels(FLIGHT, rng()))
    t_s, values = channels[Quantity.ROLL_RATE]
    channels[Quantity.ROLL_RATE] = (t_s, np.where((FLIGHT.t_s > 13.0) & (FLIGHT.t_s < 13.6), 10.5, np.asarray(values)))
    assert K.FALL not in {each.kind for each in phases(channels)}
