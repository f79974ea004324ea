"""How an assembly error is mended, as steps; where a motor is reversed they say what happens to its propeller."""

from __future__ import annotations

from typing import Final

from turnback.assess.assembly_ways import DIAGONALS
from turnback.records.bench import At, Mend, MendStep, Slip, SlipFound

_DIAGONALS: Final = tuple(tuple(tuple(At)[corner] for corner in pair) for pair in DIAGONALS)
_REVERSED: Final = (
    MendStep.PROPELLERS_OFF,
    MendStep.REVERSE_MOTOR,
    MendStep.KEEP_PROPELLER,
    MendStep.CHANGE_PROPELLER_TOO,
)
_STEPS: Final[dict[Slip, tuple[MendStep, ...]]] = {
    Slip.PROPELLER_DIRECTION: (MendStep.FIT_PROPELLER,),
    Slip.PROPELLER_UPSIDE_DOWN: (MendStep.TURN_PROPELLER_OVER,),
    Slip.MOTOR_DIRECTION: _REVERSED,
    Slip.SCHEME: (*_REVERSED, MendStep.DECLARE_SCHEME),
    Slip.ORDER: (MendStep.PROPELLERS_OFF, MendStep.EXCHANGE_OUTPUTS),
    Slip.BOARD_TURNED: (MendStep.PROPELLERS_OFF, MendStep.TURN_BOARD),
    Slip.BOARD_UPSIDE_DOWN: (MendStep.PROPELLERS_OFF, MendStep.TURN_BOARD_OVER),
}


def mend(found: SlipFound) -> Mend:
    """Return how one error is mended: unplugged first, and everything looked at once more at the end."""
    if found.slip is Slip.SOMETHING_ELSE:
        return Mend(found.slip, found.at, (MendStep.PROPELLERS_OFF, MendStep.LOOK_AT_ALL, MendStep.LOOK_ELSEWHERE))
    steps = _STEPS[found.slip]
    if found.slip is Slip.PROPELLER_DIRECTION and _change_places(found.at):
        steps = (MendStep.SWAP_PROPELLERS,)
    if found.slip is Slip.MOTOR_DIRECTION and len(found.at) == len(At):
        steps = (*steps, MendStep.DECLARE_SCHEME)
    return Mend(found.slip, found.at, (MendStep.UNPLUG, *steps, MendStep.LOOK_AT_ALL))


def _change_places(at: tuple[At, ...]) -> bool:
    """True for neighbours, which turn opposite ways, and for all four; diagonal corners turn the same way."""
    return len(at) == len(At) or (len(at) == 2 and at not in _DIAGONALS)
