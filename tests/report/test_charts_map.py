"""The map draws what was computed, at one scale, and its shading is that of a matt surface lit from north-west."""

from __future__ import annotations

import base64
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from rasterio.io import MemoryFile
from tests.report import ground_sample, sample

from turnback.records.aircraft import RadioLossAction
from turnback.records.fall import FallPlace, FallResult
from turnback.records.finding import Spread
from turnback.report import svg
from turnback.report.charts_map import site_map
from turnback.report.numbers import Units
from turnback.report.shading import LEVEL, UNKNOWN, contour_step, finer, horn_gradient, relief, shade
from turnback.report.vega import Chart

METRIC = Units.METRIC
ZERO = Spread(0.0, 0.0, 0.0)


def grey_of(uri: str) -> NDArray[np.uint8]:
    """Return the pixels of a data URI."""
    with MemoryFile(base64.b64decode(uri.removeprefix("data:image/png;base64,"))) as memory, memory.open() as file:
        assert file.count == 1
        return np.asarray(file.read(1))


def layers_of(chart: Chart, kind: str) -> list[dict[str, Any]]:
    layers: list[dict[str, Any]] = list(chart.layers)
    return [layer for layer in layers if layer["mark"]["type"] == kind]


def falls() -> FallResult:
    """Return one fall with a ring of 30 m around a place 300 m east and 240 m north."""
    angle = np.linspace(0.0, 2.0 * np.pi, 25)
    place = FallPlace(
        384.0, 384.0, 300.0, 240.0, 60.0, False, 300.0, 240.0, 300.0 + 30.0 * np.sin(angle),
        240.0 + 30.0 * np.cos(angle), ZERO, ZERO, ZERO, ZERO, (), 0.0,
    )  # fmt: skip
    return FallResult(
        RadioLossAction.MOTORS_STOP, (place,), 0, (), True, ZERO, ZERO, ZERO, ZERO, ZERO, ZERO, ()
    )  # fmt: skip


# --- shading --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("east", "north"), [(0.0, 0.0), (0.3, 0.0), (0.0, -0.4), (0.25, 0.6)])
def test_the_slope_of_a_plane_is_its_own(east: float, north: float) -> None:
    """Horn's weights are exact on a plane; row 0 lies north."""
    rows, columns = np.indices((6, 7))
    got_east, got_north = horn_gradient(east * columns * 10.0 - north * rows * 10.0, 10.0)
    assert got_east[1:-1, 1:-1] == pytest.approx(np.full((4, 5), east))
    assert got_north[1:-1, 1:-1] == pytest.approx(np.full((4, 5), north))


def test_horns_weights_on_one_peak() -> None:
    """A single height of 8 in a flat field: beside it the slope is 2/8 of it over the cell, at the corner 1/8."""
    heights = np.zeros((5, 5))
    heights[2, 2] = 8.0
    east, north = horn_gradient(heights, 1.0)
    assert east[2, 1] == 2.0
    assert east[2, 3] == -2.0
    assert east[1, 1] == 1.0
    assert north[3, 2] == 2.0
    assert north[1, 2] == -2.0


def test_brightness_is_the_cosine_of_the_angle_to_the_light() -> None:
    """Level ground under a light 45 degrees high: sin 45. A slope of 45 degrees that faces it: 1; one away: 0."""
    face = math.sqrt(0.5)
    slopes = np.array([0.0, face, -face])
    lit = shade(slopes, -slopes)  # rises toward south-east: faces north-west
    assert lit == pytest.approx([math.sqrt(0.5), 1.0, 0.0], abs=1e-12)


def test_level_ground_is_one_light_grey_and_unknown_ground_is_blank() -> None:
    known = np.ones((10, 12), dtype=np.bool_)
    known[0, 0] = False
    grey = grey_of(relief(np.zeros((10, 12)), known, 30.0, 0.0))
    by = grey.shape[0] // 9
    assert grey.shape == (9 * by, 11 * by)
    assert (grey[:by, :by] == UNKNOWN).all()
    rest = grey.copy()
    rest[:by, :by] = LEVEL
    assert (rest == LEVEL).all()


def test_contours_stand_where_the_height_is_a_whole_step() -> None:
    """A slope of 0.1 toward east, heights 0 to 100 m: a contour of 20 m stands every 200 m, four inside."""
    columns = np.broadcast_to(np.arange(21) * 5.0, (21, 21))
    plain, lined = (grey_of(relief(columns, np.ones((21, 21), dtype=np.bool_), 50.0, step)) for step in (0.0, 20.0))
    dark = np.flatnonzero((lined < plain).all(axis=0)) / lined.shape[1] * 1000.0
    assert dark == pytest.approx([200.0, 400.0, 600.0, 800.0], abs=1000.0 / lined.shape[1] + 1e-9)


@pytest.mark.parametrize(("span", "step"), [(0.0, 0.0), (1.9, 0.0), (20.0, 2.0), (100.0, 10.0), (550.0, 50.0)])
def test_contours_are_about_a_dozen_in_round_steps(span: float, step: float) -> None:
    assert contour_step(np.array([0.0, span])) == pytest.approx(step)


def test_finer_values_lie_on_straight_lines() -> None:
    """Twice as fine between 0 and 4: a quarter and three quarters of the way."""
    assert finer(np.array([[0.0, 4.0], [8.0, 12.0]]), 2) == pytest.approx(np.array([[3.0, 5.0], [7.0, 9.0]]))


def test_the_picture_holds_pixels_and_nothing_else() -> None:
    """Chunks of PNG (W3C, 2003): head, data, end; no text, no time, no place."""
    ground = ground_sample.ground()
    uri = relief(ground.heights_m, ground.known, ground.cell_m, 20.0)
    data = base64.b64decode(uri.removeprefix("data:image/png;base64,"))
    kinds, at = [], 8
    while at < len(data):
        kinds.append(data[at + 4 : at + 8].decode())
        at += 12 + int.from_bytes(data[at : at + 4], "big")
    assert set(kinds) == {"IHDR", "IDAT", "IEND"}
    assert uri == relief(ground.heights_m, ground.known, ground.cell_m, 20.0)


# --- the chart ------------------------------------------------------------------------------------------------------


def test_a_metre_east_is_as_long_as_a_metre_north() -> None:
    chart = site_map(ground_sample.brief(), METRIC)
    for width in (270, 760):
        spec = chart.spec(width, 13)
        x, y = (spec["layer"][1]["encoding"][axis]["scale"]["domain"] for axis in "xy")
        assert (x, y) == ([-1000.0, 1000.0], [-800.0, 700.0])
        assert spec["width"] <= width
        assert spec["height"] / spec["width"] == pytest.approx((y[1] - y[0]) / (x[1] - x[0]), rel=0.01)


def test_route_falls_people_and_turn_back_stand_where_they_are() -> None:
    chart = site_map(replace(ground_sample.brief(), fall=falls()), METRIC)
    lines = layers_of(chart, "line")
    route = next(layer for layer in lines if layer["mark"].get("strokeDash") == [2, 3])["data"]["values"]
    assert (route[-1]["x"], route[-1]["y"]) == (600.0, 480.0)
    fall = next(layer for layer in lines if layer["mark"]["color"] == "#a3341b")["data"]["values"]
    assert max(row["x"] for row in fall) == pytest.approx(330.0)
    people = next(layer for layer in lines if layer["mark"].get("fill") == "#b8860b")["data"]["values"]
    assert {(row["x"], row["y"]) for row in people} == {
        (-400.0, -400.0), (-300.0, -400.0), (-300.0, -300.0), (-400.0, -300.0)
    }  # fmt: skip
    reach = next(layer for layer in lines if layer["mark"].get("strokeDash") == [7, 4])["data"]["values"]
    assert (reach[0]["x"], reach[0]["y"]) == (0.0, 204.9)
    assert len(reach) == 17


def test_ruling_obstacles_have_shapes_of_their_own_and_one_label_where_they_meet() -> None:
    chart = site_map(ground_sample.brief(), METRIC)
    drawn = {layer["mark"]["shape"]: layer["data"]["values"][0] for layer in layers_of(chart, "point")}
    assert drawn["diamond"] == drawn["square"] == {"x": 440.0, "y": 352.0}
    assert drawn["triangle-up"] == {"x": 560.0, "y": 448.0}
    assert drawn["circle"] == {"x": 0.0, "y": 0.0}
    words = {row["text"] for layer in layers_of(chart, "text") for row in layer["data"]["values"]}
    assert words == {"rules both links", "rules the return height", "launch"}


def test_the_key_says_only_what_is_there() -> None:
    whole = [key.label for key in site_map(replace(ground_sample.brief(), fall=falls()), METRIC).keys]
    assert "9 of 10 falls end inside, motors stopped" in whole
    assert "people" in whole
    assert "blank: the ground is not known" in whole
    bare = replace(ground_sample.ground(), areas=(), marks=(), known=np.ones((31, 41), dtype=np.bool_))
    few = [key.label for key in site_map(replace(sample.brief(), ground_plan=bare), METRIC).keys]
    assert few == ["route", "one height every 50 m"]


def test_it_says_in_words_what_is_there() -> None:
    """From 2000 m by 1500 m; the slope rises 0.2 m a metre from 1000 m west to 1000 m east: 200 m either way."""
    alt = site_map(ground_sample.brief(), METRIC).alt
    assert "2000 m from west to east and 1500 m from south to north" in alt
    assert "The route goes 770 m out, toward northeast." in alt
    assert "The highest ground on it is 200 m above launch. The lowest ground on it is 200 m below launch." in alt
    assert "A place 565 m from launch, northeast, rules both links." in alt
    assert "1 area with people lies on it." in alt


def test_in_feet_contours_are_whole_feet() -> None:
    """400 m are 1312 ft: a dozen contours are 200 ft apart."""
    chart = site_map(ground_sample.brief(), Units.IMPERIAL)
    assert "one height every 200 ft" in [key.label for key in chart.keys]
    assert chart.spec(760, 13)["layer"][1]["encoding"]["x"]["scale"]["domain"] == pytest.approx(
        [-1000.0 / 0.3048, 1000.0 / 0.3048], abs=0.001
    )


def test_the_drawing_is_small_complete_and_gives_no_name_away() -> None:
    """A quarter of a megabyte is the promise."""
    chart = site_map(replace(ground_sample.brief(), fall=falls()), METRIC)
    for drawn in (svg.wide(chart), svg.narrow(chart)):
        assert len(drawn) < 250_000
        assert 'href="data:image/png;base64,' in drawn
        assert "xlink" not in drawn
        assert "Secret" not in drawn
    assert svg.wide(chart) == svg.wide(site_map(replace(ground_sample.brief(), fall=falls()), METRIC))


def test_rough_ground_in_full_size_stays_small() -> None:
    """Noise is the worst that a picture can hold: 300 by 300 heights without any two alike."""
    heights = np.random.default_rng(3).normal(400.0, 30.0, (300, 300)).astype(np.float32)
    known = np.ones((300, 300), dtype=np.bool_)
    rough = replace(
        ground_sample.ground(), heights_m=heights, known=known, cell_m=8.0, x_west_m=-1200.0, y_north_m=1200.0
    )  # fmt: skip
    assert len(svg.wide(site_map(replace(ground_sample.brief(), ground_plan=rough), METRIC))) < 250_000


def test_a_brief_without_a_map_is_refused() -> None:
    with pytest.raises(ValueError, match="no map"):
        site_map(sample.brief(), METRIC)
