"""Threads that wait leave the core to others, unless somebody decided otherwise."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

SAID = "import turnback.base.kernels, os; print(os.environ['OMP_WAIT_POLICY'])"


@pytest.mark.parametrize(("given", "held"), [(None, "passive"), ("active", "active")])
def test_waiting_threads_sleep_unless_told_otherwise(given: str | None, held: str) -> None:
    env = {name: value for name, value in os.environ.items() if name != "OMP_WAIT_POLICY"}
    env |= {} if given is None else {"OMP_WAIT_POLICY": given}
    said = subprocess.run([sys.executable, "-c", SAID], env=env, capture_output=True, text=True, check=True)
    assert said.stdout.strip() == held
