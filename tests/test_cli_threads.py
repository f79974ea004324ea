"""Threads that wait leave the core to others, unless somebody decided otherwise."""

from __future__ import annotations

import os

import pytest

from turnback.cli import main


@pytest.mark.parametrize(("given", "held"), [(None, "passive"), ("active", "active")])
def test_waiting_threads_sleep_unless_told_otherwise(
    monkeypatch: pytest.MonkeyPatch, given: str | None, held: str
) -> None:
    monkeypatch.setenv("OMP_WAIT_POLICY", given or "")
    if given is None:
        monkeypatch.delenv("OMP_WAIT_POLICY")
    assert main(["--version"]) == 0
    assert os.environ["OMP_WAIT_POLICY"] == held
