"""Which unknown costs most: the band of a figure with one value measured, over its band now."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.changing_measured import with_measured
from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import landing_margin, march_flight
from turnback.assess.legs import planned_legs
from turnback.flows.flight import Flight
from turnback.records.changes import Unknown
from turnback.records.finding import Severity
from turnback.records.world import Band
from turnback.rules.chance import BAND_HIGH, BAND_LOW

FIGURES: Final = ("energy", "control", "video")
BEGINNINGS: Final = {
    "energy": ("energy.", "return.turn_back"), "control": ("link.control",), "video": ("link.video",)
}  # fmt: skip
LEAST_WORTH: Final = 0.95  # a band narrowed by less is not worth the walk (our choice)


def figures_held_back(flight: Flight) -> tuple[str, ...]:
    """Return the figures that knowing more could lift: those of which nobody can say, else those that limit.

    A stop holds even at the favourable end of what is not known: there is nothing to find out.
    """
    for severity in (Severity.UNKNOWN, Severity.LIMIT):
        rules = [finding.rule for finding in flight.findings if finding.severity is severity]
        found = tuple(name for name in FIGURES if any(rule.startswith(BEGINNINGS[name]) for rule in rules))
        if found:
            return found
    return ()


def costs_most(flight: Flight, worth: tuple[tuple[Band, str], ...]) -> tuple[Unknown | None, int]:
    """Return the unknown that narrows its figure most when it is measured, and how many flights that took.

    The measurement is taken to find the best estimate, with the band that any entry gets. The band of a figure is 5 to
    95 % over what is not known: of the charge left at landing, or of a link's least margin over its shadowing.

    Parameters
    ----------
    flight : Flight
    worth : tuple of (Band, str)
        The unknowns to try, each with the figure that it moves.
    """
    now = {figure: band_width(flight, figure) for figure in {figure for _, figure in worth}}
    found = []
    for band, figure in worth:
        if now[figure] <= 0.0:
            continue
        measured = Flight(with_measured(flight.case, band, flight.energy.result), seed=flight.seed, like=flight)
        found.append(Unknown(band.key, figure, band_width(measured, figure) / now[figure]))
    most = min(found, key=lambda row: row.band_ratio, default=None)
    return (most if most is not None and most.band_ratio < LEAST_WORTH else None), len(found)


def band_width(flight: Flight, figure: str) -> float:
    """Return the width of a figure's band, 5 to 95 % over what is not known."""
    values = _charge_left(flight) if figure == "energy" else _score(flight, figure)
    low, high = np.quantile(values, (BAND_LOW.value, BAND_HIGH.value))
    return float(high - low)


def _score(flight: Flight, name: str) -> NDArray[np.float64]:
    return next(link.score for link in flight.links if link.result.name == name)


def _charge_left(flight: Flight) -> NDArray[np.float64]:
    """Return the charge left above the land-by volts in the middle of what chance does, ``(j,)``, by one march."""
    middle = Nodes(np.zeros(1), np.zeros(1), np.ones(1))
    left = landing_margin(march_flight(flight.craft, planned_legs(flight.track), middle), flight.craft)
    return np.asarray(np.where(np.isfinite(left), left, -1.0)[:, 0, 0])
