"""A throttle that is being closed makes rotors slow down, each as its output falls: no step, no jump."""

from __future__ import annotations

from dataclasses import replace

from tests.assess.test_signs_outputs_motion import Made, sign

from turnback.assess.signs_outputs import output_signs
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import SignsTold
from turnback.records.happened import Event, EventKind

AT_S = 15.0
AFTER_STEP, JUMP = "speed-collapses-after-step", "speed-jumps-up"


def _told(closes: bool, least: float = 0.1) -> SignsTold:
    """One rotor is asked for much more at once, falls behind, and another seems too fast meanwhile."""
    made = Made()
    made.out[0, made.rows(AT_S - 0.15, AT_S)] = 0.75
    if closes:
        made.out[:, made.rows(AT_S, AT_S + 1.0)] = 0.12
    looked = made.looked()
    fast, slow = At.REAR_LEFT, At.FRONT_LEFT
    of = {at: (Channel(Quantity.ROTOR_SPEED, at=at), Channel(Quantity.OUTPUT, at=at)) for at in (fast, slow)}
    events = (
        Event(EventKind.SPEED_COLLAPSE, AT_S, AT_S + 0.2, of[slow], "", {"least_ratio": least, "step_share": 0.35}),
        Event(EventKind.SPEED_EXCESS, AT_S + 0.01, AT_S + 0.2, of[fast], "", {"mean_ratio": 1.9}),
    )
    return output_signs(replace(looked, answer=replace(looked.answer, events=events)))


def test_a_rotor_that_falls_as_the_throttle_closes_did_not_fall_after_a_step() -> None:
    assert sign(_told(closes=False), AFTER_STEP).seen
    assert AFTER_STEP in {each.sign for each in _told(closes=True).not_looked_for}


def test_a_rotor_that_never_stands_while_the_throttle_closes_only_slows_down() -> None:
    assert sign(_told(closes=False, least=0.4), AFTER_STEP).seen
    told = _told(closes=True, least=0.4)
    assert not any(sign(told, key).seen for key in (AFTER_STEP, "speed-collapses-in-steady-flight", "speed-comes-back"))


def test_a_rotor_that_slows_down_last_does_not_jump_up() -> None:
    assert sign(_told(closes=False), JUMP).seen
    assert not sign(_told(closes=True), JUMP).seen
