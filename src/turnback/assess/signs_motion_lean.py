"""Whether the shown heading turns with the current, by where lean drives it: for records without field and rates."""

from __future__ import annotations

from typing import Final

from turnback.assess.signs_outputs_flight import Seen
from turnback.assess.signs_outputs_tell import Telling
from turnback.assess.signs_place_field import turns_with_current
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_volts_told import sure_of
from turnback.records.channel import Channel, Quantity

MOST_SEEN: Final = 0.85
MOST_NOT: Final = 0.65


def tell_current_by_lean(seen: Seen, tell: Telling, sign: str) -> bool:
    """Tell the sign of a heading that goes with the current by where lean drives it at low and at high current.

    Parameters
    ----------
    seen : Seen
    tell : Telling
    sign : str
        Its key.

    Returns
    -------
    bool
        Whether it could be told.
    """
    found = turns_with_current(place_seen(seen.looked))
    if found is None:
        return False
    by_rad, beyond = found
    tell.told(
        sign, "heading", beyond > 0.0, sure_of(beyond, MOST_SEEN if beyond > 0.0 else MOST_NOT),
        channels=(Channel(Quantity.HEADING), Channel(Quantity.CURRENT)), values={"turn_rad": by_rad},
    )  # fmt: skip
    return True
