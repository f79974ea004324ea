"""``turnback debrief`` from the command line, in this process: what it prints, writes, keeps, asks and refuses."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import jsonschema
import pytest

from turnback import api
from turnback.base.errors import bad_input
from turnback.cli import main

ROOT = Path(__file__).resolve().parents[1]
RECORD = ROOT / "examples" / "records" / "link-lost.csv.gz"
WORDS = ["--said", "it flipped over the moment I gave throttle"]
ON = ["--on", "2026-05-02"]


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["debrief", *words, *ON, "--json"]) == 0
    data: dict[str, object] = json.loads(capsys.readouterr().out)
    return data


def test_words_alone_print_people_first_and_one_question(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["debrief", *WORDS, *ON]) == 0
    said = " ".join(capsys.readouterr().out.split())
    order = [
        "Is anybody hurt",
        "Is the pack safe",
        "The one question that decides most",
        "Why, most likely",
        "The reply",
    ]
    places = [said.index(each) for each in order]
    assert places == sorted(places)
    assert "This does not know your local law." in said


def test_answers_go_on_in_the_folder_that_was_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "case"
    assert main(["debrief", *WORDS, *ON, "--out", str(out)]) == 0
    assert capsys.readouterr().out.rstrip().endswith(str(out / "debrief.html"))
    assert main(["debrief", "--answer", "hurt=no", "--answer", "pack=fine", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "--answer hurt=no" not in said
    assert "--answer pack=fine" not in said
    kept = json.loads((out / "chain.json").read_text(encoding="utf-8"))
    assert kept["answers"] == [{"hurt": "no"}, {"pack": "fine"}]
    assert kept["words"] == [WORDS[1]]
    assert kept["on"] == "2026-05-02"
    assert main(["debrief", "--take-back", "2", "--out", str(out)]) == 0
    assert "--answer hurt=no" in capsys.readouterr().out


def test_an_injury_leaves_no_cause_and_no_letter_anywhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "case"
    assert main(["debrief", *WORDS, *ON, "--out", str(out)]) == 0
    assert (out / "letter.txt").exists()
    capsys.readouterr()
    assert main(["debrief", "--answer", "hurt=yes", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert not (out / "letter.txt").exists()
    page = (out / "debrief.html").read_text(encoding="utf-8")
    data = (out / "debrief.json").read_text(encoding="utf-8")
    cause = "propeller of the wrong direction"
    for text in (said, page, data):
        assert cause not in text.lower()
    assert json.loads(data)["belief"] is None
    assert json.loads(data)["letter"] is None


@pytest.mark.slow
def test_a_record_writes_page_numbers_and_letter_that_keep_to_their_schema(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "case"
    plan = tmp_path / "plan"
    shutil.copytree(ROOT / "examples", plan)
    given = [str(RECORD), "--plan", str(plan / "demo.toml"), "--said", "lost it behind the ridge", *ON]
    assert main(["debrief", *given, "--out", str(out)]) == 0
    capsys.readouterr()
    data = json.loads((out / "debrief.json").read_text(encoding="utf-8"))
    assert main(["plan", "schema", "--of", "debrief"]) == 0
    jsonschema.validate(data, json.loads(capsys.readouterr().out))
    page = (out / "debrief.html").read_text(encoding="utf-8")
    assert not re.search(r"<script|https?://(?!www\.w3\.org)", page)
    assert len((out / "letter.txt").read_text(encoding="utf-8").split()) < 150
    assert (out / "columns.toml").exists()


@pytest.mark.slow
def test_what_is_learned_is_kept_once_beside_the_plan_and_not_by_a_dry_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "plan")
    given = [str(RECORD), "--plan", str(tmp_path / "plan" / "demo.toml"), *ON]
    kept = tmp_path / "plan" / "learned.toml"
    kept.unlink(missing_ok=True)
    taught = told(capsys, *given, "--dry-run")["learned"]
    assert not kept.exists()
    assert taught
    told(capsys, *given)
    first = kept.read_text(encoding="utf-8")
    told(capsys, *given)
    assert kept.read_text(encoding="utf-8") == first
    assert "2026-05-02" in first
    assert main(["brief", str(tmp_path / "plan" / "demo.toml")]) == 0


@pytest.mark.slow
def test_redacting_takes_out_places_names_and_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "case"
    words = "flew at Mill Lane 7 in Duckburg, it never came back"
    assert main(["debrief", str(RECORD), "--said", words, *ON, "--redact", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    everything = said + "".join(path.read_text(encoding="utf-8") for path in out.iterdir())
    for secret in ("Mill Lane", "Duckburg", "link-lost.csv", "2026-05-02", "36.60", "84.21"):
        assert secret not in everything, secret
    assert not (out / "chain.json").exists()


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ([], "nothing was told"),
        (["--said", "x", "--answer", "hurt=maybe"], "write yes or no"),
        (["--said", "x", "--answer", "hurt"], "CHECK=RESULT"),
        (["--go-on", "nowhere"], "begin anew"),
        (["--said", "x", "--take-back", "1"], "cannot be taken back"),
        (["nowhere.csv"], "nowhere.csv"),
        (["--said", "x", "--plan", "nowhere.toml"], "nowhere.toml"),
        (["--said", "x", "--cells", "99"], "--cells"),
    ],
)
def test_bad_input_is_one_sentence_and_status_2(
    words: list[str], what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["debrief", *words]) == 2
    said = capsys.readouterr()
    assert what in said.err
    assert "Traceback" not in said.err
    assert said.out == ""


def test_a_closed_recording_is_told_with_the_channels_to_export(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "flight.bin"
    file.write_bytes(bytes(range(256)) * 16)
    assert main(["debrief", str(file), *WORDS]) == 2
    said = capsys.readouterr().err
    assert "closed binary form" in said
    assert "CSV" in said
    assert "pack volts" in said


def test_where_nothing_can_be_kept_the_answer_is_whole_all_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise bad_input("learned.toml", "cannot be written", "name another file")

    monkeypatch.setattr(api, "keep_debrief", fails)
    assert main(["debrief", *WORDS, *ON, "--out", str(tmp_path / "case")]) == 2
    said = capsys.readouterr()
    assert said.err == "learned.toml: cannot be written; name another file.\n"
    assert "The reply to send" in said.out
    assert (tmp_path / "case" / "debrief.html").exists()
    assert main(["debrief", *WORDS, *ON, "--dry-run"]) == 0


def test_an_injury_told_later_holds_back_what_was_answered_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "case"
    assert main(["debrief", *WORDS, *ON, "--answer", "hurt=no", "--out", str(out)]) == 0
    capsys.readouterr()
    data = told(capsys, "--go-on", str(out), "--said", "the child it hit is in hospital")
    assert data["held_back"]
    assert data["letter"] is None


def test_what_is_gone_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "case"
    assert main(["debrief", *WORDS, *ON, "--out", str(out)]) == 0
    chain = out / "chain.json"
    kept = json.loads(chain.read_text(encoding="utf-8"))
    chain.write_text(json.dumps(kept | {"record": "/gone.csv", "plan": "/gone.toml"}), encoding="utf-8")
    capsys.readouterr()
    assert main(["debrief", "--answer", "hurt=no", "--out", str(out)]) == 0
    said = capsys.readouterr().err
    assert "The record of the earlier answer is not there any more, or was changed, and nothing of it" in said
    assert "The plan of the earlier answer is not there any more, or was changed." in said


def test_half_a_character_in_a_chain_breaks_no_writing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "case"
    assert main(["debrief", *WORDS, *ON, "--out", str(out)]) == 0
    chain = out / "chain.json"
    kept = json.loads(chain.read_text(encoding="utf-8"))
    chain.write_text(json.dumps(kept | {"words": ["\ud800 it flipped"]}), encoding="utf-8")
    capsys.readouterr()
    assert main(["debrief", "--answer", "hurt=no", "--out", str(out)]) == 0


@pytest.mark.slow
def test_a_search_without_a_direction_is_a_ring_and_no_way_to_walk(tmp_path: Path) -> None:
    out = tmp_path / "case"
    assert main(["debrief", "--said", "lost it 300 m away, cant find it", *ON, "--out", str(out)]) == 0
    page = (out / "debrief.html").read_text(encoding="utf-8")
    assert "no direction is known" in page
    assert "the way to walk from the launch point" not in page
    assert 'class="last"' not in page


@pytest.mark.slow
def test_nothing_is_kept_beside_a_plan_that_only_the_chain_names(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "examples", tmp_path / "plan")
    kept = tmp_path / "plan" / "learned.toml"
    kept.unlink(missing_ok=True)
    out = tmp_path / "case"
    plan = ["--plan", str(tmp_path / "plan" / "demo.toml")]
    assert main(["debrief", str(RECORD), *plan, *ON, "--dry-run", "--out", str(out)]) == 0
    assert main(["debrief", "--answer", "hurt=no", "--out", str(out)]) == 0
    assert not kept.exists()
    assert main(["debrief", "--answer", "hurt=no", *plan, "--out", str(out)]) == 0
    assert kept.exists()
