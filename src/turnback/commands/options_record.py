"""Options of ``turnback record``."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Final

from turnback.commands.option_parts import add_language, add_units, number

CHEMISTRIES: Final = ("LiPo", "high-voltage LiPo", "Li-ion")


def add_record(parser: argparse.ArgumentParser) -> None:
    """Options of ``record``."""
    parser.add_argument(
        "record", metavar="RECORD", type=Path,
        help="the record: CSV (also gzipped) or Parquet with one row for each moment, or a GPX, KML or GeoJSON track "
        "with times",
    )  # fmt: skip
    parser.add_argument(
        "--columns", metavar="MAP", type=Path,
        help="which column means what, as columns.toml of an earlier answer says it, corrected by you where it was "
        "wrong",
    )  # fmt: skip
    parser.add_argument(
        "--column", metavar="NAME=MEANING", action="append", default=[],
        help='what one column means, with its unit: "gx=roll_rate deg/s", "m1=output at front-left", '
        '"x7=nothing"; a minus before the meaning where the record counts the other way round; may be given many '
        "times, and wins over the file",
    )  # fmt: skip
    parser.add_argument(
        "--save-columns", metavar="FILE", type=Path,
        help="write what each column was taken for there, to correct and to give again with --columns",
    )  # fmt: skip
    parser.add_argument("--rate", metavar="HZ", type=number, help="rows a second, of a record that has no clock")
    parser.add_argument("--cells", metavar="N", type=number, help="cells in series of the pack, 1 to 14")
    parser.add_argument(
        "--chemistry", choices=CHEMISTRIES, help="of the pack; without it, volts are not held against any limit"
    )
    parser.add_argument("--blades", metavar="N", type=number, help="blades of one propeller, 2 to 8")
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write record.html, record.json and columns.toml there, all or none; the page's path is the last "
        "line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the answer as JSON, in SI units")
    parser.add_argument(
        "--redact", action="store_true",
        help="leave out places, dates, the name of the file and its remarks, to pass the answer on",
    )  # fmt: skip
    add_units(parser)
    add_language(parser)
