"""``turnback brief``: from a plan file to a verdict."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from datetime import UTC, datetime
from typing import Final

from turnback import api
from turnback.commands.outcome import Outcome, Status
from turnback.commands.progress import progress

MEETS: Final = {
    None: frozenset(api.Verdict),
    "go": frozenset({api.Verdict.GO}),
    "limits": frozenset({api.Verdict.GO, api.Verdict.GO_WITH_LIMITS}),
}


def run(given: argparse.Namespace) -> Outcome:
    """Answer, write the report if it is asked for, and say whether the gate is met."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    with progress("Working out whether it comes home"):
        now = given.now or datetime.now(UTC)
        result = api.brief(given.plan, learned=given.learned, now=now, seed=given.seed, redact=given.redact)
    units = api.Units(given.units)
    path = ""
    if given.out is not None:
        with progress("Writing the report"):
            path = f"{api.write_report(result, given.out, units)}\n"
    status = Status.REACHED if result.verdict in MEETS[given.gate] else Status.GATE
    if given.json:
        return Outcome(api.brief_json(result), status, aside=path)
    text = api.brief_text(result, units, shutil.get_terminal_size().columns, colour=_colour())
    return Outcome(f"{text}\n{path}" if path else text, status)


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
