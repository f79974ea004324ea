"""How long a person waits for ``turnback --help``, beside a bare Python and one that imports numpy, in the same run.

The promise: at most 150 ms, median of warm starts. Starts of the three take turns, so that a busy moment of the
machine falls on all alike.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time

PROMISED_MS = 150.0
ROUNDS = 15
WARM_UP = 2

COMMANDS = {
    "turnback --help": (sys.executable, "-m", "turnback", "--help"),
    "python, nothing": (sys.executable, "-c", "pass"),
    "python, import numpy": (sys.executable, "-c", "import numpy"),
}


def start_ms(command: tuple[str, ...]) -> float:
    """Return the wall time of one process, from start to end."""
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return (time.perf_counter() - begun) * 1e3


def measure() -> dict[str, list[float]]:
    """Return the times of every command, warm-up left out."""
    times: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for turn in range(WARM_UP + ROUNDS):
        for name, command in COMMANDS.items():
            took = start_ms(command)
            if turn >= WARM_UP:
                times[name].append(took)
    return times


def main() -> int:
    """Print a table and one JSON line; return 1 if the promise is not kept."""
    times = measure()
    print(f"Start of a process, median of {ROUNDS}, warm")
    print(f"{'':32}{'ms':>10}{'least':>10}{'most':>10}")
    for name, took in times.items():
        print(f"{name:32}{statistics.median(took):10.1f}{min(took):10.1f}{max(took):10.1f}")
    help_ms, bare_ms, numpy_ms = (statistics.median(took) for took in times.values())
    kept = help_ms <= PROMISED_MS
    found = {"help_ms": help_ms, "bare_ms": bare_ms, "numpy_ms": numpy_ms, "promised_ms": PROMISED_MS}
    print(json.dumps({"benchmark": "startup", **found, "kept": kept}))
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
