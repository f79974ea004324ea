"""Random draws keyed by the parameter's name.

Each parameter has a stream of its own, so adding a parameter, or changing the order of work or the number of
threads, moves no other parameter's draws: the same seed gives the same bytes.
"""

from __future__ import annotations

import hashlib

import numpy as np

Rng = np.random.Generator
"""What `stream` returns."""


def stream(seed: int, name: str) -> Rng:
    """Return the generator of one named parameter.

    Parameters
    ----------
    seed : int
        The run's seed, 0 or greater.
    name : str
        The parameter's name, such as ``"pack.resistance_ohm"``.
    """
    digest = hashlib.blake2b(name.encode("utf-8"), digest_size=16).digest()
    words = [int.from_bytes(digest[i : i + 4], "little") for i in range(0, 16, 4)]
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, *words])))
