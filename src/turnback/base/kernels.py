"""How kernels are compiled: cached where a cache can be written, plain where it cannot.

A kernel takes numbers and arrays only, never a function (a kernel that takes a function is never cached). On a
read-only install without a home folder there is no place for a cache; the kernel then compiles in each process
instead of failing.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import njit

from turnback.base.kernel_cache import drop_stale, sources_digest

PACKAGE = Path(__file__).resolve().parent.parent
Kernel = TypeVar("Kernel", bound=Callable[..., Any])


def kernel(function: Kernel) -> Kernel:
    """Compile a single-threaded kernel; results are the same bytes on every run (no fast-math)."""
    return _compile(function, parallel=False)


def parallel_kernel(function: Kernel) -> Kernel:
    """Compile a kernel whose ``prange`` loops write disjoint elements, so thread count moves no byte."""
    return _compile(function, parallel=True)


def _compile(function: Kernel, *, parallel: bool) -> Kernel:
    options = {"parallel": parallel, "fastmath": False, "error_model": "numpy", "nogil": True}
    try:
        compiled = njit(cache=True, **options)(function)
    except RuntimeError:  # numba: "no locator available": nowhere to write
        return cast(Kernel, njit(cache=False, **options)(function))
    drop_stale(Path(compiled.stats.cache_path), sources_digest(PACKAGE))
    return cast(Kernel, compiled)
