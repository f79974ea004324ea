"""One ray of ours against one of pycraf's, the same profile, the same process, one thread, both warmed up.

The promise: at least 100 times faster at the same loss (within 0.1 dB). pycraf is under the GPL; it is a peer here and
in tests only. Two of its times are given: the diffraction with its path object (what one ray costs a user of it), and
the diffraction call alone.
"""

from __future__ import annotations

import json
import sys
import timeit
from collections.abc import Callable
from typing import Any

import numpy as np
from astropy import units
from numpy.typing import NDArray
from pycraf import pathprof

from turnback.physics.diffraction import ray_loss

Array = NDArray[np.float64]

PROMISED_RATIO = 100.0
SAMPLES = 101
PATH_KM = 3.0
FROM_M, TO_M, FREQUENCY_MHZ = 1.5, 60.0, 2400.0


def hillside() -> tuple[Array, Array]:
    """Return a profile of this project's making: 3 km over a spur, every 30 m."""
    distance = np.linspace(0.0, PATH_KM, SAMPLES)
    height = 300.0 + 25.0 * np.sin(2.1 * distance) + 70.0 * np.exp(-(((distance - 1.7) / 0.35) ** 2))
    return distance, height


def peer_path(distance: Array, height: Array) -> Any:
    """Return pycraf's path object for that profile, no map look-ups, delta-Bullington (version 16)."""
    return pathprof.PathProp(
        FREQUENCY_MHZ / 1000.0 * units.GHz,
        290.0 * units.K,
        1013.0 * units.hPa,
        0.0 * units.deg,
        50.0 * units.deg,
        0.05 * units.deg,
        50.0 * units.deg,
        FROM_M * units.m,
        TO_M * units.m,
        30.0 * units.m,
        50.0 * units.percent,
        polarization=1,
        version=16,
        delta_N=157.0 * (1.0 - 6371.0 / 8500.0) / units.km,
        N0=325.0 * units.dimensionless_unscaled,
        hprof_dists=distance * units.km,
        hprof_heights=height * units.m,
        hprof_bearing=0.0 * units.deg,
        hprof_backbearing=180.0 * units.deg,
    )


def best_us(action: Callable[[], Any], calls: int) -> float:
    """Return the best of seven means, in microseconds a call, after a warm-up."""
    action()
    return min(timeit.repeat(action, number=calls, repeat=7)) / calls * 1e6


def measure() -> dict[str, float]:
    """Return times, losses and ratios."""
    pathprof.set_num_threads(1)  # ours runs no threads for one ray
    distance, height = hillside()
    path = peer_path(distance, height)
    ours_us = best_us(lambda: ray_loss(distance, height, FROM_M, TO_M, FREQUENCY_MHZ), 2000)
    peer_us = best_us(lambda: pathprof.loss_diffraction(peer_path(distance, height)), 100)
    call_us = best_us(lambda: pathprof.loss_diffraction(path), 300)
    return {
        "ours_us": ours_us,
        "peer_us": peer_us,
        "peer_call_alone_us": call_us,
        "ratio": peer_us / ours_us,
        "ratio_call_alone": call_us / ours_us,
        "ours_db": ray_loss(distance, height, FROM_M, TO_M, FREQUENCY_MHZ).diffraction_db,
        "peer_db": float(pathprof.loss_diffraction(path)[0].value),
    }


def main() -> int:
    """Print a table and one JSON line; return 1 if the promise is not kept."""
    found = measure()
    print(f"One ray over {SAMPLES} samples, {FREQUENCY_MHZ:g} MHz, one thread")
    print(f"{'':32}{'µs':>10}{'dB':>10}{'ratio':>10}")
    print(f"{'turnback, one ray':32}{found['ours_us']:10.1f}{found['ours_db']:10.3f}{1.0:10.1f}")
    print(f"{'pycraf, path and diffraction':32}{found['peer_us']:10.1f}{found['peer_db']:10.3f}{found['ratio']:10.1f}")
    print(
        f"{'pycraf, diffraction alone':32}{found['peer_call_alone_us']:10.1f}{'':10}{found['ratio_call_alone']:10.1f}"
    )
    kept = found["ratio"] >= PROMISED_RATIO and abs(found["ours_db"] - found["peer_db"]) < 0.1
    print(json.dumps({"benchmark": "one_ray", **found, "promised_ratio": PROMISED_RATIO, "kept": kept}))
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
