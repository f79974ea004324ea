"""Signs of how far out it was: where the link went, whether it flew on, whether it turned back in time."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.place_track import track_of
from turnback.assess.signs_place_lean import leans_home_when_low
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.assess.signs_volts_low import short_of_home_v
from turnback.assess.signs_volts_pack import pack_seen
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, events_of, needs, why_not
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, RecordAnswer, WhyNot
from turnback.rules.record_signs_place import FLIES_AWAY, GREATEST_SHARE, HOME_FAR, SAME_SPOT, SEEN_TO

GROUP: Final = "distance"
PLACE: Final = (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
NO_EVENT: Final = -2.2
REACTS_S: Final = 1.5
WATCH_S: Final = 30.0
WATCH_LEAST_S: Final = 2.5
STALE_M: Final = 0.05
LAST_S: Final = 0.5
SHORT_SHARE, SHORT_HOME_M = 0.3, 10.0
"""Of a short way out, this share is as good as home, but no less than a fix is off."""
TRIGGERS: Final = (EventKind.LINK_LOST, EventKind.LEVEL_DIP, EventKind.LEAVES_QUIET)
HZ_ROWS: Final = round(HZ)
SHORT_SD_V: Final = 0.1
"""A second or two of the last part of a pack."""


def _loss(seen: PlaceSeen) -> Event | Blind | None:
    """Return the first loss of the control link, None where there was none, or why it was not looked for."""
    lost = events_of(seen.answer, EventKind.LINK_LOST, seen.looked.ended_s)
    return lost[0] if lost else why_not(seen.answer, EventKind.LINK_LOST)


def flies_on_away(seen: PlaceSeen) -> Saw | Blind:
    """How much the distance grows from a moment after the loss, at an unchanged speed."""
    loss, away, speed = _loss(seen), seen.distance_m(), seen.speed_mps()
    blind = seen.no_place()
    if isinstance(loss, Blind) or blind is not None or away is None:
        return loss if isinstance(loss, Blind) else blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    if loss is None:
        return Saw(NO_EVENT, "after the loss", channels=PLACE)
    back_s = loss.end_s if loss.values.get("back", 0.0) else np.inf
    from_s, until_s = loss.start_s + REACTS_S, min(seen.looked.ended_s, back_s, loss.start_s + WATCH_S)
    rows = np.flatnonzero((seen.t_s >= from_s) & (seen.t_s <= until_s) & seen.aloft & ~seen.falls)
    if rows.size < WATCH_LEAST_S * HZ or _stale(seen, from_s):
        return Blind(WhyNot.TOO_SHORT)
    grows_m = float(away[rows[-1]] - away[rows[0]])
    values = {"grows_m": grows_m, "limit_m": FLIES_AWAY.value}
    beyond = (grows_m - FLIES_AWAY.value) / 6.0
    if speed is not None and speed[rows[-HZ_ROWS:]].mean() < 0.4 * max(float(speed[rows[0]]), 1.0):
        beyond = min(beyond, -0.5)  # it came to a stop
    if seen.returns[rows].mean() > 0.5:
        beyond = min(beyond, -1.5)
    return Saw(beyond, "after the loss", values, from_s, until_s, PLACE)


def _stale(seen: PlaceSeen, from_s: float) -> bool:
    """Whether places are only repeated after a time: a record kept by the radio holds the last it heard."""
    series = seen.record.get(Quantity.LATITUDE)
    if series is None:
        return True
    part = series.values[series.t_s >= from_s]
    return part.size < 3 or float(np.ptp(part)) * 111_000.0 < STALE_M


def lost_at_greatest(seen: PlaceSeen) -> Saw | Blind:
    """Distance where the link went over the greatest of the flight."""
    loss, away = _loss(seen), seen.distance_m()
    blind = seen.no_place()
    if isinstance(loss, Blind) or blind is not None or away is None:
        return loss if isinstance(loss, Blind) else blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    if loss is None:
        return NOBODY  # where it went says nothing where it never went; that it held is another sign
    before = seen.aloft & (seen.t_s <= loss.start_s)
    if not before.any():
        return Blind(WhyNot.NOT_ALOFT)
    most_m = float(np.max(away[before]))
    at_m = float(np.interp(loss.start_s, seen.t_s, away))
    if most_m < HOME_FAR.value:
        return Saw(NO_EVENT, GROUP, {"distance_m": at_m, "greatest_m": most_m}, channels=PLACE)
    values = {"distance_m": at_m, "greatest_m": most_m, "limit_share": GREATEST_SHARE.value}
    return Saw((at_m / most_m - GREATEST_SHARE.value) / 0.03, GROUP, values, loss.start_s, loss.start_s, PLACE)


def beyond_seen(seen: PlaceSeen) -> Saw | Blind:
    """Distance where the flight ended, or where the link went, against how far attitude can be made out."""
    blind = seen.no_place()
    away = seen.distance_m()
    if blind is not None or away is None:
        return blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    loss = _loss(seen)
    at_s = loss.start_s if isinstance(loss, Event) else seen.looked.ended_s - LAST_S
    height = np.zeros(away.size) if seen.height_m is None else seen.height_m
    far_m = float(np.interp(at_s, seen.t_s, np.hypot(away, height)))
    values = {"distance_m": far_m, "limit_m": SEEN_TO.value}
    return Saw((far_m - SEEN_TO.value) / 40.0, GROUP, values, at_s, at_s, PLACE)


def turned_back_late(seen: PlaceSeen) -> Saw | Blind:
    """Whether the pack ran short, as a rested cell, while it was still on its way home.

    Without positions its lean tells whether it still flew on, or hovered.
    """
    pack = pack_seen(seen.looked)
    rested, away = pack.emptied_v(), seen.distance_m()
    if pack.volts is None or not pack.cells or not pack.chemistry_told:
        return needs(Quantity.PACK_VOLTS) if pack.volts is None else Blind(WhyNot.CELLS_UNKNOWN)
    if rested is None:
        return Blind(WhyNot.LOAD_TOO_STEADY)
    if away is None or not seen.aloft.any():
        return Blind(WhyNot.NOT_ALOFT) if not seen.aloft.any() else leans_home_when_low(pack)
    rest = rested[0]
    far = np.interp(pack.t_s, seen.t_s, away)
    home_m = min(HOME_FAR.value, max(SHORT_HOME_M, SHORT_SHARE * float(np.max(far))))
    on_way = pack.aloft & (far > home_m)
    if not on_way.any():
        return Saw(NO_EVENT, GROUP, channels=PLACE)
    turned = int(np.argmax(np.where(pack.aloft, far, -1.0)))
    late = on_way & (np.arange(far.size) >= turned)
    if np.count_nonzero(late) < 5:
        late = on_way
    least_v = float(np.min(rest[late])) if np.count_nonzero(late) < 50 else float(np.percentile(rest[late], 5.0))
    limit_v = short_of_home_v(pack)
    homeward = far[turned] - far[np.flatnonzero(pack.aloft)[-1]] > home_m
    values = {"rest_v": least_v, "limit_v": limit_v, "distance_m": float(far[turned])}
    return Saw((limit_v - least_v) / SHORT_SD_V, GROUP, values, float(pack.t_s[turned]), None,
               (*PLACE, *pack.channels), 0.9 if homeward else 0.7)  # fmt: skip


def same_spot(seen: PlaceSeen) -> Saw | Blind:
    """Whether earlier flights, at the spot where it began, had it too; or flew there and had nothing."""
    if not seen.looked.earlier or seen.track is None or seen.track.origin is None or seen.east_m is None:
        return NOBODY
    first = next((each for kind in TRIGGERS for each in events_of(seen.answer, kind, seen.looked.ended_s)), None)
    if first is None:
        return NOBODY
    here = seen.track.place_m(first.start_s)
    if here is None:
        return NOBODY
    had = flew = 0
    for answer in seen.looked.earlier:
        near, same = _there(answer, seen.track.origin, here, first.kind)
        flew, had = flew + int(near), had + int(same)
    if not flew:
        return NOBODY
    return Saw(0.6 * had - 0.7 * (flew - had), "earlier flights", {"flights": float(flew), "same": float(had)},
               first.start_s, first.end_s, PLACE, 0.9)  # fmt: skip


def _there(
    answer: RecordAnswer, origin: tuple[float, float], here: tuple[float, float], kind: EventKind
) -> tuple[bool, bool]:
    """Return whether another flight came near a spot, and whether the same happened there."""
    track = track_of(answer.flown.record)
    if track is None or track.east_m is None or track.north_m is None or track.origin is None:
        return False, False
    per_deg = 111_195.0
    east = (track.origin[1] - origin[1]) * per_deg * np.cos(np.radians(origin[0])) + track.east_m
    north = (track.origin[0] - origin[0]) * per_deg + track.north_m
    near = np.hypot(east - here[0], north - here[1]) < SAME_SPOT.value
    if not near.any():
        return False, False
    times = [each.start_s for each in answer.events if each.kind is kind]
    at = [int(np.argmin(np.abs(track.t_s - each))) for each in times]
    return True, any(bool(near[each]) for each in at)
