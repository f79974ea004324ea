"""--redact: nothing that a run gives out tells where it was flown, who flew, or what a file was called."""

from __future__ import annotations

import base64
import contextlib
import dataclasses
import io
import json
import math
import re
import struct
import zlib
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.report import sample, secret_plan, whole_sample

from turnback import api
from turnback.cli import main
from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report.brief_json import brief_data
from turnback.report.card import Made, Paper, card_data, write_card
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.redact import MAP_CELLS_M, redacted
from turnback.report.terminal import brief_text

COMMANDS = {"brief": ".", "card": "card.pdf"}
"""Every command that answers, and what it is told to write."""
BEFORE = whole_sample.brief()
AFTER = redacted(BEFORE)
RULES_FROM = {Units.METRIC: "880 m from launch, 51 m", Units.IMPERIAL: "2890 ft from launch, 167 ft"}
"""The ridge of sample.py: 880 m out, 431 m above a sea whose launch point is at 380 m."""
LAUNCH_M = 380.0  # as sample.profile has its first ground


def printed(*words: str) -> str:
    """Return what a command prints on standard output; it must reach an answer."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(words) == 0
    return out.getvalue()


def run(plan: Path, folder: Path, *told: str, all_units: tuple[str, ...], commands: dict[str, str]) -> dict[str, str]:
    """Run commands with everything they can write, and return all that they give out, by name."""
    at = ["--now", secret_plan.NOW, *told]
    faces = {"--json": printed("brief", str(plan), "--json", *at)}
    for units in all_units:
        for command, name in commands.items():
            out = folder / f"{command}-{units}"
            out.mkdir(parents=True)
            said = printed(command, str(plan), "--units", units, "--out", str(out / name), *at)
            said = said.replace(str(out), "")  # where the reader let it be written
            faces |= {f"{command}, {units}: {name}": text for name, text in secret_plan.faces(said, out).items()}
    return faces


@pytest.fixture(scope="module", params=["waypoints", "track"])
def runs(request: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[bool, dict[str, str]]:
    """Return what an ordinary and a redacted run give out, of a plan by waypoints and of one by a track."""
    folder = tmp_path_factory.mktemp("run")
    plan = secret_plan.write(folder, track=request.param == "track")
    all_units = ("metric", "imperial") if request.param == "waypoints" else ("imperial",)
    return {
        False: run(plan, folder / "plain", all_units=all_units[:1], commands={"brief": "."}),
        True: run(plan, folder / "told", "--redact", all_units=all_units, commands=COMMANDS),
    }


def numbers_in(text: str) -> set[float]:
    """Return every number with a decimal point in a text."""
    return {float(number) for number in re.findall(r"(?<![\w.])-?\d+\.\d+", text.replace("\u2212", "-"))}


# The whole run, through the command line


@pytest.mark.slow
def test_no_face_of_a_redacted_run_holds_a_secret(runs: dict[bool, dict[str, str]]) -> None:
    faces = runs[True]
    written = {"brief.json", "brief.schema.json", "report.html", "report.pdf (text)", "report.pdf (metadata)"}
    assert written <= {name.split(": ")[-1] for name in faces}
    assert any(name.endswith(": card.pdf (text)") for name in faces)
    assert all(len(text) > 1000 for name, text in faces.items() if name.endswith(("report.html", ".json")))
    found = {name: secrets for name, text in faces.items() if (secrets := secret_plan.secrets_in(text))}
    assert not found
    assert not [name for name, text in faces.items() if "above sea level" in " ".join(text.split())]


@pytest.mark.slow
def test_the_same_search_finds_them_in_an_ordinary_run(runs: dict[bool, dict[str, str]]) -> None:
    searched = [name for name in runs[False] if name.endswith(("--json", "brief.json", ": printed", "report.html"))]
    assert len(searched) == 4
    for name in searched:
        joined = " ".join(runs[False][name].split())  # a terminal breaks lines between words
        assert set(secret_plan.SHOWN_UNREDACTED) <= set(secret_plan.secrets_in(joined)), name


@pytest.mark.slow
def test_no_height_above_sea_level_is_left(runs: dict[bool, dict[str, str]]) -> None:
    plain, told = (json.loads(runs[redact]["--json"]) for redact in (False, True))
    ground = np.array(plain["profile"]["ground_m"])
    assert ground[0] == pytest.approx(secret_plan.LAUNCH_GROUND_M, abs=0.01)
    assert told["profile"]["ground_m"] == pytest.approx(list(ground - ground[0]), abs=0.0011)
    assert told["heights_above"] == "launch"
    # nothing here is as large as a height above sea level but distances and times, and those are the same in both
    left = numbers_in(runs[True]["--json"]) - numbers_in(runs[False]["--json"])
    assert left
    assert max(left) < 200.0
    assert told["air"]["pressure_hpa"] is told["air"]["density_kg_m3"] is told["air"]["density_altitude_m"] is None


@pytest.mark.slow
def test_redacting_changes_no_number_a_pilot_keeps_to(runs: dict[bool, dict[str, str]]) -> None:
    plain, told = (json.loads(runs[redact]["--json"]) for redact in (False, True))
    same = ("verdict", "energy", "return", "chance", "pilot", "care", "changes", "assumed", "draws", "seed")
    assert {key: told[key] for key in same} == {key: plain[key] for key in same}


@pytest.mark.slow
def test_a_card_to_fly_by_holds_no_secret_either(tmp_path: Path) -> None:
    now = datetime.fromisoformat(secret_plan.NOW.replace("Z", "+00:00"))
    plain = dataclasses.replace(api.brief(secret_plan.write(tmp_path, track=True), now=now), verdict=Verdict.GO)
    found = {}
    for name, result in {"plain": plain, "told": redacted(plain)}.items():
        out = tmp_path / name
        out.mkdir()
        write_card(result, out / "card.pdf", Made(now), Paper.A6)
        faces = secret_plan.faces("", out)
        assert "Whichever comes first" in faces["card.pdf (text)"]
        found[name] = [secret for text in faces.values() for secret in secret_plan.secrets_in(" ".join(text.split()))]
    assert secret_plan.PLAN_NOTE in found["plain"]
    assert not found["told"]


# The search itself


def test_the_search_finds_a_coordinate_however_it_is_written() -> None:
    lat, lon = secret_plan.LAT, secret_plan.LON
    for text in (f"at {lat}", f'"y": {lat + 4e-4:.6f},', f"{abs(lat):.5f} S", f"{lon:.4f}".replace("-", "\u2212")):
        assert secret_plan.secrets_in(text), text
    for text in (f"{lat + 0.01}", f"{abs(lat) + 0.01:.5f}", "61.3 m", "-1283.7"):
        assert not secret_plan.secrets_in(text), text


def test_the_search_reads_what_lies_inside_pictures_and_pdf_files(tmp_path: Path) -> None:
    chunk = b"tEXtSource\0Maplewick"
    head = struct.pack(">I", len(chunk) - 4) + chunk + struct.pack(">I", zlib.crc32(chunk))
    png = b"\x89PNG\r\n\x1a\n" + head
    (tmp_path / "page.html").write_text(f'<img src="data:image/png;base64,{base64.b64encode(png).decode()}">')
    (tmp_path / "map.png").write_bytes(png)
    from pypdf import PdfWriter
    from pypdf.generic import DecodedStreamObject, NameObject

    writer = PdfWriter()
    page = writer.add_blank_page(100, 100)
    stream = DecodedStreamObject()
    stream.set_data(b"(Tamsin) Tj")
    page[NameObject("/Contents")] = writer._add_object(stream.flate_encode())
    writer.add_metadata({"/Author": "Brackenholt"})
    writer.write(tmp_path / "report.pdf")
    faces = secret_plan.faces("", tmp_path)
    found = {name: secret_plan.secrets_in(text) for name, text in faces.items() if secret_plan.secrets_in(text)}
    assert found["page.html (data 0)"] == found["map.png (PNG)"] == ["maplewick"]
    assert found["report.pdf (metadata)"] == ["brackenholt"]
    assert any(name.startswith("report.pdf (stream") and words == ["tamsin"] for name, words in found.items())


# The record


def test_heights_count_from_the_launch_point() -> None:
    assert pytest.approx(BEFORE.profile.ground_m - LAUNCH_M, abs=0.0006) == AFTER.profile.ground_m
    assert (AFTER.profile.antenna_m, AFTER.profile.aircraft_m, AFTER.profile.return_m) == (2.0, 60.0, 70.0)  # sample.py
    hidden = BEFORE.control.distance_m > 900.0
    assert set(AFTER.control.obstacle_height_m[hidden]) == {51.0}  # 431 m above sea level in sample.py
    assert np.isnan(AFTER.control.obstacle_height_m[~hidden]).all()
    assert AFTER.findings[0].evidence["obstacle_height_m"] == 51.0
    assert AFTER.deciding is not None
    assert AFTER.deciding.evidence["obstacle_height_m"] == 51.0
    assert AFTER.rose is not None
    assert (AFTER.rose.height_m, AFTER.rose.height_above) == (60.0, "launch")


def test_every_face_says_what_its_heights_count_from() -> None:
    parts = {"fall": None, "pilot": None, "care": None, "changes": None}  # their words need keys that a rule has
    both = [dataclasses.replace(each, **parts) for each in (BEFORE, AFTER)]  # type: ignore[arg-type]
    for units in Units:
        for shown in (brief_text, page_html):
            ordinary, told = (" ".join(shown(each, units).replace("\u00a0", " ").split()) for each in both)
            assert "above sea level" in ordinary
            assert "sea level" not in told.replace("reduced to sea level", "")
            assert "Heights are counted from the launch point." in told
            assert "Density altitude" in ordinary
            assert "Density altitude" not in told
            assert f"The ground that rules stands {RULES_FROM[units]} above launch." in told


@pytest.mark.parametrize("verdict", [Verdict.GO, Verdict.NO_GO])
def test_a_redacted_card_tells_no_time_zone(verdict: Verdict) -> None:
    made = Made(datetime(2026, 3, 24, 23, 40, tzinfo=timezone(timedelta(hours=9, minutes=30))))
    ordinary = dataclasses.replace(BEFORE, verdict=verdict, findings=())
    told = [json.dumps(card_data(each, made, Paper.A6, Units.METRIC)) for each in (ordinary, redacted(ordinary))]
    assert "2026-03-24 23:40" in told[0]
    assert "+09:30" in told[0]
    assert "2026-03-24 14:10" in told[1]
    assert not re.search(r"UTC[+-]|23:40|09:30", told[1])


def test_heights_that_counted_from_launch_stay() -> None:
    (before,), (after,) = ([f for f in each.findings if f.rule == "return.clearance"] for each in (BEFORE, AFTER))
    assert after.evidence == before.evidence
    assert AFTER.back == BEFORE.back
    rose = dataclasses.replace(BEFORE, rose=dataclasses.replace(BEFORE.rose, height_above="ground", height_m=45.0))  # type: ignore[type-var]
    told = redacted(rose).rose
    assert told is not None
    assert (told.height_m, told.height_above) == (45.0, "ground")


def test_the_last_digits_do_not_tell_the_height_that_was_taken_off() -> None:
    lifted = dataclasses.replace(BEFORE.profile, ground_m=BEFORE.profile.ground_m * 0.0 + 1283.7, antenna_m=1285.5)
    side = redacted(dataclasses.replace(BEFORE, profile=lifted)).profile
    assert side.antenna_m == 1.8  # 1285.5 - 1283.7 is 1.7999999999999545 in binary, and only there
    assert not math.copysign(1.0, float(side.ground_m[0])) < 0.0


def test_names_become_general_and_mean_the_same_area_everywhere() -> None:
    evidence: dict[str, float | str] = {"areas": 1.0, "first": whole_sample.SCHOOL, "line_of_sight": "yes"}
    finding = Finding("people.area", Severity.STOP, None, "", None, None, None, "our-choice", "none", evidence)
    told = redacted(dataclasses.replace(BEFORE, findings=(finding,)))
    assert told.findings[0].evidence == {"areas": 1.0, "first": "area 1", "line_of_sight": "yes"}
    assert told.fall is not None
    assert told.fall.meets == told.fall.places[0].areas == ("area 1", "area 2")
    assert told.ground_plan is not None
    assert [name for name, _ in told.ground_plan.areas] == ["area 2", "area 1"]  # the playground has no name
    assert (told.title, told.terrain_source) == ("A flight", "a file whose name is left out")
    assert "hills.tif" not in json.dumps(brief_data(told))


def test_an_area_with_the_name_of_an_answer_changes_no_answer() -> None:
    evidence: dict[str, float | str] = {"areas": 1.0, "first": "yes", "line_of_sight": "yes"}
    finding = Finding("people.area", Severity.STOP, None, "", None, None, None, "our-choice", "none", evidence)
    told = redacted(dataclasses.replace(sample.brief(), findings=(finding,)))
    assert told.findings[0].evidence == {"areas": 1.0, "first": "area 1", "line_of_sight": "yes"}


def test_an_area_without_a_name_is_one_of_them() -> None:
    evidence: dict[str, float | str] = {"areas": 1.0, "first": "unnamed"}
    finding = Finding("people.area", Severity.STOP, None, "", None, None, None, "our-choice", "none", evidence)
    told = redacted(dataclasses.replace(BEFORE, findings=(finding,)))
    assert told.findings[0].evidence["first"] == "area 1"
    assert told.ground_plan is not None
    assert told.ground_plan.areas[0][0] == "area 1"


def test_the_map_lies_on_a_round_grid_with_the_same_ground() -> None:
    ground = AFTER.ground_plan
    assert ground is not None
    assert ground.cell_m == 100.0 in MAP_CELLS_M  # 74.37 m before
    rows, columns = ground.heights_m.shape
    east = ground.x_west_m + np.arange(columns) * ground.cell_m
    north = ground.y_north_m - np.arange(rows) * ground.cell_m
    assert 0.0 in east
    assert 0.0 in north
    # a tilted plane is linear, so that a bilinear height is exact: its formula stands in whole_sample.py
    assert ground.heights_m == pytest.approx(0.02 * east[None, :] - 0.05 * north[:, None], abs=0.002)
    assert (ground.known == np.broadcast_to(east < 1000.0, ground.known.shape)).mean() > 0.9
    assert BEFORE.ground_plan is not None
    assert east[0] - BEFORE.ground_plan.x_west_m < 100.0
    assert BEFORE.ground_plan.y_north_m - north[0] < 100.0


@pytest.mark.parametrize(
    ("kind", "value", "told"),
    [
        (TerrainNoteKind.CELLS_WIDE, 74.37, 70.0),  # a pixel of some seconds of arc tells the latitude
        (TerrainNoteKind.COARSENED, 0.96, 1.0),
        (TerrainNoteKind.KNOWN_REACH, 1234.5, 1200.0),  # down: it is a distance to keep to
        (TerrainNoteKind.KNOWN_REACH, 847.3, 840.0),
        (TerrainNoteKind.COVER_MISSING, 0.0312, 0.04),
        (TerrainNoteKind.VOIDS_FILLED, 12.0, 12.0),
    ],
)
def test_a_note_tells_no_more_than_it_needs(kind: TerrainNoteKind, value: float, told: float) -> None:
    (note,) = redacted(dataclasses.replace(BEFORE, terrain_notes=(TerrainNote(kind, value, "m"),))).terrain_notes
    assert note.value == pytest.approx(told)
    assert (note.kind, note.unit) == (kind, "m")


def test_what_says_only_how_a_file_was_written_is_left_out() -> None:
    notes = (TerrainNote(TerrainNoteKind.UNIT_CONVERTED, 0.3048006096, "m"), TerrainNote(TerrainNoteKind.SCALED, 0.1))
    assert redacted(dataclasses.replace(BEFORE, terrain_notes=notes)).terrain_notes == ()


def test_twice_is_as_good_as_once() -> None:
    assert redacted(AFTER) is AFTER


def test_a_brief_without_its_optional_parts_can_be_redacted() -> None:
    told = redacted(dataclasses.replace(sample.brief(), video=None, deciding=None))
    assert (told.fall, told.rose, told.ground_plan, told.video, told.deciding) == (None,) * 5


def each_string(data: Any) -> Iterator[str]:
    """Return every string of plain data."""
    if isinstance(data, str):
        yield data
    for inner in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from each_string(inner)


def test_no_string_of_a_redacted_brief_was_typed_into_a_plan() -> None:
    """Every string that a person or a file could have put in is one that redacting replaced."""
    marked = dataclasses.replace(BEFORE, title="TYPED title", terrain_source="TYPED.tif")
    data = brief_data(redacted(marked))
    assert not [said for said in each_string(data) if "TYPED" in said or whole_sample.SCHOOL in said]
    assert [said for said in each_string(brief_data(marked)) if "TYPED" in said]
