"""Wind off turns on one line beside a plan's: what lies across that line no turn tells."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_site import site_signs
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, Looked
from turnback.records.finding import Spread
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer


@pytest.mark.parametrize(("plan_mps", "part", "sure"), [
    (7.4, "along", (0.5, 0.6)), (3.0, "along", (0.85, 1.0)), (7.4, "whole", (0.5, 0.6)),
    (None, "along", (0.5, 0.6)), (None, "whole", (0.85, 1.0)),
])  # fmt: skip
def test_turns_deny_little_of_a_wind_across_them(plan_mps: float | None, part: str, sure: tuple[float, float]) -> None:
    t_s = np.arange(0.0, 60.0, 0.2)
    speed = np.where(t_s < 30.0, 13.0, 7.0)
    record = make_record({
        Quantity.LATITUDE: (t_s, np.cumsum(np.where(t_s < 30.0, speed, -speed)) * 0.2 / 111_195.0),
        Quantity.LONGITUDE: (t_s, np.zeros(t_s.size)), Quantity.GROUND_SPEED: (t_s, speed),
    })  # fmt: skip
    wind = Event(EventKind.WIND, 5.0, 55.0, (), "", {"wind_mps": 3.2, "width_mps": 1.0, "air_mps": 13.9},
                 words={"part": part})  # fmt: skip
    plan = {} if plan_mps is None else {"wind_mps": Spread(plan_mps, plan_mps - 3.2, plan_mps + 3.2)}
    flown = Flown(record, (flat(PhaseKind.CRUISE, 0.0, 60.0),), 4, "LiPo")
    looked = Looked(RecordAnswer(flown, (wind,), (), ()), 60.0, AgainstPlan(expected=plan))
    sign = {each.sign: each for each in site_signs(looked).signs}["strong-wind"]
    assert not sign.seen
    assert sure[0] <= sign.sure <= sure[1]
