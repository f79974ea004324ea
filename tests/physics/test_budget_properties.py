"""Properties of the budget: more distance, more loss; a better margin, a better chance; envelopes hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnback.physics.antenna import (
    NULL_FLOOR_DB,
    Pattern,
    attitude_loss_db,
    gain_toward_dbi,
    pattern_loss_db,
    worst_attitude_loss_db,
)
from turnback.physics.clutter import Building, building_entry_db, vegetation_db, woodland
from turnback.physics.link import free_space_db, link_probability, margin_db, power_sum_dbm
from turnback.physics.polarisation import Polarisation, polarisation_loss_db
from turnback.physics.two_ray import ground_reflection, two_ray

ANGLES = st.floats(-math.pi / 2, math.pi / 2)


@given(st.floats(1.0, 1e5), st.floats(1.001, 3.0), st.floats(300.0, 7500.0))
def test_twice_as_far_is_six_decibels_more(path_m: float, factor: float, frequency_mhz: float) -> None:
    more = free_space_db(path_m * factor, frequency_mhz) - free_space_db(path_m, frequency_mhz)
    assert float(more) == pytest.approx(20.0 * math.log10(factor), abs=1e-9)


@given(st.floats(-60.0, 60.0), st.floats(0.0, 30.0), st.floats(1.0, 15.0))
def test_a_better_margin_never_worsens_the_chance(margin: float, more: float, sigma_db: float) -> None:
    assert link_probability(margin + more, sigma_db) >= link_probability(margin, sigma_db)


@given(st.floats(-120.0, -30.0), st.floats(-130.0, -60.0), st.floats(-130.0, -60.0), st.floats(0.0, 30.0))
def test_interference_never_helps(level: float, noise: float, interference: float, ratio: float) -> None:
    quiet = margin_db(level, -105.0, noise, ratio)
    loud = margin_db(level, -105.0, np.minimum(power_sum_dbm(noise, interference), 0.0), ratio)
    assert loud <= quiet + 1e-9


@given(st.floats(10.0, 20_000.0), st.floats(0.3, 30.0), st.floats(1.0, 200.0), st.floats(400.0, 6000.0))
@settings(deadline=None)
def test_two_rays_stay_inside_their_envelope(
    distance_m: float, from_m: float, to_m: float, frequency_mhz: float
) -> None:
    grazing_rad = math.atan2(from_m + to_m, distance_m)
    for polarisation in Polarisation:
        reflection = ground_reflection(grazing_rad, frequency_mhz, polarisation)
        assert abs(complex(reflection)) <= 1.0 + 1e-12
        there = two_ray(distance_m, from_m, to_m, frequency_mhz, reflection)
        back = two_ray(distance_m, to_m, from_m, frequency_mhz, reflection)
        assert there.least_db - 1e-6 <= there.loss_db <= there.greatest_db + 1e-6
        assert float(back.loss_db) == pytest.approx(float(there.loss_db), abs=1e-9)


@given(st.floats(0.0, 500.0), st.floats(0.0, 100.0), st.floats(105.9, 2117.5))
def test_more_trees_more_loss_up_to_a_ceiling(depth_m: float, more_m: float, frequency_mhz: float) -> None:
    wood = woodland(frequency_mhz)
    near = vegetation_db(depth_m, wood.specific_db_per_m, wood.greatest_db)
    far = vegetation_db(depth_m + more_m, wood.specific_db_per_m, wood.greatest_db)
    assert 0.0 <= near <= far <= wood.greatest_db
    assert near <= depth_m * wood.specific_db_per_m + 1e-9


@given(st.floats(30.0, 30_000.0))
def test_the_band_of_a_wood_holds_its_value(frequency_mhz: float) -> None:
    wood = woodland(frequency_mhz)
    assert wood.specific_low_db_per_m <= wood.specific_db_per_m <= wood.specific_high_db_per_m
    assert wood.greatest_low_db <= wood.greatest_db <= wood.greatest_high_db


@given(st.floats(0.01, 0.98), st.floats(0.0, 0.01), st.sampled_from(list(Building)))
def test_a_surer_answer_allows_more_wall(probability: float, more: float, building: Building) -> None:
    assert building_entry_db(2400.0, building, probability + more) >= building_entry_db(2400.0, building, probability)


@given(st.sampled_from(list(Pattern)), st.floats(0.0, math.pi), st.floats(3.0, 20.0))
def test_no_direction_beats_the_greatest_gain(pattern: Pattern, angle_rad: float, gain_dbi: float) -> None:
    loss_db = pattern_loss_db(pattern, angle_rad, gain_dbi)
    assert 0.0 <= loss_db <= NULL_FLOOR_DB[pattern]
    assert float(gain_toward_dbi(pattern, angle_rad, gain_dbi)) == pytest.approx(gain_dbi - float(loss_db))


@given(st.sampled_from(list(Pattern)), ANGLES, st.floats(0.0, math.pi / 2), st.floats(0.0, 6.3))
def test_no_heading_is_worse_than_the_worst(pattern: Pattern, elevation: float, tilt: float, bearing: float) -> None:
    assert (
        attitude_loss_db(pattern, elevation, tilt, bearing) <= worst_attitude_loss_db(pattern, elevation, tilt) + 1e-6
    )


@given(st.sampled_from(list(Polarisation)), st.sampled_from(list(Polarisation)), st.floats(-7.0, 7.0))
def test_polarisation_is_the_same_both_ways(one: Polarisation, other: Polarisation, turned: float) -> None:
    there, back = polarisation_loss_db(one, other, turned), polarisation_loss_db(other, one, -turned)
    assert float(there) == pytest.approx(float(back), abs=1e-6)
    assert 0.0 <= there <= 20.0 + 1e-9
