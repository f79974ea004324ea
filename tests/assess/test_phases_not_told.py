"""Where neither motors nor height are recorded, slow and calm flight is not called the ground."""

from __future__ import annotations

import numpy as np
from tests.assess.record_makers import Made, make_record

from turnback.assess.phases import phases_of
from turnback.records.channel import RATES, Quantity
from turnback.records.happened import PhaseKind

LENGTH_S, HZ = 100.0, 10.0
SLOW_S = (50.0, 64.0)


def test_slow_calm_flight_is_not_told_rather_than_the_ground() -> None:
    """It stands, flies at 8 m/s, glides on at 2.3 m/s for 14 s without a wobble, flies on, and lands."""
    t = np.arange(0.0, LENGTH_S, 1.0 / HZ)
    air = (t > 10.0) & (t < 90.0)
    slow = (t > SLOW_S[0]) & (t < SLOW_S[1])
    rng = np.random.default_rng(5)
    speed = np.where(slow, 2.3, np.where(air, 8.0, 0.0)) + 0.05 * rng.standard_normal(t.size)
    climb = np.where((t > 10.0) & (t < 15.0), 2.0, np.where((t > 85.0) & (t < 90.0), -2.0, 0.0))
    wobble = np.where(air & ~slow, 0.3, 0.01)
    rates: Made = {each: (t, wobble * rng.standard_normal(t.size)) for each in RATES}
    track: Made = {Quantity.GROUND_SPEED: (t, np.abs(speed)), Quantity.CLIMB_RATE: (t, climb)}
    found = phases_of(make_record({**rates, **track}))
    for phase in found:
        if phase.kind is PhaseKind.GROUND:
            assert phase.end_s < SLOW_S[0] or phase.start_s > SLOW_S[1]
    assert [phase.kind for phase in found].count(PhaseKind.TAKE_OFF) == 1
    assert found[0].kind is found[-1].kind is PhaseKind.GROUND
