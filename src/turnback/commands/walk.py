"""``turnback walk``: from link levels measured on site to what they change."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from datetime import UTC, datetime
from functools import partial

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.progress import progress


def run(given: argparse.Namespace) -> Outcome:
    """Fit the readings, say what they change, write and keep it."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    units = api.Units(given.units)
    if given.out is not None:
        api.require_folder(given.out)
    answer = _walk(given)
    keeps = bool(answer.entries) and not given.dry_run
    keep = partial(api.keep_walk, answer, given.plan, given.learned) if keeps else None
    file = "learned.toml" if given.learned is None or given.redact else given.learned.name
    if keeps:
        answer = api.kept_walk(answer)
    if given.redact:
        answer = api.redacted_walk(answer)
    path = ""
    if given.out is not None:
        with progress("Writing the page"):
            written = api.write_walk(answer, given.out, units, file=file, places=not given.redact, before=keep)
        path = f"{written}\n"
    elif keep is not None:
        keep()
    if given.json:
        return Outcome(api.walk_json(answer, places=not given.redact), aside=path)
    width = shutil.get_terminal_size().columns
    text = api.walk_text(answer, units, width, file=file, colour=_colour())
    return Outcome(f"{text}\n{path}" if path else text)


def _walk(given: argparse.Namespace) -> api.WalkAnswer:
    now = given.now or datetime.now(UTC)
    settings = api.WalkSettings(
        link=given.link,
        at=None if given.at is None else api.WalkEnd(given.at),
        mode=api.WalkMode.IN_FLIGHT if given.in_flight else api.WalkMode.ON_FOOT,
        power_mw=given.power_mw,
        power_fixed=given.power_fixed,
        floor_dbm=given.floor,
        height_m=given.height,
    )
    with progress("Working out what the walk says") as tell:
        return api.range_walk(
            given.plan,
            given.record,
            given.spot,
            settings,
            on=given.on or now.date(),
            learned=given.learned,
            now=now,
            seed=given.seed,
            maps=not given.no_map,
            tell=tell,
        )


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
