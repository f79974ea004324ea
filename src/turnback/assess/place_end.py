"""A record that ends in the air: what it last knew."""

from __future__ import annotations

import numpy as np

from turnback.assess.place_track import Track
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import ALOFT, Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_phases import CLIMB, DISARMED, HEIGHT, HEIGHT_SURE, OUTPUT_OFF, ROTOR_OFF, STILL_SPEED
from turnback.rules.record_place import ENDS_ALOFT, LAST_VALUE

_LAST = {
    "height_m": (Quantity.HEIGHT_LAUNCH,),
    "height_sea_level_m": (Quantity.HEIGHT_SEA_LEVEL,),
    "speed_mps": (Quantity.GROUND_SPEED,),
    "course_rad": (Quantity.COURSE,),
    "climb_mps": (Quantity.CLIMB_RATE,),
    "pack_v": (Quantity.PACK_VOLTS,),
    "cell_v": (Quantity.CELL_VOLTS,),
    "current_a": (Quantity.CURRENT,),
    "latitude_deg": (Quantity.LATITUDE,),
    "longitude_deg": (Quantity.LONGITUDE,),
    "level_dbm": (Quantity.LINK_LEVEL,),
    "quality_share": (Quantity.LINK_QUALITY,),
}
_NEEDS = (Channel(Quantity.OUTPUT), Channel(Quantity.HEIGHT_LAUNCH), Channel(Quantity.ACCELERATION_Z))
_MOMENT_S = 0.3


def find_end(flown: Flown, track: Track | None) -> Happened:
    """Return ENDS_ALOFT where the last phase is in the air.

    `values`: the last of ``height_m`` (above launch, or above where it took off), ``height_sea_level_m``,
    ``speed_mps``, ``course_rad``, ``climb_mps``, ``pack_v``, ``cell_v``, ``current_a``, ``latitude_deg``,
    ``longitude_deg``, ``level_dbm``, ``quality_share``, ``runs`` (1 where motors ran, 0 where not) and ``aloft_s`` (how
    long it had been in the air), whatever of them is there and not old. `words`: ``phase``.
    """
    if not flown.phases:
        return Happened((), (NotTold(EventKind.ENDS_ALOFT, WhyNot.TOO_SHORT),))
    last = flown.phases[-1]
    end_s = last.end_s
    if last.kind is PhaseKind.UNKNOWN:
        return Happened((), (NotTold(EventKind.ENDS_ALOFT, WhyNot.NO_CHANNEL, _NEEDS),))
    if last.kind not in ALOFT:
        return Happened()
    values: dict[str, float] = {}
    channels: list[Channel] = []
    for name, (quantity,) in _LAST.items():
        value = _last(flown.record.get(quantity), end_s)
        if value is not None:
            values[name] = value
            channels.append(Channel(quantity))
    _fill(flown, track, values)
    runs = _runs(flown.record, end_s)
    if runs is not None:
        values["runs"] = runs
    start_s = flown.aloft()[-1][0]
    values["aloft_s"] = end_s - start_s
    if _put_down(flown.record, values, end_s):
        return Happened()
    return Happened(
        (Event(EventKind.ENDS_ALOFT, end_s, end_s, tuple(channels), ENDS_ALOFT.key, values,
               words={"phase": last.kind.value}),)
    )  # fmt: skip


def _put_down(record: FlightRecord, values: dict[str, float], end_s: float) -> bool:
    """Tell whether the motors were just switched off, still, and no higher than where it took off."""
    armed = _last(record.get(Quantity.ARMED), end_s)
    off = values.get("runs") == 0.0 or (armed is not None and armed < DISARMED.value)
    low = values.get("height_m", HEIGHT_SURE.value) < HEIGHT.value
    still = abs(values.get("climb_mps", 0.0)) < CLIMB.value and values.get("speed_mps", 0.0) < STILL_SPEED.value
    return off and low and still


def _last(series: Series | None, end_s: float) -> float | None:
    if series is None or not series.t_s.size:
        return None
    if end_s - float(series.t_s[-1]) > LAST_VALUE.value:
        return None
    return float(series.values[-1])


def _fill(flown: Flown, track: Track | None, values: dict[str, float]) -> None:
    """What a channel of its own does not say and others tell."""
    sea = flown.record.get(Quantity.HEIGHT_SEA_LEVEL)
    start_s = flown.aloft()[-1][0]
    if "height_m" not in values and "height_sea_level_m" in values and sea is not None and start_s > 0.0:
        values["height_m"] = values["height_sea_level_m"] - float(np.interp(start_s, sea.t_s, sea.values))
    if track is None or not track.t_s.size or values.get("aloft_s", 0.0) < 0.0:
        return
    for name, array in (
        ("speed_mps", track.speed_mps), ("course_rad", track.course_rad), ("climb_mps", track.climb_mps),
    ):  # fmt: skip
        if name not in values and array is not None:
            there = np.flatnonzero(~np.isnan(array))
            if there.size and flown.phases[-1].end_s - float(track.t_s[there[-1]]) <= LAST_VALUE.value:
                values[name] = float(array[there[-1]])
    if "course_rad" in values:
        values["course_rad"] = float(np.remainder(values["course_rad"], 2.0 * np.pi))


def _runs(record: FlightRecord, end_s: float) -> float | None:
    for quantity, limit in ((Quantity.ROTOR_SPEED, ROTOR_OFF.value), (Quantity.OUTPUT, OUTPUT_OFF.value)):
        found = [each for each in record.all_of(quantity) if each.t_s.size and end_s - each.t_s[-1] < LAST_VALUE.value]
        if found:
            means = [float(np.mean(each.values[each.t_s >= each.t_s[-1] - _MOMENT_S])) for each in found]
            return float(np.mean(means) > limit)
    return None
