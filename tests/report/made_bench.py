"""Answers of the bench made by hand: nothing here was computed by the bench itself. All numbers are invented."""

from __future__ import annotations

import numpy as np

from turnback.knowledge.book import (
    SOMETHING_ELSE,
    Basis,
    Book,
    Cause,
    CauseGroup,
    Channel,
    Check,
    CheckKind,
    Likelihood,
    Sign,
)
from turnback.records.aircraft import Rotation
from turnback.records.belief import (
    Belief,
    Believed,
    CauseSet,
    Judged,
    NextCheck,
    Observation,
    Outcome,
    Told,
    Weight,
)
from turnback.records.bench import (
    At,
    BenchAnswer,
    BenchCheck,
    BenchNext,
    Mend,
    MendStep,
    Saw,
    Seen,
    Slip,
    SlipFound,
    SlipSet,
    Toward,
    WindUp,
)
from turnback.records.heard import Heard

FRONT_LEFT = (At.FRONT_LEFT,)
WIND_UP = WindUp(19.1, 2.0, 0.1, 6.0, 0.4, from_gains=False)


def slip(kind: Slip, at: tuple[At, ...] = (), chance: float = 0.5, turns: int = 0) -> SlipFound:
    """One error."""
    return SlipFound(kind, at, turns, chance)


def alone(found: SlipFound) -> SlipSet:
    """One error and no other."""
    return SlipSet((found,), found.chance)


def one_flip(*, assumed: bool = True, said: str = "flips-at-once=front-left") -> BenchAnswer:
    """It flips toward one corner: propeller or motor of that corner, which look alike in flight."""
    propeller = slip(Slip.PROPELLER_DIRECTION, FRONT_LEFT, 0.48)
    motor = slip(Slip.MOTOR_DIRECTION, FRONT_LEFT, 0.36)
    order = slip(Slip.ORDER, (At.FRONT_LEFT, At.REAR_RIGHT), 0.05)
    turned = slip(Slip.BOARD_TURNED, (), 0.02, 1)
    face = slip(Slip.PROPELLER_UPSIDE_DOWN, (At.REAR_LEFT,), 0.02)
    return BenchAnswer(
        front_left=Rotation.CLOCKWISE,
        scheme_assumed=assumed,
        seen=(
            Seen(Saw.FLIPS_AT_ONCE, toward=Toward.FRONT_LEFT, said=said),
            Seen(Saw.RUNS_UP_WITHOUT_PROPELLERS, said="runs-up-without-propellers"),
            Seen(BenchCheck.PROPELLER_FACE, At.FRONT_LEFT, result="up", said="propeller-face.front-left=up"),
            Seen(BenchCheck.PROPELLER_FACE, At.REAR_RIGHT, result="up", said="propeller-face.rear-right=up"),
        ),
        taken_back=(Seen(Saw.SPINS, said="spins"),),
        right=0.03,
        slips=(propeller, motor, order, turned, face),
        sets=(alone(propeller), alone(motor), alone(order), SlipSet((), 0.03), alone(turned),
              SlipSet((propeller, face), 0.01)),
        survivors=(alone(propeller), alone(motor)),
        next_checks=(
            BenchNext(BenchCheck.PROPELLER_DIRECTION, FRONT_LEFT, 0.9, 0.5, powered=False),
            BenchNext(BenchCheck.BOARD_ARROW, (), 0.1, 1.0, powered=False),
            BenchNext(BenchCheck.MOTOR_DIRECTION, FRONT_LEFT, 0.9, 4.0, powered=True),
            BenchNext(BenchCheck.HAND_TILT, (), 0.1, 5.0, powered=True),
        ),
        wind_up=WIND_UP,
        surprised=False,
        mends=(
            Mend(Slip.PROPELLER_DIRECTION, FRONT_LEFT,
                 (MendStep.UNPLUG, MendStep.FIT_PROPELLER, MendStep.LOOK_AT_ALL)),
            Mend(Slip.MOTOR_DIRECTION, FRONT_LEFT,
                 (MendStep.UNPLUG, MendStep.PROPELLERS_OFF, MendStep.REVERSE_MOTOR, MendStep.KEEP_PROPELLER,
                  MendStep.LOOK_AT_ALL)),
        ),
    )  # fmt: skip


def found_wrong() -> BenchAnswer:
    """One corner was looked at and is wrong, another is suspected, one was looked at and is right."""
    propeller = slip(Slip.PROPELLER_DIRECTION, (At.REAR_LEFT,), 0.97)
    motor = slip(Slip.MOTOR_DIRECTION, (At.FRONT_RIGHT,), 0.12)
    return BenchAnswer(
        front_left=Rotation.ANTICLOCKWISE,
        scheme_assumed=False,
        seen=(
            Seen(Saw.FLIPS_AT_ONCE, toward=Toward.REAR_LEFT, said="flips-at-once=rear-left"),
            Seen(BenchCheck.PROPELLER_DIRECTION, At.REAR_LEFT, result="wrong",
                 said="propeller-direction.rear-left=wrong"),
            Seen(BenchCheck.PROPELLER_DIRECTION, At.FRONT_LEFT, result="right",
                 said="propeller-direction.front-left=right"),
        ),
        taken_back=(),
        right=0.004,
        slips=(propeller, motor),
        sets=(alone(propeller), SlipSet((propeller, motor), 0.02)),
        survivors=(),
        next_checks=(),
        wind_up=None,
        surprised=False,
    )  # fmt: skip


def any_corner() -> BenchAnswer:
    """It flips, nobody knows where to: one error at any corner, and the board."""
    slips = tuple(slip(Slip.PROPELLER_DIRECTION, (at,), 0.11) for at in At)
    motors = tuple(slip(Slip.MOTOR_DIRECTION, (at,), 0.08) for at in At)
    board = slip(Slip.BOARD_UPSIDE_DOWN, (), 0.1)
    pair = slip(Slip.PROPELLER_DIRECTION, (At.FRONT_LEFT, At.FRONT_RIGHT), 0.05)
    sets = tuple(alone(each) for each in (*slips, board, *motors, pair))
    return BenchAnswer(
        Rotation.CLOCKWISE, False, (Seen(Saw.FLIPS_AT_ONCE, said="flips-at-once"),), (), 0.01,
        (*slips, board, *motors, pair), sets[:10], sets,
        (BenchNext(BenchCheck.PROPELLER_DIRECTION, tuple(At), 1.2, 1.0, powered=False),), None, surprised=False,
    )  # fmt: skip


def surprised() -> BenchAnswer:
    """What was seen fits nothing."""
    other = slip(Slip.SOMETHING_ELSE, (), 0.7)
    return BenchAnswer(
        Rotation.CLOCKWISE, True,
        (Seen(Saw.HOVERS_WELL, said="hovers-well"), Seen(Saw.STAYS_DOWN, said="stays-down")), (), 0.1,
        (other,), (alone(other),), (), (), None, surprised=True,
    )  # fmt: skip


def put_together_right() -> BenchAnswer:
    """It hovers well."""
    return BenchAnswer(
        Rotation.CLOCKWISE, False, (Seen(Saw.HOVERS_WELL, said="hovers-well"),), (), 0.985,
        (slip(Slip.PROPELLER_UPSIDE_DOWN, (At.REAR_RIGHT,), 0.01),),
        (SlipSet((), 0.985), alone(slip(Slip.PROPELLER_UPSIDE_DOWN, (At.REAR_RIGHT,), 0.01))), (), (), None,
        surprised=False,
    )  # fmt: skip


def nothing_told() -> BenchAnswer:
    """The skeleton's answer."""
    return BenchAnswer(Rotation.CLOCKWISE, True, (), (), 1.0, (), (), (), (), None, surprised=False)


def ran_up() -> BenchAnswer:
    """Only what is normal was told."""
    return BenchAnswer(
        Rotation.CLOCKWISE, False, (Seen(Saw.RUNS_UP_WITHOUT_PROPELLERS, said="runs-up-without-propellers"),), (), 0.7,
        (), (SlipSet((), 0.7),), (), (BenchNext(BenchCheck.BOARD_ARROW, (), 0.1, 0.5, powered=False),), WIND_UP,
        surprised=False,
    )  # fmt: skip


def another_reason() -> BenchAnswer:
    """It spins, and its propellers were looked at: right, or something else."""
    other = slip(Slip.SOMETHING_ELSE, (), 0.2)
    order = slip(Slip.ORDER, tuple(At), 0.03)
    return BenchAnswer(
        Rotation.CLOCKWISE, False,
        (Seen(Saw.SPINS, said="spins"),
         Seen(BenchCheck.PROPELLER_DIRECTION, result="right", said="propeller-direction=right")),
        (), 0.42, (other, order), (SlipSet((), 0.42), alone(other), alone(order), alone(slip(Slip.SCHEME, (), 0.0004))),
        (SlipSet((), 0.42), alone(other)), (BenchNext(BenchCheck.MOTOR_ORDER, (), 0.3, 5.0, powered=True),), None,
        surprised=False,
    )  # fmt: skip


ANSWERS = {
    made.__name__: made
    for made in (one_flip, found_wrong, any_corner, surprised, put_together_right, nothing_told, ran_up, another_reason)
}


def book() -> Book:
    """Two causes, three signs, two checks."""
    causes = (
        Cause("loose-propeller", CauseGroup.BUILD, "A loose propeller", 0.05, Basis.GUESS,
              "Fit a new nut and tighten it snugly.", "Tug at each blade before each pack.",
              "A thrown blade can hit a face: stand back."),
        Cause("sync-loss", CauseGroup.BUILD, "A motor that falls out of step", 0.04, Basis.GUESS,
              "Solder its three leads anew.", "Tug at each lead after a crash.", "It falls without warning."),
    )  # fmt: skip
    signs = (
        Sign("rolled-over", "it rolled over in the air", Channel.SAID, 0.02, Basis.GUESS),
        Sign("nut-loose", "a nut turns by hand", Channel.SEEN, 0.01, Basis.GUESS),
        Sign("warned", "it warned of low volts", Channel.SAID, 0.05, Basis.GUESS),
    )
    checks = (
        Check("feel-nuts", "Feel whether a nut turns by hand.", CheckKind.LOOK, 1.0, ("nut-loose",),
              "Unplug the pack before you touch a propeller."),
        Check("turn-motors", "Turn each motor at idle and listen.", CheckKind.POWERED, 4.0, ("rolled-over",),
              "Propellers off, strapped down, a second or two, no throttle."),
    )  # fmt: skip
    likelihoods = (
        Likelihood("loose-propeller", "rolled-over", 0.6, Basis.GUESS),
        Likelihood("loose-propeller", "nut-loose", 0.9, Basis.GUESS),
        Likelihood("sync-loss", "rolled-over", 0.7, Basis.GUESS),
        Likelihood("sync-loss", "warned", 0.01, Basis.GUESS),
    )
    strength = np.array([[0.6, 0.9, 0.0], [0.7, 0.0, 0.01]])
    return Book(causes, signs, checks, likelihoods, strength)


def belief(judged: Judged = Judged.SEVERAL) -> Belief:
    """Two causes that the signs do not separate."""
    survivors = {
        Judged.SEVERAL: ("sync-loss", "loose-propeller"),
        Judged.CAUSE: ("sync-loss",),
    }.get(judged, ())
    return Belief(
        judged,
        survivors,
        (
            Believed("sync-loss", 0.46, (Weight("rolled-over", True, 12.0), Weight("warned", False, 0.4))),
            Believed("loose-propeller", 0.38, (Weight("rolled-over", True, 9.0), Weight("nut-loose", False, -6.0))),
            Believed(SOMETHING_ELSE, 0.11, ()),
        ),
        0.02,
        (CauseSet(("sync-loss",), 0.45), CauseSet(("loose-propeller",), 0.37)),
        (
            Observation("rolled-over", True, 0.9, "sentence-1", Told.WORDS),
            Observation("nut-loose", False, 0.95, "check-1", Told.CHECK),
        ),
        (
            NextCheck("feel-nuts", 0.7, 1.0, (Outcome((True,), 0.4), Outcome((False,), 0.6))),
            NextCheck("turn-motors", 0.3, 4.0, (Outcome((True,), 0.5), Outcome((False,), 0.5))),
        ),
    )


HEARD = (
    Heard("rolled-over", True, 0.9, 0.95, 0, 14, 0, "it rolled over in the air"),
    Heard("warned", False, 0.8, 0.9, 16, 40, 1, "it warned me"),
)
