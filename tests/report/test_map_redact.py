"""A redacted map: nothing of it tells where it lies; the answer stays."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from tests.report import secret_plan
from tests.report.made_map import ground, made, step

from turnback.cli import main
from turnback.records.home_map import NO_DATA, HomeMap
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report.redact_map import launch_ground_m, redacted_map

NAMES = {"map.html", "map.png", "map.tif", "map.json", "map.schema.json", "ring.geojson"}
ODD = made(cells=57)  # cells of 71.4 m, as a raster in degrees has them
TOLD = redacted_map(ODD)
WORDS_OF_A_PROJECTION = ("latitude", "longitude", "EPSG", ".tif", ".geojson")
"""Words of the search that an answer may hold here: names of the map's own files, and keys that are null."""


# The record


def test_place_and_names_are_gone() -> None:
    assert (TOLD.launch_lat_deg, TOLD.launch_lon_deg) == (None, None)
    assert (TOLD.title, TOLD.terrain_source) == ("A flight", "a file whose name is left out")
    assert [name for name, _ in TOLD.areas] == ["area 1"]
    assert TOLD.areas[0][1] is ODD.areas[0][1]


def test_the_answer_stays() -> None:
    assert TOLD.ring is ODD.ring
    assert [each.ring for each in TOLD.heights] == [each.ring for each in ODD.heights]
    for name in ("height_m", "height_above", "sight_m", "limit_height_m", "over_limit", "return_set_m", "radius_m"):
        assert getattr(TOLD, name) == getattr(ODD, name)


def axes(found: HomeMap) -> tuple[Any, Any]:
    """Return east and north of the cells of a map, as two grids."""
    rows, columns = found.heights_m.shape
    east = found.x_west_m + np.arange(columns) * found.cell_m
    north = found.y_north_m - np.arange(rows) * found.cell_m
    return np.meshgrid(east, north)


def test_it_lies_on_a_round_grid_that_holds_the_launch_point() -> None:
    east, north = axes(TOLD)
    assert TOLD.cell_m == 100.0  # 71.4 m before
    assert 0.0 in east
    assert 0.0 in north
    assert {layer.values.shape for layer in TOLD.layers.values()} == {TOLD.heights_m.shape}
    assert np.abs(east).max() <= 2000.0
    assert np.abs(north).max() <= 2000.0


def test_each_cell_keeps_what_its_nearest_had() -> None:
    """Held against a search over all cells of the map before, each of which holds a number of its own."""
    rows, columns = ODD.heights_m.shape
    own = np.arange(rows * columns, dtype=np.int16).reshape(rows, columns)
    marked = replace(ODD, layers={"home_low": replace(ODD.layers["home_low"], values=own)})
    told = redacted_map(marked)
    (east, north), (was_east, was_north) = axes(told), axes(marked)
    for row, column in np.ndindex(*told.heights_m.shape):
        away = np.hypot(was_east - east[row, column], was_north - north[row, column])
        assert told.layers["home_low"].values[row, column] in own[away <= away.min() + 1e-6]


def test_ground_that_is_not_known_stays_so() -> None:
    before, after = ((found.layers["home_low"].values == NO_DATA).mean() for found in (ODD, TOLD))
    assert after == pytest.approx(before, abs=0.03)
    assert after > 0.1


def test_heights_count_from_the_launch_point() -> None:
    """Held against the formula of made_map.py: straight lines over cells of 71 m miss it by h²/8 of its curvature, 5 m.

    Its sharpest: 2 · 260 / 380² of the ridge and 5 · 5 / 90² of the rough, each per metre.
    """
    east, north = axes(TOLD)
    launch = launch_ground_m(ODD)
    assert launch == pytest.approx(float(ground(np.zeros(1), np.zeros(1))[0]), abs=1.0)
    assert pytest.approx(ground(east, north) - launch, abs=5.0) == TOLD.heights_m
    assert launch_ground_m(TOLD) == 0.0
    assert np.abs(TOLD.heights_m).max() < 300.0  # above the sea it lies at some 600 m


def test_a_small_picture_stays_the_least_of_its_block() -> None:
    """Worked by hand: one bad block of nine cells spoils every round cell whose place lies in it."""
    low = np.full((67, 67), 9900, dtype=np.int16)
    low[10, 20] = 100
    found = redacted_map(replace(made(cells=201), heights=(replace(step(30.0), home_low=low, thinned=3),)))
    (small,) = found.heights
    assert found.cell_m == 20.0
    assert small.thinned == 2  # 201 cells in 200 at most
    assert small.home_low is not None
    spoilt = np.argwhere(small.home_low == 100)
    assert {(int(row), int(column)) for row, column in spoilt} == {(15, 30), (15, 31), (16, 30), (16, 31)}


def test_twice_is_as_good_as_once() -> None:
    again = redacted_map(TOLD)
    assert np.array_equal(again.heights_m, TOLD.heights_m)
    assert all(np.array_equal(again.layers[key].values, layer.values) for key, layer in TOLD.layers.items())
    assert (again.x_west_m, again.y_north_m, again.cell_m) == (TOLD.x_west_m, TOLD.y_north_m, TOLD.cell_m)


@pytest.mark.parametrize("cells", [3, 4, 11, 333])
def test_a_map_of_any_size_can_be_redacted(cells: int) -> None:
    found = redacted_map(made(cells=cells, heights=()))
    rows, columns = found.heights_m.shape
    assert min(rows, columns) >= 3
    assert found.layers["home"].values.shape == (rows, columns)


def test_a_note_on_pixels_tells_no_latitude() -> None:
    notes = (TerrainNote(TerrainNoteKind.CELLS_WIDE, 74.37, "m"), TerrainNote(TerrainNoteKind.SCALED, 0.1))
    (kept,) = redacted_map(replace(ODD, terrain_notes=notes)).terrain_notes
    assert kept.value == pytest.approx(70.0)


# The whole run, through the command line


def run(plan: Path, out: Path, *told: str) -> dict[str, str]:
    """Return all that the command gives out, by name: what it prints, and every file searched inside."""
    said = io.StringIO()
    words = ["map", str(plan), "--now", secret_plan.NOW, "--heights", "40,80", "--out", str(out), *told]
    with contextlib.redirect_stdout(said):
        assert main(words) == 0
    faces = secret_plan.faces(said.getvalue().replace(str(out), ""), out)
    with rasterio.open(out / "map.tif") as raster:
        bands = [str(raster.tags(band)) + str(raster.descriptions[band - 1]) for band in raster.indexes]
        spaces = [str(raster.tags(ns=space)) for space in raster.tag_namespaces()]
        faces["map.tif (georeference)"] = f"{raster.crs} {raster.transform} {raster.gcps}"
        faces["map.tif (tags)"] = " ".join([str(raster.tags()), *bands, *spaces])
    return faces


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, dict[str, str]]]:
    """Return an ordinary run, and a redacted one into a folder in which the ordinary one had written before."""
    folder = tmp_path_factory.mktemp("map")
    plan = secret_plan.write(folder, track=False)
    found = {"plain": (folder / "plain", run(plan, folder / "plain"))}
    shutil.copytree(folder / "plain", folder / "told")
    found["told"] = (folder / "told", run(plan, folder / "told", "--redact"))
    found["json"] = (folder / "json", run(plan, folder / "json", "--redact", "--json"))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", ["told", "json"])
def test_no_file_of_a_redacted_map_holds_a_secret(runs: dict[str, tuple[Path, dict[str, str]]], name: str) -> None:
    out, faces = runs[name]
    assert {path.name for path in out.iterdir()} == NAMES - {"ring.geojson"}  # the one of the run before is gone
    assert {"printed", "map.html", "map.json", "map.tif", "map.tif (tags)", "map.png (PNG)"} <= set(faces)
    found = {
        face: left
        for face, said in faces.items()
        if (left := set(secret_plan.secrets_in(" ".join(said.split()))) - set(WORDS_OF_A_PROJECTION))
    }
    assert not found
    assert not [face for face, said in faces.items() if "above sea level" in " ".join(said.split())]


@pytest.mark.slow
def test_the_same_search_finds_them_in_an_ordinary_map(runs: dict[str, tuple[Path, dict[str, str]]]) -> None:
    out, faces = runs["plain"]
    assert {path.name for path in out.iterdir()} == NAMES
    for face in ("printed", "map.html", "map.json", "map.tif (tags)", "ring.geojson", "map.tif (georeference)"):
        assert set(secret_plan.secrets_in(" ".join(faces[face].split()))) - set(WORDS_OF_A_PROJECTION), face


@pytest.mark.slow
def test_a_redacted_raster_has_no_place_on_earth(runs: dict[str, tuple[Path, dict[str, str]]]) -> None:
    with rasterio.open(runs["told"][0] / "map.tif") as raster:
        assert raster.crs is None or not (raster.crs.is_geographic or raster.crs.is_projected)
        assert raster.transform.a == 50.0  # three seconds of arc at 61 degrees are 45 m wide, before
    told = json.loads((runs["told"][0] / "map.json").read_text(encoding="utf-8"))
    assert told["launch_lat_deg"] is told["launch_lon_deg"] is None


@pytest.mark.slow
def test_what_is_left_out_is_said(runs: dict[str, tuple[Path, dict[str, str]]]) -> None:
    for face in ("printed", "map.html"):
        assert "ring.geojson is left out" in " ".join(runs["told"][1][face].split())
        assert "ring.geojson is left out" not in " ".join(runs["plain"][1][face].split())
