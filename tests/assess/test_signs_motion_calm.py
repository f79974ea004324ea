"""A sound aircraft whose rotors shake it follows its pilot; one that swings at what nobody asked for does not."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess.motion_axes import axes_of
from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_calm import SHAKING_S, calmed
from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

HZ, END_S, LANDS_S = 1000.0, 24.0, 22.0
PHASES = (
    flat(PhaseKind.GROUND, 0.0, 3.0),
    flat(PhaseKind.CRUISE, 3.0, LANDS_S),
    flat(PhaseKind.GROUND, LANDS_S, END_S),
)


def record(*, beside_hz: float, beside_rad_s: float) -> FlightRecord:
    """Turning as gently asked, and beside it to and fro at one frequency all along the flight."""
    rng = np.random.default_rng(5)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    up = (t_s > 3.0) & (t_s < LANDS_S)
    made: dict[Channel | Quantity, tuple[Any, Any]] = {Quantity.THROTTLE: (t_s, np.where(up, 0.5, 0.0))}
    made |= {Channel(Quantity.OUTPUT, at): (t_s, np.where(up, 0.4, 0.05)) for at in At}
    for phase, (demand, rate) in enumerate(zip(RATE_DEMANDS, RATES, strict=True)):
        knots_s = np.arange(0.0, END_S + 1.0, 0.8)
        asked = np.interp(t_s, knots_s, rng.normal(0.0, 0.4, knots_s.size)) * up
        beside = beside_rad_s * np.sin(2.0 * np.pi * beside_hz * t_s + phase) * up
        made[demand], made[rate] = (t_s, asked), (t_s, asked + beside + rng.normal(0.0, 0.02, t_s.size))
    return make_record(made)


@pytest.mark.parametrize(("beside_hz", "beside_rad_s", "follows"), [
    (140.0, 0.2, True), (140.0, 2.5, True), (230.0, 2.5, True), (5.0, 2.5, False), (9.0, 2.5, False),
])  # fmt: skip
def test_shaking_by_rotors_takes_no_following_away_and_swinging_does(
    beside_hz: float, beside_rad_s: float, *, follows: bool
) -> None:
    """Small rotors turn at 80 Hz and more; gains that are too high swing at some hertz (common practice)."""
    flown = Flown(record(beside_hz=beside_hz, beside_rad_s=beside_rad_s), PHASES)
    told = motion_signs(Looked(RecordAnswer(flown, (), (), ()), END_S)).signs
    assert [each.seen for each in told if each.sign == "follows-its-pilot-to-the-end"] == [follows]


@pytest.mark.parametrize(("beside_hz", "least", "most"), [(140.0, 0.0, 0.12), (5.0, 0.9, 1.0)])
def test_a_mean_over_a_moment_leaves_what_the_sinc_of_its_width_leaves(
    beside_hz: float, least: float, most: float
) -> None:
    """A moving mean's gain is sin(pi f T) / (pi f T) (Oppenheim and Schafer, Discrete-Time Signal Processing)."""
    axis = axes_of(record(beside_hz=beside_hz, beside_rad_s=3.0))[0]
    (calm,) = calmed((axis,))
    assert axis.demand is not None
    assert calm.demand is not None
    aloft = (axis.t_s > 4.0) & (axis.t_s < 21.0)
    left = np.std((calm.rate.values - calm.demand)[aloft]) / np.std((axis.rate.values - axis.demand)[aloft])
    assert least <= left <= most
    assert left == pytest.approx(abs(np.sinc(beside_hz * SHAKING_S)), abs=0.02)
