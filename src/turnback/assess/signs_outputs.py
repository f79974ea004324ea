"""The book's signs of corner outputs and rotor speeds: what a record shows of each."""

from __future__ import annotations

from turnback.assess.signs_outputs_flight import seen_of
from turnback.assess.signs_outputs_gives import gives_way
from turnback.assess.signs_outputs_ground import on_the_ground
from turnback.assess.signs_outputs_hover import in_hover
from turnback.assess.signs_outputs_lift import at_lift
from turnback.assess.signs_outputs_speed import of_speeds
from turnback.assess.signs_outputs_tell import Telling
from turnback.assess.signs_outputs_unrest import of_unrest
from turnback.records.debrief import Looked, SignsTold


def output_signs(looked: Looked) -> SignsTold:
    """Return every sign of the channel "corner outputs and rotor speeds in the record", seen, not seen or not told.

    Parameters
    ----------
    looked : Looked

    Notes
    -----
    Nothing is taken for a sign of its own after the first failure: outputs that saturate or swing then, and corners
    that work harder, are its consequences.
    """
    seen = seen_of(looked)
    tell = Telling()
    on_the_ground(seen, tell)
    at_lift(seen, tell)
    in_hover(seen, tell)
    of_speeds(seen, tell)
    of_unrest(seen, tell)
    gives_way(seen, tell)
    return tell.all()
