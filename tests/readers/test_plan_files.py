"""Plans that are sound: what is read from where, what is filled in, and what stays as written."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.readers.plans import SOUND

from turnback.readers.plan_files import read_aircraft, read_pack, read_plan, read_plan_and_places
from turnback.records.aircraft import AircraftClass, RadioLossAction
from turnback.records.common import Answer, How
from turnback.records.pack import ChemistryName
from turnback.records.plan import People, PilotFile
from turnback.records.radio import ControlClass, VideoClass
from turnback.records.site import Canopy, WeatherFile

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LEAST = """\
schema = 1
aircraft = { class = "5-inch, 4 cells" }
pack = { label = "4S 1500 mAh 95C" }
radio = { control = "2.4 GHz, 25 mW", video = "analogue 5.8 GHz, 25 mW" }
site = {}
route = { distance_m = 150, bearing_deg = 90, height_m = 20 }
"""


def written(folder: Path, text: str, name: str = "plan.toml") -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_the_least_plan_leaves_everything_else_open(tmp_path: Path) -> None:
    plan = read_plan(written(tmp_path, LEAST))
    assert plan.aircraft.class_ is AircraftClass.FIVE_INCH_FOUR_CELLS
    assert plan.aircraft.on_radio_loss is RadioLossAction.UNKNOWN
    assert (plan.radio.control.class_, plan.radio.video.class_) == (
        ControlClass.GHZ_2_4_25_MW,
        VideoClass.ANALOGUE_25_MW,
    )
    assert plan.site.canopy is Canopy.UNKNOWN
    assert plan.site.local_limits.looked_up is Answer.UNKNOWN
    assert plan.observer is Answer.UNKNOWN
    assert plan.answers.who_can_be_underneath is People.UNKNOWN
    assert plan.weather == WeatherFile()
    assert plan.pilot == PilotFile()
    opened = {key: value for key, value in plan.aircraft if key not in ("class_", "on_radio_loss")}
    assert set(opened.values()) == {None}


def test_the_pack_is_filled_from_its_label_and_says_so(tmp_path: Path) -> None:
    pack = read_plan(written(tmp_path, LEAST)).pack
    assert (pack.cells, pack.c_rating, pack.chemistry) == (4, 95.0, None)
    assert pack.capacity_mah is not None
    assert (pack.capacity_mah.value, pack.capacity_mah.how) == (1500.0, How.LABEL)


def test_what_a_plan_says_itself_goes_before_its_label(tmp_path: Path) -> None:
    measured = LEAST.replace('95C" }', '95C", capacity_mah = { value = 1430, how = "measured" }, c_rating = 95 }')
    pack = read_plan(written(tmp_path, measured)).pack
    assert pack.capacity_mah is not None
    assert (pack.capacity_mah.value, pack.capacity_mah.how) == (1430.0, How.MEASURED)


LABELS = [
    ("4S 1500 mAh 95C", 4, 1500, 95, None),
    ("6s1p 1.1Ah", 6, 1100, None, None),
    ("4S HV 850mAh 80C", 4, 850, 80, ChemistryName.HIGH_VOLTAGE_LIPO),
    ("LiPo 3 cells 2,200 mAh 25C/50C", 3, 2200, 25, ChemistryName.LIPO),
    ("Li-Ion 6S2P 7 Ah", 6, 7000, None, ChemistryName.LI_ION),
    ("1S 450 mAh LiHV", 1, 450, None, ChemistryName.HIGH_VOLTAGE_LIPO),
    ("6S 0,85 Ah", 6, 850, None, None),
]


@pytest.mark.parametrize(
    ("label", "cells", "capacity_mah", "c_rating", "chemistry"), LABELS, ids=[x[0] for x in LABELS]
)
def test_labels_as_the_trade_writes_them(
    label: str, cells: int, capacity_mah: float, c_rating: float | None, chemistry: ChemistryName | None, tmp_path: Path
) -> None:
    # common practice: cells as S, parallel as P, capacity in mAh or Ah, steady and burst C rating, HV for high voltage
    pack = read_pack(written(tmp_path, f'schema = 1\nlabel = "{label}"\n'))
    assert pack.capacity_mah is not None
    assert (pack.cells, pack.capacity_mah.value, pack.c_rating, pack.chemistry) == (
        cells, capacity_mah, c_rating, chemistry,
    )  # fmt: skip


def test_every_form_of_a_reading_and_of_a_link(tmp_path: Path) -> None:
    text = SOUND.replace("mass_g = 460", 'mass_g = { value = 460, low = 450, how = "measured" }')
    text = text.replace('video = "none"', 'video = { class = "none", frequency_mhz = 5800 }')
    plan = read_plan(written(tmp_path, text))
    assert plan.aircraft.mass_g is not None
    assert plan.aircraft.mass_g.numbers() == (460.0, 450.0)
    assert (plan.radio.control.class_, plan.radio.control.frequency_mhz) == (ControlClass.GHZ_2_4_100_MW, None)
    assert (plan.radio.video.class_, plan.radio.video.frequency_mhz) == (VideoClass.NONE, 5800.0)


def test_dont_know_is_as_good_as_leaving_it_out(tmp_path: Path) -> None:
    opened = SOUND.replace("mass_g = 460", 'mass_g = "don\'t know"').replace("= 4.18", '= "don\'t know"')
    left_out = SOUND.replace("mass_g = 460\n", "").replace("rest_v_per_cell = 4.18\n", "")
    assert read_plan(written(tmp_path, opened)) == read_plan(written(tmp_path, left_out))


def test_the_order_of_keys_and_the_way_tables_are_written_mean_nothing(tmp_path: Path) -> None:
    headings = LEAST.replace("site = {}\n", "").replace('pack = { label = "4S 1500 mAh 95C" }\n', "")
    headings += '[site]\n\n[pack]\nlabel = "4S 1500 mAh 95C"  # a comment\n'
    with_marks = "\ufeff" + LEAST.replace("\n", "\r\n")  # as some editors save: a byte order mark, carriage returns
    expected = read_plan(written(tmp_path, LEAST))
    assert read_plan(written(tmp_path, headings)) == expected
    path = tmp_path / "marks.toml"
    path.write_bytes(with_marks.encode("utf-8"))
    assert read_plan(path) == expected


def test_parts_come_from_files_and_their_paths_count_from_the_file_that_names_them(tmp_path: Path) -> None:
    text = LEAST.replace('{ label = "4S 1500 mAh 95C" }', '"packs/blue.toml"').replace(
        "site = {}", 'site = "sites/hill.toml"'
    )
    plan_path = written(tmp_path, text)
    written(tmp_path, 'schema = 1\nid = "blue"\nlabel = "4S 1500 mAh 95C"\n', "packs/blue.toml")
    site = 'terrain = "../ground/./hill.tif"\npeople_areas = "fair.geojson"\nlatitude_deg = 1\nlongitude_deg = 2\n'
    written(tmp_path, f"schema = 1\n{site}", "sites/hill.toml")
    read = read_plan_and_places(plan_path)
    assert read.plan.pack.id == "blue"
    assert read.plan.site.terrain == "ground/hill.tif"
    assert read.plan.site.people_areas == "sites/fair.geojson"
    assert read.draft.where(("site", "terrain")) == "sites/hill.toml: terrain"
    assert read.draft.where(("route", "waypoints", 1, "height_m")) == "plan.toml: route.waypoints entry 2 height_m"
    assert read.draft.where(()) == "plan.toml"


def test_dont_know_in_a_parts_file_is_no_path(tmp_path: Path) -> None:
    written(tmp_path, LEAST.replace("site = {}", 'site = "sites/hill.toml"'))
    written(tmp_path, 'schema = 1\nterrain = "don\'t know"\npeople_areas = "don\'t know"\n', "sites/hill.toml")
    site = read_plan(tmp_path / "plan.toml").site
    assert (site.terrain, site.people_areas) == (None, None)


def test_a_link_that_stays_inside_the_folder_is_followed(tmp_path: Path) -> None:
    written(tmp_path, LEAST.replace('{ label = "4S 1500 mAh 95C" }', '"pack.toml"'))
    written(tmp_path, 'schema = 1\nlabel = "4S 1500 mAh 95C"\n', "packs/blue.toml")
    (tmp_path / "pack.toml").symlink_to(Path("packs") / "blue.toml")
    assert read_plan(tmp_path / "plan.toml").pack.cells == 4


def test_a_plan_reads_the_same_from_wherever_it_is_called(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(EXAMPLES, copy)
    monkeypatch.chdir(copy)
    assert read_plan("ten-lines.toml") == read_plan(copy / "ten-lines.toml") == read_plan(EXAMPLES / "ten-lines.toml")
    monkeypatch.chdir(copy / "parts")
    assert read_plan("../ten-lines.toml") == read_plan(EXAMPLES / "ten-lines.toml")


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_reads_and_says_that_it_is_invented(path: Path) -> None:
    plan = read_plan(path)
    assert "invented" in (plan.note or "").lower()


def test_the_parts_of_the_examples_read_alone_and_say_that_they_are_invented() -> None:
    aircraft = read_aircraft(EXAMPLES / "parts" / "aircraft-five-inch.toml")
    pack = read_pack(EXAMPLES / "parts" / "pack-six-cells.toml")
    assert aircraft.id is not None
    assert pack.id is not None
    assert aircraft.corners is not None
    assert pack.cells == 6
    for path in (EXAMPLES / "parts").glob("*.toml"):
        assert "invented" in path.read_text(encoding="utf-8").lower()


def test_ten_lines_are_enough() -> None:
    lines = (EXAMPLES / "ten-lines.toml").read_text(encoding="utf-8").splitlines()
    values = [line for line in lines if line.strip() and not line.startswith("#")]
    assert len(values) <= 14  # the version, a note, five parts, a heading and five questions
    plan = read_plan(EXAMPLES / "ten-lines.toml")
    assert (plan.site.latitude_deg, plan.site.longitude_deg) == (36.6021, -84.2185)
    assert plan.site.terrain == "terrain/jacksboro_fault.tif"
