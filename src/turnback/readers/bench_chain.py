"""The chain of a talk at the bench, kept as a file: read from strangers, so with limits."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.bench_said import gains_from
from turnback.readers.kept_file import AGAIN, kept_json
from turnback.readers.said import said
from turnback.records.aircraft import Rotation
from turnback.records.bench import Gains
from turnback.records.bench_talk import Step, StepKind

CHAIN_NAME: Final = "chain.json"
MARK: Final = "turnback_bench_chain"
MOST_STEPS: Final = 500
LONGEST_TEXT: Final = 20_000
FOUR: Final = 4


@dataclass(frozen=True, slots=True)
class Kept:
    """What a kept chain holds."""

    steps: tuple[Step, ...]
    front_left: Rotation | None = None
    """None where the scheme was assumed."""
    gains: Gains | None = None


def chain_text(steps: Sequence[Step], front_left: Rotation | None = None, gains: Gains | None = None) -> str:
    """Return a chain as JSON; `read_kept` reads it back.

    The declared scheme and the gains are kept with it: without them an answer that goes on would assume another scheme,
    and turn every portrait round.
    """
    whole: dict[str, Any] = {MARK: 1}
    if front_left is not None:
        whole["front_left"] = front_left.value
    if gains is not None:
        whole["gains"] = [gains.integral_gain, gains.attitude_gain, gains.limit, gains.tilt_deg]
    whole["steps"] = [{each.kind.value: each.text} for each in steps]
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def read_chain(path: Path) -> tuple[Step, ...]:
    """Read the steps of a chain that was kept; refuses what `read_kept` refuses."""
    return read_kept(path).steps


def read_kept(path: Path) -> Kept:
    """Read a chain that was kept.

    Parameters
    ----------
    path : Path
        The file, or the folder that holds it as ``chain.json``.

    Raises
    ------
    InputError
        If it is not there, is too large, or is no chain.
    """
    file = path / CHAIN_NAME if path.is_dir() else path
    found = kept_json(file, MARK, "bench")
    rows = found.get("steps")
    if not isinstance(rows, list):
        raise bad_input(str(file), "is not the chain of a bench", AGAIN)
    if len(rows) > MOST_STEPS:
        raise bad_input(str(file), f"has more than {MOST_STEPS} steps", AGAIN)
    return Kept(tuple(_steps(rows, file)), _front_left(found.get("front_left"), file), _gains(found.get("gains"), file))


def _front_left(given: object, file: Path) -> Rotation | None:
    known = {each.value: each for each in Rotation}
    if given is None:
        return None
    if not isinstance(given, str) or given not in known:
        raise bad_input(f"{file}, front_left", f"{said(given)} is neither {' nor '.join(known)}", AGAIN)
    return known[given]


def _gains(given: object, file: Path) -> Gains | None:
    if given is None:
        return None
    if (
        not isinstance(given, list)
        or len(given) != FOUR
        or not all(isinstance(each, int | float) and not isinstance(each, bool) for each in given)
    ):
        raise bad_input(f"{file}, gains", f"{said(given)} is not four numbers", AGAIN)
    return gains_from(*given)


def _steps(rows: list[Any], file: Path) -> list[Step]:
    kinds = {kind.value: kind for kind in StepKind}
    steps: list[Step] = []
    faults: list[Fault] = []
    for k, row in enumerate(rows, 1):
        pair = next(iter(row.items())) if isinstance(row, dict) and len(row) == 1 else (None, None)
        kind = kinds.get(pair[0]) if isinstance(pair[0], str) else None
        if kind is None or not isinstance(pair[1], str) or not 0 < len(pair[1]) <= LONGEST_TEXT:
            faults.append(Fault(f"{file}, step {k}", f"{said(row)} is no step", AGAIN))
        else:
            steps.append(Step(kind, pair[1]))
    if faults:
        raise InputError(*faults)
    return steps
