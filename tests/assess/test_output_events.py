"""Outputs at their ends, rotors off their siblings' speed, unlike corners: made up with a known onset."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.output_events import find_outputs
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, Phase, PhaseKind, WhyNot

Floats = NDArray[np.float64]
NEAR_S = 0.05


class Hover:
    """Outputs in gusts around hover, rotor speeds that follow with a lag of 40 ms and sag with the pack."""

    def __init__(self, seed: int = 1, rate_hz: float = 500.0, length_s: float = 20.0) -> None:
        self.rng = np.random.default_rng(seed)
        self.rate_hz = rate_hz
        self.t_s = np.arange(round(rate_hz * length_s)) / rate_hz
        n = self.t_s.size
        gusts = self.rng.normal(0.0, 1.0, (4, n))
        width = max(1, round(0.1 * rate_hz))
        for row in gusts:
            row[:] = np.convolve(row, np.ones(width) / np.sqrt(width), mode="same")
        self.out = np.clip(0.42 + 0.04 * gusts + self.rng.normal(0.0, 0.005, (4, n)), 0.05, 1.0)

    def turn(self) -> Floats:
        """Speeds in the way a motor follows: their own solution by small steps, not by the code under test."""
        speeds = np.empty_like(self.out)
        state = self.out[:, 0].copy()
        keep = np.exp(-1.0 / self.rate_hz / 0.04)
        for row in range(self.t_s.size):
            state = self.out[:, row] + (state - self.out[:, row]) * keep
            speeds[:, row] = 60.0 + 700.0 * state - 180.0 * state**2
        speeds *= 1.0 - 0.1 * self.t_s / self.t_s[-1]
        return speeds * (1.0 + self.rng.normal(0.0, 0.01, speeds.shape))

    def flown(self, *phases: Phase, speeds: Floats | None = None, numbered: bool = False) -> Flown:
        made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
        for place, at in enumerate(At):
            key = {"number": place + 1} if numbered else {"at": at}
            made[Channel(Quantity.OUTPUT, **key)] = (self.t_s, self.out[place].astype(np.float32))
            if speeds is not None:
                made[Channel(Quantity.ROTOR_SPEED, **key)] = (self.t_s, speeds[place].astype(np.float32))
        return Flown(make_record(made), phases or (flat(PhaseKind.HOVER, 0.0, float(self.t_s[-1])),))

    def rows(self, start_s: float, end_s: float = 1e9) -> slice:
        return slice(*np.searchsorted(self.t_s, [start_s, end_s]))


def of(found: Happened, kind: EventKind) -> list[Event]:
    return [event for event in found.events if event.kind is kind]


def why(found: Happened, kind: EventKind) -> WhyNot | None:
    return next((each.why for each in found.not_told if each.kind is kind), None)


@pytest.mark.parametrize("seed", range(100))
def test_a_sound_hover_raises_nothing(seed: int) -> None:
    hover = Hover(seed, rate_hz=200.0, length_s=12.0)
    hover.out *= hover.rng.uniform(0.96, 1.04, (4, 1))  # motors and frames are never quite alike
    found = find_outputs(hover.flown(speeds=hover.turn()))
    assert found.events == () and found.not_told == ()


@pytest.mark.parametrize("seed", range(5))
def test_saturation_has_its_corner_onset_and_length(seed: int) -> None:
    hover = Hover(seed)
    hover.out[2, hover.rows(7.3, 7.9)] = 1.0
    hover.out[1, hover.rows(7.4, 7.7)] = 0.05
    high, low = of(find_outputs(hover.flown()), EventKind.OUTPUT_SATURATED)
    assert (high.at, high.words) == ((At.REAR_LEFT,), {"end": "ceiling", "corners": "some"})
    assert (low.at, low.words["end"]) == ((At.FRONT_RIGHT,), "floor")
    assert high.start_s == pytest.approx(7.3, abs=0.004) and high.values["duration_s"] == pytest.approx(0.6, abs=0.004)
    assert low.start_s == pytest.approx(7.4, abs=0.004) and low.values["duration_s"] == pytest.approx(0.3, abs=0.004)
    assert high.values["share"] == pytest.approx(0.6 / 20.0, rel=0.02)


def test_a_burst_of_a_gust_is_no_saturation_and_all_at_once_is_said() -> None:
    hover = Hover()
    hover.out[0, hover.rows(5.0, 5.08)] = 1.0
    assert find_outputs(hover.flown()).events == ()
    hover.out[:, hover.rows(9.0, 10.0)] = 1.0
    found = of(find_outputs(hover.flown()), EventKind.OUTPUT_SATURATED)
    assert len(found) == 4 and {event.words["corners"] for event in found} == {"all"}


def test_a_ceiling_below_full_output_counts_where_outputs_stand_at_it() -> None:
    hover = Hover()
    hover.out[3, hover.rows(4.0, 4.5)] = 1.0
    hover.out = np.minimum(hover.out, 0.9)
    (event,) = of(find_outputs(hover.flown()), EventKind.OUTPUT_SATURATED)
    assert event.at == (At.REAR_RIGHT,) and event.values["output_share"] == pytest.approx(0.9, abs=0.003)


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("rate_hz", [50.0, 500.0])
def test_a_collapse_has_its_corner_and_onset_and_tells_a_step_before_it(seed: int, rate_hz: float) -> None:
    for step in (False, True):
        hover = Hover(seed, rate_hz)
        if step:
            hover.out[1, hover.rows(11.94)] = 0.9
        speeds = hover.turn()
        after = hover.rows(12.0)
        speeds[1, after] *= np.exp(-(hover.t_s[after] - 12.0) / 0.03)
        hover.out[1, hover.rows(12.1)] = 1.0  # the loop answers
        (event,) = of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_COLLAPSE)
        assert event.at == (At.FRONT_RIGHT,)
        assert event.start_s == pytest.approx(12.0, abs=max(NEAR_S, 2.0 / rate_hz))
        assert event.values["least_ratio"] < 0.05
        assert event.values["step_share"] == pytest.approx(0.48 if step else 0.0, abs=0.15)


def test_a_slow_fall_of_speed_is_no_collapse_and_numbered_channels_have_no_corner() -> None:
    hover = Hover()
    speeds = hover.turn()
    slow = speeds.copy()
    slow[1, hover.rows(12.0)] *= np.linspace(1.0, 0.4, speeds[1, hover.rows(12.0)].size)
    assert of(find_outputs(hover.flown(speeds=slow)), EventKind.SPEED_COLLAPSE) == []
    speeds[1, hover.rows(12.0, 12.5)] *= 0.2
    (event,) = of(find_outputs(hover.flown(speeds=speeds, numbered=True)), EventKind.SPEED_COLLAPSE)
    assert event.at == () and event.channels[0] == Channel(Quantity.ROTOR_SPEED, number=2)
    assert event.values["duration_s"] == pytest.approx(0.5, abs=0.01)


def test_rotors_that_nobody_asks_do_not_collapse() -> None:
    """Motors are switched off aloft at 12 s: outputs go to nought at once, and speeds run down after them."""
    hover = Hover()
    speeds = hover.turn()
    after = hover.rows(12.0)
    for place in range(4):
        speeds[place, after] *= np.exp(-(hover.t_s[after] - 12.0) / (0.02 + 0.03 * place))
    hover.out[:, after] = 0.0
    assert of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_COLLAPSE) == []


@pytest.mark.parametrize("ratio", [1.18, 1.4])
def test_an_excess_has_its_corner_onset_and_size(ratio: float) -> None:
    hover = Hover(3)
    speeds = hover.turn()
    speeds[0, hover.rows(8.0)] *= ratio
    (event,) = of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_EXCESS)
    assert event.at == (At.FRONT_LEFT,)
    assert event.start_s == pytest.approx(8.0, abs=NEAR_S)
    assert event.values["mean_ratio"] == pytest.approx(ratio, rel=0.03)


@pytest.mark.parametrize("seed", range(4))
def test_a_rotor_that_only_runs_down_is_no_excess(seed: int) -> None:
    """Outputs swing from end to end at 4 Hz: driven up in 20 ms, run down in 150 ms, as rotors without brakes do."""
    hover = Hover(seed)
    swing = hover.rows(6.0, 14.0)
    for place, sign in enumerate((1, -1, -1, 1)):
        beat = np.sign(sign * np.sin(2.0 * np.pi * 4.0 * hover.t_s[swing]))
        hover.out[place, swing] = np.clip(0.45 + 0.4 * beat, 0.05, 1.0)
    speeds = np.empty_like(hover.out)
    state = hover.out[:, 0].copy()
    for row in range(hover.t_s.size):
        lag_s = np.where(hover.out[:, row] > state, 0.02, 0.15)
        state += (hover.out[:, row] - state) * (1.0 - np.exp(-1.0 / hover.rate_hz / lag_s))
        speeds[:, row] = 60.0 + 600.0 * state
    assert of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_EXCESS) == []


@pytest.mark.parametrize("rate_hz", [50.0, 500.0])
def test_a_rotor_that_stands_is_told_by_speeds_alone_if_the_record_shows_them_idle(rate_hz: float) -> None:
    """Idle at 100 turns a second for 2 s, aloft from then on; one stops at 10 s with a time constant of 30 ms."""
    hover = Hover(7, rate_hz=rate_hz)
    speeds = hover.turn()
    speeds[:, hover.rows(0.0, 2.0)] = 100.0
    after = hover.rows(10.0, 12.0)
    speeds[2, after] *= np.exp(-(hover.t_s[after] - 10.0) / 0.03)
    speeds[1, hover.rows(5.0, 6.0)] = 110.0  # asked for little: it idles in the air
    stood = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, 2.0), flat(PhaseKind.HOVER, 2.0, 20.0))
    flown = hover.flown(*stood, speeds=speeds, numbered=True)
    alone = {key: each for key, each in flown.record.series.items() if key.quantity is Quantity.ROTOR_SPEED}
    found = find_outputs(replace(flown, record=replace(flown.record, series=alone)))
    (event,) = of(found, EventKind.SPEED_COLLAPSE)
    assert event.channels == (Channel(Quantity.ROTOR_SPEED, number=3),) and event.at == ()
    assert event.start_s == pytest.approx(10.0, abs=max(NEAR_S, 2.0 / rate_hz))
    assert event.end_s == pytest.approx(12.0, abs=NEAR_S)
    assert why(found, EventKind.SPEED_COLLAPSE) is None
    assert why(found, EventKind.SPEED_EXCESS) is WhyNot.NO_CHANNEL
    unseen = Flown(replace(flown.record, series=alone), (flat(PhaseKind.HOVER, 0.0, 20.0),))
    assert why(find_outputs(unseen), EventKind.SPEED_COLLAPSE) is WhyNot.NO_CHANNEL


@pytest.mark.parametrize(
    ("gain", "pattern", "at", "works"),
    [
        ((1.4, 1.4, 1.0, 1.0), "front-rear", (At.FRONT_LEFT, At.FRONT_RIGHT), "harder"),
        ((1.0, 1.4, 1.0, 1.4), "left-right", (At.FRONT_RIGHT, At.REAR_RIGHT), "harder"),
        ((1.0, 1.4, 1.4, 1.0), "diagonal", (At.FRONT_RIGHT, At.REAR_LEFT), "harder"),
        ((1.0, 1.0, 1.35, 1.0), "one-corner", (At.REAR_LEFT,), "harder"),
        ((0.7, 1.0, 1.0, 1.0), "one-corner", (At.FRONT_LEFT,), "less"),
    ],
)  # fmt: skip
def test_unlike_corners_are_told_with_their_pattern(
    gain: tuple[float, ...], pattern: str, at: tuple[At, ...], works: str
) -> None:
    hover = Hover(4)
    hover.out *= np.array(gain)[:, None]
    (event,) = of(find_outputs(hover.flown()), EventKind.IMBALANCE)
    assert (event.words["pattern"], event.at, event.words["works"]) == (pattern, at, works)
    expected = np.array(gain) / np.mean(gain) - 1.0
    got = [event.values[f"{corner.value.replace('-', '_')}_share"] for corner in At]
    np.testing.assert_allclose(got, expected, atol=0.01)


@pytest.mark.parametrize("seed", range(10))
def test_a_step_of_balance_that_stays_has_its_onset(seed: int) -> None:
    hover = Hover(seed)
    hover.out[3, hover.rows(9.37)] *= 1.35
    (event,) = of(find_outputs(hover.flown()), EventKind.IMBALANCE_STEP)
    assert event.start_s == pytest.approx(9.37, abs=NEAR_S)
    assert (event.words["pattern"], event.at) == ("one-corner", (At.REAR_RIGHT,))
    gone = Hover(seed)
    gone.out[3, gone.rows(9.37, 10.5)] *= 1.35  # a manoeuvre: it does not stay
    assert of(find_outputs(gone.flown()), EventKind.IMBALANCE_STEP) == []


def test_what_is_missing_or_too_slow_is_said() -> None:
    hover = Hover()
    assert why(find_outputs(hover.flown()), EventKind.SPEED_COLLAPSE) is WhyNot.NO_CHANNEL
    numbered = find_outputs(hover.flown(numbered=True, speeds=hover.turn()))
    assert why(numbered, EventKind.IMBALANCE) is None
    hover.out[3, hover.rows(9.37)] *= 1.35
    (step,) = of(find_outputs(hover.flown(numbered=True)), EventKind.IMBALANCE_STEP)
    assert step.at == () and step.words == {"pattern": "unknown"} and step.start_s == pytest.approx(9.37, abs=NEAR_S)
    hover = Hover()
    assert why(numbered, EventKind.SPEED_COLLAPSE) is None
    ground = flat(PhaseKind.GROUND, 0.0, 20.0)
    assert why(find_outputs(hover.flown(ground)), EventKind.OUTPUT_SATURATED) is WhyNot.NOT_ALOFT
    slow = Hover(rate_hz=10.0)
    assert why(find_outputs(slow.flown(speeds=slow.turn())), EventKind.SPEED_EXCESS) is WhyNot.TOO_SLOW
    nothing = Flown(make_record({Quantity.PACK_VOLTS: (hover.t_s, 15.0)}), (flat(PhaseKind.HOVER, 0.0, 20.0),))
    assert why(find_outputs(nothing), EventKind.OUTPUT_SATURATED) is WhyNot.NO_CHANNEL
