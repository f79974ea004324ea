"""The chain of a debrief: written, read back, and refused where it is none."""

from __future__ import annotations

import json
import os
from datetime import date
from pathlib import Path

import pytest

from turnback.base.errors import InputError
from turnback.readers.debrief_chain import debrief_chain_text, known_signs_only, read_debrief_chain, signs_told
from turnback.records.debrief import Answered, DebriefAnswer, Lessons, RecordSign, SignsTold, Step, ToldInWords

SIGN = RecordSign("link-lost-first", True, 0.9, "link", 41.0, 43.5, {"level_dbm": -101.0, "bad": float("nan")})
ANSWER = DebriefAnswer(
    steps=(Step.ASK_HURT,), held_back=False, words=("1:40, 14,2 V — picture went",), told=ToldInWords(),
    answers=(Answered("hurt", "no"),), taken_back=(Answered("pack", "fine"),), record=None, signs=SignsTold((SIGN,)),
    belief=None, question=None, against=None, search=None, lessons=Lessons(), on=date(2026, 5, 2),
)  # fmt: skip


def _kept(tmp_path: Path) -> Path:
    path = tmp_path / "chain.json"
    path.write_text(debrief_chain_text(ANSWER, record=tmp_path / "r.csv", plan=None), encoding="utf-8")
    return path


def test_what_was_kept_is_read_back(tmp_path: Path) -> None:
    _kept(tmp_path)
    kept = read_debrief_chain(tmp_path)
    assert kept.words == ANSWER.words
    assert (kept.answers, kept.taken_back, kept.on) == (ANSWER.answers, ANSWER.taken_back, ANSWER.on)
    assert (kept.record, kept.plan, kept.earlier) == (str(tmp_path / "r.csv"), "", ())
    (sign,) = signs_told(kept).signs
    assert (sign.sign, sign.seen, sign.sure, sign.group, sign.start_s, sign.end_s) == (
        "link-lost-first", True, 0.9, "link", 41.0, 43.5,
    )  # fmt: skip
    assert dict(sign.values) == {"level_dbm": -101.0}  # what is no number has no place in JSON


@pytest.mark.parametrize(
    "change",
    [
        {"turnback_debrief_chain": 2},
        {"on": "yesterday"},
        {"words": "text"},
        {"words": [3]},
        {"answers": [{"hurt": "no", "pack": "fine"}]},
        {"signs": [{"sign": "x"}]},
        {"signs": [{"sign": "x", "seen": True, "sure": 0.2, "group": "g", "values": {}}]},
        {"signs": [{"sign": "x", "seen": True, "sure": 0.9, "group": "g", "values": {"a": float("inf")}}]},
        {"facts": []},
        {"facts": {"cells": "six"}},
        {"record": None},
        {"earlier": [["deep"]] * 600},
    ],
)
def test_what_is_no_chain_is_refused_with_what_to_do(tmp_path: Path, change: dict[str, object]) -> None:
    path = _kept(tmp_path)
    path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")) | change), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_debrief_chain(path)
    assert "chain" in str(caught.value)
    assert "begin anew" in str(caught.value)


def test_files_that_are_no_text_of_a_chain_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_debrief_chain(tmp_path)
    path = tmp_path / "chain.json"
    path.write_bytes(b"\xff\xfe not json")
    with pytest.raises(InputError, match="is not JSON"):
        read_debrief_chain(path)
    path.write_bytes(b"[" * 200_000)
    with pytest.raises(InputError, match="is not JSON"):
        read_debrief_chain(path)
    path.write_bytes(b" " * 1_000_001)
    with pytest.raises(InputError, match="larger"):
        read_debrief_chain(path)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="pipe"):
        read_debrief_chain(tmp_path / "pipe")


def test_signs_that_the_book_does_not_have_are_told(tmp_path: Path) -> None:
    kept = read_debrief_chain(_kept(tmp_path))
    known_signs_only(kept, frozenset({"link-lost-first"}), "chain.json")
    with pytest.raises(InputError, match="link-lost-first"):
        known_signs_only(kept, frozenset(), "chain.json")


def test_a_path_is_opened_again_only_where_it_still_holds_what_was_read(tmp_path: Path) -> None:
    record = tmp_path / "r.csv"
    record.write_text("t,volts\n0,16.1\n", encoding="utf-8")
    kept = read_debrief_chain(_kept(tmp_path))
    assert kept.same(str(record)) == record
    record.write_text("t,volts\n0,16.2\n", encoding="utf-8")  # as long, and another
    assert kept.same(str(record)) is None
    record.unlink()
    assert kept.same(str(record)) is None


def test_a_chain_of_a_stranger_opens_nothing_that_it_does_not_know(tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("private", encoding="utf-8")
    os.mkfifo(tmp_path / "pipe")
    path = _kept(tmp_path)
    found = json.loads(path.read_text(encoding="utf-8"))
    for named, mark in ((other, ""), (other, "7-00"), (tmp_path / "pipe", "0-00"), (Path("/dev/zero"), "0-00")):
        path.write_text(json.dumps(found | {"record": str(named), "marks": {str(named): mark}}), encoding="utf-8")
        kept = read_debrief_chain(path)
        assert kept.same(kept.record) is None
    path.write_text(json.dumps(found | {"marks": [1]}), encoding="utf-8")
    with pytest.raises(InputError, match="no table"):
        read_debrief_chain(path)
