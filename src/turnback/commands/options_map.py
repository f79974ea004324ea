"""Options of ``turnback map``."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

from turnback.commands.option_parts import (
    add_language,
    add_plan,
    add_redact,
    add_seed,
    add_units,
    number,
    numbers,
)

ABOVE: Final = ("launch", "ground")


def add_map(parser: argparse.ArgumentParser) -> None:
    """Options of ``map``."""
    add_plan(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write map.html, map.png, map.tif, map.json, map.schema.json and ring.geojson there, all or none; "
        "the page's path is the last line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the map's numbers as JSON, in SI units")
    add_redact(parser)
    parser.add_argument(
        "--height",
        metavar="M",
        type=number,
        help="metres it flies at (default: the greatest height of the plan's route)",
    )
    parser.add_argument(
        "--height-above", choices=ABOVE, help="what the height counts from (default: as in the plan's route)"
    )
    parser.add_argument("--radius", metavar="M", type=number, help="metres around the launch point that the map shows")
    parser.add_argument(
        "--chance", metavar="C", type=number, default=0.95,
        help="how surely it has to come home, 0.5 to 0.999 (default: 0.95, all but 1 flight in 20)",
    )  # fmt: skip
    sweep = parser.add_mutually_exclusive_group()
    sweep.add_argument(
        "--heights", metavar="LIST", type=numbers, default=(),
        help='also compare these heights, metres with commas between, such as "30,60,90"; none above the height limit '
        "entered in the plan",
    )  # fmt: skip
    sweep.add_argument(
        "--all-heights", action="store_true",
        help="also compare heights in even steps up to the height limit entered in the plan",
    )  # fmt: skip
    add_units(parser)
    add_language(parser)
    add_seed(parser)
