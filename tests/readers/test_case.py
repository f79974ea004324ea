"""A plan becomes a case: route, ground, weather, people areas and what was learned, or every fault at once."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import rasterio
from pyproj import Geod

from turnback.base.errors import InputError
from turnback.readers.case import read_case
from turnback.records.case import Case
from turnback.records.route import HeightReference
from turnback.records.terrain import TerrainKind

EXAMPLES = Path(__file__).parents[2] / "examples"
RASTER = EXAMPLES / "terrain" / "jacksboro_fault.tif"
LAUNCH = (36.6021, -84.2185)
WGS84 = Geod(ellps="WGS84")

HEAD = """\
schema = 1
aircraft = { class = "5-inch, 6 cells", on_radio_loss = "motors stop" }
pack = { label = "6S 1300 mAh 100C" }
radio = { control = "2.4 GHz, 100 mW", video = "none" }
"""
SITE = f"latitude_deg = {LAUNCH[0]}, longitude_deg = {LAUNCH[1]}"
STRAIGHT = "route = { distance_m = 400, bearing_deg = 90, height_m = 60 }\n"

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Return a function that writes a plan and what it names into a folder of its own."""

    def writer(*lines: str, **files: str) -> Path:
        shutil.copy(RASTER, tmp_path / "ground.tif")
        for name, text in files.items():
            stem, ending = name.rsplit("_", 1)
            (tmp_path / f"{stem}.{ending}").write_text(text, encoding="utf-8")
        plan = tmp_path / "evening.toml"
        plan.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
        return plan

    return writer


def site(more: str = "") -> str:
    return f"site = {{ {SITE}{more} }}"


def faults(path: Path, learned: Path | None = None) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_case(path, learned=learned)
    return [fault.sentence() for fault in caught.value.faults]


def lon_lat(east_m: float, north_m: float) -> tuple[float, float]:
    """Return a place around the launch point, by PROJ's geodesic."""
    azimuth = float(np.degrees(np.arctan2(east_m, north_m)))
    lon, lat, _ = WGS84.fwd(LAUNCH[1], LAUNCH[0], azimuth, float(np.hypot(east_m, north_m)))
    return float(lon), float(lat)


def test_the_plan_of_ten_lines_is_read() -> None:
    case = read_case(EXAMPLES / "ten-lines.toml")
    assert case.title.startswith("Invented for the example")
    assert case.terrain.kind is TerrainKind.MEASURED
    with rasterio.open(RASTER) as raster:  # the raster library's own pixels around the launch point
        row, column = raster.index(LAUNCH[1], LAUNCH[0])
        around = raster.read(1)[row - 1 : row + 2, column - 1 : column + 2]
    assert around.min() <= case.launch_height_m <= around.max()
    assert case.launch_height_m == pytest.approx(float(around[1, 1]), abs=10.0)
    assert case.route.straight
    assert (case.report, case.people_areas, case.learned.entries) == (None, None, ())


def test_straight_out_is_distance_on_a_bearing_from_north(write: Write) -> None:
    route = read_case(write(site(), STRAIGHT)).route
    assert np.allclose(route.east_m, [0.0, 400.0])
    assert np.allclose(route.north_m, [0.0, 0.0], atol=1e-9)
    assert route.height_m.tolist() == [60.0, 60.0]
    assert (route.straight, route.closes_at_launch) == (True, False)
    assert (route.height_reference, route.speed_mps, route.hover_s) == (HeightReference.LAUNCH, None, 0.0)


def test_the_ground_reaches_well_beyond_the_end_of_the_route(write: Write) -> None:
    case = read_case(write(site(', terrain = "ground.tif"'), STRAIGHT))
    assert case.terrain.radius_m >= 400.0 * 1.3 + 400.0
    assert case.terrain.covers(400.0 * 1.3 + 400.0, 0.0)


def test_without_a_terrain_file_the_ground_is_flat_at_the_height_typed_in(write: Write) -> None:
    case = read_case(write("site = { height_m = 512 }", STRAIGHT))
    assert case.terrain.kind is TerrainKind.FLAT
    assert case.launch_height_m == 512.0
    assert read_case(write("site = {}", STRAIGHT)).launch_height_m == 0.0


def test_ridges_stand_where_they_were_typed_in(write: Write) -> None:
    ridges = "ridges = [{ distance_m = 300, height_m = 40, bearing_deg = 90 }, { distance_m = 5000, height_m = 200 }]"
    terrain = read_case(write(f"site = {{ height_m = 100, {ridges} }}", STRAIGHT)).terrain
    assert terrain.kind is TerrainKind.RIDGE
    assert terrain.launch_ground_m == 100.0
    assert terrain.ground_m(300.0, 0.0) == pytest.approx(140.0, abs=2.0)
    assert terrain.ground_m(-5000.0, 0.0) == pytest.approx(300.0, abs=8.0)
    assert terrain.ground_m(-300.0, 0.0) == pytest.approx(100.0, abs=0.1)


@pytest.mark.parametrize("distance_m", [20, 35, 80, 400, 20_000])
def test_a_ridge_at_any_allowed_distance_has_room_beside_the_launch_point(write: Write, distance_m: int) -> None:
    terrain = read_case(
        write(f"site = {{ ridges = [{{ distance_m = {distance_m}, height_m = 9 }}] }}", STRAIGHT)
    ).terrain
    assert terrain.launch_ground_m == pytest.approx(0.0, abs=0.01)
    assert float(terrain.ground_m(0.0, distance_m)) == pytest.approx(9.0, abs=1.5)


def test_a_ridge_over_the_launch_point_is_told_as_plans_are_spoken_of(write: Write) -> None:
    text = "site = { ridges = [{ distance_m = 900, height_m = 9 }, { distance_m = 100, height_m = 9, width_m = 900 }] }"
    (sentence,) = faults(write(text, STRAIGHT))
    assert sentence.startswith("evening.toml: site.ridges entry 2: a ridge 900 m wide at 100 m has the launch point on")


WAYPOINTS = "waypoints = [{{ {0}, height_m = 50 }}, {{ {1}, height_m = 70 }}]"


def test_waypoints_in_metres_and_in_degrees_are_the_same_route(write: Write) -> None:
    (lon_a, lat_a), (lon_b, lat_b) = lon_lat(100.0, 200.0), lon_lat(-50.0, 300.0)
    metres = WAYPOINTS.format("east_m = 100, north_m = 200", "east_m = -50, north_m = 300")
    degrees = WAYPOINTS.format(
        f"latitude_deg = {lat_a:.9f}, longitude_deg = {lon_a:.9f}",
        f"latitude_deg = {lat_b:.9f}, longitude_deg = {lon_b:.9f}",
    )
    for text in (metres, degrees):
        route = read_case(write(site(), f'route = {{ {text}, height_above = "ground", hover_s = 20 }}')).route
        assert np.allclose(route.east_m, [100.0, -50.0], atol=1e-3)
        assert np.allclose(route.north_m, [200.0, 300.0], atol=1e-3)
        assert route.height_m.tolist() == [50.0, 70.0]
        assert (route.straight, route.closes_at_launch, route.hover_s) == (False, False, 20.0)
        assert route.height_reference is HeightReference.GROUND


def test_a_route_that_ends_near_the_launch_point_has_come_home(write: Write) -> None:
    text = WAYPOINTS.format("east_m = 100, north_m = 200", "east_m = 10, north_m = -10")
    assert read_case(write(site(), f"route = {{ {text} }}")).route.closes_at_launch
    hop = WAYPOINTS.format("east_m = 8, north_m = 0", "east_m = 16, north_m = 0")
    assert not read_case(write(site(), f"route = {{ {hop} }}")).route.closes_at_launch


def test_waypoints_too_far_away_are_each_told(write: Write) -> None:
    text = WAYPOINTS.format("east_m = 19000, north_m = 19000", "latitude_deg = -84.2, longitude_deg = 36.6")
    found = faults(write(site(), f"route = {{ {text} }}"))
    assert [sentence.split(": ")[1] for sentence in found] == ["route.waypoints entry 1", "route.waypoints entry 2"]
    assert "it leads 26.9 km from the launch point, more than 20 km" in found[0]
    assert "km from the launch point, more than 200 km" in found[1]


def gpx(*heights: float | None) -> str:
    rows = []
    for number, height in enumerate(heights):
        lon, lat = lon_lat(100.0 * number, 50.0 * number)
        ele = "" if height is None else f"<ele>{height}</ele>"
        rows.append(f'<trkpt lat="{lat:.9f}" lon="{lon:.9f}">{ele}</trkpt>')
    return f'<gpx version="1.1"><trk><trkseg>{"".join(rows)}</trkseg></trk></gpx>'


TRACK = 'route = { file = "way.gpx" }'


def test_a_track_with_heights_counts_them_from_sea_level(write: Write) -> None:
    route = read_case(write(site(', terrain = "ground.tif"'), TRACK, way_gpx=gpx(390, 400, 410))).route
    assert np.allclose(route.east_m, [0.0, 100.0, 200.0], atol=1e-3)
    assert np.allclose(route.north_m, [0.0, 50.0, 100.0], atol=1e-3)
    assert route.height_m.tolist() == [390.0, 400.0, 410.0]
    assert route.height_reference is HeightReference.SEA_LEVEL
    assert not route.straight


def test_a_height_in_the_plan_counts_for_the_whole_track(write: Write) -> None:
    for heights in ((390, 400), (None, None)):
        text = 'route = { file = "way.gpx", height_m = 45, height_above = "ground" }'
        route = read_case(write(site(), text, way_gpx=gpx(*heights))).route
        assert route.height_m.tolist() == [45.0, 45.0]
        assert route.height_reference is HeightReference.GROUND


def test_a_track_whose_heights_cannot_be_placed_is_told(write: Write) -> None:
    (none,) = faults(write(site(), TRACK, way_gpx=gpx(None, None)))
    assert none.startswith("evening.toml: route.file: way.gpx has no heights; write height_m beside the file")
    (sea,) = faults(write(site(), TRACK, way_gpx=gpx(390, 400)))
    assert "counts its heights from sea level, but the launch point's height is not known" in sea
    assert read_case(write(site(", height_m = 330"), TRACK, way_gpx=gpx(390, 400))).launch_height_m == 330.0


def test_a_track_far_from_the_launch_point_is_told(write: Write) -> None:
    text = '<gpx><trk><trkseg><trkpt lat="36.9" lon="-84.2"/><trkpt lat="36.91" lon="-84.2"/></trkseg></trk></gpx>'
    (sentence,) = faults(write(site(), 'route = { file = "way.gpx", height_m = 50 }', way_gpx=text))
    assert "it leads 34.2 km from the launch point, more than 20 km" in sentence


def test_a_metar_is_read_with_its_distance_and_age(write: Write) -> None:
    weather = 'weather = { metar = "METAR ZZZZ 101220Z 24010KT 15/10 Q1013", metar_distance_km = 9 }'
    plan = write(site(), STRAIGHT, weather)
    report = read_case(plan, now=datetime(2025, 6, 10, 13, 20, tzinfo=UTC)).report
    assert report is not None
    assert (report.age_h, report.distance_km, report.temperature_c) == (1.0, 9.0, 15.0)
    unclocked = read_case(plan).report
    assert unclocked is not None
    assert unclocked.age_h is None


def square(east_m: float, north_m: float) -> str:
    corners = [(0, 0), (50, 0), (50, 50), (0, 50), (0, 0)]
    ring = [list(lon_lat(east_m + x, north_m + y)) for x, y in corners]
    feature = {
        "type": "Feature",
        "properties": {"name": "field"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    return json.dumps(feature)


def test_people_areas_lie_around_the_launch_point(write: Write) -> None:
    areas = read_case(write(site(', people_areas = "areas.json"'), STRAIGHT, areas_json=square(200, -20))).people_areas
    assert areas is not None
    assert areas.crossed_by([0.0, 400.0], [0.0, 0.0]) == ["field"]
    assert areas.crossed_by([0.0, 0.0], [0.0, 400.0]) == []


LEARNED = """\
schema = 1
[[entries]]
of = "pack"
id = "a"
on = 2025-06-30
quantity = "capacity_mah"
value = 1200
from_record = "invented"
"""


def test_what_was_learned_lies_beside_the_plan_or_where_the_user_says(write: Write, tmp_path: Path) -> None:
    plan = write(site(), STRAIGHT, learned_toml=LEARNED)
    assert read_case(plan).learned.of("pack", "a")["capacity_mah"].value == 1200.0
    elsewhere = tmp_path / "folder"
    elsewhere.mkdir()
    (elsewhere / "other.toml").write_text(LEARNED.replace("1200", "1111"), encoding="utf-8")
    case = read_case(plan, learned=elsewhere / "other.toml")
    assert case.learned.of("pack", "a")["capacity_mah"].value == 1111.0
    assert faults(plan, learned=elsewhere / "none.toml") == ["none.toml: none.toml does not exist; correct the path."]


@pytest.mark.parametrize(
    ("lines", "title"),
    [
        (('note = "Over the\\n  ridge, invented"', 'id = "ridge-1"'), "Over the ridge, invented"),
        (('note = " "', 'id = "ridge-1"'), "ridge-1"),
        ((), "evening"),
    ],
)
def test_the_title_is_the_note_else_the_id_else_the_files_name(
    write: Write, lines: tuple[str, ...], title: str
) -> None:
    assert read_case(write(*lines, site(), STRAIGHT)).title == title


def test_faults_of_every_file_are_told_together(write: Write) -> None:
    found = faults(
        write(
            site(', terrain = "nowhere.tif", people_areas = "areas.json"'),
            'route = { file = "way.gpx" }',
            'weather = { metar = "fine day" }',
            way_gpx="<gpx>",
            areas_json="{}",
            learned_toml="schema = 1\ncolour = 2",
        )
    )
    assert [sentence.split(": ")[:2] for sentence in found] == [
        ["evening.toml", "route.file"],
        ["evening.toml", "site.terrain"],
        ["evening.toml", "weather.metar"],
        ["evening.toml", "site.people_areas"],
        ["learned.toml", "colour"],
    ]


def test_a_file_named_by_a_part_counts_from_that_part(write: Write, tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "site.toml").write_text(
        f'schema = 1\nlatitude_deg = {LAUNCH[0]}\nlongitude_deg = {LAUNCH[1]}\nterrain = "../ground.tif"\n'
        'people_areas = "areas.json"\n',
        encoding="utf-8",
    )
    plan = write('site = "parts/site.toml"', STRAIGHT)
    (sentence,) = faults(plan)
    assert sentence.startswith("parts/site.toml: people_areas: areas.json does not exist")
    (tmp_path / "parts" / "areas.json").write_text(square(0, 0), encoding="utf-8")
    case: Case = read_case(plan)
    assert case.people_areas is not None
    assert case.terrain.kind is TerrainKind.MEASURED


@pytest.mark.parametrize("named", ["../{0}", "/{0}", "sub/../../{0}", "~/{0}", "C:\\\\{0}", "file:///{0}", "link-{0}"])
@pytest.mark.parametrize("key", ["terrain", "people_areas", "file"])
def test_no_file_outside_the_plans_folder_is_read(tmp_path: Path, named: str, key: str) -> None:
    folder = tmp_path / "plans"
    folder.mkdir()
    secret = {"terrain": "ground.tif", "people_areas": "areas.json", "file": "way.gpx"}[key]
    shutil.copy(RASTER, tmp_path / "ground.tif")
    (tmp_path / "areas.json").write_text(square(0, 0), encoding="utf-8")
    (tmp_path / "way.gpx").write_text(gpx(400, 410), encoding="utf-8")
    (folder / f"link-{secret}").symlink_to(tmp_path / secret)
    path = named.format(secret)
    if key == "file":
        lines = [site(", height_m = 330"), f'route = {{ file = "{path}" }}']
    else:
        lines = [site(f', {key} = "{path}"'), STRAIGHT]
    plan = folder / "evening.toml"
    plan.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")
    (sentence,) = faults(plan)
    assert any(
        words in sentence for words in ("leads out of the plan's folder", "is an absolute path", "is not a path")
    ), sentence


def test_a_link_beside_the_plan_does_not_lead_to_learned_values_elsewhere(tmp_path: Path) -> None:
    folder = tmp_path / "plans"
    folder.mkdir()
    (tmp_path / "secret.toml").write_text(LEARNED, encoding="utf-8")
    (folder / "learned.toml").symlink_to(tmp_path / "secret.toml")
    plan = folder / "evening.toml"
    plan.write_text(HEAD + "\n".join([site(), STRAIGHT]), encoding="utf-8")
    (sentence,) = faults(plan)
    assert sentence.startswith("learned.toml: 'learned.toml' leads out of the plan's folder")
