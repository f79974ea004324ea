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
LEAST: Final = 1e-6
LEAST_OUTPUT: Final = 0.05
"""Of a corner over the mean that it holds its balance with: below, it stands at idle and can give no more way."""
AUTHORITY: Final = 0.5
"""Of full output, by which a board that stands on the ground and cannot level itself moves corners after a while."""
LEAN_AUTHORITY: Final = 0.15
"""The same of an upside-down board along its other axis, where it sees the true tilt and takes it for a small one.
From 0.1 to 0.2 nothing changes."""
THROTTLES: Final = (0.5, 0.75, 1.0)
GIVE, SURE = 0.98, 1.1
"""Of the moment of what still rests on the low feet. Legs give and ground leans, which brings the weight nearer to
them: what stands just so tips, unless the board holds it; above the second, no board holds it any more (our guess)."""
YAW_SHARE: Final = 0.1
"""How much of what the board does against a turn shows in where it tips toward."""
SOON: Final = 2.0
"""An unstable aircraft that lifts less than this many weights, and whose moment grows faster than that of a right one
dies away twice over, has begun to tip before its feet are clear."""
ALL_ONE_WAY: Final = 4.0
"""Reaction torque, in those of one motor, where all turn the same way."""


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


HOLDS, FLIPS_AT_ONCE, LIFTS_THEN_FLIPS, SPINS, STAYS_DOWN = range(len(KINDS))
NOT_TOLD: Final = TOWARDS.index(Toward.NOT_TOLD)
_PLACES: Final = np.array([TOWARDS.index(each) for each in BY_EIGHTH])


class ManyWays(Protocol):
    """The arrays of `assembly_ways.Ways`, to read only."""

    @property
    def propeller(self) -> Any: ...  # noqa: D102
    @property
    def upside_down(self) -> Any: ...  # noqa: D102
    @property
    def motor(self) -> Any: ...  # noqa: D102
    @property
    def order(self) -> Any: ...  # noqa: D102
    @property
    def turns(self) -> Any: ...  # noqa: D102
    @property
    def flipped(self) -> Any: ...  # noqa: D102


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
    flipped = np.asarray(ways.flipped, dtype=np.bool_)
    kind = np.empty(flipped.size, dtype=np.uint8)
    toward = np.full(flipped.size, NOT_TOLD, dtype=np.uint8)
    shares = (reverse_share, upside_down_share)
    upright, over = np.flatnonzero(~flipped), np.flatnonzero(flipped)
    if upright.size:
        built = _built(ways, upright, scheme, 4.0 / thrust_margin, shares)
        kind[upright], toward[upright] = _upright(built)
    if over.size:
        kind[over] = _on_its_back(_built(ways, over, scheme, 4.0 / thrust_margin, shares))
    return Flown(kind, toward)


@dataclass(frozen=True, slots=True, eq=False)
class _Built:
    """Some ways as numbers: see `physics.allocation`; weight in full thrusts of one corner."""

    weight: float
    thrust: Floats
    moments: Floats
    asked: Floats
    """Of the output of each corner in roll, pitch and yaw, shape ``(n, 4, 3)``."""
    matrix: Floats
    bias: Floats
    """Moment of equal outputs, shape ``(n, 3)``."""
    felt: Floats
    """The same as the board feels it."""


def _built(ways: ManyWays, rows: Any, scheme: Any, weight: float, shares: tuple[float, float]) -> _Built:
    motor, order = np.asarray(ways.motor)[rows], np.asarray(ways.order)[rows]
    thrust = corner_thrust(np.asarray(ways.propeller)[rows], motor, np.asarray(ways.upside_down)[rows], *shares)
    rotation = board_rotation(np.asarray(ways.turns)[rows], np.asarray(ways.flipped)[rows])
    moments = effectiveness(thrust, motor)
    bias = moments.sum(axis=-1)
    return _Built(
        weight=weight,
        thrust=thrust,
        moments=moments,
        asked=mixer(scheme)[order],
        matrix=loop_matrix(moments, order, scheme, rotation),
        bias=bias,
        felt=np.round(_times(rotation, bias), 6),
    )


def _upright(built: _Built) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Return what each does whose board is not upside down, and toward where it tips."""
    lift, answer = built.thrust.sum(axis=-1), -_times(built.matrix, built.bias)
    pushed, crossed = _tilts(built.bias), _tilts(answer)  # by equal outputs; by what the board does against a turn
    push = built.thrust * _outputs(built.asked, -AUTHORITY * np.sign(built.felt), 1.0)
    lifts, lifts_asked = lift > built.weight, push.sum(axis=-1) > built.weight
    tips, tips_asked = _tips_on_ground(built.thrust, built.weight, SURE), _tips_on_ground(push, built.weight)
    tips |= tips_asked & _tips_on_ground(built.thrust, built.weight, GIVE)
    off_balance, yaw = pushed | crossed, np.abs(built.bias[:, 2])
    soon = (lift < SOON * built.weight) & (_slowest(built.matrix[:, :2, :2]) < -SOON)
    rises = np.where(off_balance, lifts, lifts_asked)
    kind = np.full(lift.size, STAYS_DOWN, dtype=np.uint8)
    kind[rises] = LIFTS_THEN_FLIPS
    kind[rises & soon] = FLIPS_AT_ONCE
    kind[rises & ~off_balance & ((yaw > ALL_ONE_WAY - LEAST) | ~lifts)] = SPINS  # what it asks against a turn lifts it
    kind[(off_balance & lifts) | (pushed & tips) | (~pushed & crossed & tips_asked)] = FLIPS_AT_ONCE
    level = np.flatnonzero(lifts & holds_still(built.matrix[:, :2, :2]))
    level = level[_trimmed(built, level, 2)]
    matrix = built.matrix[level]
    holds = (holds_still(matrix) & _trimmed(built, level, 3)) | ((yaw[level] < LEAST) & _drifts(matrix))
    kind[level] = np.where(holds, HOLDS, SPINS)
    low = built.bias + YAW_SHARE * answer
    eighth = np.round(np.arctan2(low[:, 0], -low[:, 1]) / (np.pi / 4.0)).astype(np.int64) % 8
    told = (kind == FLIPS_AT_ONCE) & _tilts(low)
    return kind, np.where(told, _PLACES[eighth], NOT_TOLD).astype(np.uint8)


def _on_its_back(built: _Built) -> NDArray[np.uint8]:
    """Return what each does whose board is upside down: it rolls with all its might, to the side that it feels first.

    Where nothing pushes it to a side, chance does, and it is said to flip where either side tips it.
    """
    demand = np.zeros_like(built.bias)
    demand[:, 1] = LEAN_AUTHORITY * np.sign(built.felt[:, 1])
    side = built.felt[:, 0]
    over = np.zeros(side.size, dtype=np.bool_)
    for sign in (1.0, -1.0):
        demand[:, 0] = sign * AUTHORITY
        found = np.zeros(side.size, dtype=np.bool_)
        for throttle in THROTTLES:
            push = built.thrust * _outputs(built.asked, demand, throttle)
            found |= _tips_on_ground(push, built.weight) | (push.sum(axis=-1) > built.weight)
        over |= found & (sign * side >= 0.0)
    return np.where(over, FLIPS_AT_ONCE, STAYS_DOWN).astype(np.uint8)


def _times(matrix: Floats, vector: Floats) -> Floats:
    return np.asarray((matrix @ vector[:, :, None])[:, :, 0])


def _tilts(moment: Floats) -> NDArray[np.bool_]:
    return np.asarray(np.hypot(moment[:, 0], moment[:, 1]) > LEAST)


def _outputs(asked: Floats, demand: Floats, throttle: float) -> Floats:
    """Return the outputs, shape ``(n, 4)``: one that would be below nought raises all, as far as none is above full."""
    wish = throttle + _times(asked, demand)
    least = np.minimum(np.minimum(wish[:, 0], wish[:, 1]), np.minimum(wish[:, 2], wish[:, 3]))
    most = np.maximum(np.maximum(wish[:, 0], wish[:, 1]), np.maximum(wish[:, 2], wish[:, 3]))
    wish += np.clip(-least, 0.0, np.maximum(0.0, 1.0 - most))[:, None]
    return np.clip(wish, 0.0, 1.0)


def _tips_on_ground(push: Floats, weight: float, share: float = 1.0) -> NDArray[np.bool_]:
    """Return whether thrust tips it over its feet on the low side: their moment of what still rests is too small.

    With moment m in its direction and feet a (1 to 1.41) outward: m > (weight - lift) a, and ``a m`` is the sum of both
    parts of m. ``share`` of the right side is enough.
    """
    roll, pitch = push @ -RIGHT, push @ FORWARD
    square = roll * roll + pitch * pitch
    rests = (weight - push.sum(axis=-1)) * (np.abs(roll) + np.abs(pitch))
    return np.asarray((square > LEAST) & (square > share * rests))


def _trimmed(built: _Built, rows: Any, axes: int) -> NDArray[np.bool_]:
    """Return whether outputs from nought to full hold the weight with no moment about the first axes."""
    thrust, asked = built.thrust[rows], built.asked[rows][:, :, :axes]
    part = built.moments[rows][:, :axes] @ asked
    sound = np.abs(np.linalg.det(part)) > LEAST
    part = np.where(sound[:, None, None], part, np.eye(axes))
    output = 1.0 - _times(asked, np.linalg.solve(part, built.bias[rows][:, :axes, None])[:, :, 0])
    lift = (thrust * output).sum(axis=-1)
    throttle = built.weight / np.where(lift > LEAST, lift, np.inf)
    full = (output * throttle[:, None]).max(axis=-1) <= 1.0
    return np.asarray(sound & (lift > LEAST) & (output.min(axis=-1) >= LEAST_OUTPUT) & full)


def _slowest(two: Floats) -> Floats:
    """Return the least real part of the eigenvalues of two axes."""
    half = 0.5 * (two[:, 0, 0] + two[:, 1, 1])
    whole = two[:, 0, 0] * two[:, 1, 1] - two[:, 0, 1] * two[:, 1, 0]
    return np.asarray(half - np.sqrt(np.maximum(half * half - whole, 0.0)))


def _drifts(matrix: Floats) -> NDArray[np.bool_]:
    """Return whether tilts die away and a turn neither dies away nor grows (its axis is not answered at all)."""
    return np.asarray(holds_still(matrix + LEAST * np.eye(3)) & holds_still(matrix[:, :2, :2]))
