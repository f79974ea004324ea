"""``turnback plan new`` from options, from answers, from nothing; and its plan read back by ``plan verify``."""

from __future__ import annotations

import io
import json
import os
import pty
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from turnback.cli import main

OPTIONS = [
    "--aircraft-class", "5-inch, 4 cells", "--pack-label", "4S 1500 mAh 95C", "--control-class", "2.4 GHz, 100 mW",
    "--video-class", "analogue 5.8 GHz, 200 mW", "--distance-m", "250", "--bearing-deg", "40", "--height-m", "40",
]  # fmt: skip


def test_options_make_a_plan_that_reads_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "new.toml"
    assert main(["plan", "new", *OPTIONS, "--no-questions", "--to", str(path)]) == 0
    assert capsys.readouterr().out == f"{path}\n"
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert table["schema"] == 1
    assert table["aircraft"]["class"] == "5-inch, 4 cells"
    assert table["route"]["distance_m"] == 250
    assert main(["plan", "verify", str(path)]) == 0


def test_without_a_file_the_plan_goes_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "new", *OPTIONS, "--no-questions"]) == 0
    assert tomllib.loads(capsys.readouterr().out)["pack"]["label"] == "4S 1500 mAh 95C"


def test_a_file_that_is_there_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine")
    assert main(["plan", "new", *OPTIONS, "--no-questions", "--to", str(path)]) == 2
    assert capsys.readouterr().err == f"{path}: is there already; name another file, or take that one away first.\n"
    assert path.read_text() == "mine"


def test_every_answer_that_cannot_be_used_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    words = [*OPTIONS, "--no-questions", "--height-m", "tall", "--aircraft-class", "airliner"]
    assert main(["plan", "new", *words]) == 2
    told = capsys.readouterr().err.splitlines()
    assert [line.split(":")[0] for line in told] == ["--aircraft-class", "--height-m"]


def test_what_is_missing_is_told_where_nobody_can_be_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert main(["plan", "new", *OPTIONS[2:]]) == 2
    assert "aircraft_class" in capsys.readouterr().err


def test_answers_may_come_from_a_file_one_a_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first question is the class; an answer that cannot be used is asked again; then the file ends."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("airliner\n5-inch, 4 cells\n"))
    assert main(["plan", "new", *OPTIONS[2:]]) == 0
    said = capsys.readouterr()
    assert tomllib.loads(said.out)["aircraft"]["class"] == "5-inch, 4 cells"
    assert said.err == ""  # no prompts where nobody looks on


def test_a_person_is_asked_on_standard_error_and_the_plan_alone_is_printed() -> None:
    """A real terminal (a pseudo-terminal) on standard input."""
    ours, theirs = pty.openpty()
    command = subprocess.Popen(
        [sys.executable, "-m", "turnback", "plan", "new", *OPTIONS[2:]],
        stdin=theirs, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    os.close(theirs)
    os.write(ours, b"5-inch, 4 cells\n" + b"\n" * 12 + b"\x04")
    out, err = command.communicate(timeout=300)
    os.close(ours)
    assert command.returncode == 0, err
    assert tomllib.loads(out)["aircraft"]["class"] == "5-inch, 4 cells"
    assert "Which class of aircraft is it?" in err
    assert "5-inch, 4 cells" in err  # the choices are shown
    assert "[don't know]" in err


def test_help_names_every_question(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "new", "--help"]) == 0
    said = capsys.readouterr().out
    for flag in OPTIONS[::2]:
        assert flag in said


def test_the_schema_is_one_and_holds_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "schema"]) == 0
    schema: dict[str, Any] = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator.check_schema(schema)
    example = Path(__file__).parent.parent / "examples" / "ten-lines.toml"
    validator = jsonschema.Draft202012Validator(schema)
    table = tomllib.loads(example.read_text(encoding="utf-8"))
    validator.validate(table)
    assert list(validator.iter_errors({**table, "speling": 1}))
