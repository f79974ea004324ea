"""What an aircraft does for each way of putting it together, by algebra.

``flown(ways, scheme, thrust_margin, reverse_share) -> Flown``: ``kind`` (index of `KINDS`) and ``toward`` (index of
`TOWARDS`), both of shape ``(n,)``. `ways` has the arrays of `assembly_ways.Ways`. See docs/models/assembly.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from turnback.physics.allocation import (
    FORWARD,
    RIGHT,
    board_rotation,
    corner_thrust,
    effectiveness,
    holds_still,
    loop_matrix,
    mixer,
)
from turnback.records.bench import Toward

Floats = NDArray[np.float64]

UPSIDE_DOWN_SHARE: Final = 0.6
"""Of its right thrust that a propeller on its face still lifts: our guess."""
LEAST_MOMENT: Final = 1e-6
LEAST_OUTPUT: Final = 0.05
"""Of a corner over the mean that it holds its balance with: below, it stands at idle and can give no more way."""


AUTHORITY: Final = 0.4
"""Of full output, by which a levelling board moves corners against a tilt on the ground: its limit of integral action
and a little more (our guess)."""
THROTTLES: Final = (0.5, 0.75, 1.0)


class FlownKind(Enum):
    """What it does with throttle."""

    HOLDS = "holds"
    FLIPS_AT_ONCE = "flips at once"
    LIFTS_THEN_FLIPS = "lifts, then flips"
    SPINS = "spins"
    STAYS_DOWN = "stays down"


KINDS: Final = tuple(FlownKind)
TOWARDS: Final = tuple(Toward)
BY_EIGHTH: Final = (
    Toward.FRONT, Toward.FRONT_RIGHT, Toward.RIGHT, Toward.REAR_RIGHT,
    Toward.REAR, Toward.REAR_LEFT, Toward.LEFT, Toward.FRONT_LEFT,
)  # fmt: skip
"""Clockwise seen from above, from the front."""


class ManyWays(Protocol):
    """The arrays of `assembly_ways.Ways`."""

    propeller: Any
    upside_down: Any
    motor: Any
    order: Any
    turns: Any
    flipped: Any


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """What each way does, shape ``(n,)``: index of `KINDS`, and of `TOWARDS`."""

    kind: NDArray[np.uint8]
    toward: NDArray[np.uint8]


def flown(
    ways: ManyWays,
    scheme: Any,
    thrust_margin: float,
    reverse_share: float,
    upside_down_share: float = UPSIDE_DOWN_SHARE,
) -> Flown:
    """Return what each way does.

    Parameters
    ----------
    ways : ManyWays
        n of them.
    scheme : array_like
        Declared direction of each motor, +1 clockwise and -1 anticlockwise, shape ``(4,)``.
    thrust_margin : float
        Greatest thrust over weight of the aircraft put together right.
    reverse_share : float
        See `physics.allocation.corner_thrust`, as for `upside_down_share`.
    """
    thrust = corner_thrust(ways.propeller, ways.motor, ways.upside_down, reverse_share, upside_down_share)
    moments = effectiveness(thrust, ways.motor)
    rotation = board_rotation(ways.turns, ways.flipped)
    matrix = loop_matrix(moments, ways.order, scheme, rotation)
    weight = 4.0 / thrust_margin
    asked = mixer(scheme)[np.asarray(ways.order)]
    bias = moments.sum(axis=-1)
    flipped = np.asarray(ways.flipped, dtype=np.bool_)
    lifts = thrust.sum(axis=-1) > weight
    level = holds_still(matrix[:, :2, :2]) & _trimmed(thrust, moments, asked, bias, weight, 2)
    steady = holds_still(matrix) & _trimmed(thrust, moments, asked, bias, weight, 3)
    pushed = np.hypot(bias[:, 0], bias[:, 1]) > LEAST_MOMENT
    felt = np.sign(np.round((rotation @ bias[:, :, None])[:, :2, 0], 6))
    standing = np.concatenate([-AUTHORITY * felt, np.zeros((bias.shape[0], 1))], axis=-1)
    first = _tips_on_ground(thrust, asked, 0.0 * standing, weight)  # before the board feels it, and after
    tips = ~level & pushed & (lifts | (first & (flipped | _tips_on_ground(thrust, asked, standing, weight))))
    kind = np.full(thrust.shape[0], KINDS.index(FlownKind.STAYS_DOWN), dtype=np.uint8)
    kind[lifts & ~pushed] = KINDS.index(FlownKind.LIFTS_THEN_FLIPS)
    kind[tips] = KINDS.index(FlownKind.FLIPS_AT_ONCE)
    kind[lifts & level] = KINDS.index(FlownKind.SPINS)
    kind[lifts & level & steady] = KINDS.index(FlownKind.HOLDS)
    kind[flipped & lifts] = KINDS.index(FlownKind.FLIPS_AT_ONCE)  # it takes itself to lie on its back
    kind[flipped & (thrust.sum(axis=-1) <= 0.0)] = KINDS.index(FlownKind.STAYS_DOWN)
    toward = np.full(kind.size, TOWARDS.index(Toward.NOT_TOLD), dtype=np.uint8)
    known = (kind == KINDS.index(FlownKind.FLIPS_AT_ONCE)) & ~flipped
    eighth = np.round(np.arctan2(bias[:, 0], -bias[:, 1]) / (np.pi / 4.0)).astype(np.int64) % 8
    toward[known] = np.array([TOWARDS.index(each) for each in BY_EIGHTH], dtype=np.uint8)[eighth[known]]
    return Flown(kind, toward)


def _trimmed(
    thrust: Floats, moments: Floats, asked: Floats, bias: Floats, weight: float, axes: int
) -> NDArray[np.bool_]:
    """Return whether outputs from nought to full hold the weight with no moment about the first axes."""
    part = moments[:, :axes] @ asked[:, :, :axes]
    sound = np.abs(np.linalg.det(part)) > LEAST_MOMENT
    part = np.where(sound[:, None, None], part, np.eye(axes))
    demand = -np.linalg.solve(part, bias[:, :axes, None])[..., 0]
    output = 1.0 + np.einsum("nca,na->nc", asked[:, :, :axes], demand)
    lift = (thrust * output).sum(axis=-1)
    throttle = weight / np.where(lift > LEAST_MOMENT, lift, np.inf)
    full = (output * throttle[:, None]).max(axis=-1) <= 1.0
    return np.asarray(sound & (lift > LEAST_MOMENT) & (output.min(axis=-1) >= LEAST_OUTPUT) & full)


def _tips_on_ground(thrust: Floats, asked: Floats, demand: Floats, weight: float) -> NDArray[np.bool_]:
    """Return whether throttle tips it over its outer legs, whatever the board asks meanwhile, shape ``(n, 3)``."""
    change = np.einsum("nca,na->nc", asked, demand)
    found = np.zeros(thrust.shape[0], dtype=np.bool_)
    for throttle in THROTTLES:
        push = thrust * np.clip(throttle + change, 0.0, 1.0)
        roll, pitch = -(push * RIGHT).sum(axis=-1), (push * FORWARD).sum(axis=-1)
        size = np.maximum(np.hypot(roll, pitch), LEAST_MOMENT)
        along = (-pitch / size)[:, None] * FORWARD + (roll / size)[:, None] * RIGHT
        legs = along.max(axis=-1)
        found |= (push * (legs[:, None] - along)).sum(axis=-1) > weight * legs
    return found
