"""Run every benchmark of this folder, each in a process of its own, and print one table of promises.

A benchmark is a module that prints tables for people and, last, one line of JSON with ``benchmark``, ``kept`` and its
numbers (those that are promised are named ``promised_...``), and ends with status 1 where its promise is not kept.
Exit status 1 if any promise is missed or a benchmark failed.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parent
LONGEST_S = 1800


def modules() -> list[str]:
    """Return the benchmarks there are, by name."""
    return sorted(path.stem for path in FOLDER.glob("*.py") if path.stem not in {"run", "__init__"})


def result_of(output: str) -> dict[str, Any] | None:
    """Return the last line of a benchmark's output that is its JSON result."""
    for line in reversed(output.splitlines()):
        if line.startswith("{"):
            found: dict[str, Any] = json.loads(line)
            return found if "kept" in found else None
    return None


def run(name: str) -> dict[str, Any]:
    """Run one benchmark, let its tables through, and return its result."""
    print(f"— {name}", flush=True)
    done = subprocess.run(
        (sys.executable, "-m", f"benchmarks.{name}"),
        cwd=FOLDER.parent, capture_output=True, text=True, timeout=LONGEST_S, check=False,
    )  # fmt: skip
    print("\n".join(line for line in done.stdout.splitlines() if not line.startswith("{")), flush=True)
    found = result_of(done.stdout)
    if found is None and done.returncode == 0:
        return {"benchmark": name, "kept": True}  # it says no numbers, but its promise is kept
    if found is None or (done.returncode != 0 and found["kept"]):
        print(done.stderr[-2000:], file=sys.stderr)
        return {"benchmark": name, "kept": False, "failed": True}
    return found


def promise(found: dict[str, Any]) -> str:
    """Say a result's promises, such as ``promised_ratio 100``, in one line."""
    rows = {key.removeprefix("promised_"): value for key, value in found.items() if key.startswith("promised_")}
    return ", ".join(f"{key} {value:g}" for key, value in rows.items())


def measured(found: dict[str, Any]) -> str:
    """Say what was measured in one line."""
    rows = [(key, value) for key, value in found.items() if not key.startswith("promised_")]
    return ", ".join(
        f"{key} {value:.4g}" for key, value in rows if isinstance(value, float | int) and not isinstance(value, bool)
    )


def main() -> int:
    """Run all; return 1 if a promise is missed."""
    results = [run(name) for name in modules()]
    print(f"\n{'benchmark':16}{'kept':8}{'promised':28}measured")
    for found in results:
        verdict = "failed" if found.get("failed") else ("yes" if found["kept"] else "NO")
        print(f"{found['benchmark']:16}{verdict:8}{promise(found):28}{measured(found)}")
    return 0 if all(found["kept"] for found in results) else 1


if __name__ == "__main__":
    sys.exit(main())
