"""Which signs of the control link a record shows."""

from __future__ import annotations

from typing import Final

from turnback.assess.signs_link_earlier import tell_against_earlier
from turnback.assess.signs_link_high import tell_from_high
from turnback.assess.signs_link_packets import tell_packets
from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_link_power import apart_of, tell_power
from turnback.assess.signs_link_shape import tell_shapes
from turnback.assess.signs_link_ways import tell_ways
from turnback.records.debrief import Looked, SignsTold
from turnback.records.happened import WhyNot

NEED_MORE: Final = (
    "range-walk-short-every-side", "range-walk-short-one-side", "alone-it-is-clean", "facing-it-is-clean",
    "power-step-matches",
)  # fmt: skip
"""Only a range walk, another flight with something changed, or the pilot's word tells these."""


def link_signs(looked: Looked) -> SignsTold:
    """Tell which signs of level and quality a record shows, and which it could not show.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    SignsTold
        Each sign of the book's channel of the link once.
    """
    teller = Teller()
    apart = apart_of(looked)
    tell_packets(looked, teller)
    tell_from_high(looked, teller)
    tell_ways(looked, apart, teller)
    tell_power(looked, apart, teller)
    tell_shapes(looked, apart, teller)
    tell_against_earlier(looked, apart, teller)
    for sign in NEED_MORE:
        teller.cannot(sign, WhyNot.NO_CHANNEL)
    return teller.told()
