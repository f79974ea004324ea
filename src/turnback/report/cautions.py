"""What every answer says, whatever its verdict: cautions, and what is not modelled."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    "Propellers off for every test on the bench. Connect the pack last, and disconnect it first.",
    "LiPo packs burn. Charge on ground that does not burn, stay beside it, and do not fly a swollen, dented or hot "
    "pack.",
    "A falling aircraft injures. Keep everybody who takes no part out from under it, and do not fly over people.",
    "Radio power: use no more than your local limit, keep off a transmitting antenna, and never switch on a "
    "transmitter without its antenna.",
    "This does not know your local law. Look it up.",
    "This is an estimate, not a permission. Where somebody competent beside you says otherwise, they are right.",
)

NOT_MODELLED: Final = (
    "Wires, masts, cranes, buildings and single trees: the ground here is a grid of heights, without what stands on "
    "it.",
    "Wind behind ridges, thermals and turbulence: one mean wind with gusts is taken for the whole route.",
    "Rain, fog, icing, and antennas that are damaged or loose.",
    "Other transmitters that switch on during the flight; echoes of the signal beyond an allowance.",
    "Parts that fail: motor, speed control, board, connectors, camera.",
    "How well the pilot flies, orients and lands; birds and other aircraft.",
    "How a fall hurts: no injury is computed.",
)
