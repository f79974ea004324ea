"""Options of ``turnback bench``."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

from turnback.commands.option_parts import add_language, number

TURNS: Final = ("clockwise", "anticlockwise")


def add_bench(parser: argparse.ArgumentParser) -> None:
    """Options of ``bench``."""
    parser.add_argument(
        "--saw", metavar="SIGN[=WHERE]", action="append", default=[],
        help="what the aircraft did, such as spins; where it tips toward after an equals sign; may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--checked", metavar="CHECK[.CORNER]=RESULT", action="append", default=[],
        help="what was looked at, and what was found after an equals sign; may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--said", metavar="TEXT", action="append", default=[],
        help="the pilot's own words; they stay on this machine, and what is heard in them is shown for you to confirm",
    )  # fmt: skip
    parser.add_argument(
        "--sign", metavar="KEY", action="append", default=[],
        help="a sign of the book that was seen (--list shows them); may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--no-sign", metavar="KEY", action="append", default=[],
        help="a sign of the book that was looked for and not seen; may be given many times",
    )  # fmt: skip
    parser.add_argument(
        "--list", action="store_true", help="show what can be seen, what can be looked at, and the book"
    )
    parser.add_argument(
        "--go-on", metavar="PATH", type=Path,
        help="go on from an earlier answer: its folder, or its chain.json",
    )  # fmt: skip
    parser.add_argument(
        "--take-back", metavar="N", type=int, default=0, help="first take back the last N steps of the earlier answer"
    )
    parser.add_argument(
        "--front-left", choices=TURNS,
        help="how the front-left motor should turn, seen from above, by the set-up sheet (assumed: clockwise)",
    )  # fmt: skip
    parser.add_argument(
        "--gains", metavar="I,A,LIMIT,TILT", type=_four,
        help="integral gain, attitude gain, limit of the integral action (0 to 1) and tilt in degrees: how long motors "
        "take to run up without propellers",
    )  # fmt: skip
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write bench.html, bench.json and chain.json there; the page's path is the last line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    add_language(parser)


def _four(text: str) -> tuple[float, ...]:
    parts = text.split(",")
    if len(parts) != 4:
        raise argparse.ArgumentTypeError(f"{text[:40]!r} is not four numbers in the form 0.1,6,0.4,2")
    return tuple(number(part) for part in parts)
