"""Options of ``turnback walk``."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Final

from turnback.commands.option_parts import add_language, add_redact, add_seed, add_units, moment, number

LINKS: Final = ("control", "video")
ENDS: Final = ("aircraft", "ground")


def day(text: str) -> date:
    """Read a date of ISO 8601."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2025-06-01") from None


def add_walk(parser: argparse.ArgumentParser) -> None:
    """Options of ``walk``."""
    parser.add_argument(
        "record", metavar="RECORD", type=Path, nargs="?", help="the record: a CSV table of places and levels"
    )
    parser.add_argument("--plan", metavar="PLAN", type=Path, required=True, help="the plan file (TOML) of that place")
    parser.add_argument(
        "--spot", metavar="SPOT", action="append", default=[],
        help='a spot typed in: "120 m, 45 deg, -71", that is distance, bearing, level in dBm, or "lost" where nothing '
        "came; may be given many times",
    )  # fmt: skip
    _how(parser)
    parser.add_argument(
        "--learned", metavar="FILE", type=Path,
        help="what records taught, kept by id (TOML); made where something is kept and it is not there yet",
    )  # fmt: skip
    parser.add_argument(
        "--now", metavar="TIME", type=moment,
        help="when the question is asked, ISO 8601 (UTC without a zone); the clock by default",
    )  # fmt: skip
    parser.add_argument("--on", metavar="DATE", type=day, help="the day of the walk, ISO 8601 (default: today)")
    parser.add_argument(
        "--dry-run", action="store_true", help="keep nothing: without it, what is found is kept with the site's id"
    )
    parser.add_argument(
        "--no-map", action="store_true", help="leave out the turn-back maps, which take most of the time"
    )
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write walk.html and walk.json there, both or neither; the page's path is the last line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the answer as JSON, in SI units")
    add_redact(parser)
    add_units(parser)
    add_language(parser)
    add_seed(parser)


def _how(parser: argparse.ArgumentParser) -> None:
    """How it was walked: link, end, mode, power, floor, height."""
    parser.add_argument(
        "--link", choices=LINKS, help="the link that was read (default: as in the record, else control)"
    )
    parser.add_argument(
        "--at", choices=ENDS,
        help="the end that read the level (default: as in the record, else where the link is received)",
    )  # fmt: skip
    mode = parser.add_mutually_exclusive_group()
    mode.add_argument("--on-foot", action="store_true", help="carried, not armed, propellers off (this is the default)")
    mode.add_argument("--in-flight", action="store_true", help="on a first short flight, near and low")
    parser.add_argument("--power-mw", metavar="MW", type=number, help="transmit power that was set, milliwatts")
    parser.add_argument(
        "--power-fixed", action="store_true", help="the power stayed as it was set: nothing adapted it on the way"
    )
    parser.add_argument(
        "--floor",
        metavar="DBM",
        type=number,
        help="the lowest level that the receiver shows, dBm (default: looked for)",
    )
    parser.add_argument(
        "--height", metavar="M", type=number,
        help="metres above the ground, where the record does not say it (default: 1 on foot, 20 in flight)",
    )  # fmt: skip
