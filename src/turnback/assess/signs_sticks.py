"""Which signs of sticks, modes and arming a record shows."""

from __future__ import annotations

from dataclasses import replace

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_motion_whirl import whirls_s
from turnback.assess.signs_sticks_arming import tell_arming
from turnback.assess.signs_sticks_hands import tell_hands
from turnback.assess.signs_sticks_modes import tell_modes
from turnback.assess.signs_sticks_worse import tell_worse
from turnback.records.debrief import Looked, SignsTold


def stick_signs(looked: Looked) -> SignsTold:
    """Tell which signs of sticks, modes and arming a record shows, and which it could not show.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    SignsTold
        Each sign of the book's channel of the sticks once.
    """
    teller = Teller()
    # what hands do against a whirl is its consequence
    worse_s = min(tell_worse(looked, teller), whirls_s(looked))
    tell_hands(replace(looked, ended_s=min(looked.ended_s, worse_s + 0.3)), teller)
    tell_modes(looked, teller)
    tell_arming(looked, teller)
    return teller.told()
