"""Noise at the aircraft, and packets that are lost with the load."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import inside, thinned
from turnback.assess.signals import held_at
from turnback.assess.signs_link_parts import Teller, first_upset_s
from turnback.assess.signs_link_view import Floats, smoothed_while_flown
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, WhyNot
from turnback.rules.record_signs_link import (
    LOAD_GOES_ALONG,
    LOAD_QUALITY,
    NO_LEVEL,
    NOISE_DB,
    WORN_QUALITY,
)

GROUP: Final = "link load"
"""Taken off the load, or the noise: its error is not that of counting packets."""
LOADS: Final = (Quantity.CURRENT, Quantity.POWER, Quantity.THROTTLE)
NO_LEVEL_DBM: Final = -1.0
NEAR_LOST_S: Final = 1.5
FEWEST: Final = 40
NOISE_SWING_DB: Final = 4.0
NOISE_ALONG: Final = 0.75
NOISE_MOVES_DB: Final = 2.5


def noise_floor(looked: Looked) -> tuple[Floats, Floats] | None:
    """Return the noise at the aircraft while it flew, in dBm: level less ratio, where the ratio is not at its end.

    Parameters
    ----------
    looked : Looked
    """
    record = looked.answer.flown.record
    ratio, level = record.get(Quantity.SIGNAL_TO_NOISE), record.get(Quantity.LINK_LEVEL)
    if ratio is None or level is None or min(ratio.t_s.size, level.t_s.size) < FEWEST:
        return None
    t_s, above_db = smoothed_while_flown(ratio, looked, 0.5)
    level_s, level_dbm = smoothed_while_flown(level, looked, 0.5)
    if min(t_s.size, level_s.size) < FEWEST:
        return None
    seen_dbm = held_at(level_s, level_dbm, t_s)
    keep = (above_db < float(np.max(ratio.values)) - 1.5) & (above_db > float(np.min(ratio.values)) + 0.5)
    keep &= (seen_dbm < NO_LEVEL_DBM) & (seen_dbm > NO_LEVEL.value)
    return (t_s[keep], (seen_dbm - above_db)[keep]) if np.count_nonzero(keep) >= FEWEST else None


def noise_rise(looked: Looked) -> tuple[float, dict[str, float], tuple[float, float]] | None:
    """Return how surely the noise rises in flight, in uncertainties, by how much, and when; None if not told.

    Parameters
    ----------
    looked : Looked
    """
    found = noise_floor(looked)
    if found is None:
        return None
    t_s, noise_dbm = found
    usual, most = np.percentile(noise_dbm, [30.0, 97.0])
    high = np.flatnonzero(noise_dbm > usual + 0.6 * (most - usual))
    if not high.size:
        return None
    spread = max(1.0, 0.5 * float(usual - np.percentile(noise_dbm, 5.0)))
    return (float(most - usual) - NOISE_DB.value) / spread, {"peak_noise_db": float(most - usual)}, (
        float(t_s[high[0]]), float(t_s[high[-1]]),
    )  # fmt: skip


def _load(record: FlightRecord, at_s: Floats) -> tuple[Series, Floats] | None:
    for quantity in LOADS:
        series = record.get(quantity)
        if series is not None and series.t_s.size > FEWEST:
            t_s, values = thinned(series, 10.0)
            return series, np.asarray(np.interp(at_s, t_s, values), np.float64)
    return None


def tell_load(looked: Looked, lost: list[Event], teller: Teller) -> None:
    """Tell whether packets are lost where current is high, at any distance."""
    sign, record = "quality-drops-with-throttle", looked.answer.flown.record
    quality = record.get(Quantity.LINK_QUALITY)
    if quality is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.LINK_QUALITY)
        return
    t_s, share = smoothed_while_flown(quality, looked, 0.4)
    keep = ~inside(t_s, [(each.start_s - NEAR_LOST_S, each.end_s) for each in lost]) & (t_s < first_upset_s(looked))
    t_s, share = t_s[keep], share[keep]
    if t_s.size < 2 * FEWEST:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    found = _load(record, t_s)
    if found is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LOADS)
        return
    series, load = found
    if float(np.std(share)) < 1e-3 or float(np.std(load)) < 1e-6:
        steady = float(np.std(load)) < 1e-6
        if steady:
            teller.cannot(sign, WhyNot.LOAD_TOO_STEADY)
        else:
            teller.say(sign, False, 0.96, GROUP, channels=(quality.channel, series.channel))
        return
    floor = noise_floor(looked)
    if floor is not None and float(np.ptp(np.percentile(floor[1], [10.0, 90.0]))) > NOISE_SWING_DB:
        goes = _noise_with_load(record, floor)
        if goes > 0.5:
            teller.by(sign, (goes - 0.5) / 0.12, GROUP, most=0.96, channels=(Quantity.SIGNAL_TO_NOISE, series.channel),
                      share_along=goes)  # fmt: skip
            return
    if floor is not None and float(share.min()) < WORN_QUALITY.value:
        # noise that goes up and down with the load all along is the aircraft's own, however little of it
        goes = _noise_with_load(record, floor)
        if goes > NOISE_ALONG and float(np.ptp(np.percentile(floor[1], [5.0, 97.0]))) > NOISE_MOVES_DB:
            teller.by(sign, (goes - NOISE_ALONG) / 0.1 + 0.5, GROUP, most=0.96, share_along=goes,
                      channels=(Quantity.SIGNAL_TO_NOISE, series.channel))  # fmt: skip
            return
    more, goes = _with_load(record, t_s, share, load)
    beyond = min((more - LOAD_QUALITY.value) / 0.03, (goes - LOAD_GOES_ALONG.value) / 0.08)
    teller.by(sign, beyond, GROUP, most=0.96, channels=(quality.channel, series.channel), share_lost_more=more,
              share_along=goes)  # fmt: skip


def _noise_with_load(record: FlightRecord, floor: tuple[Floats, Floats]) -> float:
    """Return the correlation of the noise with the load, smoothed alike."""
    found = _load(record, floor[0])
    if found is None or float(np.std(found[1])) < 1e-6:
        return 0.0
    width = max(1, round(0.5 / max(float(np.median(np.diff(floor[0]))), 1e-3)))
    load = np.convolve(found[1], np.ones(width) / width, mode="same")[width:-width]
    noise = floor[1][width:-width]
    if load.size <= FEWEST or min(float(np.std(load)), float(np.std(noise))) < 1e-6:
        return 0.0
    return float(np.corrcoef(load, noise)[0, 1])


def _with_load(record: FlightRecord, t_s: Floats, share: Floats, load: Floats) -> tuple[float, float]:
    """Return what more is lost at high load, and the correlation with it, what the level explains taken off both.

    Averaged packets come late: the best of lags up to half a second.
    """
    level = record.get(Quantity.LINK_LEVEL)
    columns = [np.ones(t_s.size)]
    if level is not None and level.t_s.size > FEWEST:
        level_dbm = np.interp(t_s, *thinned(level, 10.0))
        spread = max(float(np.std(level_dbm)), 1e-6)
        scaled = (level_dbm - float(np.mean(level_dbm))) / spread
        columns += [scaled, scaled**2, scaled**3]
    basis = np.linalg.qr(np.stack(columns, axis=1))[0]
    lost = 1.0 - share
    lost = lost - basis @ (basis.T @ lost)
    best = (0.0, 0.0)
    for lag in range(0, 6):
        moved = np.concatenate([np.full(lag, load[0]), load[: load.size - lag]])
        moved = moved - basis @ (basis.T @ moved)
        size = float(np.std(moved) * np.std(lost))
        goes = float(np.mean(moved * lost)) / size if size > 1e-12 else 0.0
        low, high = np.percentile(moved, [33.0, 67.0])
        if goes > best[1]:
            best = float(lost[moved >= high].mean() - lost[moved <= low].mean()), goes
    return best
