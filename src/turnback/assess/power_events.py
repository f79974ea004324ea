"""What the pack did: sag, volts below what the chemistry allows, sudden steps, one cell low."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import no_channel, spans_looked_at
from turnback.assess.power_events_below import find_below
from turnback.assess.power_events_cells import find_cell_low
from turnback.assess.power_events_fit import RestFit, fit_rest, load_of, why_no_fit
from turnback.assess.power_events_sag import find_sag
from turnback.assess.power_events_step import find_steps
from turnback.assess.power_events_volts import volts_of
from turnback.records.channel import Quantity
from turnback.records.happened import EventKind, Flown, Happened, NotTold, WhyNot

STEP_CLEAR_S: Final = 0.2
OF_VOLTS: Final = (EventKind.SAG, EventKind.BELOW_LAND_BY, EventKind.BELOW_DAMAGE, EventKind.VOLT_STEP)


def find_power(flown: Flown) -> Happened:
    """Tell what happened to the pack while it flew.

    Parameters
    ----------
    flown : Flown
        `cells` and `chemistry` decide whether volts can be held against what a cell allows.

    Returns
    -------
    Happened
        Events of the kinds `OF_VOLTS` and `EventKind.CELL_LOW`, by onset within each kind.
    """
    looked = spans_looked_at(flown)
    if not looked:
        return Happened((), tuple(NotTold(kind, WhyNot.NOT_ALOFT) for kind in (*OF_VOLTS, EventKind.CELL_LOW)))
    parts = [find_cell_low(flown, looked)]
    volts = volts_of(flown)
    if volts is None:
        parts.append(Happened((), tuple(no_channel(kind, Quantity.PACK_VOLTS) for kind in OF_VOLTS)))
    else:
        load = load_of(flown.record, volts)
        fit: RestFit | None = None if load is None else fit_rest(volts, load, looked, flown.chemistry)
        steps = find_steps(volts, load, fit, looked, flown.chemistry)
        until_s = np.inf
        fallen = [each.start_s for each in steps.events if each.values["step_v"] < 0.0]
        if load is not None and fallen:
            until_s = min(fallen) - STEP_CLEAR_S
            fit = fit_rest(volts, load, looked, flown.chemistry, until_s)
        unfit = WhyNot.NO_CHANNEL if load is None else why_no_fit(volts, load, looked, until_s)
        parts += [find_sag(volts, load, fit, looked, unfit), find_below(flown, volts, load, fit, looked, unfit), steps]
    events = tuple(event for part in parts for event in part.events)
    return Happened(events, tuple(each for part in parts for each in part.not_told))
