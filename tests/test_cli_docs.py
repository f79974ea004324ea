"""docs/cli.md says what the help text says: every command, every option, every status."""

from __future__ import annotations

import argparse
import re
import shlex
from pathlib import Path

import pytest

from turnback.cli import build_parser, main
from turnback.commands.options import COMMANDS, Command
from turnback.commands.outcome import Status

DOCS = Path(__file__).resolve().parent.parent / "docs"
PAGE = (DOCS / "cli.md").read_text(encoding="utf-8")
LEAVES = [command for command in COMMANDS if not command.group]


def parser_of(command: Command) -> argparse.ArgumentParser:
    """Return the parser of one command, with the options of its questions."""
    parser = build_parser(command.words)
    for word in command.words:
        (under,) = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
        parser = under.choices[word]
    return parser


def options_of(parser: argparse.ArgumentParser) -> dict[str, str]:
    """Return each option as written, and its help."""
    found = {}
    for action in parser._actions:
        if isinstance(action, argparse._HelpAction):
            continue
        name = ", ".join(action.option_strings) or str(action.metavar)
        if action.option_strings and action.nargs != 0:
            name += " " + (str(action.metavar) if action.metavar else "{" + ",".join(action.choices or ()) + "}")
        found[name] = (action.help or "").replace("%%", "%")
    return found


def section_of(command: Command) -> str:
    """Return the part of the page about one command."""
    title = f"## `turnback {' '.join(command.words)}`\n"
    assert title in PAGE
    return PAGE.split(title)[1].split("\n## ")[0]


@pytest.mark.parametrize("command", LEAVES, ids=lambda command: "-".join(command.words))
def test_the_page_and_the_parser_name_the_same_options(command: Command) -> None:
    rows = re.findall(r"^\| `([^`]+)` \| (.*) \|$", section_of(command), re.MULTILINE)
    assert dict(rows) == options_of(parser_of(command))
    assert command.text in section_of(command)


@pytest.mark.parametrize("command", LEAVES, ids=lambda command: "-".join(command.words))
def test_the_help_text_holds_every_option_and_its_words(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command.words, "--help"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for name, text in options_of(parser_of(command)).items():
        assert name.split(" ")[0] in said
        assert all(word in said for word in text.split())


def test_the_page_names_no_command_that_is_not_there() -> None:
    named = set(re.findall(r"^## `turnback ([a-z -]+)`$", PAGE, re.MULTILINE))
    assert named == {" ".join(command.words) for command in LEAVES}


def test_every_status_stands_in_the_page() -> None:
    rows = {int(status) for status in re.findall(r"^\| (\d+) \| ", PAGE, re.MULTILINE)}
    assert rows == {int(status) for status in Status}


def test_every_command_line_of_the_page_parses() -> None:
    lines = [line.split("#")[0].strip() for line in PAGE.splitlines() if line.startswith("turnback ")]
    assert len(lines) >= 5
    for line in lines:
        words = shlex.split(line)[1:]
        given = build_parser(words).parse_args(words)
        assert tuple(words[: len(given.words)]) == given.words
