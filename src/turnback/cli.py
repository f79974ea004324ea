"""The command line: parse, call, print. Nothing heavy is imported before a command is known."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Final, NoReturn, TextIO

from turnback import __version__
from turnback.base.errors import InputError, bad_input
from turnback.commands.options import ADDERS, COMMANDS, Command
from turnback.commands.outcome import Outcome, Status
from turnback.commands.printing import put, safe

TRACE: Final = "TURNBACK_TRACE"
WAITING: Final = ("OMP_WAIT_POLICY", "passive")
"""Threads that wait for each other sleep: where others want the cores, spinning took a third of the time of a brief.
Read when the first parallel kernel runs. Set by this face only: a script's own process is its author's."""
EPILOG: Final = (
    "Exit status: 0 an answer was reached, whatever it says; 2 the input cannot be used; 3 --gate is not met; 1 only "
    "for a fault of this program. This does not know your local law."
)


class Parser(argparse.ArgumentParser):
    """A parser whose faults are told like every other: one sentence, exit status 2."""

    def error(self, message: str) -> NoReturn:
        """Tell what is wrong with the words given."""
        raise bad_input(self.prog, message.replace("\n", " "), f"see `{self.prog} --help`")


def build_parser(words: Sequence[str] = ()) -> argparse.ArgumentParser:
    """Return the parser of all commands.

    Parameters
    ----------
    words : sequence of str
        The command line; options that cost an import are added only to the command that it names.
    """
    parser = Parser(
        prog="turnback",
        description="Will it come home? Answers for an aircraft, its pack, its radio links, the site and the pilot.",
        epilog=EPILOG,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"turnback {__version__}")
    groups = {"": parser.add_subparsers(title="commands", metavar="COMMAND", dest="command", required=True)}
    for command in COMMANDS:
        *above, name = command.words
        under = groups[" ".join(above)]
        made = under.add_parser(
            name, help=command.short, description=command.text, epilog=command.epilog, allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter if command.epilog else argparse.HelpFormatter,
        )  # fmt: skip
        if command.group:
            groups[" ".join(command.words)] = made.add_subparsers(metavar="COMMAND", dest="inner", required=True)
            continue
        _fill(made, command, words)
    return parser


def _fill(parser: argparse.ArgumentParser, command: Command, words: Sequence[str]) -> None:
    ADDERS[command.words](parser)
    if command.asks and list(words[: len(command.words)]) == list(command.words):
        import_module(command.module).add_options(parser)
    parser.add_argument("--trace", action="store_true", help="show where a fault of this program happened")
    parser.set_defaults(words=command.words, module=command.module, run=command.run)


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status.

    Parameters
    ----------
    argv : sequence of str, optional
        The words after the program's name; those of the process by default.
    """
    words = list(sys.argv[1:] if argv is None else argv)
    _speak_utf8(sys.stdout, sys.stderr)
    os.environ.setdefault(*WAITING)
    trace = "--trace" in words or bool(os.environ.get(TRACE))
    return int(_guarded(lambda: _run(words), trace=trace))


def _run(words: Sequence[str]) -> Outcome:
    given, unknown = build_parser(words).parse_known_args(words)
    if unknown:
        command = " ".join(["turnback", *given.words])
        raise bad_input(command, f"does not know {' '.join(unknown)}", f"see `{command} --help`")
    outcome: Outcome = getattr(import_module(given.module), given.run)(given)
    return outcome


def _guarded(run: Callable[[], Outcome], *, trace: bool) -> Status:
    """Run, print, and turn every way to fail into an exit status and a sentence."""
    try:
        outcome = run()
        put(sys.stderr, outcome.aside)
        put(sys.stdout, outcome.out)
    except InputError as error:
        put(sys.stderr, "".join(f"{safe(fault.sentence())}\n" for fault in error.faults))
        return Status.BAD_INPUT
    except KeyboardInterrupt:
        put(sys.stderr, "\nStopped.\n")
        return Status.STOPPED
    except SystemExit as leaving:  # argparse, after --help or --version
        return Status(leaving.code if isinstance(leaving.code, int) else 0)
    except Exception as error:  # the one place where a crash becomes a sentence
        return _crashed(error, trace=trace)
    return outcome.status


def _crashed(error: Exception, *, trace: bool) -> Status:
    if trace:
        import_module("traceback").print_exc()
    what = safe(f"{type(error).__name__}: {error}".strip().splitlines()[0].rstrip(": "))
    again = "" if trace else f" Run it again with --trace (or {TRACE}=1) to see where."
    put(
        sys.stderr,
        f"turnback: this is a fault of the program, not of your plan ({what}).{again} Please report it with the "
        "command, its files and what --trace shows, where you got turnback from.\n",
    )
    return Status.CRASH


def _speak_utf8(*streams: TextIO) -> None:
    """Files and pipes get UTF-8 with plain line feeds; a terminal gets what it can show."""
    for stream in streams:
        change = getattr(stream, "reconfigure", None)
        if change is None:
            continue
        if stream.isatty():
            change(errors="replace")
        else:
            change(encoding="utf-8", errors="backslashreplace", newline="\n")
