"""Write the reference pages from the program itself, so that they cannot fall behind it.

`conf.py` calls `write_all` before every build; nothing that it writes is kept in the repository.
"""

from __future__ import annotations

import ast
import tomllib
import types
import typing
from collections.abc import Iterator
from enum import Enum
from importlib import import_module, resources
from pathlib import Path
from pkgutil import iter_modules
from typing import Any, Final

from pydantic.fields import FieldInfo

import turnback
from turnback import rules
from turnback.base.sources import SOURCES
from turnback.records.common import FileRecord, Reading
from turnback.records.learned import LearnedEntry
from turnback.records.plan import PlanFile
from turnback.report.words_actions import ACTION_WORDS
from turnback.rules.falling import PUBLISHED
from turnback.rules.rule import Rule, Threshold

Rows = list[list[str]]
RULE_ROOMS: Final = (
    "belief", "care", "chance", "falling", "flight", "hearing", "people", "pilot", "range_walk", "walk",
)  # fmt: skip


def write_all(folder: Path) -> None:
    """Write every reference page into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    pages = {
        "plan.md": plan_page(),
        "rules.md": rules_page(),
        "typical.md": toml_page("typical.toml", "Typical values", TYPICAL_INTRO),
        "chemistry.md": toml_page("chemistry.toml", "Chemistries", CHEMISTRY_INTRO),
        "sources.md": sources_page(),
        "formulas.md": formulas_page(),
    }
    for name, text in pages.items():
        path = folder / name
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")


def table(head: list[str], rows: Rows) -> str:
    """Return a Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", r"\|") for cell in line) + " |" for line in lines)


# --- the plan file --------------------------------------------------------------------------------------------------

PLAN_INTRO: Final = """\
# Every key of a plan

Made from the program's own records. [](../plan-file.md) says how to write one.

A table that stands here as `[pack]` may be a file of its own, named by a relative path (`pack = "my-pack.toml"`):
aircraft, pack, radio, site, weather, pilot. Where a key may be left out, `"don't know"` may be written in its place.
A number in a column *band allowed* may be written as `{ value = 420, low = 410, high = 430, how = "measured" }`.
"""


WORDS: Final = {
    "schema": "version of the file",
    "id": "small letters, digits, hyphens: what is learned from records is kept under it",
    "note": "free text, up to 500 characters",
    "label": 'what is printed on the pack, such as `"4S 1500 mAh 95C"`',
    "cell_rest_v": "rest volts of every cell, V, in a list; the weakest counts",
    "ducts": "whether the propellers run in rings; as the class has them if left out",
    "needs_position_fix": "whether the automatic return needs a position fix",
    "distance_m": "from the launch point, m",
    "height_m": "height, m, counted as `height_above` says",
    "file": "a track: GPX, KML or GeoJSON",
    "metar": "a pasted weather report (METAR)",
    "observer": "whether somebody beside the pilot watches the aircraft and the sky",
    "looked_up": "whether the local limits were looked up",
    "propellers_verified_today": "whether every propeller was looked at today: direction, way up, tight",
    "return_tested_on_this_build": "whether the automatic return was tested on this build",
    "minutes": "minutes flown",
    "charger_mah": "mAh that the charger put back",
    "output_percent": "output of one motor, per cent",
    "thrust_g": "thrust of one motor on its propeller, g",
    "current_a": "current of one motor, A",
    "of": "what it is about",
    "on": "date",
    "quantity": "key as in the plan; its unit too",
    "value": "the value",
    "low": "5 % end",
    "high": "95 % end",
    "from_record": "which record taught it",
}
"""Meanings of keys whose records leave them to their names."""


def plan_page() -> str:
    """Return the reference of the plan file and of the learned file."""
    parts = [PLAN_INTRO]
    parts += [section(name, record, text) for name, record, text in tables(PlanFile, "")]
    parts.append(section("Learned values", LearnedEntry, "Each row of a learned file. " + first(LearnedEntry)))
    return "\n".join(parts)


def tables(record: type[FileRecord], path: str) -> Iterator[tuple[str, type[FileRecord], str]]:
    """Yield every table of a file: its name as written, its record, what it is."""
    yield path or "The plan itself", record, first(record)
    for name, info in record.model_fields.items():
        inner = inner_record(info.annotation)
        if inner is not None:
            place = f"{path.strip('[]')}.{info.alias or name}" if path else info.alias or name
            yield from tables(inner, f"[[{place}]]" if "tuple" in str(info.annotation) else f"[{place}]")


def section(title: str, record: type[FileRecord], text: str) -> str:
    """Return one table of a file, key by key."""
    rows = []
    for name, info in record.model_fields.items():
        if inner_record(info.annotation) is None:
            rows.append([f"`{info.alias or name}`", *described(info.alias or name, info)])
    body = table(["key", "what", "unit", "range or words", "left out"], rows) if rows else ""
    return f"\n## {title if ' ' in title else f'`{title}`'}\n\n{text}\n\n{body}\n"


def described(key: str, info: FieldInfo) -> list[str]:
    """Return meaning, unit, range and default of one key."""
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    words = next(
        (part for part in parts_of(info.annotation) if isinstance(part, type) and issubclass(part, Enum)), None
    )
    text = info.description or WORDS.get(key) or (first(words) if words else "")
    low, high = extra.get("minimum", bound(info, "ge", "gt")), extra.get("maximum", bound(info, "le"))
    reach = "" if low is None and high is None else f"{number(low)} to {number(high)}"
    if words is not None:
        reach = ", ".join(f'`"{member.value}"`' for member in words)
    if Reading in parts_of(info.annotation):
        reach += "; band allowed"
    return [text, str(extra.get("x-unit", "")), reach.lstrip("; "), left_out(info)]


def left_out(info: FieldInfo) -> str:
    """Say what a key that is not there means."""
    if info.is_required():
        return "must be there"
    if isinstance(info.default, Enum):
        return f'`"{info.default.value}"`'
    if info.default is None:
        return "not known"
    return "none" if info.default == () else str(info.default)


def bound(info: FieldInfo, *names: str) -> float | None:
    """Return a bound that the annotation carries."""
    found = [getattr(part, name, None) for part in info.metadata for name in names]
    return next((value for value in found if value is not None), None)


def number(value: object) -> str:
    """Return a bound as text."""
    return f"{value:g}" if isinstance(value, int | float) else "…"


def inner_record(annotation: Any) -> type[FileRecord] | None:
    """Return the record of a table that stands in this one; a reading is a value, not a table."""
    for part in parts_of(annotation):
        if isinstance(part, type) and issubclass(part, FileRecord) and part is not Reading:
            return part
    return None


def parts_of(annotation: Any) -> list[Any]:
    """Return what an annotation is made of."""
    if typing.get_origin(annotation) in (typing.Union, types.UnionType, typing.Annotated, tuple):
        return [inner for part in typing.get_args(annotation) for inner in parts_of(part)]
    return [annotation]


def first(thing: type) -> str:
    """Return the docstring's first paragraph."""
    return " ".join((thing.__doc__ or "").split("\n\n")[0].split()).replace("``", "`")


# --- rules, typical values, sources -----------------------------------------------------------------------------------

RULES_INTRO: Final = """\
# Rules

Every threshold, with its source and its reason. A rule of value 1 without a unit is a plain fact: a question left
open, or an answer. Made from `turnback.rules`.
"""
PUBLISHED_INTRO: Final = """\
Context, never a licence: they are shown beside the numbers of a fall, and no verdict is held against them
([why](../decisions/0007-what-a-fall-is-held-against.md)).
"""
TYPICAL_INTRO: Final = """\
What fills a gap, with the ends that hold 90 % of builds of the class, where it came from and why. Every answer that
uses one lists it under *assumed*. Made from `rules/typical.toml`.
"""
SOURCES_INTRO: Final = """\
# Sources

Every citation, and how far it carries. What is marked *from memory* or *second-hand* was not read in the original:
verify it before you rely on it. Made from `turnback.base.sources`.
"""
CHEMISTRY_INTRO: Final = """\
What a chemistry allows, per cell; volts say whether they are at rest or loaded. Made from `rules/chemistry.toml`.
"""


def rules_page() -> str:
    """Return every rule."""
    parts = [RULES_INTRO]
    for room in RULE_ROOMS:
        module = import_module(f"turnback.rules.{room}")
        rows = [
            [
                f"`{rule.key}`",
                f"{rule.value:g} {rule.unit}".strip(),
                rule.why,
                f"`{rule.source}`",
                ACTION_WORDS.get(rule.do, ""),
            ]
            for rule in module.RULES
            if isinstance(rule, Rule)
        ]
        parts += [f"\n## {module.__doc__}\n", table(["rule", "value", "why", "source", "what to do"], rows)]
    for name in sorted(each.name for each in iter_modules(rules.__path__) if each.name.startswith(("record_", "told"))):
        module = import_module(f"turnback.rules.{name}")
        rows = [
            [f"`{row.key}`", f"{row.value:g} {row.unit}".strip(), row.why, f"`{row.source}`"]
            for row in module.RULES
            if isinstance(row, Threshold)
        ]
        parts += [
            f"\n## {(module.__doc__ or '').splitlines()[0]}\n",
            table(["threshold", "value", "why", "source"], rows),
        ]
    rows = [
        [f"`{row.key}`", f"{row.value:.5g} {row.unit}", row.clause, row.why, f"`{row.source}`"] for row in PUBLISHED
    ]
    parts += [f"\n## Published thresholds of falling\n\n{PUBLISHED_INTRO}",
              table(["threshold", "value", "clause", "what it is about", "source"], rows)]  # fmt: skip
    return "\n".join(parts) + "\n"


def toml_page(file: str, title: str, intro: str) -> str:
    """Return every row of one of the rules' tables."""
    text = resources.files("turnback.rules").joinpath(file).read_text(encoding="utf-8")
    parts = [f"# {title}\n\n{intro}"]
    for name, rows in groups(tomllib.loads(text), ""):
        body = [
            [f"`{key}`", listed(row["value"]), listed(row.get("low", "")), listed(row.get("high", "")),
             " ".join(str(row[part]) for part in ("unit", "at") if part in row), row["why"], f"`{row['source']}`"]
            for key, row in rows.items()
        ]  # fmt: skip
        parts.append(f"\n## {name}\n\n" + table(["value", "", "low", "high", "unit", "why", "source"], body))
    return "\n".join(parts) + "\n"


def groups(node: dict[str, Any], path: str) -> Iterator[tuple[str, dict[str, dict[str, Any]]]]:
    """Yield every group of rows with its name."""
    rows = {key: child for key, child in node.items() if "value" in child}
    if rows:
        yield path, rows
    for key, child in node.items():
        if key not in rows:
            yield from groups(child, f"{path}, {key}" if path else key)


def listed(value: object) -> str:
    """Return a value or a list of them as text."""
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def sources_page() -> str:
    """Return every citation."""
    rows = [[f"`{source.key}`", source.standing.value, source.text] for source in SOURCES.values()]
    return f"{SOURCES_INTRO}\n{table(['key', 'standing', 'what'], rows)}\n"


# --- formulas ---------------------------------------------------------------------------------------------------------

FORMULAS_INTRO: Final = """\
# Formulas

What each public function of `turnback.physics` computes and where it is from, taken from its docstring. Each of them
is held against a value from outside under `tests/published`; a test sees to it.
"""


def formulas_page() -> str:
    """Return what every public function of physics says of itself."""
    parts = [FORMULAS_INTRO]
    for path in sorted((Path(turnback.__file__).parent / "physics").glob("*.py")):
        module = ast.parse(path.read_text(encoding="utf-8"))
        functions = [node for node in module.body if isinstance(node, ast.FunctionDef) and is_shown(node)]
        if functions:
            parts.append(f"\n## {path.stem}\n\n```text\n{ast.get_docstring(module)}\n```\n")
            parts += [f"`{function.name}`\n: {said(function)}\n" for function in functions]
    return "\n".join(parts)


def is_shown(function: ast.FunctionDef) -> bool:
    """True for a public function that is no kernel."""
    return not function.name.startswith("_") and not function.decorator_list


def said(function: ast.FunctionDef) -> str:
    """Return a docstring's first paragraph and its notes, in plain characters."""
    text = ast.get_docstring(function) or ""
    notes = text.partition("Notes\n-----\n")[2].split("\n\n")[0]
    plain = " ".join(f"{text.split(chr(10) + chr(10))[0]} {notes}".split())
    return "".join(f"\\{letter}" if letter in r"\*_<>[]^|~$#" else letter for letter in plain)
