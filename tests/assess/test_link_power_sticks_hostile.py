"""Odd records never stop the finders of link, power and sticks: few rows, constant channels, own clocks, gaps."""

from __future__ import annotations

import warnings

import numpy as np
from tests.assess.record_makers import flat, make_flown

from turnback.assess.link_events import find_link
from turnback.assess.power_events import find_power
from turnback.assess.record_cells import cells_of
from turnback.assess.stick_events import find_sticks
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import PhaseKind
from turnback.rules import record_link, record_power, record_sticks

RULES = {each.key for room in (record_link, record_power, record_sticks) for each in room.RULES}


def test_odd_records_are_answered_with_sound_events() -> None:
    rng = np.random.default_rng(0)
    every = [Channel(quantity) for quantity in Quantity if quantity not in {Quantity.TIME, Quantity.OTHER}]
    every += [Channel(Quantity.CELL_VOLTS, number=number) for number in (1, 2, 3)]
    every += [Channel(Quantity.OUTPUT, at) for at in At]
    for _ in range(150):
        rows = int(rng.integers(1, 400))
        shared_s = np.cumsum(rng.choice([0.01, 0.1, 3.0], rows, p=[0.6, 0.39, 0.01]))
        made = {}
        for at in rng.permutation(len(every))[: rng.integers(1, 30)]:
            own_s = shared_s if rng.random() < 0.7 else shared_s[:: int(rng.integers(1, 5))]
            scale = float(rng.choice([0.0, 0.3, 1.0, 20.0]))
            values = rng.normal(float(rng.choice([0.0, 1.0, 15.0, -70.0])), scale, own_s.size)
            values = np.round(values) if rng.random() < 0.5 else values
            made[every[at]] = (own_s, values.astype(np.float32 if rng.random() < 0.5 else np.float64))
        end_s = float(shared_s[-1])
        kinds = [PhaseKind.GROUND, PhaseKind.CRUISE, PhaseKind.UNKNOWN]
        first, second = rng.choice(len(kinds), 2)
        phases = (flat(kinds[first], 0.0, 0.3 * end_s), flat(kinds[second], 0.3 * end_s, end_s))
        flown = make_flown(made, *phases, cells=int(rng.integers(1, 5)), chemistry=str(rng.choice(["LiPo", "Li-ion"])))
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            happened = [finder(flown) for finder in (find_link, find_power, find_sticks)]
            cells = cells_of(flown.record, phases)
        assert cells is None or cells > 0
        for event in (event for found in happened for event in found.events):
            assert 0.0 <= event.start_s <= event.end_s <= end_s + 1e-6
            assert event.rule in RULES
            assert all(np.isfinite(value) for value in event.values.values())
            assert set(event.channels) <= set(flown.record.series)
