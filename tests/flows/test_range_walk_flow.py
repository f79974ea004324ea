"""A range walk carried into the brief: known truth found again, learned values felt, nothing moved without them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from tests.assess.cases import case_of, plain, valley

from turnback.assess.draw_set import draw_set
from turnback.assess.walk_reception import best_estimates, predicted
from turnback.assess.world import fill
from turnback.base.errors import InputError
from turnback.flows.brief import brief
from turnback.flows.range_walk import range_walk
from turnback.flows.range_walk_kept import with_entries, without_walk
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.case import Case
from turnback.records.learned import NOTHING_LEARNED, Learned, LearnedAbout, LearnedEntry
from turnback.records.result import BriefResult
from turnback.records.walk import Walk, WalkEnd, WalkMode
from turnback.records.walk_answer import WalkAnswer, WalkCause
from turnback.records.walk_read import FloorFrom, WalkRead
from turnback.report.brief_json import brief_json

DAY = date(2025, 6, 30)


def learned(offset_db: float, walked_m: float = 400.0, exponent: float = 0.0) -> Learned:
    """Return what a walk taught about the control link of the site ``place``, with narrow bands."""
    rows = {
        "control_offset_db": (offset_db, offset_db - 1.0, offset_db + 1.0),
        "control_excess_exponent": (exponent, exponent - 0.05, exponent + 0.05),
        "control_sigma_ratio": (1.0, 0.95, 1.05),
        "control_reference_m": (120.0, None, None),
        "control_walked_m": (walked_m, None, None),
    }
    return Learned(
        tuple(
            LearnedEntry(
                of=LearnedAbout.SITE, id="place", on=DAY, quantity=key, value=value, low=low, high=high, from_record="w"
            )
            for key, (value, low, high) in rows.items()
        )
    )


def flight(offset_db: float | None, walked_m: float = 5000.0, exponent: float = 0.0) -> Case:
    """Return a flight of 700 m over flat ground, with a walk or without."""
    taught = NOTHING_LEARNED if offset_db is None else learned(offset_db, walked_m, exponent)
    return case_of(plain(), site__id="place", route__distance_m=700, learned=taught)


@cache
def told(offset_db: float | None, walked_m: float = 5000.0, exponent: float = 0.0) -> BriefResult:
    """Return the brief of such a flight."""
    return brief(flight(offset_db, walked_m, exponent))


def read_of(walk: Walk) -> WalkRead:
    """Return a walk as if it had been read."""
    count = walk.x_m.size
    rows = tuple(f"reading {row}" for row in range(count))
    known = np.ones(count, dtype=np.bool_)
    return WalkRead(walk, known, rows, None, FloorFrom.NONE, 0.0, 0, 0, 0, (), (), power_varies=False)


def made(case: Case, low_db: float, slope: float = 0.0, count: int = 60, mode: WalkMode = WalkMode.ON_FOOT) -> WalkRead:
    """Return readings of a made truth: the model, less an offset at 100 m and a slope, and an error of 3 dB each."""
    generator = np.random.default_rng(5)
    out, turn = np.geomspace(15.0, 380.0, count), generator.uniform(0.0, 2.0 * np.pi, count)
    blank, ones = np.zeros(count), np.ones(count)
    walk = Walk("control", mode, WalkEnd.AIRCRAFT, out * np.sin(turn), out * np.cos(turn), ones, blank, ones < 0.0,
                14.0 * ones, "made")  # fmt: skip
    terrain = case.terrain
    ground = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    model = predicted(fill(case), ground, terrain, walk, 1)
    lost = low_db + 10.0 * slope * np.log10(out / 100.0) + 3.0 * generator.standard_normal(count)
    return read_of(replace(walk, level_dbm=model.level_dbm - lost))


@cache
def answer(low_db: float, slope: float = 0.0, mode: WalkMode = WalkMode.ON_FOOT) -> WalkAnswer:
    """Return the answer to a made walk over flat ground, without maps."""
    case = flight(None)
    return range_walk(case, made(case, low_db, slope, mode=mode), on=DAY, maps=False)


@pytest.mark.slow
def test_without_a_walk_no_byte_moves() -> None:
    """What is learned of another place, or of the other link alone, leaves this link as it was."""
    bare = brief_json(brief(case_of(plain(), site__id="here", route__distance_m=700)))
    elsewhere = brief_json(brief(case_of(plain(), site__id="here", route__distance_m=700, learned=learned(9.0))))
    assert bare == elsewhere
    assert "walk.measured" not in bare


def test_a_loss_that_was_measured_is_taken_off_the_margin_and_its_unknowns_go() -> None:
    before, level, after = told(None).control, told(0.0).control, told(7.0).control
    assert level.margin_mid_db - after.margin_mid_db == pytest.approx(7.0, abs=0.1)
    # power, antennas and bodies are known together now; the receiver's limit and the noise stay as open as they were
    assert (after.margin_high_db - after.margin_low_db)[0] < (before.margin_high_db - before.margin_low_db)[0] - 1.0
    assert after.reach_m.low < before.reach_m.low


def test_a_slope_counts_by_distance() -> None:
    after = told(0.0, exponent=1.0).control
    level = told(0.0).control
    taken = level.margin_mid_db - after.margin_mid_db
    far = after.from_launch_m > 50.0
    # 10 dB in every tenfold of distance, counted from 120 m
    assert taken[far] == pytest.approx(10.0 * np.log10(after.from_launch_m[far] / 120.0), abs=0.2)


def test_beyond_the_walked_distance_the_band_widens() -> None:
    near, far = told(0.0, walked_m=100.0).control, told(0.0).control
    width = [link.margin_high_db - link.margin_low_db for link in (near, far)]
    inside, outside = near.from_launch_m <= 95.0, near.from_launch_m > 500.0
    assert width[0][inside] == pytest.approx(width[1][inside])
    assert (width[0][outside] > width[1][outside] + 0.5).all()


def test_a_brief_says_that_it_was_measured_when_and_how_far() -> None:
    rows = [finding for finding in brief(flight(3.0, walked_m=400.0)).findings if finding.rule == "walk.measured"]
    assert len(rows) == 1
    assert dict(rows[0].evidence) == {"link": "control", "walked_m": 400.0, "beyond": "yes", "on": "2025-06-30"}


def test_the_plans_own_words_go_before_what_was_learned() -> None:
    case = case_of(plain(), site__id="place", site__control_offset_db=2.0, learned=learned(9.0))
    found = fill(case).control.measured
    assert found is not None
    assert (found.offset_db.value, found.excess_exponent.value, found.on) == (2.0, 0.0, None)


def test_best_estimates_are_the_bands_values() -> None:
    world = fill(flight(3.0))
    best = best_estimates(world)
    assert all(best[band.key][0] == band.value for band in world.bands())
    assert set(best.values) == set(draw_set(world, 2, 1).values)


def test_a_weak_transmitter_is_found_again() -> None:
    found = answer(8.0)
    assert found.fit.offset_db.mid == pytest.approx(8.0, abs=1.5)  # the bands over many runs: tests of the fit
    assert found.cause is WalkCause.LOW
    assert found.after.control.reach_m.low < found.before.control.reach_m.low


@pytest.mark.slow
def test_a_level_that_falls_too_fast_is_told_from_a_weak_transmitter() -> None:
    found = answer(0.0, slope=1.6)
    assert found.fit.excess_exponent.low > 0.5
    assert found.cause in (WalkCause.FALLS, WalkCause.BOTH)
    assert found.fit.falls_too_fast > 0.8


@pytest.mark.slow
def test_from_a_walk_on_foot_nothing_better_is_carried_over() -> None:
    on_foot, in_flight = answer(-7.0), answer(-7.0, mode=WalkMode.IN_FLIGHT)
    kept = [{entry.quantity: entry.value for entry in each.entries} for each in (on_foot, in_flight)]
    assert kept[0]["control_offset_db"] == 0.0
    assert kept[1]["control_offset_db"] == pytest.approx(-7.0, abs=1.5)
    assert on_foot.cause is WalkCause.STRONGER


def test_what_is_kept_is_what_the_brief_with_the_walk_used() -> None:
    found = answer(8.0)
    again = brief(with_entries(flight(None), found.entries))
    assert brief_json(again) == brief_json(found.after)
    assert {entry.id for entry in found.entries} == {"place"}
    assert {entry.on for entry in found.entries} == {DAY}


@pytest.mark.slow
def test_an_earlier_walk_is_set_aside() -> None:
    earlier = flight(9.0)
    assert fill(without_walk(earlier, "control")).control.measured is None
    found = range_walk(earlier, made(without_walk(earlier, "control"), 8.0), on=DAY, maps=False)
    assert found.fit.offset_db.mid == pytest.approx(8.0, abs=1.5)  # and not -1 against the corrected model


@pytest.mark.slow
def test_a_site_without_an_id_keeps_nothing() -> None:
    case = case_of(plain(), route__distance_m=700)
    found = range_walk(case, made(case, 8.0), on=DAY, maps=False)
    assert found.entries == ()
    assert found.after.control.reach_m.low < found.before.control.reach_m.low


@pytest.mark.slow
def test_read_at_the_other_end_the_offset_is_wider() -> None:
    case = flight(None)
    read = made(case, 8.0)
    other = replace(read, walk=replace(read.walk, read_at=WalkEnd.GROUND))
    width = []
    for each in (read, other):
        kept = range_walk(case, each, on=DAY, maps=False).entries[0]
        assert kept.low is not None and kept.high is not None
        width.append(kept.high - kept.low)
    assert width[1] > width[0] + 1.0


def test_a_distance_alone_is_no_place_on_real_ground() -> None:
    case = case_of(valley(), route__distance_m=700)
    read = made(case, 0.0)
    with pytest.raises(InputError, match="distance and no bearing"):
        range_walk(case, replace(read, bearing_known=np.zeros(60, dtype=np.bool_)), on=DAY, maps=False)


def test_a_reading_beyond_the_ground_or_of_no_link_is_refused() -> None:
    case = case_of(plain(2000.0), radio__video={"class": "none"}, route__distance_m=700)
    read = made(case, 0.0)
    with pytest.raises(InputError, match="ground is not known"):
        range_walk(case, replace(read, walk=replace(read.walk, x_m=read.walk.x_m + 9000.0)), on=DAY, maps=False)
    with pytest.raises(InputError, match="no video link"):
        range_walk(case, replace(read, walk=replace(read.walk, link="video")), on=DAY, maps=False)


@pytest.mark.slow
def test_where_nothing_came_the_receivers_limit_is_the_bound() -> None:
    case = flight(None)
    read = made(case, 0.0)
    level, censored = read.walk.level_dbm.copy(), read.walk.censored.copy()
    level[-5:], censored[-5:] = np.nan, True
    found = range_walk(
        case, replace(read, walk=replace(read.walk, level_dbm=level, censored=censored), lost=5), on=DAY, maps=False
    )
    assert found.lost_below_dbm is not None
    assert found.fit.censored == 5
    assert (found.fit.measured_dbm[-5:] == found.lost_below_dbm).all()


def at_floor(share: float, count: int = 60) -> WalkAnswer:
    """Return the answer to a walk whose farthest readings stand at a floor and scatter wildly above it."""
    case = flight(None)
    read = made(case, 8.0, count=count)
    order = np.argsort(read.walk.from_launch_m)
    level, censored = read.walk.level_dbm.copy(), read.walk.censored.copy()
    far = order[round((1.0 - share) * count) :]
    level[far], censored[far] = level[far].max(), True
    level[order[0]] -= 40.0
    return range_walk(case, replace(read, walk=replace(read.walk, level_dbm=level, censored=censored)), on=DAY)


@pytest.mark.parametrize(("share", "count"), [(0.55, 60), (1.0, 12), (0.2, 9)], ids=["most", "all", "few"])
def test_a_walk_at_the_floor_or_of_few_readings_corrects_nothing(share: float, count: int) -> None:
    found = at_floor(share, count)
    assert not found.teaches
    assert found.entries == ()
    assert found.map_before is None
    assert brief_json(found.after) == brief_json(found.before)


def test_a_walk_with_half_its_readings_above_the_floor_is_kept_and_its_spread_is_bounded() -> None:
    case = flight(None)
    read = made(case, 8.0)
    wild = read.walk.level_dbm + 60.0 * np.resize([1.0, -1.0], 60)  # far wider than any place makes it
    found = range_walk(case, replace(read, walk=replace(read.walk, level_dbm=wild)), on=DAY, maps=False)
    assert found.teaches
    assert found.fit.sigma_ratio.mid > 3.0
    kept = {entry.quantity: entry for entry in found.entries}["control_sigma_ratio"]
    assert (kept.value, kept.high) == (2.0, None)
