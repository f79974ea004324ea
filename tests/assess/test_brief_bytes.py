"""The same case and seed give the same bytes, with one thread or two."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.assess.cases import case_of

from turnback.flows.brief import brief
from turnback.report.brief_json import brief_json

ROOT = Path(__file__).parents[2]
PROGRAM = """
import hashlib
from tests.assess.cases import case_of
from turnback.flows.brief import brief
from turnback.report.brief_json import brief_json
print(hashlib.sha256(brief_json(brief(case_of(route__distance_m=700), seed=3)).encode()).hexdigest())
"""


def digest(threads: int) -> str:
    """Return the digest of a brief computed in a process of its own."""
    environment = {**os.environ, "NUMBA_NUM_THREADS": str(threads), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], env=environment, cwd=ROOT, capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


@pytest.mark.slow
def test_one_thread_or_two_give_the_same_bytes() -> None:
    """Two processes, one seed."""
    one, two = digest(1), digest(2)
    assert len(one) == 64
    assert one == two


def test_the_seed_counts() -> None:
    """Another seed draws other worlds; the same seed the same."""
    texts = [brief_json(brief(case_of(route__distance_m=700), seed=seed)) for seed in (1, 1, 2)]
    assert texts[0] == texts[1]
    assert texts[0] != texts[2]
