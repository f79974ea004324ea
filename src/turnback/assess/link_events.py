"""What the control link did: dips, packets lost at a good level, loss, frozen channels, failsafe, restarts."""

from __future__ import annotations

from turnback.assess.link_events_action import find_actions
from turnback.assess.link_events_dips import find_dips
from turnback.assess.link_events_frozen import find_frozen
from turnback.assess.link_events_lost import find_lost, find_quality_low
from turnback.assess.link_events_parts import spans_looked_at
from turnback.assess.link_events_restart import find_restarts
from turnback.records.happened import EventKind, Flown, Happened, NotTold, WhyNot

KINDS = (
    EventKind.LEVEL_DIP, EventKind.QUALITY_LOW_LEVEL_HIGH, EventKind.LINK_LOST, EventKind.CHANNELS_FROZEN,
    EventKind.RADIO_LOSS_ACTION, EventKind.RESTART,
)  # fmt: skip


def find_link(flown: Flown) -> Happened:
    """Tell what happened to the control link while it flew, and whether the board restarted.

    Parameters
    ----------
    flown : Flown
        Phases that could not be told are looked at as if aloft.

    Returns
    -------
    Happened
        Events of the kinds `KINDS`, by onset within each kind.
    """
    if not spans_looked_at(flown):
        return Happened((), tuple(NotTold(kind, WhyNot.NOT_ALOFT) for kind in KINDS))
    lost = find_lost(flown)
    frozen = find_frozen(flown, lost.events)
    parts = (
        lost,
        frozen,
        find_dips(flown, lost.events),
        find_quality_low(flown, lost.events),
        find_actions(flown, lost.events, frozen.events),
        find_restarts(flown),
    )
    events = tuple(event for part in parts for event in part.events)
    return Happened(events, tuple(each for part in parts for each in part.not_told))
