"""The picture of a map shows the worst of what it thins, reads in grey, and says where it must turn back."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

import numpy as np
import pytest
from numpy.typing import NDArray
from rasterio.io import MemoryFile
from tests.report.made_map import CHANCE, made, ring_of
from tests.report.pseudo import PSEUDO, Pseudo, outside

from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Layer, Reason, TurnBackRing
from turnback.report.language import speaking_by
from turnback.report.map_picture import (
    height_strip_svg,
    layer_picture_svg,
    map_picture_png,
    map_picture_svg,
    near,
    picture_words,
)
from turnback.report.map_picture_base import chance_edges, frame_of
from turnback.report.map_picture_cells import Fill, least, most, picture, rgb
from turnback.report.map_picture_draw import bar_length, escaped, wide, wrapped
from turnback.report.map_picture_labels import Box, chosen, placed, runs
from turnback.report.map_picture_layers import round_edges
from turnback.report.map_picture_looks import IN_BLACK, ON_SCREEN, Palette
from turnback.report.map_picture_words import class_words, flights
from turnback.report.numbers import FEET_PER_M, METRES_PER_MILE, Units
from turnback.report.words_map import from_where

METRIC, IMPERIAL = Units.METRIC, Units.IMPERIAL
MAP: Final = made(101)
LEAST_TYPE: Final = 13
"""No smaller than the words on the brief's own map."""
XLINK: Final = "{http://www.w3.org/2000/svg}"


def every_picture(found: HomeMap) -> list[str]:
    """Return the picture in its sizes and colours, a layer of each kind, and the heights."""
    layers = ("control_margin", "people", "reason", "sight", "home_high", "return_clearance")
    return [
        map_picture_svg(found, METRIC),
        map_picture_svg(found, IMPERIAL, narrow=True),
        map_picture_svg(found, METRIC, black=True),
        *(layer_picture_svg(found, layer, METRIC) for layer in layers),
        height_strip_svg(found, METRIC),
        height_strip_svg(found, IMPERIAL, narrow=True),
    ]


PICTURES: Final = every_picture(MAP)


def tree(svg: str) -> ElementTree.Element:
    """Return a parsed SVG of our own making."""
    return ElementTree.fromstring(svg)


def words_of(svg: str) -> list[str]:
    """Return every text of an SVG that is not a doubled halo."""
    return [
        "".join(each.itertext()) for each in tree(svg).iter()
        if each.tag in (XLINK + "text", XLINK + "title", XLINK + "desc") and each.get("aria-hidden") != "true"
    ]  # fmt: skip


def pixels(uri: str) -> NDArray[np.uint8]:
    """Return red, green, blue and clearness of a picture inside an SVG; shape ``(ny, nx, 4)``."""
    with MemoryFile(base64.b64decode(uri.removeprefix("data:image/png;base64,"))) as memory, memory.open() as file:
        colours = file.colormap(1)
        table = np.array([colours.get(code, (0, 0, 0, 0)) for code in range(256)], dtype=np.uint8)
        return np.asarray(table[file.read(1)])


def ground(svg: str) -> NDArray[np.uint8]:
    """Return the pixels of the first image of an SVG."""
    image = next(each for each in tree(svg).iter(XLINK + "image"))
    return pixels(str(image.get("href")))


def lightness(colour: str) -> float:
    """Return how light a colour is, 0 to 100 (CIE 1976 L*, sRGB by IEC 61966-2-1)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
              for part in (each / 255.0 for each in rgb(colour))]  # fmt: skip
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116.0 * y ** (1.0 / 3.0) - 16.0 if y > 0.008856 else 903.3 * y


def layer(values: Any, key: str = "home_low") -> Layer:
    """Return a layer of these stored numbers."""
    return Layer(key, np.array(values, dtype=np.int16), *LAYERS[key])


# --- cells ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("by", [1, 2, 3, 7])
def test_a_thinned_cell_is_the_worst_of_its_block(by: int) -> None:
    values = np.random.default_rng(3).integers(-100, 100, (20, 17)).astype(np.int16)
    values[11, 5] = NO_DATA
    for row, top in enumerate(range(0, 20, by)):
        for column, left in enumerate(range(0, 17, by)):
            block = values[top : top + by, left : left + by]
            assert least(values, by)[row, column] == block.min()
            assert most(values, by)[row, column] == (NO_DATA if (block == NO_DATA).any() else block.max())


def test_what_is_not_known_makes_its_neighbourhood_unknown() -> None:
    values = np.full((4, 4), 10_000, dtype=np.int16)
    values[1, 1] = NO_DATA
    assert least(values, 2).tolist() == [[NO_DATA, 10_000], [10_000, 10_000]]


def test_a_class_is_drawn_in_its_colour_and_hatched_in_its_ink() -> None:
    classes = np.array([[0, 1], [255, 1]], dtype=np.uint8)
    drawn = pixels(picture(classes, np.zeros((2, 2)), (Fill("#102030"), Fill("#405060", "x", "#ff0000")), 48))
    assert drawn.shape == (48, 48, 4)
    assert np.abs(drawn[4, 4, :3].astype(int) - (16, 32, 48)).max() <= 1  # a step of shading
    assert drawn[40, 4, 3] == 0
    right = drawn[:, 24:].reshape(-1, 4)
    inked = (right == (255, 0, 0, 255)).all(axis=1)
    assert 0.2 < inked.mean() < 0.4  # two lines of 2 in 12 each way


@pytest.mark.parametrize("palette", [ON_SCREEN, IN_BLACK])
def test_classes_differ_in_grey_and_all_but_the_best_are_hatched(palette: Palette) -> None:
    """Lightness falls from the best to ground in the way, by at least 8 of 100 each."""
    steps = [lightness(fill.colour) for fill in (*palette.chances, palette.ground)]
    assert all(lighter - darker >= 8.0 for lighter, darker in pairwise(steps))
    hatches = [fill.hatch for fill in (*palette.chances, palette.ground, palette.unknown)]
    assert len(set(hatches)) == len(hatches)
    ramp = [lightness(colour) for colour in palette.ramp]
    assert all(lighter - darker >= 8.0 for darker, lighter in pairwise(ramp))


def near_colour(found: NDArray[np.uint8], fill: Fill) -> float:
    """Return the share of pixels in a colour, shaded or hatched or neither."""
    shades = np.clip(np.array(rgb(fill.colour)) * np.linspace(0.7, 1.08, 400)[:, None], 0, 255)
    off = np.abs(found[:, :, None, :3].astype(float) - shades).max(axis=3).min(axis=2)
    return float((off <= 2.5).mean())


@pytest.mark.slow
def test_one_bad_cell_of_a_large_map_is_seen_and_the_best_class_is_that_of_the_ring() -> None:
    """Of 1000 cells a side every third becomes one; one cell at 0.94 makes its cell of the picture less than home."""
    found = replace(made(21), cell_m=4000.0 / 999.0)  # only its layers are large
    low = np.full((1000, 1000), 9500, dtype=np.int16)
    calm = np.zeros((1000, 1000), dtype=np.int16)
    flat = np.full((1000, 1000), 600.0, dtype=np.float32)
    good = replace(found, layers={"home_low": layer(low), "reason": layer(calm, "reason")}, heights_m=flat)
    whole = ground(map_picture_svg(good, METRIC))
    assert near_colour(whole, ON_SCREEN.chances[0]) > 0.99
    low[500, 700] = 9499
    spoilt = replace(good, layers={**good.layers, "home_low": layer(low)})
    changed = np.argwhere((ground(map_picture_svg(spoilt, METRIC)) != whole).any(axis=2))
    side = whole.shape[0] // 334
    assert changed.min(axis=0).tolist() == [500 // 3 * side, 700 // 3 * side]
    assert changed.max(axis=0).tolist() == [500 // 3 * side + side - 1, 700 // 3 * side + side - 1]


def test_ground_in_the_way_and_ground_not_known_are_their_own_classes() -> None:
    drawn = ground(map_picture_svg(MAP, METRIC))
    size = drawn.shape[0] / 101.0
    row, column = (int((50 + off) * size) for off in (0, -35))  # on the ridge in the west
    patch = drawn[row - 12 : row + 12, column - 12 : column + 12]
    assert near_colour(patch, ON_SCREEN.ground) + (patch[:, :, :3] == rgb(ON_SCREEN.ground.ink)).all(2).mean() > 0.95
    row, column = int(20 * size), int(82 * size)  # the corner that is not known
    patch = drawn[row - 8 : row + 8, column - 8 : column + 8]
    assert near_colour(patch, ON_SCREEN.unknown) > 0.5
    assert drawn[2, 2, 3] == 0  # beyond the radius


# --- the SVG --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("svg", PICTURES, ids=range(len(PICTURES)))
def test_every_picture_is_whole_named_and_large_enough_to_read(svg: str) -> None:
    root = tree(svg)
    assert root.get("role") == "img"
    ids = [str(each.get("id")) for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert set(str(root.get("aria-labelledby")).split()) <= set(ids)
    used = set(re.findall(r"url\(#([^)]+)\)", svg))
    assert used <= set(ids)
    sizes = [float(str(each.get("font-size"))) for each in root.iter(XLINK + "text")]
    assert sizes
    assert min(sizes) >= LEAST_TYPE
    bare = re.sub(r"base64,[A-Za-z0-9+/=]+", "", svg)
    assert "nan" not in bare
    assert "http" not in bare.replace("http://www.w3.org/2000/svg", "")
    assert len(svg) < 200_000


def test_pictures_of_one_page_share_no_id() -> None:
    ids = [each for svg in PICTURES[:2] + PICTURES[3:] for each in re.findall(r'\bid="([^"]+)"', svg)]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("svg", PICTURES, ids=range(len(PICTURES)))
def test_words_stay_inside_the_picture(svg: str) -> None:
    root = tree(svg)
    left, top, width, height = map(float, str(root.get("viewBox")).split())
    for each in root.iter(XLINK + "text"):
        x, y, size = (float(str(each.get(key))) for key in ("x", "y", "font-size"))
        long = 0.9 * wide("".join(each.itertext()), size)  # `wide` is never less than what is drawn
        start = {"start": x, "middle": x - long / 2.0}[str(each.get("text-anchor"))]
        assert left - 1.0 <= start, "".join(each.itertext())
        assert start + long <= left + width + 1.0, "".join(each.itertext())
        assert top <= y - 0.7 * size
        assert y <= top + height


def test_the_ring_runs_where_its_numbers_say() -> None:
    """North 0 degrees, 1000 m: of a frame of 520 pixels for 4040 m, by hand."""
    frame = frame_of(MAP, 520.0)
    per_m = 520.0 / (101 * 40.0)
    assert frame.at(0.0, 1000.0) == pytest.approx((260.0, 260.0 - 1000.0 * per_m))
    ring = replace(MAP.ring, turn_back_m=np.full(360, 1000.0))
    svg = map_picture_svg(replace(MAP, ring=ring), METRIC)
    paths = [str(each.get("d")) for each in tree(svg).iter(XLINK + "path") if str(each.get("d")).count("L") == 359]
    assert len(paths) == 2  # line and edge
    points = np.array([[float(part) for part in point.split()] for point in paths[0][1:-1].split("L")])
    assert np.hypot(*(points - 260.0).T) == pytest.approx(1000.0 * per_m, abs=0.1)


def test_circles_are_drawn_where_the_map_reaches_them() -> None:
    """Limit 1300 m, an observer's sight 480 m; a limit beyond the map's 2000 m has no circle."""

    def radii(found: HomeMap) -> set[str]:
        dashed = (each for each in tree(map_picture_svg(found, METRIC)).iter(XLINK + "circle"))
        return {str(each.get("r")) for each in dashed if each.get("stroke-dasharray")}

    per_m = 520.0 / (101 * 40.0)
    assert radii(MAP) == {f"{1300.0 * per_m:.1f}", f"{480.0 * per_m:.1f}"}
    assert radii(replace(MAP, limit_distance_m=2600.0)) == {f"{480.0 * per_m:.1f}"}
    assert radii(replace(MAP, limit_distance_m=None, sight_m=0.0)) == set()


def test_distances_are_said_in_the_reader_s_units_rounded_down() -> None:
    ring = replace(MAP.ring, turn_back_m=np.full(360, 887.9), reason=("video",) * 360)
    found = replace(MAP, ring=ring)
    assert "885 m" in words_of(map_picture_svg(found, METRIC)) or "885\u00a0m" in words_of(
        map_picture_svg(found, METRIC)
    )
    assert any("2910" in each for each in words_of(map_picture_svg(found, IMPERIAL)))  # 2913 ft


def test_a_name_from_a_plan_cannot_become_markup() -> None:
    assert escaped('<a href="x">&\u202e') == "&lt;a href=&quot;x&quot;&gt;&amp;\ufffd"
    assert all("camp <site>" not in svg for svg in PICTURES)


@pytest.mark.parametrize("found", [MAP, replace(MAP, height_above="ground")])
def test_every_word_can_be_translated(found: HomeMap) -> None:
    with speaking_by(Pseudo(), PSEUDO):
        for svg in every_picture(found):
            # the key breaks its lines: a bracket may open on one and close on the next
            said = " ".join(words_of(svg)).replace("\u00a0", " ").replace("\u2212", "-")
            assert outside(said) == []


# --- labels and words ------------------------------------------------------------------------------------------------


def ring(far: list[float], reasons: list[str]) -> TurnBackRing:
    """Return a ring of evenly spread bearings."""
    bearing = np.arange(len(far)) * 360.0 / len(far)
    return TurnBackRing(bearing, np.array(far, dtype=float), tuple(reasons), CHANCE, 0.5)


def test_runs_of_a_reason_go_over_north() -> None:
    found = ring([1.0] * 6, ["video", "energy", "energy", "wind", "video", "video"])
    assert runs(found) == [(1, 2), (3, 1), (4, 3)]
    assert runs(ring([1.0] * 4, ["wind"] * 4)) == [(0, 4)]


def test_each_longer_run_is_labelled_where_it_is_shortest() -> None:
    far = [900.0] * 20 + [700.0] * 10 + [400.0] + [1200.0] * 5
    reasons = ["energy"] * 20 + ["control"] * 10 + ["wind"] + ["energy"] * 5
    said = {(each.at, each.first, each.second) for each in chosen(ring(far, reasons), METRIC)}
    assert (20, "700 m", "control link") in said
    assert (30, "400 m", "wind") in said  # 10 degrees only, but the nearest of all
    assert (31, "1200 m", "pack") in said  # the farthest
    assert len(said) == 4


def test_the_farthest_that_is_labelled_is_the_farthest_that_the_text_says() -> None:
    """A single long bearing is no place to name: text, table and picture say what holds over a sixteenth."""
    far = np.full(360, 500.0)
    far[150:200] = 1040.0
    far[240] = 1410.0
    one = ring(list(far), ["video"] * 360)
    said = {each.first for each in chosen(one, METRIC)}
    assert said == {"500 m", "1040 m"}
    assert "Farthest: 1040 m, toward south." in from_where(replace(MAP, ring=one), METRIC)


def test_labels_cover_neither_each_other_nor_the_edge() -> None:
    frame, taken = frame_of(MAP, 520.0), [(240.0, 240.0, 280.0, 280.0)]
    first: Box = taken[0]
    drawn = placed(ring_of(60.0), METRIC, frame, ON_SCREEN.look, 14.0, taken)
    assert drawn.count("<circle") >= 4
    assert taken[0] == first
    for number, one in enumerate(taken):
        assert one[0] >= 0.0
        assert one[2] <= 520.0
        for other in taken[number + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart


def test_the_words_say_how_far_toward_where_and_why() -> None:
    far = [900.0] * 16
    far[4] = 512.0
    reasons = ["energy"] * 16
    reasons[4] = "control"
    found = replace(MAP, ring=ring(far, reasons))
    assert picture_words(found, METRIC) == (
        "Map, north up, flown at 60 m above launch: inside its ring at least 19 flights in 20 come home, even if what "
        "is not known is unfavourable. Nearest toward east: 510 m, where the control link goes first."
    )
    assert "1670 ft" in picture_words(found, IMPERIAL)  # 1679.8 ft


def test_the_words_say_nowhere() -> None:
    found = replace(MAP, ring=ring([900.0, 0.0, np.nan, 800.0], ["energy"] * 4))
    said = picture_words(found, METRIC)
    assert "toward east it comes home from nowhere with 19 flights in 20" in said
    assert "nan" not in re.sub(r"base64,[A-Za-z0-9+/=]+", "", map_picture_svg(found, METRIC))


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.95, "19 flights in 20"), (0.8, "4 flights in 5"), (0.5, "1 flight in 2"), (0.99, "99 flights in 100")],
)
def test_chances_are_said_as_flights(chance: float, said: str) -> None:
    assert flights(chance) == said


def test_classes_lie_below_the_chance_of_the_ring() -> None:
    assert chance_edges(replace(MAP.ring, chance=0.95)) == (0.95, 0.8, 0.5)
    assert chance_edges(replace(MAP.ring, chance=0.8)) == (0.8, 0.5)
    assert chance_edges(replace(MAP.ring, chance=0.4)) == (0.4,)
    assert class_words((0.9, 0.5)) == ("9 in 10 or more", "1 in 2 or more", "fewer")
    for chance in (0.8, 0.4):
        assert tree(map_picture_svg(replace(MAP, ring=replace(MAP.ring, chance=chance)), METRIC)) is not None


# --- scales, heights, view -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("most_m", "units", "length_m", "said"),
    [
        (1212.0, METRIC, 1000.0, "1000 m"),
        (60.0, METRIC, 50.0, "50 m"),
        (999.0, IMPERIAL, 2000.0 / FEET_PER_M, "2000 ft"),
        (METRES_PER_MILE * 1.5, IMPERIAL, METRES_PER_MILE, "1 mile"),
        (METRES_PER_MILE * 2.5, IMPERIAL, 2.0 * METRES_PER_MILE, "2 miles"),
    ],
)
def test_a_scale_bar_is_round_in_the_reader_s_units(most_m: float, units: Units, length_m: float, said: str) -> None:
    found_m, words = bar_length(most_m, units)
    assert found_m == pytest.approx(length_m)
    assert found_m <= most_m
    assert words == said


def test_edges_of_classes_are_round_and_span_the_numbers() -> None:
    assert round_edges(np.linspace(0.0, 30.0, 1000)).tolist() == [5.0, 10.0, 15.0, 20.0, 25.0]
    assert round_edges(np.full(10, 3.0)).size >= 1
    assert round_edges(np.zeros(0)).tolist() == [0.0]


def test_a_margin_below_0_is_one_class_of_its_own() -> None:
    margin = np.linspace(-40.0, 30.0, 101)[None, :].repeat(101, axis=0)
    found = replace(MAP, layers={**MAP.layers, "control_margin": layer(margin * 100.0, "control_margin")})
    said = words_of(layer_picture_svg(found, "control_margin", METRIC))
    assert "less than 0\u00a0dB" in said
    assert not [each for each in said if "\u2212" in each]


def test_heights_are_said_in_order_with_the_own_one_marked() -> None:
    said = words_of(height_strip_svg(MAP, METRIC))
    heads = [each for each in said if re.match(r"\d+\u00a0m(, this map)?$", each)]
    assert heads == ["30\u00a0m", "60\u00a0m, this map", "90\u00a0m", "120\u00a0m"]
    bare = replace(MAP, heights=tuple(replace(each, home_low=None) for each in MAP.heights))
    assert "<image" not in height_strip_svg(bare, METRIC).split("nearest")[0]


def test_a_view_leaves_out_what_matters_to_nobody() -> None:
    small = replace(
        MAP, ring=replace(MAP.ring, turn_back_m=np.full(360, 400.0)), limit_distance_m=None,
        layers={"home_low": layer(np.where(np.hypot(*np.indices((101, 101)) - 50.0) <= 15, 9900, 10)),
                "reason": MAP.layers["reason"]},
    )  # fmt: skip
    view = near(small)
    assert view.heights_m.shape == (35, 35)  # 600 m and 15 % more each way, in cells of 40 m: 17 and the middle one
    assert (view.x_west_m, view.y_north_m) == pytest.approx((-680.0, 680.0))
    assert near(MAP) is MAP
    assert np.array_equal(view.layers["home_low"].values, small.layers["home_low"].values[33:68, 33:68])


def test_wrapped_words_keep_to_their_room() -> None:
    assert wrapped("one two three", 10.0, 40.0) == ["one two", "three"]
    assert wrapped("unbreakable", 10.0, 1.0) == ["unbreakable"]


def test_reasons_end_in_the_greatest_code() -> None:
    """`in_the_way` asks a block for its greatest code."""
    assert max(Reason) is Reason.GROUND


def test_the_same_map_gives_the_same_pictures() -> None:
    assert every_picture(made(101)) == PICTURES


def test_the_png_stands_alone() -> None:
    png = map_picture_png(MAP, METRIC)
    with MemoryFile(png) as memory, memory.open() as file:
        assert file.driver == "PNG"
        assert file.count == 3
        assert file.width == 2 * (760 + 36 + 12)
        colours = np.moveaxis(file.read(), 0, 2)
    home = colours[:, :, :].reshape(-1, 3)
    assert near_colour(home[None, ::97], ON_SCREEN.chances[0]) > 0.1
    assert len(png) < 700_000
