"""What every answer says, whatever its verdict: cautions, and what is not modelled."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark, text

CAUTIONS: Final = (
    mark("Propellers off for every test on the bench. Connect the pack last, and disconnect it first."),
    mark(
        "LiPo packs burn. Charge on ground that does not burn, stay beside it, and do not fly a swollen, dented or hot "
        "pack."
    ),
    mark("A falling aircraft injures. Keep everybody who takes no part out from under it, and do not fly over people."),
    mark(
        "Radio power: use no more than your local limit, keep off a transmitting antenna, and never switch on a "
        "transmitter without its antenna."
    ),
    mark("This does not know your local law. Look it up."),
    mark("This is an estimate, not a permission. Where somebody competent beside you says otherwise, they are right."),
)

NOT_MODELLED: Final = (
    mark(
        "Wires, masts, cranes, buildings and single trees: the ground here is a grid of heights, without what stands "
        "on it."
    ),
    mark("Wind behind ridges, thermals and turbulence: one mean wind with gusts is taken for the whole route."),
    mark("Rain, fog, icing, and antennas that are damaged or loose."),
    mark("Other transmitters that switch on during the flight; echoes of the signal beyond an allowance."),
    mark("Parts that fail: motor, speed control, board, connectors, camera."),
    mark("How well the pilot flies, orients and lands; birds and other aircraft."),
    mark("How a fall hurts: no injury is computed."),
)


def cautions() -> tuple[str, ...]:
    """Return the cautions in the language spoken."""
    return tuple(text(caution) for caution in CAUTIONS)


def not_modelled() -> tuple[str, ...]:
    """Return what is not modelled, in the language spoken."""
    return tuple(text(item) for item in NOT_MODELLED)
