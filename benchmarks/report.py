"""How long the report takes after the brief, in a process that has drawn nothing yet, and how large it is.

The promise: at most 2 s from the answer to page, print and data on disk, and at most 1.5 MB for the page. The same in
a process that has drawn one before, the parts of the brief that were added for the hand (fall, changes, rose), and the
field card are shown beside it.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
from pathlib import Path

PROMISED_S = 2.0
PROMISED_BYTES = 1.5e6
ROUNDS = 5
ROOT = Path(__file__).resolve().parent.parent
PLAN = ROOT / "examples" / "demo.toml"

ONE_PROCESS = """
import json, sys, tempfile, time
from datetime import UTC, datetime
from pathlib import Path
from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.report.card import Made, Paper, card_pdf
from turnback.report.numbers import Units
from turnback.report.page import write_report

def timed(run):
    begun = time.perf_counter()
    made = run()
    return time.perf_counter() - begun, made

moment = datetime(2026, 6, 1, 10, tzinfo=UTC)
case = read_case(Path(sys.argv[1]), now=moment)
brief(case, changes=False)
without_s, _ = timed(lambda: brief(case, changes=False))
with_s, result = timed(lambda: brief(case, changes=True))
with tempfile.TemporaryDirectory() as name:
    folder = Path(name)
    report_s, page = timed(lambda: write_report(result, folder))
    again_s, _ = timed(lambda: write_report(result, folder))
    sizes = {path.name: path.stat().st_size for path in folder.iterdir()}
card_s, _ = timed(lambda: card_pdf(result, Made(moment, None), Paper.A6, Units.METRIC))
print(json.dumps({"brief_s": without_s, "brief_with_changes_s": with_s, "report_s": report_s, "again_s": again_s,
                  "card_s": card_s, "page_bytes": sizes["report.html"], "print_bytes": sizes["report.pdf"]}))
"""


def one() -> dict[str, float]:
    """Return the seconds and bytes of one process that answers, then writes the report for the first time."""
    done = subprocess.run(
        (sys.executable, "-c", ONE_PROCESS, str(PLAN)), capture_output=True, text=True, check=False, cwd=ROOT
    )
    if done.returncode != 0:
        raise SystemExit(f"the report failed:\n{done.stdout}\n{done.stderr}")
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def main() -> int:
    """Print a table and one JSON line; return 1 if the promise is not kept."""
    one()  # kernels compiled and files in the cache
    rounds = [one() for _ in range(ROUNDS)]
    found = {key: statistics.median(each[key] for each in rounds) for key in rounds[0]}
    print(f"The demo's report ({os.cpu_count()} cores, median of {ROUNDS} processes)")
    for label, key in (
        ("brief, in a warm process", "brief_s"),
        ("the same, with what would make it a go", "brief_with_changes_s"),
        ("report after the brief, first in its process", "report_s"),
        ("report again", "again_s"),
        ("field card", "card_s"),
    ):
        print(f"{label:48}{found[key]:8.2f} s")
    print(f"{'page':48}{found['page_bytes'] / 1e6:8.2f} MB")
    print(f"{'print':48}{found['print_bytes'] / 1e6:8.2f} MB")
    kept = found["report_s"] <= PROMISED_S and found["page_bytes"] <= PROMISED_BYTES
    print(f"(load of the machine at the end: {os.getloadavg()[0]:.1f}; above the cores, times tell of others' work)")
    print(json.dumps({"benchmark": "report", **found, "promised_s": PROMISED_S, "kept": kept}))
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
