"""Every command and its options, as data for the parser and for docs/cli.md. Imports nothing heavy."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from turnback.commands.option_parts import (
    Adder,
    add_language,
    add_plan,
    add_redact,
    add_seed,
    add_units,
    number,
)
from turnback.commands.options_bench import add_bench
from turnback.commands.options_debrief import add_debrief
from turnback.commands.options_map import add_map
from turnback.commands.options_record import add_record
from turnback.commands.options_walk import add_walk

GATES: Final = ("go", "limits")
PAPERS: Final = ("a6", "quarter-letter")
SCHEMAS: Final = ("plan", "brief", "map", "record", "debrief")
POLARISATIONS: Final = ("vertical", "horizontal")


@dataclass(frozen=True, slots=True)
class Command:
    """One command, or a group of commands."""

    words: tuple[str, ...]
    short: str
    text: str
    module: str = ""
    run: str = "run"
    epilog: str = ""
    group: bool = False
    asks: bool = False
    """True where the module itself adds options (``add_options``), which costs an import."""


COMMANDS: Final = (
    Command(
        ("brief",),
        "before a flight: will it come home?",
        "Answer go, go with limits, no-go or cannot say for a plan file, with every number behind it.",
        "turnback.commands.brief",
    ),
    Command(
        ("card",),
        "one page for the hand, to print",
        "Print the field card of a plan file: one page with what to fly by, the drills for a lost picture and a lost "
        "control link, and the list to work through before every flight. A flight that may not go gets a card that "
        "says so.",
        "turnback.commands.card",
    ),
    Command(
        ("map",),
        "from where around the launch point it comes home",
        "Work out for every place around the launch point how surely an aircraft sent straight there comes home, and "
        "why it does not. A map is no permission: the brief decides whether to fly.",
        "turnback.commands.map",
    ),
    Command(
        ("walk",),
        "measure reception on site, and correct the plan's answer by it",
        "Correct the predicted reception by link levels that were measured at the place: on foot, with the aircraft "
        "not armed and its propellers off, or on a first short flight. It says what stands behind the difference, and "
        "what changes; what it finds is kept with the site.",
        "turnback.commands.walk",
    ),
    Command(
        ("bench",),
        "what is put together wrong, from what was seen",
        "Say how an aircraft may be put together wrong, from what it did and what was looked at, and what to look at "
        "next: looking comes before powering, and anything powered is propellers off, restrained, short, no throttle. "
        "The pilot's own words are likened to the signs of the book of causes, on this machine, for you to confirm.",
        "turnback.commands.bench",
    ),
    Command(
        ("record",),
        "what a flight record's columns mean, and what happened in it",
        "Read a flight record from anywhere by what its columns mean, shown with how sure that is and never guessed "
        "silently, and tell what happened: phases, events with their onset, spectra, the story in sentences with "
        "times. It does not say why. A column that nobody can be sure of is left out until you say what it is.",
        "turnback.commands.record",
    ),
    Command(
        ("debrief",),
        "after a bad flight: what went wrong, how sure, and what to do",
        "Say what happened, why, how sure that is, what speaks for and against, which one check decides and what to "
        "do: from the pilot's words and readings alone, or with a flight record and the flight's plan. People, the "
        "pack and a lost aircraft come first; after an injury no cause is named.",
        "turnback.commands.debrief",
    ),
    Command(("plan",), "write, verify or describe a plan file", "Write, verify or describe a plan file.", group=True),
    Command(
        ("plan", "new"),
        "write a new plan by asking a few questions",
        "Write a commented plan. Questions whose answer is not given as an option are asked; with --no-questions, or "
        'where nobody can answer, they keep their default. Any answer that a plan can do without may be "don\'t know".',
        "turnback.commands.plan",
        "run_new",
        asks=True,
    ),
    Command(
        ("plan", "verify"),
        "tell all faults of a plan at once",
        "Read a plan and every file it refers to, and tell all faults at once.",
        "turnback.commands.plan",
        "run_verify",
    ),
    Command(
        ("plan", "schema"),
        "print the JSON Schema of a plan, a brief, a map, a record's answer or a debrief",
        "Print the JSON Schema (2020-12) of a plan file, of the answer to one (brief.json), of its map (map.json), "
        "of the answer to a flight record (record.json), or of a debrief (debrief.json).",
        "turnback.commands.plan",
        "run_schema",
    ),
    Command(("terrain",), "the ground around a place", "The ground around a place.", group=True),
    Command(
        ("terrain", "get"),
        "fetch the ground around a place",
        "Fetch the ground around a place from an open elevation service of cloud-optimised GeoTIFFs, only the parts "
        "that are needed, and keep them for the next time. The service learns the place that you ask about; nothing "
        "else is sent.",
        "turnback.commands.terrain",
        "run_get",
    ),
    Command(
        ("ray",),
        "one radio path over a given profile",
        "Say what one radio path over a profile of heights loses: free space, diffraction (ITU-R P.526, "
        "delta-Bullington) and the ruling obstacle.",
        "turnback.commands.ray",
    ),
    Command(
        ("pack-run",),
        "volts of a pack over a given load",
        "Run a pack over a profile of current or power, and say volts, state of charge and temperature.",
        "turnback.commands.pack_run",
    ),
)


def add_brief(parser: argparse.ArgumentParser) -> None:
    """Options of ``brief``."""
    add_plan(parser)
    parser.add_argument(
        "--out", metavar="DIR", type=Path,
        help="also write report.html, report.pdf, brief.json and brief.schema.json there; the page's path is the last "
        "line printed",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the brief as JSON, in SI units")
    add_redact(parser)
    parser.add_argument(
        "--gate", choices=GATES,
        help="exit with status 3 unless the verdict is go, or (limits) at least go with limits",
    )  # fmt: skip
    add_units(parser)
    add_language(parser)
    add_seed(parser)


def add_card(parser: argparse.ArgumentParser) -> None:
    """Options of ``card``."""
    add_plan(parser)
    parser.add_argument(
        "--out", metavar="FILE", type=Path, default=Path("card.pdf"),
        help="write it there; a file that stands there is replaced (default: card.pdf)",
    )  # fmt: skip
    parser.add_argument("--paper", choices=PAPERS, default="a6", help="size of the card (default: a6)")
    add_redact(parser)
    add_units(parser)
    add_language(parser)
    add_seed(parser)


def add_plan_schema(parser: argparse.ArgumentParser) -> None:
    """Options of ``plan schema``."""
    parser.add_argument("--of", choices=SCHEMAS, default="plan", help="what it describes (default: plan)")


def add_plan_new(parser: argparse.ArgumentParser) -> None:
    """Options of ``plan new``, without those of its questions."""
    parser.add_argument("--to", metavar="FILE", type=Path, help="write it there, not to standard output")
    parser.add_argument("--no-questions", action="store_true", help="ask nothing; use options and defaults")
    add_language(parser)


def add_terrain_get(parser: argparse.ArgumentParser) -> None:
    """Options of ``terrain get``."""
    parser.add_argument("--lat", metavar="DEG", type=number, required=True, help="latitude of the launch point, WGS 84")
    parser.add_argument("--lon", metavar="DEG", type=number, required=True, help="longitude; west is negative")
    parser.add_argument("--radius", metavar="M", type=number, default=5000.0, help="metres around it (default: 5000)")
    parser.add_argument("--to", metavar="FILE", type=Path, required=True, help="the GeoTIFF to write")
    parser.add_argument(
        "--from", dest="from_", metavar="ADDRESS",
        help="address of the service, with {NS}{lat} and {EW}{lon} for the south-west corner of a tile of one degree "
        "(or set TURNBACK_TERRAIN_FROM)",
    )  # fmt: skip
    parser.add_argument(
        "--cache", metavar="DIR", type=Path, help="where fetched ground is kept (default: your user's cache)"
    )
    parser.add_argument(
        "--cache-mb", metavar="MB", type=number, default=500.0, help="most that is kept there, megabytes (default: 500)"
    )
    add_language(parser)


def add_ray(parser: argparse.ArgumentParser) -> None:
    """Options of ``ray``."""
    parser.add_argument(
        "--profile", metavar="FILE", type=Path, required=True,
        help="CSV with the columns distance_km and height_m (above sea level)",
    )  # fmt: skip
    parser.add_argument(
        "--from-height", metavar="M", type=number, required=True, help="antenna at the start, metres above ground"
    )
    parser.add_argument(
        "--to-height", metavar="M", type=number, required=True, help="antenna at the end, metres above ground"
    )
    parser.add_argument("--frequency-mhz", metavar="F", type=number, required=True, help="frequency in MHz")
    parser.add_argument(
        "--earth-radius-km", metavar="R", type=number, default=8500.0, help="effective Earth radius (default: 8500)"
    )
    parser.add_argument(
        "--polarisation", choices=POLARISATIONS, default="vertical", help="of the antennas (default: vertical)"
    )
    parser.add_argument(
        "--permittivity", metavar="E", type=number, default=22.0,
        help="relative permittivity of the ground (default: 22, average land)",
    )  # fmt: skip
    parser.add_argument(
        "--conductivity-s-per-m", metavar="S", type=number, default=0.003,
        help="conductivity of the ground in S/m (default: 0.003, average land)",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the numbers as JSON")
    add_language(parser)


def add_pack_run(parser: argparse.ArgumentParser) -> None:
    """Options of ``pack-run``."""
    parser.add_argument("--pack", metavar="FILE", type=Path, required=True, help="the pack file (TOML)")
    parser.add_argument(
        "--profile", metavar="FILE", type=Path, required=True,
        help="CSV with the columns time_s and current_a, or time_s and power_w",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print the run as JSON")
    add_language(parser)


ADDERS: Final[dict[tuple[str, ...], Adder]] = {
    ("brief",): add_brief,
    ("card",): add_card,
    ("map",): add_map,
    ("walk",): add_walk,
    ("bench",): add_bench,
    ("record",): add_record,
    ("debrief",): add_debrief,
    ("plan", "new"): add_plan_new,
    ("plan", "verify"): add_plan,
    ("plan", "schema"): add_plan_schema,
    ("terrain", "get"): add_terrain_get,
    ("ray",): add_ray,
    ("pack-run",): add_pack_run,
}
