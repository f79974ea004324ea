"""Every mend begins unplugged, and reversing a motor always says what happens to its propeller."""

from __future__ import annotations

import pytest

from turnback.assess.assembly_mend import mend
from turnback.assess.assembly_wind_up import wind_up
from turnback.records.bench import At, Gains, MendStep, Slip, SlipFound

PROPELLER_SAID = {MendStep.CHANGE_PROPELLER_TOO, MendStep.KEEP_PROPELLER, MendStep.DECLARE_SCHEME}


@pytest.mark.parametrize("slip", list(Slip))
@pytest.mark.parametrize("at", [(), (At.FRONT_LEFT,), (At.FRONT_LEFT, At.FRONT_RIGHT), tuple(At)])
def test_a_mend_is_safe_and_complete(slip: Slip, at: tuple[At, ...]) -> None:
    steps = mend(SlipFound(slip, at, 0, 0.5)).steps
    assert steps[0] in {MendStep.UNPLUG, MendStep.PROPELLERS_OFF}
    assert MendStep.LOOK_AT_ALL in steps
    if MendStep.REVERSE_MOTOR in steps:
        assert PROPELLER_SAID & set(steps)
        assert steps.index(MendStep.PROPELLERS_OFF) < steps.index(MendStep.REVERSE_MOTOR)
        assert MendStep.CHANGE_PROPELLER_TOO in steps


def test_the_whole_scheme_may_be_declared_instead() -> None:
    assert MendStep.DECLARE_SCHEME in mend(SlipFound(Slip.SCHEME, (), 0, 0.5)).steps
    assert MendStep.DECLARE_SCHEME in mend(SlipFound(Slip.MOTOR_DIRECTION, tuple(At), 0, 0.5)).steps
    assert MendStep.DECLARE_SCHEME not in mend(SlipFound(Slip.MOTOR_DIRECTION, (At.REAR_LEFT,), 0, 0.5)).steps


def test_only_neighbours_may_change_propellers() -> None:
    def steps(*at: At) -> tuple[MendStep, ...]:
        return mend(SlipFound(Slip.PROPELLER_DIRECTION, at, 0, 0.5)).steps

    assert MendStep.SWAP_PROPELLERS in steps(At.FRONT_LEFT, At.FRONT_RIGHT)
    assert MendStep.SWAP_PROPELLERS in steps(At.FRONT_LEFT, At.REAR_LEFT)
    assert MendStep.SWAP_PROPELLERS not in steps(At.FRONT_LEFT, At.REAR_RIGHT)  # these two turn the same way
    assert MendStep.FIT_PROPELLER in steps(At.FRONT_RIGHT, At.REAR_LEFT)
    assert MendStep.FIT_PROPELLER in steps(At.FRONT_LEFT)


def test_the_wind_up_is_that_of_its_gains() -> None:
    # models.md: Ki 0.1, Ka 6, 2 degrees of tilt, limit 0.4 gives 19.1 s.
    own = wind_up(Gains(0.1, 6.0, 0.4, 2.0))
    assert own.from_gains
    assert own.seconds == pytest.approx(19.1, rel=0.03)
    typical = wind_up(None)
    assert not typical.from_gains
    assert typical.seconds == own.seconds
    faster = wind_up(Gains(0.2, 6.0, 0.4, 2.0)).seconds
    assert faster == pytest.approx(19.1 / 2.0, rel=0.03)


def test_every_gain_counts_in_the_wind_up() -> None:
    # t = limit / (Ki * Ka * tilt) by hand: 0.3 / (0.2 * 3 * 0.0698132 rad) = 7.162 s
    assert wind_up(Gains(0.2, 3.0, 0.3, 4.0)).seconds == pytest.approx(7.162, rel=1e-3)


def test_without_integral_action_nothing_winds_up() -> None:
    assert wind_up(Gains(0.0, 6.0, 0.4, 2.0)).seconds is None
