"""``turnback record`` from the command line, in this process: what it prints, writes, asks and refuses."""

from __future__ import annotations

import gzip
import json
import re
from pathlib import Path

import jsonschema
import pytest

from turnback.cli import main

EXAMPLE = Path(__file__).resolve().parents[1] / "examples" / "records" / "link-lost.csv.gz"
PACK = ["--cells", "6", "--chemistry", "LiPo"]


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["record", *words, "--json"]) == 0
    data: dict[str, object] = json.loads(capsys.readouterr().out)
    return data


@pytest.mark.slow
def test_the_example_tells_what_was_put_into_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # studies/record_example.py: the link is lost about 26 s in, it turns for home by itself, and comes down at home.
    out = tmp_path / "out"
    assert main(["record", str(EXAMPLE), *PACK, "--out", str(out)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.endswith(str(out / "record.html"))
    assert "the control link was lost" in said
    assert "automatic return" in said
    assert "This does not know your local law." in said
    page = (out / "record.html").read_text(encoding="utf-8")
    assert not re.search(r"<script|https?://(?!www\.w3\.org)", page)
    data = json.loads((out / "record.json").read_text(encoding="utf-8"))
    kinds = {each["kind"] for each in data["events"]}
    assert {"link-lost", "radio-loss-action"} <= kinds
    (action,) = [each for each in data["events"] if each["kind"] == "radio-loss-action"]
    assert action["keys"]["action"] == "automatic-return"
    (lost,) = [each for each in data["events"] if each["kind"] == "link-lost"]
    assert 25.0 < lost["start_s"] < 27.0
    assert not {"impact", "free-fall", "restart-in-flight", "rotor-speed-collapse"} & kinds
    assert main(["plan", "schema", "--of", "record"]) == 0
    jsonschema.validate(data, json.loads(capsys.readouterr().out))
    assert main(["record", str(EXAMPLE), "--columns", str(out / "columns.toml"), *PACK, "--json"]) == 0
    again = json.loads(capsys.readouterr().out)
    assert [each["kind"] for each in again["events"]] == [each["kind"] for each in data["events"]]


@pytest.mark.slow
def test_the_same_record_gives_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", str(EXAMPLE), "--json"]) == 0
    first = capsys.readouterr().out
    assert main(["record", str(EXAMPLE), "--json"]) == 0
    assert capsys.readouterr().out == first


@pytest.mark.slow
def test_a_redacted_answer_holds_no_place_and_no_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = tmp_path / "zebra-meadow.csv"
    record.write_bytes(gzip.decompress(EXAMPLE.read_bytes()))
    assert main(["record", str(record), "--redact", "--out", str(tmp_path / "out"), "--json"]) == 0
    given = capsys.readouterr().out + "".join(
        path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir() if path.name != "record.schema.json"
    )
    for secret in ("zebra", "36.60", "84.21", "Nobody flew it"):
        assert secret not in given


def test_what_the_user_says_wins(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = tmp_path / "small.csv"
    rows = "\n".join(f"{0.1 * k:.1f},{16.0 - 0.01 * k:.2f},{k % 7}" for k in range(100))
    record.write_text(f"time (s),a,b\n{rows}\n", encoding="utf-8")
    data = told(capsys, str(record), "--column", "a=pack_volts V", "--column", "b=nothing")
    columns = {each["name"]: each for each in data["columns"]}  # type: ignore[attr-defined]
    assert columns["a"]["taken"]["channel"] == "pack_volts"
    assert columns["b"]["taken"] is None


def test_a_record_without_a_clock_is_read_at_the_rate_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = tmp_path / "no-clock.csv"
    rows = "\n".join(f"{16.0 - 0.01 * k:.2f},{5.0 + k % 3:.1f}" for k in range(100))
    record.write_text(f"pack volts (V),current (A)\n{rows}\n", encoding="utf-8")
    assert main(["record", str(record)]) == 2
    assert "--rate" in capsys.readouterr().err
    data = told(capsys, str(record), "--rate", "10")
    assert data["clock"]["rate_hz"] == pytest.approx(10.0)  # type: ignore[index]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02\xff" * 500, "binary"),
        (b"time (s),volts (V)\n", "row"),
        (b"time (s),volts (V)\n0.0,nan\n0.1,nan\n0.2,nan\n", ""),
        (b"<!DOCTYPE x [<!ENTITY a 'b'>]><gpx/>", ""),
    ],
)
def test_what_cannot_be_read_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, says: str
) -> None:
    record = tmp_path / "record.csv"
    record.write_bytes(content)
    assert main(["record", str(record)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert "record.csv" in said.err
    assert says in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    "words",
    [
        ["--cells", "40"],
        ["--blades", "2.5"],
        ["--rate", "0"],
        ["--column", "no sense"],
        ["--column", "nowhere=pack_volts V"],
        ["--columns", "missing.toml"],
    ],
)
def test_what_is_told_wrongly_is_told_back(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", str(EXAMPLE), *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.strip()
    assert "Traceback" not in said.err


def test_columns_are_saved_beside_nothing_that_stands_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record, kept = tmp_path / "small.csv", tmp_path / "mine.toml"
    rows = "\n".join(f"{0.1 * k:.1f},{16.0 - 0.01 * k:.2f}" for k in range(100))
    record.write_text(f"time (s),pack volts (V)\n{rows}\n", encoding="utf-8")
    assert main(["record", str(record), "--save-columns", str(kept)]) == 0
    saved = kept.read_text(encoding="utf-8")
    assert 'means = "pack_volts"' in saved
    assert main(["record", str(record), "--save-columns", str(kept)]) == 2
    assert "there already" in capsys.readouterr().err
    assert kept.read_text(encoding="utf-8") == saved
