"""One cell below the mean of the others, at rest and under load told apart."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import Floats, Span, inside, no_channel, odd_width, step_onset_s
from turnback.assess.power_events_fit import even_means
from turnback.assess.record_cells import cell_series, may_share
from turnback.assess.signals import held_at, spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, WhyNot
from turnback.rules.chemistry import chemistry
from turnback.rules.record_power import CELL_LOW_LOADED, CELL_LOW_REST, CELL_LOW_S, REST_LOAD

MOST_HZ: Final = 10.0
BRIDGE_S: Final = 10.0


def find_cell_low(flown: Flown, looked: tuple[Span, ...]) -> Happened:
    """Find cells that stay below the others.

    Parameters
    ----------
    flown : Flown
    looked : tuple of (start, end)
        Aloft counts as under load, the rest of the record as rest while hardly any current flows.
    """
    cells = cell_series(flown.record)
    # in another unit than volts none counts; one cell that fails is far from the others, not they from a cell
    strange = sum(not may_share(each.t_s, each.values, 1, flown.chemistry) for each in cells)
    if len(cells) < 2 or 2 * strange > len(cells):
        return Happened((), (no_channel(EventKind.CELL_LOW, Quantity.CELL_VOLTS),))
    start_s = max(float(each.t_s[0]) for each in cells)
    end_s = min(float(each.t_s[-1]) for each in cells)
    step_s = max(1.0 / MOST_HZ, 1.0 / max(min(each.rate_hz for each in cells), 1e-3))
    if end_s - start_s < 2.0 * CELL_LOW_S.value:
        needs = tuple(each.channel for each in cells)
        return Happened(
            (), (NotTold(EventKind.CELL_LOW, WhyNot.TOO_SHORT, needs, {"needed_s": 2.0 * CELL_LOW_S.value}),)
        )
    grid_s = np.arange(start_s, end_s, step_s)
    v = np.stack([even_means(each.t_s, each.values, grid_s) for each in cells])
    gap_v = (v.sum(axis=0) - v) / (len(cells) - 1) - v
    aloft = inside(grid_s, looked)
    rest = ~aloft & _hardly_drawn(flown, grid_s)
    rest_v = chemistry(flown.chemistry).spread_watch_v if flown.chemistry is not None else CELL_LOW_REST.value
    width = odd_width(grid_s, CELL_LOW_S.value, 3)
    events: list[Event] = []
    for state, mask, limit_v, rule in (
        ("rest", rest, rest_v, CELL_LOW_REST), ("load", aloft, CELL_LOW_LOADED.value, CELL_LOW_LOADED),
    ):  # fmt: skip
        for place in range(len(cells)):
            smooth = running_median(gap_v[place], width)
            spans = spans_where((smooth > limit_v) & mask, grid_s, least_s=CELL_LOW_S.value, bridge_s=BRIDGE_S)
            if len(spans):
                events.append(_told(cells, place, grid_s, smooth, spans, state, limit_v, rule.key))
    return Happened(tuple(sorted(events, key=lambda each: each.start_s)))


def _hardly_drawn(flown: Flown, grid_s: Floats) -> np.ndarray:
    """Return where hardly any current flows; without a current channel everywhere on the ground."""
    current = flown.record.get(Quantity.CURRENT)
    if current is None or not current.t_s.size:
        return np.ones(grid_s.size, np.bool_)
    most_a = max(
        1.0, REST_LOAD.value * float(np.percentile(current.values[:: max(1, current.t_s.size // 20_000)], 95.0))
    )
    return held_at(current.t_s, current.values, grid_s) <= most_a


def _told(
    cells: tuple[Series, ...], place: int, grid_s: Floats, smooth: Floats, spans: np.ndarray, state: str,
    limit_v: float, rule: str,
) -> Event:  # fmt: skip
    """Return one low cell, from the first time that it is low to the last."""
    first, after = int(spans[0, 0]), int(spans[-1, 1])
    rows = np.concatenate([np.arange(*span) for span in spans])
    start_s = float(grid_s[first])
    own = cells[place]
    if first > 0:
        others = [each for at, each in enumerate(cells) if at != place]
        mean = np.mean([held_at(each.t_s, each.values, own.t_s) for each in others], axis=0)
        start_s = step_onset_s(own.t_s, mean - own.values, start_s, CELL_LOW_S.value)
    number = own.channel.number
    values = {
        "number": float(number if number is not None else place + 1),
        "gap_v": float(np.max(smooth[rows])),
        "typical_gap_v": float(np.median(smooth[rows])),
        "limit_v": limit_v,
        "duration_s": float(rows.size * (grid_s[1] - grid_s[0])),
    }
    end_s = float(grid_s[min(after, grid_s.size - 1)])
    channels: tuple[Channel, ...] = (own.channel,)
    return Event(EventKind.CELL_LOW, start_s, max(end_s, start_s), channels, rule, values, words={"state": state})
