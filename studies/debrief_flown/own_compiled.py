"""How this study's kernels are compiled: kept until any file that they are made of changes."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import njit
from studies.record_flown.compiled import digest as digest_of_record_flown

from turnback.base.kernel_cache import drop_stale

HERE = Path(__file__).parent
KERNELS = ("own_compiled.py", "own_world.py", "own_kernel.py", "own_radio.py", "own_loop.py", "own_columns.py")
Kernel = TypeVar("Kernel", bound=Callable[..., Any])


@cache
def digest() -> str:
    """Return a digest of every module that a kernel is made of."""
    found = hashlib.blake2b(digest_of_record_flown().encode(), digest_size=16)
    for name in KERNELS:
        found.update(name.encode() + b"\0" + (HERE / name).read_bytes())
    return found.hexdigest()


def kernel(function: Kernel) -> Kernel:
    """Compile one kernel; no fast-math, so the same seed gives the same bytes."""
    made = njit(cache=True, error_model="numpy")(function)
    drop_stale(Path(made.stats.cache_path), digest())
    return cast(Kernel, made)
