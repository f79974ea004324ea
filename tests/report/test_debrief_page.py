"""The page and files of a debrief: light, whole, nothing outside, in order, and nothing of causes after an injury."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.report import debrief_made as made
from tests.report import record_answers
from tests.report.pseudo import PSEUDO, Pseudo, outside, shown

from turnback.base.errors import InputError
from turnback.knowledge.reading import read_book
from turnback.physics.geodesy import bearing_deg, distance_m
from turnback.records.debrief import DebriefAnswer
from turnback.report.debrief_charts import band_paths, compared_panels, evidence
from turnback.report.debrief_files import write_debrief
from turnback.report.debrief_geojson import search_geojson
from turnback.report.debrief_page import debrief_html
from turnback.report.debrief_search_picture import search_picture
from turnback.report.debrief_side_view import side_view
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.record_facts import track_of
from turnback.report.record_rules import thresholds

Make = Callable[[], DebriefAnswer]
ALWAYS = {"debrief.html", "debrief.json", "debrief.schema.json"}


@pytest.mark.parametrize("make", [made.lost, made.hostile, made.injury], ids=lambda make: make.__name__)
def test_nothing_points_outside(make: Make) -> None:
    said = debrief_html(make())
    assert not re.search(r'(?:src|href)="(?!#|data:,")', said)
    assert not re.findall(r"https?://", said)
    assert "<script" not in said
    assert "url(" not in said.replace("url(#", "")


def test_what_was_typed_or_recorded_is_escaped() -> None:
    assert "&lt;script&gt;" in debrief_html(made.hostile())


def test_the_sections_come_in_their_order() -> None:
    said = debrief_html(made.lost())
    order = ["five", "ask-hurt", "ask-pack", "search", "story", "ask-one", "causes", "reply", "learned", "model"]
    places = [said.index(f'<section id="{name}"') for name in (*order, "expert", "told", "cautions")]
    assert places == sorted(places)
    assert said.index('<figure class="chart"') > said.index('<section id="model"')
    assert said.index("<table") > said.index('<section id="learned"')


def test_after_an_injury_the_page_says_nothing_of_causes() -> None:
    said = debrief_html(made.injury())
    names = [*(each.name for each in read_book().causes), *(each.name for each in read_book().signs)]
    assert [name for name in names if name in said] == []
    for section in ("story", "ask-one", "causes", "reply", "learned", "model", "expert"):
        assert f'<section id="{section}"' not in said
    assert said.index('<section id="hurt"') < said.index('<section id="pack"') < said.index('<section id="search"')


def test_nothing_is_left_of_who_where_and_when() -> None:
    said = debrief_html(made.lost(), places=False)
    assert [secret for secret in made.SECRETS if secret in said] == []
    assert 'class="map"' in said
    assert 'class="way"' not in said


@pytest.mark.parametrize("make", made.ALL, ids=lambda make: make.__name__)
def test_each_answer_makes_a_light_page(make: Make) -> None:
    for units in Units:
        assert len(debrief_html(make(), units).encode()) < 600_000


@pytest.mark.parametrize("make", [made.lost, made.words_only, made.injury], ids=lambda make: make.__name__)
def test_every_word_can_be_translated(make: Make) -> None:
    record = record_answers.flight().flown.record
    known = [
        *made.SECRETS,
        made.SAID,
        *make().words,
        *(each.name for each in record.matches),
        "debrief.json",
        "--redact",
    ]
    with speaking_by(Pseudo(), PSEUDO):
        page = debrief_html(make())
    known += [row.unit for row in thresholds().values()]
    spoken = [text.replace("\N{NO-BREAK SPACE}", " ") for text in shown(page)]
    said = [text for text in spoken if not text.startswith("--answer") and not re.fullmatch(r"\s*[a-h]\s*", text)]
    units = {"dBm", "V", "A", "m", "m/s", "°/s", "Hz", "dB", "W", "Ω", "Ah"}
    assert [(text, left) for text in said if (left := set(outside(text, known)) - units)] == []


def test_the_evidence_has_a_row_for_each_sign_and_a_bar_for_each_weight() -> None:
    answer = made.alike()
    found = evidence(answer, read_book(), Units.METRIC)
    assert found is not None
    assert len(found.causes) == 5
    assert [len(row.cells) for row in found.rows] == [5, 5]
    first, second = found.rows
    assert [cell.number for cell in first.cells] == ["+12", "+11", "+10", "+9", "+8"]
    assert [cell.share for cell in first.cells] == [60.0, 55.0, 50.0, 45.0, 40.0]
    assert not any(cell.against for cell in first.cells)
    assert {(cell.number, cell.against) for cell in second.cells} == {("-3", True)}
    assert second.sign.startswith("Not so that ")


def test_a_band_is_one_area_for_each_unbroken_stretch() -> None:
    t_s = np.arange(10.0)
    low, high = np.zeros(10), np.ones(10)
    low[4], high[8:] = np.nan, np.nan
    paths = band_paths(t_s, low, high, 0.0, 2.0)
    assert len(paths) == 2
    # from 0 to 3 of 9 seconds across, from 1 to 0 of 2 up: half-way down to the foot of 200
    assert paths[0].startswith("M0.0 100.0L")
    assert "333.3 100.0L333.3 200.0" in paths[0]
    assert all(each.endswith("Z") for each in paths)


def test_each_comparison_is_a_chart_with_its_band() -> None:
    panels = compared_panels(made.against(), Units.IMPERIAL)
    assert [panel.title for panel in panels][-1] == "Height, over ground and trees on the straight way home (ft)"
    assert all(len(panel.bands) == 1 and len(panel.curves) == 2 for panel in panels)
    assert all(panel.curves[0].path.count("M") == 2 for panel in panels)  # recorded, with a gap


def test_the_line_of_the_side_view_passes_the_obstacle_by_its_clearance() -> None:
    at = made.against().at_loss
    assert at is not None
    found = side_view(at, Units.METRIC)
    assert found is not None
    (left, start), (right, end) = re.findall(r"([\d.]+) ([\d.]+)", found.curves[0].path)
    middle, peak = map(float, re.findall(r"L([\d.]+) ([\d.]+)", found.bands[0])[0])
    assert (float(left), float(right)) == (0.0, 1000.0)
    assert middle == pytest.approx(1000.0 * 620.0 / 842.0, abs=0.1)
    first, last = found.ticks_y[0], found.ticks_y[-1]
    px_per_m = (first.at - last.at) / 100.0 * 200.0 / (float(last.label) - float(first.label))
    passes = float(start) + (float(end) - float(start)) * middle / 1000.0
    assert (passes - peak) / px_per_m == pytest.approx(14.0, abs=0.1)  # below the top: it runs through the ground
    assert [tick.label for tick in found.ticks_x] == ["0", "200 m", "400 m", "600 m", "800 m"]
    assert side_view(replace(at, obstacle_from_launch_m=float("nan")), Units.METRIC) is None


def test_the_map_draws_the_last_minute_of_a_track_that_ends_there() -> None:
    track = track_of(record_answers.flight().flown)
    assert track is not None
    at = int(np.searchsorted(track.t_s, 119.0))
    there = replace(made.search(), last_s=119.0, last_x_m=float(track.x_m[at]), last_y_m=float(track.y_m[at]))
    found = search_picture(there, track, Units.METRIC)
    assert found.track
    assert found.svg.count('class="way"') == 1
    assert not search_picture(made.search(), track, Units.METRIC).track  # that one ended elsewhere
    assert not search_picture(there, None, Units.METRIC).track
    for part in ("half", "most", "launch", "course", "cross", "north"):
        assert found.svg.count(f'class="{part}"') == 1


@pytest.mark.parametrize(("units", "label"), [(Units.METRIC, "50 m"), (Units.IMPERIAL, "250 ft")])
def test_the_scale_bar_is_as_long_as_it_says(units: Units, label: str) -> None:
    svg = str(search_picture(made.search(), None, units).svg)
    left, right = map(float, re.findall(r'class="bar" d="M([\d.]+) [^H]*H([\d.]+)M', svg)[0])
    launch_x, launch_y = map(float, re.findall(r'class="launch" cx="([\d.]+)" cy="([\d.]+)"', svg)[0])
    cross_x, cross_y = map(float, re.findall(r'class="cross" d="M([\d.]+) ([\d.]+)', svg)[0])
    px_per_m = np.hypot(cross_x + 7.0 - launch_x, cross_y + 7.0 - launch_y) / np.hypot(175.0, 164.0)
    assert f">{label}</text>" in svg
    length_m = 50.0 if units is Units.METRIC else 250.0 * 0.3048
    assert (right - left) / px_per_m == pytest.approx(length_m, rel=0.01)


def test_the_search_area_lies_on_the_globe_where_it_is_said_to_lie() -> None:
    said = search_geojson(made.search())
    assert said is not None
    features = {each["properties"]["kind"]: each["geometry"] for each in json.loads(said)["features"]}
    lon, lat = features["most-likely-place"]["coordinates"]
    launch = (record_answers.LAT, record_answers.LON)
    assert float(distance_m(*launch, lat, lon)) == pytest.approx(239.8, abs=0.1)
    assert float(bearing_deg(*launch, lat, lon)) == pytest.approx(46.9, abs=0.1)
    for kind in ("half", "nine-tenths"):
        ring = np.array(features[kind]["coordinates"][0])
        assert (ring[0] == ring[-1]).all()
        turned = np.sum(ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1])
        assert turned > 0.0  # RFC 7946, 3.1.6: anticlockwise
    assert search_geojson(replace(made.search(), launch_latitude_deg=None)) is None


def test_files_are_written_and_those_of_an_earlier_answer_go(tmp_path: Path) -> None:
    out = tmp_path / "out"
    page = write_debrief(made.lost(), out, chain_text="{}\n", columns_text="[columns]\n")
    assert page == out / "debrief.html"
    names = {each.name for each in out.iterdir()}
    assert names == ALWAYS | {"letter.txt", "search.geojson", "columns.toml", "chain.json"}
    (out / "notes.txt").write_text("mine", encoding="utf-8")
    write_debrief(replace(made.injury(), steps=made.injury().steps[:1]), out, chain_text="{}\n", columns_text="x\n")
    names = {each.name for each in out.iterdir()}
    assert names == ALWAYS | {"columns.toml", "chain.json", "notes.txt"}


def test_neither_words_nor_names_are_given_away(tmp_path: Path) -> None:
    write_debrief(made.lost(), tmp_path, places=False, chain_text=made.SAID, columns_text="AnnasRoll")
    assert {each.name for each in tmp_path.iterdir()} == ALWAYS | {"letter.txt"}
    for each in tmp_path.iterdir():
        said = each.read_text(encoding="utf-8")
        assert [secret for secret in made.SECRETS if secret in said] == []


def test_nothing_is_left_where_writing_fails(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").mkdir()
    (tmp_path / "debrief.html").write_text("old", encoding="utf-8")
    with pytest.raises(InputError):
        write_debrief(made.lost(), tmp_path, chain_text="{}\n")
    assert (tmp_path / "debrief.html").read_text(encoding="utf-8") == "old"
    assert {each.name for each in tmp_path.iterdir()} == {"letter.txt", "debrief.html"}


def test_a_move_that_breaks_off_brings_the_letter_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_debrief(made.lost(), tmp_path, chain_text="{}\n", columns_text="[columns]\n")
    before = {each.name: each.read_bytes() for each in tmp_path.iterdir()}
    whole = Path.rename

    def breaks(self: Path, target: Path) -> Path:
        if self.name == "search.geojson":  # the last that goes
            raise OSError(28, "No space left")
        return whole(self, target)

    monkeypatch.setattr(Path, "rename", breaks)
    with pytest.raises(InputError):
        write_debrief(replace(made.injury(), steps=()), tmp_path, chain_text="{}\n", columns_text="[columns]\n")
    monkeypatch.undo()
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before
