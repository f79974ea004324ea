"""Fly cases, read them and tell their signs; each is kept by the hash of its code, so that nothing is done twice.

Kept in ``out/debrief_flown``: flown cases by their generator's code, what happened by the finders' code on top of it,
signs by the tellers' code on top of that.
"""

from __future__ import annotations

import hashlib
import pickle
import traceback
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import numpy as np
from studies.debrief_flown.cases import FlownCase
from studies.debrief_flown.read import answered, looked_at, record_of
from studies.debrief_flown.told import ToldCase, ToldSign

from turnback.readers.record_build import PRECISE
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked, SignsTold
from turnback.records.happened import Flown, RecordAnswer

HERE: Final = Path(__file__).parent
PACKAGE: Final = HERE.parents[1] / "src" / "turnback"
KEPT: Final = HERE.parents[1] / "out" / "debrief_flown" / "kept"
GENERATORS: Final = {"own": "studies.debrief_flown.own", "rotorpy": "studies.debrief_flown.rotorpy_cases"}
SHARED: Final = ("cases.py", "kits*.py", "causes*.py", "sensors*.py", "noticed.py")
MADE_BY: Final = {"own": ("own*.py", *SHARED), "rotorpy": ("rotorpy*.py", *SHARED)}
NOT_FINDERS: Final = ("signs_", "told_", "search_", "against_", "learn_", "record_signs_", "record_learn", "belief")
TELLERS: Final = (
    ("signs_link", "link_signs"), ("signs_sticks", "stick_signs"), ("signs_volts", "volt_signs"),
    ("signs_place", "place_signs"), ("signs_site", "site_signs"), ("signs_outputs", "output_signs"),
    ("signs_motion", "motion_signs"),
)  # fmt: skip
HEALTHY: Final = 0.12
"""Share of flights without a fault."""
FLIGHTS_OF_A_SEED: Final = 100_000
"""More than any run flies: a flight's own seed is the run's seed, times this, and its place."""


def flyable(generator: str) -> tuple[str, ...]:
    """Return the causes that a generator flies."""
    return tuple(import_module(GENERATORS[generator]).causes())


def present() -> tuple[str, ...]:
    """Return the generators that are there."""
    return tuple(name for name, module in GENERATORS.items() if find_spec(module) is not None)


def kits() -> tuple[str, ...]:
    """Return the keys of the channel kits."""
    return tuple(import_module("studies.debrief_flown.kits").KITS)


def plan_of(generator: str, seed: int, flights: int) -> list[tuple[int, str | None, str]]:
    """Return seed, cause and kit of each flight of one run; causes and kits are spread evenly."""
    rng = np.random.default_rng([seed, len(generator)])
    causes, sets = flyable(generator), kits()
    sick = flights - round(HEALTHY * flights)
    of: list[str | None] = [causes[i % len(causes)] for i in range(sick)]
    of += [None] * (flights - sick)
    rows = [
        (seed * FLIGHTS_OF_A_SEED + i, cause, sets[(i // len(causes) + i % len(causes)) % len(sets)])
        for i, cause in enumerate(of)
    ]
    return [rows[place] for place in rng.permutation(len(rows))]


def seed_of(case: ToldCase) -> int:
    """Return the seed of the run that a flight is of."""
    return case.seed // FLIGHTS_OF_A_SEED


@cache
def made_by(generator: str) -> str:
    """Return the hash of the code that flies."""
    files = [path for pattern in MADE_BY[generator] for path in sorted(HERE.glob(pattern))]
    return _hash([*files, *sorted((HERE.parent / "record_flown").glob("*.py"))])


@cache
def found_by() -> str:
    """Return the hash of the code that finds phases and events."""
    files = [*PACKAGE.glob("assess/*.py"), *PACKAGE.glob("rules/record_*.py"), PACKAGE / "flows" / "record.py"]
    named = ("event", "phases", "place_", "vibration", "record_", "motion_", "output_", "stick_", "signals", "power_")
    kept = [path for path in files if not path.name.startswith(NOT_FINDERS) and any(n in path.name for n in named)]
    return _hash([*sorted(kept), HERE / "read.py"])


@cache
def told_by() -> str:
    """Return the hash of the code that tells signs."""
    files = [*PACKAGE.glob("assess/signs_*.py"), *PACKAGE.glob("rules/record_signs_*.py")]
    debrief = [PACKAGE / "flows" / "debrief_looked.py", PACKAGE / "rules" / "record_debrief.py"]
    return _hash([*sorted(files), *debrief])


def _hash(files: Iterable[Path]) -> str:
    made = hashlib.blake2b(digest_size=6)
    for path in files:
        made.update(path.name.encode() + path.read_bytes())
    return made.hexdigest()


def case_of(generator: str, seed: int, cause: str | None, kit: str) -> FlownCase:
    """Return one flown case, flown now or before."""

    def fly() -> FlownCase:
        return _small(import_module(GENERATORS[generator]).fly_cause(seed, cause, kit))

    kept: FlownCase = _kept(f"{generator}-{made_by(generator)}", f"{seed}-{cause or 'healthy'}-{kit}", fly)
    return kept


def looked_of(generator: str, seed: int, cause: str | None, kit: str) -> Looked:
    """Return what the tellers get of one case."""
    case = case_of(generator, seed, cause, kit)

    def find() -> RecordAnswer:
        answer = answered(case)
        return replace(answer, flown=replace(answer.flown, record=None))  # type: ignore[arg-type]

    answer = _kept(f"{generator}-{made_by(generator)}-{found_by()}", f"{seed}-{cause or 'healthy'}-{kit}", find)
    flown: Flown = replace(answer.flown, record=record_of(case))
    return looked_at(case, replace(answer, flown=flown))


def told_of(generator: str, seed: int, cause: str | None, kit: str) -> ToldCase:
    """Return the signs that are told of one case."""

    def tell() -> ToldCase:
        case = case_of(generator, seed, cause, kit)
        true = case.facts.get("true", {})
        group = case.group if true.get("troubles", True) else ()  # what nobody would notice leaves no trace
        healthy = str(true.get("healthy", ""))
        try:
            signs, broke = told(looked_of(generator, seed, cause, kit)), ""
        except Exception:
            signs, broke = (), traceback.format_exc(limit=-3)
        return ToldCase(generator, seed, cause, kit, group, healthy, signs, broke, case.against is not None)

    folder = f"{generator}-{made_by(generator)}-{found_by()}-{told_by()}"
    kept: ToldCase = _kept(folder, f"{seed}-{cause or 'healthy'}-{kit}", tell)
    return kept


def told(looked: Looked) -> tuple[ToldSign, ...]:
    """Return all signs that are told of a record; the surest where two tellers tell one."""
    best: dict[str, ToldSign] = {}
    for teller in tellers():
        for one in teller(looked).signs:
            before = best.get(one.sign)
            if before is None or one.sure > before.sure:
                best[one.sign] = ToldSign(one.sign, bool(one.seen), float(one.sure), one.group)
    return tuple(best[sign] for sign in sorted(best))


@cache
def tellers() -> tuple[Callable[[Looked], SignsTold], ...]:
    """Return the tellers of signs that are there."""
    found = []
    for module, name in TELLERS:
        if find_spec(f"turnback.assess.{module}") is not None:
            found.append(getattr(import_module(f"turnback.assess.{module}"), name))
    return tuple(found)


def _small(case: FlownCase) -> FlownCase:
    """Return a case with its values in single precision where nothing that counts is lost."""

    def small(quantity: str, values: Any) -> Any:
        return np.asarray(values, np.float64 if Quantity(quantity) in PRECISE else np.float32)

    seen = replace(case.seen, channels=[replace(m, values=small(m.quantity, m.values)) for m in case.seen.channels])
    return replace(case, seen=seen)


def _kept(folder: str, name: str, make: Callable[[], Any]) -> Any:
    """Return what is kept in a file, made now where it is not."""
    file = KEPT / folder / f"{name}.pkl"
    if file.exists():
        try:
            return pickle.loads(file.read_bytes())
        except (EOFError, pickle.UnpicklingError, AttributeError):
            file.unlink(missing_ok=True)
    value = make()
    file.parent.mkdir(parents=True, exist_ok=True)
    part = file.with_suffix(f".{np.random.default_rng().integers(1 << 40)}")
    part.write_bytes(pickle.dumps(value, protocol=5))
    part.replace(file)
    return value


def one_told(job: tuple[str, int, str | None, str]) -> ToldCase:
    """Return the signs of one job: generator, seed, cause, kit."""
    try:
        return told_of(*job)
    except Exception:
        generator, seed, cause, kit = job
        return ToldCase(generator, seed, cause, kit, (), "", (), traceback.format_exc(limit=-3))


def jobs(generator: str, seed: int, flights: int) -> Sequence[tuple[str, int, str | None, str]]:
    """Return what is to be flown."""
    return [(generator, *row) for row in plan_of(generator, seed, flights)]
