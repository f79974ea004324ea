"""``turnback terrain get`` by hand: what it says, and that it never leaves half a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from turnback.cli import main

PLACE = ["terrain", "get", "--lat", "36.5", "--lon", "-84.5"]


@pytest.fixture(autouse=True)
def no_service(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("TURNBACK_TERRAIN_FROM", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def test_without_an_address_it_asks_for_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*PLACE, "--to", str(tmp_path / "ground.tif")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "no address to fetch ground from is set" in said.err
    assert "TURNBACK_TERRAIN_FROM" in said.err
    assert not (tmp_path / "ground.tif").exists()


def test_the_address_may_stand_in_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TURNBACK_TERRAIN_FROM", "http://127.0.0.1:1/{NS}{lat}{EW}{lon}.tif")  # nobody listens at port 1
    assert main([*PLACE, "--to", str(tmp_path / "ground.tif")]) == 2
    said = capsys.readouterr().err
    assert "nobody answers at 127.0.0.1: this machine looks offline" in said
    assert said.count("\n") == 1
    assert not list(tmp_path.glob("*ground*"))


@pytest.mark.parametrize("megabytes", ["-1", "nan", "1e30"])
def test_a_cache_of_no_size_is_refused(megabytes: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = [
        *PLACE,
        "--from",
        "http://127.0.0.1:1/x.tif",
        "--cache-mb",
        megabytes,
        "--to",
        str(tmp_path / "ground.tif"),
    ]
    assert main(words) == 2
    assert "--cache-mb" in capsys.readouterr().err
