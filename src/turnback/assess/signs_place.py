"""Which signs of the book a record's positions and heights show."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from turnback.assess.signs_place_end import (
    ends_aloft,
    falls_free,
    full_throttle_late,
    hits_steadily,
    sinks_fast,
    sinks_straight_down,
)
from turnback.assess.signs_place_far import (
    beyond_seen,
    flies_on_away,
    lost_at_greatest,
    same_spot,
    turned_back_late,
)
from turnback.assess.signs_place_home import field_near_ground, stops_short
from turnback.assess.signs_place_return import (
    below_obstacles,
    circles_grow,
    launch_point_off,
    position_jumps,
    return_track_off,
    stays_over_launch,
)
from turnback.assess.signs_place_seen import PlaceSeen, place_seen
from turnback.assess.signs_place_wind import drifts_down_wind, rough_air, slow_into_wind, stands_still
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, told_of
from turnback.records.debrief import Looked, SignsTold


def _nobody(_seen: PlaceSeen) -> Blind:
    """What takes a second flight."""
    return NOBODY


TELLERS: Final[MappingProxyType[str, Callable[[PlaceSeen], Saw | Blind]]] = MappingProxyType({
    "drifts-down-wind": drifts_down_wind,
    "slow-into-wind": slow_into_wind,
    "stands-still-on-the-way-home": stands_still,
    "sinks-in-rough-air": rough_air,
    "circles-grow": circles_grow,
    "return-track-off-home": return_track_off,
    "launch-point-off": launch_point_off,
    "position-jumps": position_jumps,
    "field-wrong-near-ground": field_near_ground,
    "return-stops-short": stops_short,
    "below-obstacles-on-the-way-home": below_obstacles,
    "stays-over-launch-point": stays_over_launch,
    "flies-on-away": flies_on_away,
    "lost-at-greatest-distance": lost_at_greatest,
    "same-spot-every-time": same_spot,
    "beyond-where-it-can-be-seen": beyond_seen,
    "turned-back-late": turned_back_late,
    "falls-free": falls_free,
    "record-ends-aloft": ends_aloft,
    "sinks-fast-before-the-ground": sinks_fast,
    "full-throttle-just-before-the-ground": full_throttle_late,
    "sinks-straight-down": sinks_straight_down,
    "hits-while-flying-steadily": hits_steadily,
    "away-from-steel-is-fine": _nobody,
})  # fmt: skip
"""By sign of the book; each says what it saw or why it could not look."""


def place_signs(looked: Looked) -> SignsTold:
    """Tell the signs of the book's channel of position and height.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    SignsTold
        Each sign of the channel, in one of both.
    """
    return told_of(place_seen(looked), TELLERS)
