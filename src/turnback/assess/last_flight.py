"""What the last flight's minutes and mAh teach: which of the drawn worlds use as much as this aircraft did."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import (
    Scale,
    fit_score,
    last_flight_current_a,
    mean_current_a,
    measured_scale,
    rows_by_score,
)
from turnback.assess.draw_set import UNKNOWN_DRAWS, DrawSet, draw_set
from turnback.assess.flight_energy import Craft
from turnback.assess.judge import found
from turnback.assess.last_capacity import capacity_score, measured_capacity_ah, replaced_by
from turnback.assess.spreads import spread
from turnback.assess.thrust import Thrust, thrust_of
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.plan import LastFlight
from turnback.records.world import World
from turnback.rules.care import CAPACITY_DISAGREES
from turnback.rules.chemistry import Chemistry
from turnback.rules.flight import LAST_FLIGHT_DISAGREES

Array = NDArray[np.float64]

MORE_DRAWS = 4  # worlds drawn for each one kept, where the last flight chooses among them
LEAST_OF_PROMISED = CAPACITY_DISAGREES.value  # measured over promised capacity: below it the measured one is taken
MOST_COPIES = 25  # of one world among those kept: with more, nothing drawn explains the flight (our choice)


@dataclass(frozen=True, slots=True)
class Taught:
    """The drawn worlds before and after the last flight."""

    before: Craft
    after: Craft
    learned: bool
    """False where there was none, and where it fits so few worlds that nothing is learned."""
    used_a: tuple[Array, Array] | None = None
    """Mean current of an ordinary flight in each world, before and after; None where nobody needed it."""


def craft_of(world: World, chemistry: Chemistry, last: LastFlight | None, seed: int) -> Craft:
    """Draw the worlds, and keep those that use what the last flight used; all alike where hardly any does."""
    return taught_by(world, chemistry, last, seed).after


def taught_by(world: World, chemistry: Chemistry, last: LastFlight | None, seed: int) -> Taught:
    """Draw the worlds, and keep those whose consumption and capacity fit the last flight.

    Where hardly any world fits, nothing is learned of what does not fit. A capacity that was measured by rest volts
    after the flight and lies below what label and age promise goes before them. One above them does not: packs seldom
    hold more than their label says, readings are often off, and a flight planned on it would be too long.
    """
    draws = draw_set(world, UNKNOWN_DRAWS * (MORE_DRAWS if last else 1), seed)
    thrust = thrust_of(draws, chemistry)
    craft = Craft(draws, thrust, measured_scale(draws, thrust, chemistry), chemistry)
    if last is None:
        return Taught(craft, craft, learned=False)
    measured = measured_capacity_ah(last, chemistry)
    capacity = draws["pack.capacity_ah"]
    holds = capacity_score(capacity, last, chemistry)
    if measured is not None and np.median(measured) / np.median(capacity) < LEAST_OF_PROMISED:
        values = {**draws.values, "pack.capacity_ah": replaced_by(capacity, measured)}
        worlds, holds = replace(craft, draws=replace(draws, values=values)), np.zeros_like(capacity)
    else:
        worlds = craft
    used_a = mean_current_a(draws, thrust, craft.scale, chemistry)
    uses = fit_score(used_a, last_flight_current_a(last))
    bounds = measured is not None or float(np.ptp(holds)) > 1.0
    for score in (uses + holds, uses, holds) if bounds else (uses,):
        rows = rows_by_score(score, UNKNOWN_DRAWS)
        if np.unique(rows, return_counts=True)[1].max() <= MOST_COPIES:  # else a few far draws would feign knowledge
            return Taught(craft, rows_of(worlds, rows), learned=True, used_a=(used_a, used_a[rows]))
    rows = np.arange(UNKNOWN_DRAWS)
    return Taught(craft, rows_of(worlds, rows), learned=worlds is not craft, used_a=(used_a, used_a[rows]))


def rows_of(craft: Craft, rows: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> Craft:
    """Return some of a craft's draws."""
    thrust: Thrust = replace(
        craft.thrust, **{name: getattr(craft.thrust, name)[rows] for name in Thrust.__dataclass_fields__}
    )
    draws: DrawSet = craft.draws.kept(rows)
    return Craft(draws, thrust, Scale(craft.scale.hover[rows], craft.scale.cruise[rows]), craft.chemistry)


def last_flight_findings(craft: Craft, last: LastFlight | None) -> list[Finding]:
    """Say where the last flight lies outside of what even the worlds that fit it best would use."""
    if last is None:
        return []
    measured = last_flight_current_a(last)
    modelled = spread(mean_current_a(craft.draws, craft.thrust, craft.scale, craft.chemistry))
    ratio = Spread(measured / modelled.mid, measured / modelled.high, measured / modelled.low)
    limit = LAST_FLIGHT_DISAGREES.value
    if 1.0 / limit <= ratio.mid <= limit:
        return []
    return [found(LAST_FLIGHT_DISAGREES, Severity.LIMIT, ratio, unit="")]
