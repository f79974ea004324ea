"""The book's signs of turning rates and acceleration: what a record shows of each."""

from __future__ import annotations

from typing import Final

from turnback.assess.signs_motion_answer import to_the_end
from turnback.assess.signs_motion_blocks import blocks_of
from turnback.assess.signs_motion_lift import at_lift
from turnback.assess.signs_motion_mount import of_mounting
from turnback.assess.signs_motion_rest import at_rest
from turnback.assess.signs_motion_shake import of_shaking
from turnback.assess.signs_motion_spun import before_spin
from turnback.assess.signs_motion_way import on_the_way
from turnback.assess.signs_outputs_flight import seen_of
from turnback.assess.signs_outputs_tell import Telling
from turnback.records.debrief import Looked, SignsTold
from turnback.records.happened import WhyNot

NOT_OF_ONE_RECORD: Final = (
    "vibration-follows-propeller", "vibration-stays-at-corner", "repeats-without-the-pilots-input",
    "picture-wobbles-record-quiet", "turns-against-stick",
)  # fmt: skip
"""They take another flight, the picture, or the pilot's word beside the record."""


def motion_signs(looked: Looked) -> SignsTold:
    """Return every sign of the channel "turning rates and acceleration in the record", seen, not seen or not told.

    Parameters
    ----------
    looked : Looked

    Notes
    -----
    Nothing is taken for a sign of its own after the first failure: rates that run away, swing or turn against the
    demand then are its consequences.
    """
    seen = seen_of(looked)
    tell = Telling()
    blocks = blocks_of(seen)
    at_lift(seen, tell)
    at_rest(seen, tell)
    calm = before_spin(seen)
    of_shaking(calm, blocks_of(calm) if calm is not seen else blocks, tell)
    of_mounting(calm, tell)
    on_the_way(seen, blocks, tell)
    to_the_end(seen, tell)
    tell.missed(WhyNot.NO_CHANNEL, *NOT_OF_ONE_RECORD)
    return tell.all()
