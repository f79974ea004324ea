"""Volts of a cell below what its chemistry allows: to land by, and where it takes harm."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import (
    Floats,
    Span,
    inside,
    no_channel,
    odd_width,
)
from turnback.assess.power_events_fit import Load, RestFit
from turnback.assess.power_events_volts import Volts
from turnback.assess.record_cells import cell_series, may_share
from turnback.assess.signals import held_at, rows_between, spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, WhyNot
from turnback.rules.chemistry import Chemistry, chemistry
from turnback.rules.record_power import DAMAGE_LEAST_S, FIT_LEAST_S, LAND_BY_LOADED, LAND_BY_REST
from turnback.rules.rule import Threshold

KINDS: Final = (EventKind.BELOW_LAND_BY, EventKind.BELOW_DAMAGE)
BRIDGE_S: Final = 1.0
LONG_BRIDGE_S: Final = 10.0
REST_SMOOTH_S: Final = 5.0


def find_below(
    flown: Flown, volts: Volts, load: Load | None, fit: RestFit | None, looked: tuple[Span, ...], unfit: WhyNot
) -> Happened:
    """Find spans below the land-by volts, loaded and at rest, and below the damage volts.

    Parameters
    ----------
    flown : Flown
    volts : Volts
    load : Load or None
    fit : RestFit or None
        Volts at rest are those of the fit; a rest rule is never held against loaded volts.
    looked : tuple of (start, end)
    unfit : WhyNot
        Why there is no fit, where there is none: what is held against loaded volts needs none.
    """
    if flown.chemistry is None:
        return Happened((), tuple(NotTold(kind, WhyNot.CHEMISTRY_UNKNOWN) for kind in KINDS))
    if not volts.cells:
        needs = (Channel(Quantity.CELL_VOLTS),)
        told = flown.record.facts.cells
        values = {} if told is None else {"told_cells": float(told)}
        return Happened((), tuple(NotTold(kind, WhyNot.CELLS_UNKNOWN, needs, values) for kind in KINDS))
    allowed = chemistry(flown.chemistry)
    t_s, cell_v, channels = _least_cell(flown, volts, volts.cells)
    aloft = inside(t_s, looked)
    loaded = [
        _told(EventKind.BELOW_LAND_BY, t_s, cell_v, span, channels, "loaded", LAND_BY_LOADED, allowed.land_by_loaded_v)
        for span in _below(t_s, cell_v, aloft, allowed.land_by_loaded_v, allowed.land_by_loaded_duration_s, BRIDGE_S)
    ]
    damaged = [
        _told(EventKind.BELOW_DAMAGE, t_s, cell_v, span, channels, "loaded", DAMAGE_LEAST_S, allowed.damage_v)
        for span in _below(t_s, cell_v, aloft, allowed.damage_v, _least_s(volts, DAMAGE_LEAST_S), LONG_BRIDGE_S)
    ]
    rest: list[Event] = []
    not_told: tuple[NotTold, ...] = ()
    if load is not None and load.amperes and fit is not None:
        rest = _rest(volts, volts.cells, load, fit, looked, allowed)
    elif np.count_nonzero((cell_v < allowed.land_by_rest_v) & aloft) >= LAND_BY_REST.value * volts.rate_hz:
        # volts at rest are never below loaded ones: where these stay above, nothing is left open
        not_told = (_no_rest(load, unfit),)
    return Happened((*_with_rest(loaded, fit, volts.cells), *rest, *_with_rest(damaged, fit, volts.cells)), not_told)


def _no_rest(load: Load | None, unfit: WhyNot) -> NotTold:
    """Say why volts at rest are not known."""
    if load is None or not load.amperes:
        return no_channel(EventKind.BELOW_LAND_BY, Quantity.CURRENT)
    return NotTold(EventKind.BELOW_LAND_BY, unfit, load.channels, {"needed_s": FIT_LEAST_S.value})


def _least_s(volts: Volts, least: Threshold) -> float:
    """Return a least time that is at least two readings."""
    return max(least.value, 1.5 / max(volts.rate_hz, 1e-3))


def _least_cell(flown: Flown, volts: Volts, cells: int) -> tuple[Floats, np.ndarray, tuple[Channel, ...]]:
    """Return the volts of the lowest cell where all are recorded, else of the mean cell."""
    numbered = cell_series(flown.record)
    sound = all(may_share(each.t_s, each.values, 1, flown.chemistry) for each in numbered)
    if sound and len(numbered) == flown.cells and len(numbered) > 1:
        first = numbered[0]
        least = np.min([held_at(each.t_s, each.values, first.t_s) for each in numbered], axis=0)
        return first.t_s, least, tuple(each.channel for each in numbered)
    return volts.t_s, volts.volts / np.float32(cells), volts.channels


def _below(
    t_s: Floats, cell_v: np.ndarray, aloft: np.ndarray, limit_v: float, least_s: float, bridge_s: float
) -> list[tuple[int, int]]:
    """Return the spans of rows below a limit for long enough; afterwards those near one another count as one."""
    low = (cell_v < limit_v) & aloft
    if not low.any():
        return []
    # a moment's unloading does not part what lasts; spans that each last are then joined over longer breaks
    spans = spans_where(low, t_s, least_s=least_s, bridge_s=min(bridge_s, 0.2))
    joined: list[tuple[int, int]] = []
    for first, after in spans:
        if joined and t_s[first] - t_s[min(joined[-1][1], t_s.size - 1)] <= bridge_s:
            joined[-1] = (joined[-1][0], int(after))
        else:
            joined.append((int(first), int(after)))
    return joined


def _told(
    kind: EventKind, t_s: Floats, cell_v: np.ndarray, span: tuple[int, int], channels: tuple[Channel, ...], state: str,
    rule: Threshold, limit_v: float,
) -> Event:  # fmt: skip
    """Return one span below a limit."""
    first, after = span
    start_s, end_s = float(t_s[first]), float(t_s[min(after, t_s.size - 1)])
    values = {"least_v": float(cell_v[first:after].min()), "duration_s": end_s - start_s, "limit_v": limit_v}
    return Event(kind, start_s, end_s, channels, rule.key, values, words={"state": state})


def _with_rest(events: list[Event], fit: RestFit | None, cells: int) -> list[Event]:
    """Return events with what the volts of a cell at rest would be at their lowest."""
    if fit is None:
        return events
    out = []
    for event in events:
        rows = rows_between(fit.t_s, event.start_s, event.end_s + 1e-6)
        rest = fit.rest_v[rows]
        values = dict(event.values)
        if rest.size:
            values["rest_equivalent_v"] = float(np.median(rest)) / cells
            values["rest_high_v"] = float(np.median(fit.rest_high_v[rows])) / cells
        out.append(Event(event.kind, event.start_s, event.end_s, event.channels, event.rule, values, words=event.words))
    return out


def _rest(
    volts: Volts, cells: int, load: Load, fit: RestFit, looked: tuple[Span, ...], allowed: Chemistry
) -> list[Event]:
    """Return spans in which even a rested cell would lie below the land-by volts, by the lower of what may be."""
    kind = EventKind.BELOW_LAND_BY
    width = odd_width(fit.t_s, REST_SMOOTH_S, 5)
    rest_v, high_v = (running_median(each, width) / cells for each in (fit.rest_v, fit.rest_high_v))
    aloft = inside(fit.t_s, looked)
    spans = _below(fit.t_s, rest_v, aloft, allowed.land_by_rest_v, LAND_BY_REST.value, LONG_BRIDGE_S)
    channels = (*volts.channels, *load.channels)
    events = []
    for span in spans:
        limit_v = allowed.land_by_rest_v
        event = _told(kind, fit.t_s, rest_v, span, channels, "rest-equivalent", LAND_BY_REST, limit_v)
        most_v = float(high_v[slice(*span)].min())
        values = dict(event.values) | {"rest_equivalent_v": event.values["least_v"], "rest_high_v": most_v}
        events.append(Event(kind, event.start_s, event.end_s, channels, event.rule, values, words=event.words))
    return events
