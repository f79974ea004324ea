"""The chain of a bench, kept and read again; strangers' files are refused in one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.bench_chain import Kept, chain_text, read_chain, read_kept
from turnback.records.aircraft import Rotation
from turnback.records.bench import Gains
from turnback.records.bench_talk import Step, StepKind

STEPS = (
    Step(StepKind.SAID, "it flipped, 2\" up – über allem"),
    Step(StepKind.SAW, "flips-at-once=front-left"),
    Step(StepKind.CHECKED, "propeller-direction.front-left=wrong"),
    Step(StepKind.NO_SIGN, "some-sign"),
)  # fmt: skip


def test_a_chain_comes_back_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "chain.json"
    file.write_text(chain_text(STEPS), encoding="utf-8")
    assert read_chain(file) == STEPS
    assert read_chain(tmp_path) == STEPS
    assert chain_text(read_chain(file)) == chain_text(STEPS)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "not JSON"),
        (b"\xff\xfe", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"{}", "not the chain"),
        (b"[]", "not the chain"),
        (b'{"turnback_bench_chain": 2, "steps": []}', "not the chain"),
        (b'{"turnback_bench_chain": 1, "steps": {}}', "not the chain"),
        (json.dumps({"turnback_bench_chain": 1, "steps": [{"saw": "a"}] * 501}).encode(), "more than 500"),
        (b" " * 1_000_001, "larger"),
    ],
)
def test_what_is_no_chain_is_refused(data: bytes, word: str, tmp_path: Path) -> None:
    file = tmp_path / "chain.json"
    file.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_chain(file)
    assert word in str(caught.value)


@pytest.mark.parametrize(
    "row", [1, {}, {"saw": 1}, {"saw": ""}, {"saw": "a", "said": "b"}, {"odd": "a"}, {"saw": "x" * 20_001}]
)
def test_a_step_that_is_none_is_named(row: object, tmp_path: Path) -> None:
    file = tmp_path / "chain.json"
    file.write_text(json.dumps({"turnback_bench_chain": 1, "steps": [{"saw": "spins"}, row]}))
    with pytest.raises(InputError) as caught:
        read_chain(file)
    assert "step 2" in str(caught.value)
    assert "step 1" not in str(caught.value)


def test_a_chain_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_chain(tmp_path / "none.json")
    assert "cannot be read" in str(caught.value)


@given(st.binary(max_size=300))
def test_no_bytes_bring_it_down(data: bytes) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "chain.json"
        file.write_bytes(data)
        with pytest.raises(InputError):
            read_chain(file)


def test_the_declared_scheme_and_the_gains_are_kept(tmp_path: Path) -> None:
    file = tmp_path / "chain.json"
    gains = Gains(0.2, 5.0, 0.4, 3.0)
    file.write_text(chain_text(STEPS, Rotation.ANTICLOCKWISE, gains), encoding="utf-8")
    assert read_kept(file) == Kept(STEPS, Rotation.ANTICLOCKWISE, gains)
    file.write_text(chain_text(STEPS), encoding="utf-8")
    assert read_kept(file) == Kept(STEPS)


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"front_left": 1}, "front_left"),
        ({"front_left": "leftwards"}, "front_left"),
        ({"gains": {}}, "gains"),
        ({"gains": [1, 2, 3]}, "gains"),
        ({"gains": [1, 2, "3", 4]}, "gains"),
        ({"gains": [True, 2, 0.3, 4]}, "gains"),
        ({"gains": [0.1, 6, 40, 2]}, "limit"),
        ({"gains": [0.1, 6, 1e999, 2]}, "limit"),
    ],
)
def test_a_scheme_or_gains_that_are_none_are_refused(more: dict[str, object], word: str, tmp_path: Path) -> None:
    file = tmp_path / "chain.json"
    file.write_text(json.dumps({"turnback_bench_chain": 1, "steps": [{"saw": "spins"}], **more}))
    with pytest.raises(InputError) as caught:
        read_kept(file)
    assert word in str(caught.value)


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Opened, it would wait for ever; not every system has pipes with names, so a file plays one."""
    (tmp_path / "chain.json").write_text(chain_text(STEPS), encoding="utf-8")
    monkeypatch.setattr("stat.S_ISFIFO", lambda _: True)
    with pytest.raises(InputError, match="pipe"):
        read_kept(tmp_path)
