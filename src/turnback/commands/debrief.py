"""``turnback debrief``: after a flight that went wrong, what happened, why, how sure, and what to do."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from datetime import UTC, datetime
from pathlib import Path

from turnback import api
from turnback.base.errors import InputError
from turnback.commands.outcome import Outcome, Status
from turnback.commands.printing import safe
from turnback.commands.progress import progress

CHAIN = "chain.json"


def run(given: argparse.Namespace) -> Outcome:
    """Take in what is told, say what it comes to, write and keep what is asked for."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    if given.out is not None:
        api.require_folder(given.out)
    done = _debrief(given)
    units, places = api.Units(given.units), not given.redact
    path = ""
    if given.out is not None:
        with progress("Writing the page"):
            path = f"{api.write_debrief(done, given.out, units, places=places)}\n"
    status, aside = _kept(done, given)
    if given.json:
        return Outcome(api.debrief_json(done.answer, places=places), status, aside + path)
    width = shutil.get_terminal_size().columns
    text = api.debrief_text(done.answer, units, width, colour=_colour(), places=places)
    return Outcome(f"{text}\n{path}" if path else text, status, aside)


def _kept(done: api.Debriefed, given: argparse.Namespace) -> tuple[Status, str]:
    """Keep what was learned, last of all: where that fails, the answer is there whole, and says so beside it."""
    aside = "".join(f"{safe(line)}\n" for line in done.gone)
    if given.dry_run:
        return Status.REACHED, aside
    try:
        api.keep_debrief(done, given.learned)
    except InputError as error:
        return Status.BAD_INPUT, aside + "".join(f"{safe(fault.sentence())}\n" for fault in error.faults)
    return Status.REACHED, aside


def _debrief(given: argparse.Namespace) -> api.Debriefed:
    now = given.now or datetime.now(UTC)
    ask = api.DebriefAsk(
        words=tuple(given.said),
        answers=tuple(given.answer),
        record=given.record,
        plan=given.plan,
        learned=given.learned,
        earlier=tuple(given.earlier),
        go_on=given.go_on or _kept_in(given),
        take_back=given.take_back,
        on=given.on,
        facts=api.debrief_facts(given.columns, given.column, given.cells, given.chemistry, given.blades, given.rate),
    )
    with progress("Looking for what went wrong") as tell:
        return api.debrief(ask, today=now.date(), now=now, tell=tell, seed=given.seed)


def _kept_in(given: argparse.Namespace) -> Path | None:
    """Return the answer that is kept in the folder written to, where something is answered or taken back."""
    goes_on = (given.answer or given.take_back) and given.out is not None and (given.out / CHAIN).is_file()
    return given.out if goes_on else None


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
