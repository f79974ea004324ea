"""``turnback card``: options, what is written where, and how it fails."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.report import card_sample, pdf_reading

from turnback import api
from turnback.cli import main
from turnback.records.case import Case
from turnback.records.finding import Verdict
from turnback.records.result import BriefResult

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
PLAN = str(EXAMPLES / "go.toml")
NOW = "2026-06-01T10:05+02:00"


@pytest.fixture
def answered(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Let the brief answer at once; the plan is read as ever."""
    asked: dict[str, Any] = {"verdict": Verdict.GO}

    def brief(case: Case, *, seed: int = 1, **given: Any) -> BriefResult:
        asked.update(given, case=case, seed=seed)
        return card_sample.brief(asked["verdict"], title=case.title, seed=seed)

    monkeypatch.setattr(api, "_brief", brief)
    return asked


def test_the_card_stands_where_it_was_asked_for(
    answered: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "a card.pdf"
    assert main(["card", PLAN, "--out", str(out), "--now", NOW, "--seed", "12"]) == 0
    told = capsys.readouterr()
    assert told.out == f"Go. By all that was entered, this flight comes home.\n{out}\n"
    assert told.err == ""
    said = pdf_reading.words(out.read_bytes())
    assert "Invented: a near flight, everything known" in said
    assert "Valid 2026-06-01 10:05 to 11:35 (UTC+02:00)." in said
    assert "seed 12" in said
    assert answered["seed"] == 12
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(out.stat().st_mode) == 0o666 & ~mask


def test_without_a_name_it_is_card_pdf_here(
    answered: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["card", PLAN]) == 0
    assert capsys.readouterr().out.endswith("\ncard.pdf\n")
    assert [each.name for each in tmp_path.iterdir()] == ["card.pdf"]


def test_options_change_paper_units_and_verdict(answered: dict[str, Any], tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    answered["verdict"] = Verdict.GO_WITH_LIMITS
    assert main(["card", PLAN, "--out", str(out), "--paper", "quarter-letter", "--units", "imperial"]) == 0
    (page,) = pdf_reading.reader(out.read_bytes()).pages
    assert float(page.mediabox.width) == pytest.approx(4.25 * 72.0, abs=0.05)
    assert " ft" in pdf_reading.words(out.read_bytes())
    answered["verdict"] = Verdict.NO_GO
    assert main(["card", PLAN, "--out", str(out)]) == 0  # an answer was reached; what stood there is replaced
    assert "Do not fly" in pdf_reading.words(out.read_bytes())


def test_a_redacted_card_has_no_name(answered: dict[str, Any], tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    assert main(["card", PLAN, "--out", str(out), "--redact"]) == 0
    assert "Invented" not in pdf_reading.words(out.read_bytes())


def test_the_same_plan_time_and_seed_give_the_same_bytes(answered: dict[str, Any], tmp_path: Path) -> None:
    cards = [tmp_path / "one.pdf", tmp_path / "other.pdf"]
    for out in cards:
        assert main(["card", PLAN, "--out", str(out), "--now", NOW]) == 0
    assert cards[0].read_bytes() == cards[1].read_bytes()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--out", "folder"], "folder: cannot be written (is a directory)"),
        (["--out", "missing/card.pdf"], "missing/card.pdf: cannot be written (no such file or directory)"),
        (["--out", "file/card.pdf"], "file/card.pdf: cannot be written (not a directory)"),
        (["--paper", "a5"], "invalid choice"),
    ],
)
def test_what_cannot_be_written_is_one_sentence(
    answered: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    words: list[str], told: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_text("stays", encoding="utf-8")
    assert main(["card", PLAN, *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert told in said.err
    assert said.err.count("\n") == 1
    assert sorted(each.name for each in tmp_path.rglob("*")) == ["file", "folder"]  # nothing half written
    assert (tmp_path / "file").read_text(encoding="utf-8") == "stays"


def test_what_stood_there_stays_where_the_plan_is_at_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "card.pdf"
    out.write_bytes(b"the old card")
    assert main(["card", str(tmp_path / "no-plan.toml"), "--out", str(out)]) == 2
    assert out.read_bytes() == b"the old card"
    assert "no-plan.toml" in capsys.readouterr().err


def test_the_age_of_the_weather_shortens_its_hours(answered: dict[str, Any], tmp_path: Path) -> None:
    text = (EXAMPLES / "go.toml").read_text(encoding="utf-8")
    weather = text[text.index("[weather]") : text.index("[route]")]
    told = '[weather]\nmetar = "METAR ZZZZ 010735Z 25007KT 9999 16/08 Q1016"\nmetar_distance_km = 8\n\n'
    plan = tmp_path / "plan.toml"
    plan.write_text(text.replace(weather, told), encoding="utf-8")
    for part in ("parts", "terrain"):
        shutil.copytree(EXAMPLES / part, tmp_path / part)
    out = tmp_path / "card.pdf"
    assert main(["card", str(plan), "--out", str(out), "--now", "2026-06-01T08:05Z"]) == 0
    assert "Valid 2026-06-01 08:05 to 09:05 (UTC)." in pdf_reading.words(out.read_bytes())


def test_help_loads_no_typesetter() -> None:
    code = "import sys\nfrom turnback.cli import main\nmain(['card', '--help'])\nprint('typst' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.endswith("\nFalse\n")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "verdict"),
    [("go", "Go"), ("go-with-limits", "Go with limits"), ("no-go", "Do not fly"), ("cannot-say", "Do not fly"),
     ("demo", "Do not fly"), ("ten-lines", "Do not fly")],
)  # fmt: skip
def test_every_example_prints_one_page(name: str, verdict: str, tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    for paper in ("a6", "quarter-letter"):
        assert main(["card", str(EXAMPLES / f"{name}.toml"), "--out", str(out), "--paper", paper, "--now", NOW]) == 0
        printed = out.read_bytes()
        assert len(pdf_reading.reader(printed).pages) == 1
        assert verdict in pdf_reading.words(printed)
        assert min(pdf_reading.sizes_pt(printed)) >= 6.5
