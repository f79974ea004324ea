"""What options of several commands share: how a value is read, and the options that mean the same everywhere."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

Adder = Callable[[argparse.ArgumentParser], None]
UNITS: Final = ("metric", "imperial")
MOST_SEED: Final = 2**63 - 1
LONGEST_SHOWN: Final = 40


def whole_number(text: str) -> int:
    """Read a seed."""
    try:
        number = int(text)
    except ValueError:
        number = -1
    if not 0 <= number <= MOST_SEED:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number of 0 or more")
    return number


def moment(text: str) -> datetime:
    """Read a date and time of ISO 8601; without a zone it is UTC."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date and time such as 2025-06-01T10:30+02:00") from None
    return when if when.tzinfo is not None else when.replace(tzinfo=UTC)


def number(text: str) -> float:
    """Read a number; its range is judged where it is used."""
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number") from None


def numbers(text: str) -> tuple[float, ...]:
    """Read numbers with commas between them; their ranges are judged where they are used."""
    try:
        return tuple(float(part) for part in text.split(","))
    except ValueError:
        shown = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."
        raise argparse.ArgumentTypeError(f'{shown!r} is no list of numbers in the form "30,60,90"') from None


def add_plan(parser: argparse.ArgumentParser) -> None:
    """The plan, what records taught, and the time."""
    parser.add_argument("plan", metavar="PLAN", type=Path, help="the plan file (TOML)")
    parser.add_argument("--learned", metavar="FILE", type=Path, help="what records taught, kept by id (TOML)")
    parser.add_argument(
        "--now", metavar="TIME", type=moment,
        help="when the question is asked, ISO 8601 (UTC without a zone); the clock by default",
    )  # fmt: skip


def add_language(parser: argparse.ArgumentParser) -> None:
    """The language of the words."""
    parser.add_argument(
        "--language", metavar="CODE", default="en",
        help="language of the words, by its code, where there is a translation (default: en)",
    )  # fmt: skip


def add_redact(parser: argparse.ArgumentParser) -> None:
    """Say less of the place, for what is passed on."""
    parser.add_argument(
        "--redact", action="store_true",
        help="leave out names and titles, and count every height from the launch point, to pass the answer on",
    )  # fmt: skip


def add_units(parser: argparse.ArgumentParser) -> None:
    """The units that are shown."""
    parser.add_argument("--units", choices=UNITS, default="metric", help="units to show (default: metric)")


def add_seed(parser: argparse.ArgumentParser) -> None:
    """The seed of the random draws."""
    parser.add_argument(
        "--seed", metavar="N", type=whole_number, default=1,
        help="of the random draws; the same seed gives the same answer (default: 1)",
    )  # fmt: skip
