"""``turnback map``: from a plan file to the map of the places from which it comes home."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from datetime import UTC, datetime

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.progress import progress


def run(given: argparse.Namespace) -> Outcome:
    """Work the map out, write its files if they are asked for, and say it in five lines."""
    with api.speaking(given.language):
        return _answered(given)


def _answered(given: argparse.Namespace) -> Outcome:
    units = api.Units(given.units)
    if given.out is not None:
        api.require_folder(given.out, "name a folder for the map")
    with progress("Working out the map") as tell:
        found = api.home_map(
            given.plan,
            radius_m=given.radius,
            height_m=given.height,
            height_above=given.height_above,
            chance=given.chance,
            heights=None if given.all_heights else given.heights,
            learned=given.learned,
            now=given.now or datetime.now(UTC),
            seed=given.seed,
            redact=given.redact,
            tell=tell,
        )
    path = ""
    if given.out is not None:
        with progress("Writing the map") as tell:
            path = f"{api.write_map(found, given.out, units, tell)}\n"
    if given.json:
        return Outcome(api.map_json(found), aside=path)
    text = api.map_text(found, units, shutil.get_terminal_size().columns, colour=_colour(), written=bool(path))
    return Outcome(f"{text}\n{path}" if path else text)


def _colour() -> bool:
    """Colour only where a person looks on and did not ask for none (NO_COLOR)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
