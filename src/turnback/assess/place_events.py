"""Events of place: wind, launch point, track of an automatic return, jumps of position, a record that ends aloft."""

from __future__ import annotations

from turnback.assess.place_end import find_end
from turnback.assess.place_jumps import find_jumps
from turnback.assess.place_launch import find_launch
from turnback.assess.place_return import find_return
from turnback.assess.place_track import track_of
from turnback.assess.place_wind import find_wind
from turnback.records.happened import Flown, Happened


def find_place(flown: Flown) -> Happened:
    """Return events of place.

    Parameters
    ----------
    flown : Flown

    Returns
    -------
    Happened
        WIND (`place_wind`), LAUNCH_POINT_OFF (`place_launch`), RETURN_TRACK_OFF (`place_return`), POSITION_JUMP
        (`place_jumps`) and ENDS_ALOFT (`place_end`).
    """
    track = track_of(flown.record)
    parts = (
        find_wind(flown, track), find_launch(flown, track), find_return(flown, track), find_jumps(flown, track),
        find_end(flown, track),
    )  # fmt: skip
    events = tuple(event for part in parts for event in part.events)
    return Happened(
        tuple(sorted(events, key=lambda event: event.start_s)),
        tuple(reason for part in parts for reason in part.not_told),
    )
