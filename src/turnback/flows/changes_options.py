"""The single changes that are tried, each kind from the smallest to the greatest."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from turnback.assess import changing
from turnback.assess.changing_measured import CURRENTS, can_be_measured, place_of, with_measured
from turnback.assess.world import chemistry_of
from turnback.flows.changes_moves import holds_back
from turnback.flows.flight import Flight
from turnback.records.aircraft import RadioLossAction
from turnback.records.case import Case
from turnback.records.changes import ChangeKind
from turnback.records.common import Answer
from turnback.records.radio import PatternName
from turnback.records.world import Band
from turnback.rules.flight import RETURN_HEADWIND, WEATHER_UNKNOWN

LEAST_DISTANCE_M: Final = 30.0  # our choice: nearer is no flight out
LEAST_HEIGHT_M: Final = 10.0  # our choice: lower is no route
GREATEST_ABOVE_LAUNCH_M: Final = 500.0
HEIGHT_STEP_M: Final = 5.0
ROOM_M: Final = 0.31  # a foot: a return height is said rounded up, and may not be said above a limit
WIND_STEP_MPS: Final = 0.5
FACTORS: Final = (1.3, 1.6)  # the next sizes of pack (common practice)
MASTS_M: Final = (3.0, 5.0)  # what one person puts up (our choice)
PATCH_DB: Final = 6.0  # of a small patch over a rod (common practice)
MOST_DBI: Final = 25.0  # a plan takes no more
MOST_MAH: Final = 50_000.0
WARM_C: Final = 20.0
LEAST_CHARGE_V: Final = 0.02  # twice what a cell meter errs by
MOST_MEASURED: Final = 3  # unknowns of each figure that are tried

ASKED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    WEATHER_UNKNOWN.key: ("site.wind_mps",),
    RETURN_HEADWIND.key: ("site.wind_mps", "site.wind_from_deg", "aircraft.return_mps"),
}
"""Values that no share of a figure names, though a finding asks for them."""


@dataclass(frozen=True, slots=True)
class Option:
    """One change, and the case that it makes."""

    kind: ChangeKind
    key: str
    now: float | None
    value: float | None
    unit: str
    make: Callable[[], Case]


@dataclass(frozen=True, slots=True)
class Ladder:
    """One kind of change, from the smallest to the greatest.

    `rises` is True where more of it is never worse; where it may be, places between are looked at too.
    """

    options: tuple[Option, ...]
    rises: bool = True

    @property
    def kind(self) -> ChangeKind:
        """What is changed."""
        return self.options[0].kind


def ladders(flight: Flight, measured: tuple[Band, ...]) -> Iterator[Ladder]:
    """Return every kind of change that fits a plan, those that ask least of the pilot first.

    Parameters
    ----------
    flight : Flight
        As it stands, open questions answered well.
    measured : tuple of Band
        The unknowns that are worth a measurement.
    """
    every: list[list[Option]] = [
        *(_measure(flight, band) for band in measured),
        _return_height(flight),
        _charged(flight),
        _warm(flight),
        _lower(flight),
        _higher(flight),
        _distance(flight),
        _wind(flight),
        _mast(flight),
        *(_patch(flight, link) for link in ("control", "video")),
        _larger(flight),
    ]
    for options in every:
        if options:
            yield Ladder(tuple(options), rises=options[0].kind is not ChangeKind.HEIGHT)


def height_limit_m(case: Case) -> float | None:
    """Return the height limit that was looked up and entered; None where none is: then nothing higher is advised."""
    limits = case.plan.site.local_limits
    return limits.height_m if limits.looked_up is Answer.YES else None


def clear_return_m(flight: Flight) -> float | None:
    """Return the height of the automatic return that clears ground, trees and margin, within what may be advised.

    Never above an entered limit; where none is entered, never above the greater of the plan's own heights.
    """
    limit = height_limit_m(flight.case)
    if limit is None:
        planned = float(flight.track.height_m[flight.track.planned()].max())
        limit = max(planned, flight.back.set_height_m or 0.0)
    limit = min(limit, GREATEST_ABOVE_LAUNCH_M) - ROOM_M
    least = max(flight.ridge.lowest_height_m, LEAST_HEIGHT_M)
    for step in (HEIGHT_STEP_M, 1.0):
        height = math.ceil(least / step - 1e-9) * step
        if height <= limit:
            return height
    return None


def _return_height(flight: Flight) -> list[Option]:
    back, limit = flight.back, height_limit_m(flight.case)
    if back.action is not RadioLossAction.AUTOMATIC_RETURN:
        return []
    value, now = clear_return_m(flight), back.set_height_m
    if value is None or now == value:
        return []
    if now is not None and now > value and (limit is None or now <= limit):
        return []  # it is clear as it is
    if now is not None and limit is not None and now > limit:
        value = max(value, math.floor((limit - ROOM_M) / HEIGHT_STEP_M) * HEIGHT_STEP_M)
    make = partial(changing.with_return_height, flight.case, value)
    return [_metres(ChangeKind.RETURN_HEIGHT, now, value, make)]


def _metres(kind: ChangeKind, now: float | None, value: float, make: Callable[[], Case]) -> Option:
    return Option(kind, "", now, value, "m", make)


def _charged(flight: Flight) -> list[Option]:
    rest, law = flight.world.pack.rest_v, chemistry_of(flight.case)
    pack = flight.case.plan.pack
    spread_v = max(pack.cell_rest_v) - min(pack.cell_rest_v) if pack.cell_rest_v else 0.0
    value = round(law.full_v - spread_v, 3)
    if not rest.known or rest.value > value - LEAST_CHARGE_V:
        return []
    case = flight.case
    charged = partial(changing.with_full_pack, case, law)
    return [Option(ChangeKind.PACK_CHARGED, "", rest.value, value, "V", charged)]


def _warm(flight: Flight) -> list[Option]:
    now, case = flight.world.pack.temperature_c, flight.case
    if not now.said or now.value >= WARM_C:
        return []
    return [Option(ChangeKind.PACK_WARM, "", now.value, WARM_C, "°C", partial(changing.with_warm_pack, case, WARM_C))]


def _larger(flight: Flight) -> list[Option]:
    case, world, given = flight.case, flight.world, flight.case.plan.pack.capacity_mah
    if given is None:
        return []
    now_ah = given.value * 1e-3
    return [
        Option(
            ChangeKind.PACK_LARGER, "", now_ah, round(now_ah * factor, 6), "Ah",
            partial(changing.with_larger_pack, case, world, factor),
        )
        for factor in FACTORS
        if given.value * factor <= MOST_MAH
    ]  # fmt: skip


def _above_ground_m(flight: Flight) -> float:
    """Return the greatest height above ground that the plan flies at."""
    track = flight.track
    return float((track.height_m - track.ground_m)[track.planned()].max())


def _heights(flight: Flight, values: np.ndarray) -> list[Option]:
    case, now, above = flight.case, flight.case.plan.route.height_m, flight.case.plan.route.height_above.value
    return [
        Option(ChangeKind.HEIGHT, above, now, float(value), "m", partial(changing.with_height, case, float(value)))
        for value in values
    ]


def _higher(flight: Flight) -> list[Option]:
    now, limit = flight.case.plan.route.height_m, height_limit_m(flight.case)
    if not flight.case.route.straight or now is None or limit is None:
        return []
    most = now + limit - _above_ground_m(flight)
    first = math.floor(now / HEIGHT_STEP_M + 1.0) * HEIGHT_STEP_M
    return _heights(flight, np.arange(first, most + 1e-9, HEIGHT_STEP_M))


def _lower(flight: Flight) -> list[Option]:
    """Lower only where the plan is above the limit: there it is the limit that asks for it."""
    now, limit = flight.case.plan.route.height_m, height_limit_m(flight.case)
    if not flight.case.route.straight or now is None or limit is None or _above_ground_m(flight) <= limit:
        return []
    most = math.floor((now + limit - _above_ground_m(flight)) / HEIGHT_STEP_M) * HEIGHT_STEP_M
    return _heights(flight, np.arange(most, LEAST_HEIGHT_M - 1e-9, -HEIGHT_STEP_M))


def _distance(flight: Flight) -> list[Option]:
    case, now = flight.case, flight.case.plan.route.distance_m
    if not case.route.straight or now is None:
        return []  # a route of waypoints is not shortened: where it may be cut is the pilot's to say
    near = np.arange(LEAST_DISTANCE_M, 300.0, 5.0)
    values = np.concatenate([near, np.arange(300.0, 3000.0, 10.0), np.arange(3000.0, 20_001.0, 50.0)])
    # the brief's own turn-back distance stands beside it: no page may tell two that differ, nor one beside "nowhere"
    most = math.floor(flight.back.turn_back_m.low) if math.isfinite(flight.back.turn_back_m.low) else 0
    values = np.union1d(values[values <= most], [most] if most >= LEAST_DISTANCE_M else [])
    return [
        _metres(ChangeKind.DISTANCE, now, float(value), partial(changing.with_distance, case, float(value)))
        for value in values[values < now][::-1]
    ]


def _wind(flight: Flight) -> list[Option]:
    now, case = flight.world.site.wind_mps.value, flight.case
    if not flight.world.site.wind_known or now <= WIND_STEP_MPS:
        return []
    first = math.ceil(now / WIND_STEP_MPS - 1.0 - 1e-9) * WIND_STEP_MPS

    return [
        Option(ChangeKind.WIND, "", now, float(value), "m/s", partial(changing.with_wind, case, float(value)))
        for value in np.arange(first, WIND_STEP_MPS - 1e-9, -WIND_STEP_MPS)
    ]


def _mast(flight: Flight) -> list[Option]:
    case, now = flight.case, flight.world.site.antenna_height_m.value

    return [
        _metres(ChangeKind.GROUND_ANTENNA_HEIGHT, now, height_m, partial(changing.with_antenna_height, case, height_m))
        for height_m in MASTS_M
        if height_m > now
    ]


def _patch(flight: Flight, name: str) -> list[Option]:
    link, case = flight.world.control if name == "control" else flight.world.video, flight.case
    if link is None or link.ground.pattern is PatternName.PATCH:
        return []
    now = link.ground.gain_dbi.value
    value = now + PATCH_DB
    if value > MOST_DBI:
        return []
    patched = partial(changing.with_patch, case, name, value)
    return [Option(ChangeKind.GROUND_ANTENNA_GAIN, name, now, value, "dBi", patched)]


def _measure(flight: Flight, band: Band) -> list[Option]:
    energy = flight.energy.result
    current = CURRENTS.get(band.key)
    value, unit = (band.value, band.unit) if current is None else (getattr(energy, current).mid, "A")
    measured = partial(with_measured, flight.case, band, energy)
    return [Option(ChangeKind.MEASUREMENT, band.key, None, value, unit, measured)]


def worth_measuring(flight: Flight, figures: tuple[str, ...], shares: Flight) -> tuple[tuple[Band, str], ...]:
    """Return the unknowns that move some figures most and that a plan has a place for, each with its figure.

    Parameters
    ----------
    flight : Flight
    figures : tuple of str
        Such as ``"energy"`` and ``"control"``.
    shares : Flight
        The flight whose shares are worked out.
    """
    bands = {band.key: band for band in flight.world.bands() if can_be_measured(band)}
    found: dict[tuple[str, ...], tuple[Band, str]] = {}
    for figure in figures:
        moved = shares.shares.by_figure.get(figure, {})
        most = sorted((key for key in moved if key in bands), key=lambda key: (-moved[key], key))
        for key in most[:MOST_MEASURED]:
            found.setdefault(place_of(key), (bands[key], figure))
    asked = {key for finding in flight.findings if holds_back(finding) for key in ASKED_BY.get(finding.rule, ())}
    for key in sorted(asked & bands.keys()):
        found.setdefault(place_of(key), (bands[key], "energy"))
    return tuple(found.values())
