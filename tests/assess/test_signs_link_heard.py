"""A radio's own record of a loss: what stands still is not news, and the line is that of the open part of the way."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import make_flown
from tests.assess.test_signs_link import FLIES, Made, add, flight, seen, told

from turnback.assess.link_events import find_link
from turnback.assess.signs_link_fit import fit_distance
from turnback.assess.signs_link_plan import plan_at_worst
from turnback.assess.signs_link_shape import control_shape
from turnback.assess.signs_link_view import link_frame
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, Compare, Compared, Looked
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, RecordAnswer

LOST = (30.0, 36.0)
WEAK_DB = -45.0
TELEMETRY = (
    Quantity.LINK_LEVEL, Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.HEIGHT_LAUNCH, Quantity.HEADING,
    Quantity.GROUND_SPEED,
)  # fmt: skip


def looked_at(made: Made) -> Looked:
    flown = make_flown(made, *FLIES)
    return Looked(RecordAnswer(flown, find_link(flown).events, (), ()), 94.0)


def silent_while_hidden() -> Made:
    """Behind something from 30 to 36 s: the radio hears nothing, and goes on writing what it heard last."""
    t_s, made = flight()
    add(made, WEAK_DB)
    hidden = (t_s >= LOST[0]) & (t_s < LOST[1])
    add(made, np.where(hidden, -14.0, 0.0))
    last = int(np.argmax(hidden)) + 5
    for each in TELEMETRY:
        values = np.array(made[each][1], dtype=np.float64)
        values[last : int(np.flatnonzero(hidden)[-1])] = values[last]
        made[each] = (t_s, values)
    for each in (Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK):
        made[each] = (t_s, np.where(hidden, 0.0, 0.99))
    return made


def test_the_radios_own_level_is_taken_where_the_aircrafts_stands_still() -> None:
    shape = control_shape(looked_at(silent_while_hidden()))
    assert shape is not None
    assert shape.frame.series.channel.quantity is Quantity.LINK_LEVEL_BACK
    hidden = (shape.frame.t_s > LOST[0] + 1.0) & (shape.frame.t_s < LOST[1] - 1.0)
    assert np.median(shape.rest_db[hidden]) == pytest.approx(-14.0, abs=4.0)
    lost = told(silent_while_hidden())
    assert {"level-dips-slow-and-ragged", "link-lost-first"} <= seen(lost)
    sound = control_shape(looked_at(flight()[1]))
    assert sound is not None
    assert sound.frame.series.channel.quantity is Quantity.LINK_LEVEL


def test_a_level_that_stands_still_while_the_link_is_lost_is_none() -> None:
    frame = link_frame(looked_at(silent_while_hidden()), Quantity.LINK_LEVEL)
    assert frame is not None
    inside = (frame.t_s > LOST[0] + 1.0) & (frame.t_s < LOST[1] - 0.5)
    assert not inside.any()


def test_where_no_place_was_heard_it_goes_evenly_from_the_last_to_the_next() -> None:
    flown = make_flown(silent_while_hidden(), *FLIES)
    frozen = Event(EventKind.CHANNELS_FROZEN, LOST[0] + 0.1, LOST[1] - 0.02, (), "", {}, (), {"what": "position"})
    stale, fresh = (
        link_frame(Looked(RecordAnswer(flown, events, (), ()), 94.0), Quantity.LINK_LEVEL_BACK)
        for events in ((), (frozen,))
    )
    assert stale is not None
    assert fresh is not None
    assert stale.away_m is not None
    assert fresh.away_m is not None
    true_m = np.interp(33.0, [15.0, 50.0], [40.0, 400.0])
    at = int(np.searchsorted(fresh.t_s, 33.0))
    assert fresh.away_m[at] == pytest.approx(true_m, abs=3.0)
    assert stale.away_m[at] < true_m - 20.0


@pytest.mark.parametrize("from_m", [200.0, 250.0, 300.0])
def test_the_line_is_that_of_the_open_part_of_the_way_however_little_of_it_there_is(from_m: float) -> None:
    _, made = flight()
    north_m = 111_320.0 * (np.asarray(made[Quantity.LATITUDE][1]) - 50.0)
    add(made, np.where(north_m > from_m, -12.0, 0.0))
    frame = link_frame(looked_at(made), Quantity.LINK_LEVEL)
    assert frame is not None
    assert frame.away_m is not None
    rest_db = fit_distance(frame).rest_db
    behind = (frame.away_m > from_m + 15.0) & (frame.t_s > 16.0) & (frame.t_s < 84.0)
    assert np.median(rest_db[behind]) < -8.0
    assert abs(np.median(rest_db[frame.keep & (frame.away_m < from_m - 5.0)])) < 3.0
    assert "level-falls-at-one-place" in seen(told(made))


def test_a_level_that_lies_low_overhead_moves_no_line() -> None:
    t_s, made = flight()
    overhead = (t_s < 12.0) | (t_s > 88.0)
    plain = link_frame(looked_at(made), Quantity.LINK_LEVEL)
    add(made, np.where(overhead, -15.0, 0.0))
    blind = link_frame(looked_at(made), Quantity.LINK_LEVEL)
    assert plain is not None
    assert blind is not None
    assert fit_distance(blind).offset_dbm == pytest.approx(fit_distance(plain).offset_dbm, abs=0.7)


def near_by(made: Made) -> Made:
    """The same way at a tenth of the size."""
    latitude = np.asarray(made[Quantity.LATITUDE][1])
    made[Quantity.LATITUDE] = (made[Quantity.LATITUDE][0], 50.0 + 0.1 * (latitude - 50.0))
    made[Quantity.HEIGHT_LAUNCH] = (made[Quantity.HEIGHT_LAUNCH][0], 0.1 * np.asarray(made[Quantity.HEIGHT_LAUNCH][1]))
    return made


def test_on_a_short_way_the_plan_is_held_to_what_is_nearer() -> None:
    t_s, made = flight()
    add(made, WEAK_DB)
    every = slice(None, None, 25)
    predicted = np.array(made[Quantity.LINK_LEVEL][1][every])
    # hidden from 18 m on, so that nothing farther than 20 m is open
    hidden = (t_s > 28.0) & (t_s < 72.0)
    add(made, np.where(hidden, -15.0, 0.0))
    made[Quantity.LINK_QUALITY] = (t_s, np.where(hidden, 0.0, 0.99))
    recorded = np.array(made[Quantity.LINK_LEVEL][1][every])
    compared = Compared(Compare.LEVEL, "dBm", t_s[every], recorded, predicted, predicted - 8.0, predicted + 8.0,
                        Spread(0.0, -8.0, 8.0))  # fmt: skip
    lost = Event(EventKind.LINK_LOST, 28.5, 72.0, (), "", {})
    flown = make_flown(near_by(made), *FLIES)
    found = plan_at_worst(Looked(RecordAnswer(flown, (lost,), (), ()), 94.0, AgainstPlan((compared,))))
    assert found is not None
    assert found.below_db == pytest.approx(15.0, abs=3.0)
    assert found.ground_db < 4.0


@pytest.mark.parametrize(("back_from_m", "same"), [(200.0, True), (90.0, False)])
def test_what_is_low_on_the_way_back_where_it_was_open_on_the_way_out_stands_at_no_place(
    back_from_m: float, same: bool
) -> None:
    """Low from 200 to 300 m on the way out; on the way back there, or from 300 down to 90 m."""
    t_s, made = flight()
    north_m = 111_320.0 * (np.asarray(made[Quantity.LATITUDE][1]) - 50.0)
    out, back = (t_s < 50.0) & (north_m > 200.0), (t_s > 50.0) & (north_m > back_from_m)
    add(made, np.where((out | back) & (north_m < 300.0), -14.0, 0.0))
    assert ("level-falls-at-one-place" in seen(told(made))) is same
