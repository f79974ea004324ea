"""Options of ``turnback debrief``."""

from __future__ import annotations

import argparse
from pathlib import Path

from turnback.commands.option_parts import add_language, add_seed, add_units, moment, number
from turnback.commands.options_record import CHEMISTRIES
from turnback.commands.options_walk import day


def add_debrief(parser: argparse.ArgumentParser) -> None:
    """Options of ``debrief``."""
    parser.add_argument(
        "record", metavar="RECORD", type=Path, nargs="?",
        help="the flight record, if there is one: CSV (also gzipped), Parquet, GPX, KML or GeoJSON",
    )  # fmt: skip
    parser.add_argument(
        "--said", metavar="TEXT", action="append", default=[],
        help='the pilot\'s own words, with readings as they were typed: "1:40, 14.2 V, picture went"; they stay on '
        "this machine; may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--plan", metavar="PLAN", type=Path, help="the plan file (TOML) of that flight: the model is held beside it"
    )
    parser.add_argument(
        "--answer", metavar="CHECK=RESULT", action="append", default=[],
        help="what was answered or found: hurt=no, pack=damaged, whereabouts=lost, or a check of the book with yes, "
        "no, none, all, or the signs that were seen, joined by commas; with --out it goes on from the answer kept "
        "there; may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--go-on", metavar="PATH", type=Path,
        help="go on from an earlier answer: its folder, or its chain.json",
    )  # fmt: skip
    parser.add_argument(
        "--take-back", metavar="N", type=int, default=0, help="first take back the last N answers of the earlier answer"
    )
    parser.add_argument(
        "--earlier", metavar="RECORD", type=Path, action="append", default=[],
        help="a record of a healthy flight of the same aircraft, oldest first; may be given many times",
    )  # fmt: skip
    _of_the_record(parser)
    parser.add_argument("--on", metavar="DATE", type=day, help="the day of the flight, ISO 8601 (default: today)")
    parser.add_argument(
        "--learned", metavar="FILE", type=Path,
        help="what records taught, kept by id (TOML); without it, learned.toml beside the plan",
    )  # fmt: skip
    parser.add_argument(
        "--dry-run", action="store_true",
        help="keep nothing: without it, what the record teaches is kept with the plan's pack, aircraft and site",
    )  # fmt: skip
    parser.add_argument(
        "--now", metavar="TIME", type=moment,
        help="when the question is asked, ISO 8601 (UTC without a zone); the clock by default",
    )  # fmt: skip
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write debrief.html, debrief.json, the letter and chain.json there, all or none; the page's path is "
        "the last line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the answer as JSON, in SI units")
    parser.add_argument(
        "--redact", action="store_true",
        help="leave out places, dates, names of files and the pilot's words, to pass the answer on",
    )  # fmt: skip
    add_units(parser)
    add_language(parser)
    add_seed(parser)


def _of_the_record(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--columns", metavar="MAP", type=Path,
        help="which column of the record means what, as columns.toml of an earlier answer says it, corrected by you",
    )  # fmt: skip
    parser.add_argument(
        "--column", metavar="NAME=MEANING", action="append", default=[],
        help='what one column means: "gx=roll_rate deg/s"; may be given many times, and wins over the file',
    )  # fmt: skip
    parser.add_argument("--rate", metavar="HZ", type=number, help="rows a second, of a record that has no clock")
    parser.add_argument("--cells", metavar="N", type=number, help="cells in series of the pack, 1 to 14")
    parser.add_argument("--chemistry", choices=CHEMISTRIES, help="of the pack")
    parser.add_argument("--blades", metavar="N", type=number, help="blades of one propeller, 2 to 8")
