"""``turnback walk`` from the command line, in this process: what it prints, writes, keeps and refuses."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from turnback.cli import main
from turnback.readers.learned import read_learned

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
SPOTS = ["20 m, 285 deg, -60", "60 m, 285 deg, -74", "150 m, 240 deg, -86", "240 m, 240 deg, lost"]
QUICK = ["--no-map", "--now", "2025-06-01T10:00Z"]
FIXED = ["--power-mw", "25", "--power-fixed"]


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Return a copy of the examples: a walk is kept beside its plan."""
    shutil.copytree(EXAMPLES, tmp_path / "place")
    return tmp_path / "place"


def spots() -> list[str]:
    return [word for spot in SPOTS for word in ("--spot", spot)]


@pytest.mark.slow
def test_it_answers_writes_and_keeps(place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["walk", str(place / "walks" / "on-foot-control.csv"), "--plan", str(place / "demo.toml"), *QUICK]
    assert main([*words, "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert said.splitlines()[-1] == str(tmp_path / "out" / "walk.html")
    assert "Everything arrives about" in said
    assert "This does not know your local law." in said
    assert "the band is wider" in said
    kept = read_learned(place / "learned.toml")
    assert {entry.quantity for entry in kept.entries} == {
        "control_offset_db", "control_excess_exponent", "control_sigma_ratio", "control_reference_m",
        "control_walked_m",
    }  # fmt: skip
    assert {entry.from_record for entry in kept.entries} == {"on-foot-control.csv"}
    page = (tmp_path / "out" / "walk.html").read_text(encoding="utf-8")
    assert not re.search(r"<script|https?://(?!www\.w3\.org)", page)
    data = json.loads((tmp_path / "out" / "walk.json").read_text(encoding="utf-8"))
    assert 4.0 < data["fit"]["offset_db"]["mid"] < 10.0  # 7 dB were put in: studies/range_walk_example.py
    assert data["with"]["reach_m"]["low"] < data["without"]["reach_m"]["low"]
    assert main([*words]) == 0  # the same walk again is not kept twice
    assert read_learned(place / "learned.toml") == kept


def test_a_dry_run_and_a_redacted_answer_tell_and_keep_nothing_of_the_place(
    place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = shutil.copy(place / "walks" / "on-foot-control.csv", place / "walks" / "zebra-meadow.csv")
    words = ["walk", str(record), "--plan", str(place / "demo.toml"), *QUICK, "--dry-run", "--redact"]
    assert main([*words, "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out.rsplit("\n", 2)[0]
    said += "".join(path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir())
    for secret in (
        "zebra",
        "over the ridge",
        "example-valley",
        "36.60",
        "-84.2",
        "jacksboro",
        "east_m",
        "on-foot-control",
    ):
        assert secret not in said, secret
    data = json.loads((tmp_path / "out" / "walk.json").read_text(encoding="utf-8"))
    assert data["readings"]["x_m"] is None
    assert len(data["readings"]["distance_m"]) == 84
    assert not (place / "learned.toml").exists()


def test_a_file_of_learned_values_that_is_not_there_is_made(
    place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["walk", str(place / "walks" / "on-foot-control.csv"), "--plan", str(place / "demo.toml"), *QUICK]
    assert main([*words, "--learned", str(tmp_path / "no" / "new.toml")]) == 2
    assert "new.toml: its folder does not exist" in capsys.readouterr().err
    assert main([*words, "--learned", str(tmp_path / "new.toml")]) == 0
    assert "in new.toml: briefs and maps of this place use it" in " ".join(capsys.readouterr().out.split())
    assert len(read_learned(tmp_path / "new.toml").entries) == 5
    assert not (place / "learned.toml").exists()


def test_a_folder_that_cannot_be_written_is_told_at_once(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    taken = place / "demo.toml"
    assert main(["walk", "nowhere.csv", "--plan", "nowhere.toml", "--out", str(taken)]) == 2
    assert capsys.readouterr().err == f"{taken}: is a file, not a folder; name a folder to write to.\n"


def test_few_readings_are_told_and_not_kept(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", "--plan", str(place / "demo.toml"), *QUICK, *FIXED, *spots()]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Nothing is kept: 3 readings are above the receiver's floor, and a correction takes at least 8." in said
    assert "stay as they are without this walk" in said
    assert "without, " not in said  # no numbers with the walk beside those without it
    assert not (place / "learned.toml").exists()


@pytest.mark.slow
def test_spots_are_enough(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["walk", "--plan", str(place / "demo.toml"), *QUICK, *FIXED, *spots(), "--dry-run", "--json"]
    assert main([*words]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["fit"]["readings"], data["fit"]["censored"], data["lost"]) == (4, 1, 1)
    assert data["findings"][0]["rule"] == "walk.few_readings"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ([], "there are no readings"),
        (spots(), "transmit power of its readings is not known"),
        ([*spots(), "--power-mw", "25"], "nobody says that the power stayed"),
        ([*FIXED, "--spot", "somewhere"], "is no spot"),
        ([*FIXED, "--spot", "120 m, -70"], "no bearing"),
        ([*FIXED, *spots(), "--on", "yesterday"], "is not a date"),
        (["nowhere.csv", *FIXED], "does not exist"),
    ],
)
def test_what_cannot_be_used_is_said_in_a_sentence(
    place: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    assert main(["walk", "--plan", str(place / "demo.toml"), *QUICK, *more]) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""
    assert not (place / "learned.toml").exists()


def test_where_the_page_cannot_be_written_nothing_is_kept(
    place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out" / "walk.json").mkdir(parents=True)
    record = str(place / "walks" / "on-foot-control.csv")
    words = ["walk", record, "--plan", str(place / "demo.toml"), *QUICK, "--out", str(tmp_path / "out")]
    assert main(words) == 2
    assert "is a folder where a file belongs" in capsys.readouterr().err
    assert not (place / "learned.toml").exists()
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["walk.json"]


@pytest.mark.slow
def test_with_maps_the_page_shows_both_rings(place: Path, tmp_path: Path) -> None:
    words = ["walk", str(place / "walks" / "on-foot-control.csv"), "--plan", str(place / "demo.toml"), "--dry-run"]
    assert main([*words, "--now", "2025-06-01T10:00Z", "--out", str(tmp_path / "out")]) == 0
    page = (tmp_path / "out" / "walk.html").read_text(encoding="utf-8")
    assert "ring-before" in page
    assert "ring-after" in page
    data = json.loads((tmp_path / "out" / "walk.json").read_text(encoding="utf-8"))
    assert data["with"]["share_home"] < data["without"]["share_home"]
