"""Shaking in its own wash: upright, sinking, with rotors at work; a fall, a climb or a hand that works is none."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_motion_blocks import blocks_of
from turnback.assess.signs_motion_wash import SHAKES, in_own_wash
from turnback.assess.signs_outputs_flight import seen_of
from turnback.assess.signs_outputs_tell import Telling
from turnback.records.bench import At
from turnback.records.channel import RATES, Channel, Quantity
from turnback.records.debrief import Looked, SignsTold
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

HZ, END_S = 250.0, 40.0
SINKS_S = (30.0, 36.0)


def told(
    shake_rad_s: float = 0.5, *, climbs_mps: float = -4.0, leans_rad: float = 0.0, output: float = 0.4,
    ended_s: float = END_S, everywhere: bool = False,
) -> SignsTold:  # fmt: skip
    t_s = np.arange(round(END_S * HZ)) / HZ
    sinks = (t_s >= SINKS_S[0]) & (t_s < SINKS_S[1])
    where = np.ones(t_s.size, np.bool_) if everywhere else sinks
    rng = np.random.default_rng(2)
    wave = np.sqrt(2.0) * np.sin(2.0 * np.pi * 8.0 * t_s)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        rate: (t_s, rng.normal(0.0, 0.01, t_s.size) + (shake_rad_s * wave * where if rate is RATES[0] else 0.0))
        for rate in RATES
    }
    for at in At:
        made[Channel(Quantity.OUTPUT, at=at)] = (t_s, np.where(sinks, output, 0.4))
    made[Quantity.CLIMB_RATE] = (t_s, np.where(sinks, climbs_mps, 0.0))
    made[Quantity.ROLL], made[Quantity.PITCH] = (t_s, np.where(sinks, leans_rad, 0.0)), (t_s, 0.0 * t_s)
    flown = Flown(make_record(made), (flat(PhaseKind.HOVER, 0.0, END_S),))
    seen = seen_of(Looked(RecordAnswer(flown, (), (), ()), ended_s))
    tell = Telling()
    in_own_wash(seen, blocks_of(seen), tell)
    return tell.all()


def test_it_shakes_while_it_sinks_and_not_otherwise() -> None:
    (sign,) = told().signs
    assert (sign.sign, sign.seen, sign.sure > 0.85) == (SHAKES, True, True)
    assert sign.values["level_rad_s"] == pytest.approx(0.5, rel=0.1)
    assert not told(0.05).signs[0].seen
    assert not told(everywhere=True).signs[0].seen


@pytest.mark.parametrize(
    "case", [{"climbs_mps": -1.0}, {"leans_rad": 0.6}, {"output": 0.04}, {"output": 0.95}], ids=str
)
def test_where_it_does_not_sink_upright_with_its_rotors_at_work_nothing_is_told(case: dict[str, float]) -> None:
    answer = told(climbs_mps=case.get("climbs_mps", -4.0), leans_rad=case.get("leans_rad", 0.0),
                  output=case.get("output", 0.4))  # fmt: skip
    assert answer.signs == ()
    assert [each.sign for each in answer.not_looked_for] == [SHAKES]


def test_a_wash_that_it_flew_out_of_long_before_the_end_is_a_weaker_word() -> None:
    t_s = np.arange(round(100.0 * HZ)) / HZ
    sinks = (t_s >= 30.0) & (t_s < 36.0)
    rng = np.random.default_rng(2)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        rate: (t_s, rng.normal(0.0, 0.01, t_s.size) + 0.7 * sinks * np.sin(50.0 * t_s)) for rate in RATES
    }
    made[Quantity.CLIMB_RATE] = (t_s, -4.0 * sinks)
    flown = Flown(make_record(made), (flat(PhaseKind.HOVER, 0.0, 100.0),))
    tell = Telling()
    seen = seen_of(Looked(RecordAnswer(flown, (), (), ()), 100.0))
    in_own_wash(seen, blocks_of(seen), tell)
    assert tell.signs[SHAKES].seen
    assert tell.signs[SHAKES].sure <= 0.7
