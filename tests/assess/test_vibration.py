"""Lines and floors of made-up vibration come back with size, frequency and corner; what is too slow is refused."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from scipy import signal
from tests.assess.record_makers import flat, make_record

from turnback.assess.vibration import find_vibration
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, PhaseKind, WhyNot
from turnback.records.record_read import FlightFacts

Floats = NDArray[np.float64]
SPEEDS = {At.FRONT_LEFT: 300.0, At.FRONT_RIGHT: 312.0, At.REAR_LEFT: 288.0, At.REAR_RIGHT: 324.0}


class Shaken:
    """A hover whose rotors wander, with lines at multiples of each rotor's own angle."""

    def __init__(self, rate_hz: float = 2000.0, length_s: float = 20.0, seed: int = 1) -> None:
        self.rng = np.random.default_rng(seed)
        self.rate_hz = rate_hz
        self.t_s = np.arange(round(length_s * rate_hz)) / rate_hz
        self.speeds: dict[At, Floats] = {}
        self.angles: dict[At, Floats] = {}
        for at, mean_hz in SPEEDS.items():
            slow = 6.0 * np.sin(2 * np.pi * 0.2 * self.t_s + self.rng.uniform(0, 6)) + 2.0 * np.sin(
                2 * np.pi * self.t_s
            )
            self.speeds[at] = mean_hz + slow
            self.angles[at] = 2 * np.pi * np.cumsum(self.speeds[at]) / rate_hz
        self.rates = [self.rng.normal(0.0, 0.05, self.t_s.size) for _ in RATES]
        self.forces = [self.rng.normal(0.0, 1.0, self.t_s.size) for _ in ACCELERATIONS]
        self.forces[2] -= 9.80665

    def line(self, at: At, order: int, rad_s: float, mps2: float) -> None:
        for axes, size in ((self.rates, rad_s), (self.forces, mps2)):
            for axis, share in zip(axes, (0.6, 0.8, 0.0), strict=True):  # 0.6² + 0.8² = 1
                np.add(axis, size * share * np.sin(order * self.angles[at] + self.rng.uniform(0, 6)), out=axis)

    def everywhere(self, order: int, rad_s: float, mps2: float) -> Shaken:
        for at in At:
            self.line(at, order, rad_s, mps2)
        return self

    def flown(self, blades: int | None = None, *, speeds: bool = True, every: int = 1, speed_every: int = 1) -> Flown:
        t_s = self.t_s[::every]
        made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
        for quantity, values in zip((*RATES, *ACCELERATIONS), (*self.rates, *self.forces), strict=True):
            made[quantity] = (t_s, values[::every].astype(np.float32))
        if speeds:
            slow_s = self.t_s[::speed_every]
            for at in At:
                made[Channel(Quantity.ROTOR_SPEED, at)] = (slow_s, self.speeds[at][::speed_every])
        record = make_record(made, facts=FlightFacts(blades=blades))
        return Flown(record, (flat(PhaseKind.HOVER, 0.0, float(self.t_s[-1])),))


def of(found: Happened, kind: EventKind) -> list[Event]:
    return [event for event in found.events if event.kind is kind]


def refusals(found: Happened) -> dict[EventKind, WhyNot]:
    return {each.kind: each.why for each in found.not_told}


def test_an_unbalanced_propeller_is_found_at_its_corner_with_its_size() -> None:
    shaken = Shaken().everywhere(1, 0.05, 0.5)
    shaken.line(At.REAR_LEFT, 1, 0.4, 6.0)
    found = of(find_vibration(shaken.flown(3)), EventKind.ONCE_PER_REV)
    assert [event.at for event in found] == [(At.REAR_LEFT,), (At.REAR_LEFT,)]
    rate, force = sorted(found, key=lambda event: "amplitude_mps2" in event.values)
    assert rate.values["amplitude_rad_s"] == pytest.approx(0.4, abs=0.06)  # 0.05 of its own stands on it too
    assert force.values["amplitude_mps2"] == pytest.approx(6.0, abs=0.6)
    assert force.values["frequency_hz"] == pytest.approx(288.0, abs=1.0)
    assert force.values["siblings_ratio"] > 5.0
    assert force.rule == "record.vibration.siblings_ratio"


@pytest.mark.parametrize("seed", range(25))
def test_a_sound_hover_raises_nothing(seed: int) -> None:
    shaken = Shaken(length_s=8.0, seed=seed).everywhere(1, 0.05, 0.8).everywhere(3, 0.05, 1.5)
    assert find_vibration(shaken.flown(3)).events == ()


def test_blade_pass_is_found_at_the_told_and_at_an_untold_number_of_blades() -> None:
    shaken = Shaken(rate_hz=4000.0, length_s=10.0).everywhere(1, 0.05, 0.5).everywhere(3, 0.05, 3.0)
    shaken.line(At.FRONT_RIGHT, 3, 0.0, 30.0)
    for blades in (3, None):
        found = of(find_vibration(shaken.flown(blades)), EventKind.BLADE_PASS)
        assert [event.at for event in found] == [(At.FRONT_RIGHT,)]
        assert found[0].values["blades"] == 3.0
        assert found[0].values["frequency_hz"] == pytest.approx(3 * 312.0, abs=3.0)
        assert found[0].values["amplitude_mps2"] == pytest.approx(30.0, rel=0.15)


def test_blades_that_cannot_be_told_are_said_so() -> None:
    found = find_vibration(Shaken(rate_hz=4000.0, length_s=8.0).everywhere(1, 0.05, 0.5).flown())
    assert refusals(found) == {EventKind.BLADE_PASS: WhyNot.BLADES_UNKNOWN}


def test_a_rate_under_twice_the_rotor_frequency_is_refused() -> None:
    shaken = Shaken().everywhere(1, 1.0, 20.0)
    found = find_vibration(shaken.flown(3, every=4))  # 500 a second, rotors at 300 and more
    assert found.events == ()
    assert refusals(found) == dict.fromkeys(
        (EventKind.ONCE_PER_REV, EventKind.BLADE_PASS, EventKind.NOISE_FLOOR), WhyNot.TOO_SLOW
    )
    values = found.not_told[0].values
    assert values["rate_hz"] == pytest.approx(500.0)
    assert 2 * 324.0 < values["needed_hz"] < 2 * 334.0


def test_values_repeated_at_a_higher_rate_are_as_slow_as_they_are() -> None:
    shaken = Shaken().everywhere(1, 1.0, 20.0)
    for axis in (*shaken.rates, *shaken.forces):
        axis[:] = np.repeat(axis[::4], 4)[: axis.size]
    found = find_vibration(shaken.flown(3))
    assert set(refusals(found).values()) == {WhyNot.TOO_SLOW}
    assert found.not_told[0].values["rate_hz"] == pytest.approx(500.0)
    assert max(float(each.frequency_hz[-1]) for each in found.spectra) <= 250.0


def test_too_slow_for_blade_pass_only() -> None:
    found = find_vibration(Shaken(rate_hz=1000.0).everywhere(1, 1.0, 0.0).flown(3))
    assert len(of(found, EventKind.ONCE_PER_REV)) == 4
    assert refusals(found) == {EventKind.BLADE_PASS: WhyNot.TOO_SLOW}


def test_without_rotor_speeds_a_line_has_a_frequency_and_no_corner() -> None:
    shaken = Shaken()
    shaken.forces[0] += 15.0 * np.sin(2 * np.pi * 271.0 * shaken.t_s)
    found = find_vibration(shaken.flown(speeds=False))
    (event,) = of(found, EventKind.ONCE_PER_REV)
    assert event.values["frequency_hz"] == pytest.approx(271.0, abs=0.2)
    assert event.values["amplitude_mps2"] == pytest.approx(15.0, rel=0.03)
    assert event.at == () and event.words["rotor"] == "unknown"
    assert refusals(find_vibration(shaken.flown(speeds=False, every=2))) == dict.fromkeys(
        (EventKind.ONCE_PER_REV, EventKind.BLADE_PASS, EventKind.NOISE_FLOOR), WhyNot.NO_CHANNEL
    )
    assert set(refusals(find_vibration(shaken.flown(speeds=False, every=8))).values()) == {WhyNot.TOO_SLOW}


def test_a_raised_floor_is_told_with_its_level() -> None:
    shaken = Shaken().everywhere(1, 0.05, 0.5)
    shaken.forces[1] += shaken.rng.normal(0.0, 30.0, shaken.t_s.size)
    (event,) = of(find_vibration(shaken.flown(3)), EventKind.NOISE_FLOOR)
    # white noise of variance σ² fills the band up to half the rate evenly: σ·√(2 / rate)
    assert event.values["level_mps2_per_rt_hz"] == pytest.approx(np.hypot(30.0, 1.0) * np.sqrt(2 / 2000.0), rel=0.03)
    assert event.channels == (Channel(Quantity.ACCELERATION_Y),)


def test_spectra_are_those_of_scipy() -> None:
    shaken = Shaken().everywhere(1, 0.2, 2.0)
    flown = shaken.flown(3)
    spectra = {each.channel.quantity: each for each in find_vibration(flown).spectra}
    assert set(spectra) == {*RATES, *ACCELERATIONS}
    mine = spectra[Quantity.PITCH_RATE]
    series = flown.record.get(Quantity.PITCH_RATE)
    assert series is not None
    _, expected = signal.welch(series.values[:-1].astype(np.float64), 2000.0, nperseg=2000)
    np.testing.assert_allclose(mine.density, expected, rtol=1e-10, atol=1e-18)
    assert mine.corners == tuple(At)
    assert mine.rotor_hz == pytest.approx([300.0, 312.0, 288.0, 324.0], abs=0.5)


def test_corners_that_turn_alike_are_not_told_apart() -> None:
    shaken = Shaken()
    for at in At:
        shaken.speeds[at] = shaken.speeds[At.FRONT_LEFT]
        shaken.angles[at] = shaken.angles[At.FRONT_LEFT]
    shaken.line(At.REAR_RIGHT, 1, 1.0, 20.0)
    found = of(find_vibration(shaken.flown(3)), EventKind.ONCE_PER_REV)
    assert {event.at for event in found} == {()}
    assert {event.words["corner"] for event in found} == {"not-told-apart"}


def test_rotor_speeds_of_a_slower_clock_and_uneven_times_still_find_the_corner() -> None:
    shaken = Shaken().everywhere(1, 0.05, 0.5)
    shaken.line(At.FRONT_LEFT, 1, 0.4, 6.0)
    found = of(find_vibration(shaken.flown(3, speed_every=20)), EventKind.ONCE_PER_REV)  # 100 a second
    assert {event.at for event in found} == {(At.FRONT_LEFT,)}
    assert max(event.values.get("amplitude_mps2", 0.0) for event in found) == pytest.approx(6.0, rel=0.15)


def test_nothing_to_look_at_is_said() -> None:
    t_s = np.arange(100) / 50.0
    grounded = Flown(make_record({Quantity.ROLL_RATE: (t_s, t_s)}), (flat(PhaseKind.GROUND, 0.0, 2.0),))
    assert set(refusals(find_vibration(grounded)).values()) == {WhyNot.NOT_ALOFT}
    short = Flown(grounded.record, (flat(PhaseKind.HOVER, 0.0, 2.0),))
    assert set(refusals(find_vibration(short)).values()) == {WhyNot.TOO_SHORT}
    without = Flown(make_record({Quantity.PACK_VOLTS: (t_s, t_s)}), (flat(PhaseKind.HOVER, 0.0, 2.0),))
    assert set(refusals(find_vibration(without)).values()) == {WhyNot.NO_CHANNEL}


def held(shaken: Shaken, fresh_hz: float, step: float = 0.0) -> Flown:
    """Return a record whose turning rates are renewed less often than it has rows, at no whole multiple of them."""
    rows = np.floor(np.floor(shaken.t_s * fresh_hz + 1e-9) / fresh_hz * shaken.rate_hz + 1e-6).astype(int)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    for quantity, values in zip(RATES, shaken.rates, strict=True):
        told = values[rows]
        made[quantity] = (shaken.t_s, (np.round(told / step) * step if step else told).astype(np.float32))
    for at in At:
        made[Channel(Quantity.ROTOR_SPEED, at)] = (shaken.t_s[::20], shaken.speeds[at][::20])
    return Flown(make_record(made), (flat(PhaseKind.HOVER, 0.0, float(shaken.t_s[-1])),))


@pytest.mark.parametrize("fresh_hz", [450.0, 530.0, 580.0, 610.0, 640.0])
def test_values_renewed_less_often_than_twice_the_rotors_are_refused_whatever_the_rows(fresh_hz: float) -> None:
    shaken = Shaken(rate_hz=1000.0)  # the fastest rotor: 324 + 8 a second, nine times out of ten below 330
    shaken.line(At.REAR_RIGHT, 1, 1.0, 0.0)
    found = find_vibration(held(shaken, fresh_hz))
    assert set(refusals(found)) == {EventKind.ONCE_PER_REV, EventKind.BLADE_PASS, EventKind.NOISE_FLOOR}
    assert not found.events
    assert found.not_told[0].values["rate_hz"] < 660.0 <= found.not_told[0].values["needed_hz"] + 10.0


@pytest.mark.parametrize("fresh_hz", [700.0, 850.0, 1000.0])
def test_a_line_in_held_values_keeps_its_size(fresh_hz: float) -> None:
    shaken = Shaken(rate_hz=2000.0)
    shaken.line(At.REAR_RIGHT, 1, 1.0, 0.0)
    (line,) = of(find_vibration(held(shaken, fresh_hz)), EventKind.ONCE_PER_REV)
    assert line.at == (At.REAR_RIGHT,)
    # held for a whole step it would come out at sinc(324 / rate), 0.66 to 0.84; the rows' own grid still takes a little
    assert line.values["amplitude_rad_s"] == pytest.approx(1.0, abs=0.08)


def test_a_rounded_channel_is_not_taken_for_a_held_one() -> None:
    shaken = Shaken(rate_hz=700.0)
    shaken.line(At.REAR_RIGHT, 1, 0.6, 0.0)
    (line,) = of(find_vibration(held(shaken, 700.0, step=np.radians(1.0))), EventKind.ONCE_PER_REV)
    assert line.values["amplitude_rad_s"] == pytest.approx(0.6, abs=0.03)


def test_an_uneven_clock_halves_the_rate_that_counts() -> None:
    """Rows of 1000 a second off by up to three tenths of a step: half of that is under twice 330 turns a second."""
    shaken = Shaken(rate_hz=1000.0)
    shaken.line(At.REAR_RIGHT, 1, 1.0, 0.0)
    assert of(find_vibration(shaken.flown()), EventKind.ONCE_PER_REV)
    shaken.t_s = shaken.t_s + shaken.rng.uniform(-0.3, 0.3, shaken.t_s.size) / 1000.0
    shaken.t_s -= shaken.t_s[0]
    found = find_vibration(shaken.flown())
    assert not found.events
    assert found.not_told[0].why is WhyNot.TOO_SLOW
    assert found.not_told[0].values["rate_hz"] == pytest.approx(500.0, rel=0.02)


def test_rotors_too_near_at_once_a_turn_are_told_apart_at_their_blade_pass() -> None:
    """Two turns a second apart are one bin of half a second, three times that three: beyond a Hann window's lobe."""
    shaken = Shaken(rate_hz=2000.0)
    for place, at in enumerate(At):
        shaken.speeds[at] = 200.0 + 2.0 * place + np.sin(2 * np.pi * 0.2 * shaken.t_s)
        shaken.angles[at] = 2 * np.pi * np.cumsum(shaken.speeds[at]) / shaken.rate_hz
    shaken.line(At.FRONT_RIGHT, 1, 1.0, 0.0)
    shaken.line(At.FRONT_RIGHT, 3, 1.5, 0.0)
    found = find_vibration(shaken.flown(3))
    assert [(each.at, each.words["corner"]) for each in of(found, EventKind.ONCE_PER_REV)] == [((), "not-told-apart")]
    assert [each.at for each in of(found, EventKind.BLADE_PASS)] == [(At.FRONT_RIGHT,)]


def test_rows_too_few_for_the_parts_of_a_block_are_refused_however_slow_the_rotors() -> None:
    shaken = Shaken(rate_hz=100.0)
    for at in At:
        shaken.speeds[at] = np.full(shaken.t_s.size, 20.0)
    found = find_vibration(shaken.flown())
    assert set(refusals(found).values()) == {WhyNot.TOO_SLOW}
