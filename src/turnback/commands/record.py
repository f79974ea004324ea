"""``turnback record``: from a flight record to what its columns mean and what happened in it."""

from __future__ import annotations

import argparse
import os
import shutil
import sys

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.progress import progress


def run(given: argparse.Namespace) -> Outcome:
    """Read the record, say what happened, write what is asked for."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    if given.out is not None:
        api.require_folder(given.out)
    if given.save_columns is not None:
        api.require_new(given.save_columns)
    with progress("Reading the record") as tell:
        answer = api.record(
            given.record,
            columns=given.columns,
            told=given.column,
            cells=given.cells,
            chemistry=given.chemistry,
            blades=given.blades,
            rate_hz=given.rate,
            tell=tell,
        )
    if given.save_columns is not None:
        api.write_columns(answer, given.save_columns)
    units, places = api.Units(given.units), not given.redact
    path = ""
    if given.out is not None:
        with progress("Writing the page"):
            path = f"{api.write_record(answer, given.out, units, places=places)}\n"
    if given.json:
        return Outcome(api.record_json(answer, places=places), aside=path)
    width = shutil.get_terminal_size().columns
    text = api.record_text(answer if places else api.redacted_record(answer), units, width, colour=_colour())
    return Outcome(f"{text}\n{path}" if path else text)


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
