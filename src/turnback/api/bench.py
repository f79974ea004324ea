"""The bench: what was seen in, how it may be put together out; the chain of what was told is kept and read again."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from turnback.base.errors import bad_input
from turnback.flows.bench_talk import bench_talk
from turnback.knowledge.reading import read_book
from turnback.readers.bench_chain import CHAIN_NAME, Kept, chain_text, read_kept
from turnback.readers.bench_said import gains_from
from turnback.records.aircraft import Rotation
from turnback.records.bench_talk import BenchTalk, Step, StepKind
from turnback.report.bench_files import write_bench as _write_bench
from turnback.report.bench_json import bench_json as _bench_json
from turnback.report.bench_list import bench_list_text as _bench_list_text
from turnback.report.bench_text import bench_text as _bench_text

FOUR = 4


def bench(
    steps: Sequence[Step],
    *,
    earlier: Path | None = None,
    take_back: int = 0,
    front_left: Rotation | None = None,
    gains: Sequence[float] | None = None,
) -> BenchTalk:
    """Return what everything that was told of an aircraft leaves.

    Parameters
    ----------
    steps : sequence of Step
        What is told now, oldest first.
    earlier : Path or None
        The chain of an earlier answer, or its folder; its steps come first.
    take_back : int
        So many of the last steps of the earlier answer no longer count.
    front_left : Rotation or None
        How the front-left motor should turn, seen from above; else as told earlier, else clockwise is assumed.
    gains : sequence of float or None
        Integral gain, attitude gain, limit (0 to 1), tilt in degrees; else as told earlier.

    Raises
    ------
    InputError
        For a chain that cannot be read, or anything that is not understood.
    """
    kept = Kept(()) if earlier is None else read_kept(earlier)
    before = kept.steps
    if not 0 <= take_back <= len(before):
        raise bad_input(
            "--take-back", f"{take_back} steps cannot be taken back: the earlier answer has {len(before)}",
            "give --go-on with the earlier answer, and no more steps than it has",
        )  # fmt: skip
    left, taken = before[: len(before) - take_back], before[len(before) - take_back :]
    own = kept.gains
    if gains is not None:
        if len(gains) != FOUR:
            raise bad_input("--gains", "needs four numbers", "write them in the form 0.1,6,0.4,2")
        own = gains_from(*gains)
    told = [Step(each.kind, _whole(each.text)) for each in (*left, *steps)]
    return bench_talk(told, read_book(), front_left or kept.front_left, own, taken)


def _whole(words: str) -> str:
    """Return words without half characters (bytes of a terminal that are no text): no file can hold those."""
    return words.encode("utf-8", "replace").decode("utf-8")


def write_bench(talk: BenchTalk, out: Path) -> Path:
    """Write page, numbers, their schema and the chain into a folder, all or none; return the page's path.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    answer = talk.answer
    scheme = None if answer.scheme_assumed else answer.front_left
    chain = {CHAIN_NAME: chain_text(talk.steps, scheme, talk.gains)}
    return _write_bench(
        talk.answer, out, talk.heard, belief=talk.belief, book=read_book(), words=_words(talk), more=chain
    )


def _words(talk: BenchTalk) -> bool:
    return any(each.kind is StepKind.SAID and each.text.strip() for each in talk.steps)


def bench_text(talk: BenchTalk, width: int = 80, *, colour: bool = False) -> str:
    """Return the answer of a bench as plain text."""
    return _bench_text(talk.answer, width, colour, talk.heard, belief=talk.belief, book=read_book(), words=_words(talk))


def bench_json(talk: BenchTalk) -> str:
    """Return the answer of a bench as JSON."""
    return _bench_json(talk.answer, heard=talk.heard, belief=talk.belief, book=read_book(), words=_words(talk))


def bench_list_text(width: int = 80) -> str:
    """Return all that can be told at the bench."""
    return _bench_list_text(read_book(), width)
