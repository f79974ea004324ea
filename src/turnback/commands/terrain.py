"""``turnback terrain get``: the ground around a place, from an elevation service that the user names."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Final

from turnback import api
from turnback.commands.outcome import Outcome
from turnback.commands.progress import progress

FROM: Final = "TURNBACK_TERRAIN_FROM"
MEGABYTE: Final = 1_000_000


def run_get(given: argparse.Namespace) -> Outcome:
    """Fetch the ground, and say what a plan writes to use it."""
    folder = given.cache or Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "turnback" / "terrain"
    with api.speaking(given.language):
        with progress("Fetching the ground"):
            found = api.fetch_terrain(
                given.from_ or os.environ.get(FROM, ""),
                given.lat,
                given.lon,
                given.radius,
                given.to,
                cache=folder,
                cache_limit_bytes=given.cache_mb * MEGABYTE,
            )
        return Outcome(api.fetched_text(found, str(given.to), given.lat, given.lon))
