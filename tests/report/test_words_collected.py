"""English in the report's code is a message that the template holds: read from the source, whether it is run or not."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

REPORT = Path(__file__).resolve().parents[2] / "src" / "turnback" / "report"
MODULES = sorted(REPORT.glob("*.py"))
ENGLISH = re.compile(r"[A-Za-z]{2,}[,;:]? [A-Za-z]{2,}")
MARKUP = re.compile(r"[<>]|=\"|-desc\"")
SPOKEN = frozenset({"text", "mark", "plural", "mark_plural"})
FAULTS = frozenset({"bad_input", "Fault"})
"""Faults of an input are in English; so are they in the floors below."""
NO_WORDS = {
    "sea level": "a key of the records",
    "automatic return": "a word of the plan",
    "cannot deliver": "a key of the records",
    "dont know": "what may be typed",
    "do not know": "what may be typed",
    "sq in": "a unit",
    "Source Sans Pro": "a font",
    "could not be displayed": "how the compiler of print begins a warning",
    "Turnback: brief": "the title of a schema, for scripts",
    "Turnback: turn-back map": "the title of a schema, for scripts",
    **dict.fromkeys(
        ("turn-back ring", "ring of a height", "launch point", "degrees from true north"),
        "a key or a unit of a file for other programs",
    ),
    **dict.fromkeys(
        (
            "An estimate, not a permission. This does not know your local law.",
            "Local metres east and north of the launch point",
            "nearest cell, never a mean",
        ),
        "a tag of a raster: other programs read it, always in English",
    ),
}
FAULT_WORDS = {
    "files.py": "of files that cannot be written",
    "language.py": "of a language without a translation",
    "new_plan_questions.py": "of answers that cannot be used",
}
"""Modules whose faults are put together from parts: all their other words are messages in a call."""


def called(node: ast.AST) -> str:
    """Return the name of the function that a node calls, or nothing."""
    function = node.func if isinstance(node, ast.Call) else None
    return function.id if isinstance(function, ast.Name) else getattr(function, "attr", "")


def unspoken(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield the English of a module that passes through no message, leaving out faults, docstrings and enums."""
    passed: set[int] = set()
    for node in ast.walk(tree):
        whole = called(node) in SPOKEN | FAULTS or isinstance(node, ast.Raise)
        values = isinstance(node, ast.ClassDef) and any(ast.unparse(base) == "Enum" for base in node.bases)
        if whole or values or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
            passed |= {id(inner) for inner in ast.walk(node)}
    for node in ast.walk(tree):
        said = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
        if id(node) not in passed and ENGLISH.search(said) and not MARKUP.search(said) and said not in NO_WORDS:
            yield getattr(node, "lineno", 0), said


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_english_stands_in_a_message(path: Path) -> None:
    found = list(unspoken(ast.parse(path.read_text(encoding="utf-8"))))
    assert found == [] or path.name in FAULT_WORDS


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_a_message_is_a_constant_where_it_is_written(path: Path) -> None:
    """What is put together, or named before it is used, is never collected: ``mark`` it, or write it in the call."""
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    messages = [
        (called(call), message)
        for call in nodes
        if isinstance(call, ast.Call)
        if called(call) in SPOKEN
        for message in call.args[: 2 if "plural" in called(call) and not isinstance(call.args[0], ast.Starred) else 1]
    ]
    loose = [
        ast.unparse(message)
        for function, message in messages
        if (function != "text" and not isinstance(message, (ast.Constant, ast.Starred)))
        or isinstance(message, (ast.JoinedStr, ast.BinOp))
    ]
    apart = [
        ast.unparse(pair)
        for pair in nodes
        if isinstance(pair, ast.Tuple) and len(pair.elts) == 2
        if all(called(form) == "mark" and "{count}" in ast.unparse(form) for form in pair.elts)
    ]
    assert loose == []
    assert apart == [], "two forms are collected together by mark_plural"


def test_the_search_finds_what_passes_by() -> None:
    source = '"""A doc string."""\nx = text("A message here") + "some words"\nraise bad_input("a", "is not b c")\n'
    assert list(unspoken(ast.parse(source))) == [(2, "some words")]
    assert list(unspoken(ast.parse('f"{x} more words {y}"'))) == [(1, " more words ")]
