"""Whether the aircraft fell or rested after a moment: what tells motors that stopped aloft from those on the ground."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import between
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series, Values
from turnback.rules.record_link import FALLS_G, FALLS_MPS, RESTS_RADPS, STOPPED_SHARE

GRAVITY_MPS2: Final = 9.80665
WEIGHT_AFTER_S: Final = (0.1, 0.5)
"""Rotors have run down, and the air does not carry it yet: half a second's fall is 5 m/s."""
SPEED_AFTER_S: Final = (0.4, 1.2)
HEIGHT_AFTER_S: Final = 1.2
TURN_AFTER_S: Final = (0.5, 1.5)
LEAST_SHARE: Final = 0.5
IDLE_A: Final = 1.0
M_PER_DEGREE: Final = 111_195.0  # a mean earth radius of 6371 km


def fell(record: FlightRecord, at_s: float) -> bool | None:
    """Tell whether an aircraft whose motors stopped at a moment fell then.

    The accelerometer speaks first (nothing carries what falls), then vertical speed, height, and turning.

    Parameters
    ----------
    record : FlightRecord
    at_s : float

    Returns
    -------
    bool or None
        False where it rested on something; None where no channel tells.
    """
    for seen in (_weightless(record, at_s), _sank_fast(record, at_s), _lower(record, at_s)):
        if seen is not None:
            return seen
    turned = [between(each, at_s + TURN_AFTER_S[0], at_s + TURN_AFTER_S[1]) for each in _all(record, RATES)]
    if len(turned) == len(RATES) and all(each.size >= 3 for each in turned):
        still = all(float(np.median(np.abs(each))) < RESTS_RADPS.value for each in turned)
        return False if still else None
    return None


def _all(record: FlightRecord, quantities: tuple[Quantity, ...]) -> list[Series]:
    return [each for each in map(record.get, quantities) if each is not None]


def _weightless(record: FlightRecord, at_s: float) -> bool | None:
    """Tell by the size of specific force; None where not all of it is measured."""
    every = _all(record, ACCELERATIONS)
    if len(every) < len(ACCELERATIONS):
        return None
    seen = [between(each, at_s + WEIGHT_AFTER_S[0], at_s + WEIGHT_AFTER_S[1]) for each in every]
    if min(each.size for each in seen) < 3:
        return None
    # medians: what shakes or strikes once does not count
    size_g = float(np.sqrt(sum(float(np.median(each)) ** 2 for each in seen))) / GRAVITY_MPS2
    return size_g < FALLS_G.value


def _sank_fast(record: FlightRecord, at_s: float) -> bool | None:
    """Tell by vertical speed."""
    for quantity, sign in ((Quantity.CLIMB_RATE, -1.0), (Quantity.VELOCITY_DOWN, 1.0)):
        series = record.get(quantity)
        seen = np.empty(0) if series is None else between(series, at_s + SPEED_AFTER_S[0], at_s + SPEED_AFTER_S[1])
        if seen.size >= 2:
            return float(np.max(sign * seen)) > FALLS_MPS.value
    return None


def _lower(record: FlightRecord, at_s: float) -> bool | None:
    """Tell by height: in a second and a fifth it falls 7 m, or down to the ground."""
    for quantity in (Quantity.HEIGHT_LAUNCH, Quantity.HEIGHT_SEA_LEVEL):
        series = record.get(quantity)
        if series is None:
            continue
        before = between(series, at_s - LEAST_SHARE, at_s + 1e-9)
        after = between(series, at_s + LEAST_SHARE * HEIGHT_AFTER_S, at_s + HEIGHT_AFTER_S + LEAST_SHARE)
        if before.size and after.size:
            return float(np.median(before) - np.min(after)) > FALLS_MPS.value * LEAST_SHARE
    return None


def motors_stand(record: FlightRecord, start_s: float, end_s: float) -> bool | None:
    """Tell whether the motors stood still for most of a span: not armed, outputs or rotors at nothing, hardly current.

    Parameters
    ----------
    record : FlightRecord
    start_s, end_s : float

    Returns
    -------
    bool or None
        None where no channel tells.
    """
    middle = (start_s + 0.25 * (end_s - start_s), end_s - 0.25 * (end_s - start_s))
    armed = record.get(Quantity.ARMED)
    if armed is not None and (seen := between(armed, *middle)).size and float(np.median(seen)) < 0.5:
        return True
    for quantity in (Quantity.OUTPUT, Quantity.ROTOR_SPEED, Quantity.CURRENT, Quantity.POWER):
        every = record.all_of(quantity)
        shares = [share for each in every if (share := _share(each.values, between(each, *middle))) is not None]
        if shares:
            return max(shares) < STOPPED_SHARE.value
    return None


def _share(whole: Values, seen: Values) -> float | None:
    """Return the median of a stretch, of what the channel has at most."""
    if seen.size < 1:
        return None
    most = float(np.percentile(whole[:: max(1, whole.size // 20_000)], 95.0))
    return None if most <= 0.0 else float(np.median(seen)) / most


def moving_mps(record: FlightRecord, start_s: float, end_s: float) -> tuple[float, tuple[Channel, ...]] | None:
    """Return the usual speed over ground in a span: as recorded, from its parts, or from the position.

    Parameters
    ----------
    record : FlightRecord
    start_s, end_s : float

    Returns
    -------
    speed, channels
        In m/s, and what tells it; None where nothing does.
    """
    speed = record.get(Quantity.GROUND_SPEED)
    if speed is not None and (seen := between(speed, start_s, end_s)).size:
        return float(np.median(seen)), (speed.channel,)
    north, east = record.get(Quantity.VELOCITY_NORTH), record.get(Quantity.VELOCITY_EAST)
    if north is not None and east is not None:
        parts = [between(each, start_s, end_s) for each in (north, east)]
        if min(each.size for each in parts):
            return float(np.hypot(*(np.median(each) for each in parts))), (north.channel, east.channel)
    place = [record.get(quantity) for quantity in (Quantity.LATITUDE, Quantity.LONGITUDE)]
    if any(each is None for each in place):
        return None
    first, second = (between(each, start_s, end_s) for each in place if each is not None)
    if first.size < 2 or second.size < 2:
        return None
    east_share = float(np.cos(np.radians(first[0])))
    far_m = M_PER_DEGREE * float(np.hypot(first[-1] - first[0], east_share * (second[-1] - second[0])))
    return far_m / max(end_s - start_s, 1e-3), tuple(each.channel for each in place if each is not None)
