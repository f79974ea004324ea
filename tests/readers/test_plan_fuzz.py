"""Mutated plans: whatever a stranger's file holds, it becomes a record or an `InputError`, soon, one line a fault."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.readers.plans import SOUND

from turnback.base.errors import InputError
from turnback.readers.fault_words import MOST_FAULTS
from turnback.readers.plan_files import read_plan
from turnback.records.plan import PlanFile

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "schema-1"
SEEDS = [SOUND, *(path.read_text(encoding="utf-8") for path in sorted(GOLDEN.glob("plan-*.toml")))]
BOUND_S = 10.0  # a guard against work that grows without end, wide enough for a busy machine

PIECES = [
    "= ", "[", "]", "[[", "{", "}", '"', "'", '"""', "'''", "#", "\n", "\r\n", "\r", ".", ",", "don't know", "nan",
    "-inf", "1e400", "-0", "0x7fffffffffffffffff", "1_000", "9" * 400, "true", "1979-05-27T07:32:00Z", "07:32:00",
    "2025-06-30", "\\u0000", "\\U0010FFFF", "\x00", "\x1b[31m", "\ufeff", "é", "\u202e", "[aircraft]\n",
    "[site.ridges]\n", "schema = 2\n", "a.b.c.d.e.f.g.h.i.j = 1\n", '"" = 1\n', 'weather = "plan.toml"\n', "../",
    "[[route.waypoints]]\n", "{ value = 1 }", "class = 1\n", "pack = []\n", 'id = "a"\n', "x" * 5000,
]  # fmt: skip
VALUES = [
    "0", "-1", "1e308", "nan", "inf", "true", '""', '"don\'t know"', "[]", "{}", "[[]]", "[{}]", '"plan.toml"', '"/"',
    '".."', '"a.toml"', "2025-06-30", "{ value = 1 }", "{ value = nan, low = 1 }", "{ class = 3 }",
    "10000000000000000000", '["yes"]', '"\\u0000"', '"\\ud7ff"', "0.1", "3", '"yes"', '"4S 1500 mAh"',
    '"' + "S" * 99 + '"', '"9999999999S 1e9Ah"', '"\\u009b31m.toml"',
]  # fmt: skip


def read(text: str | bytes) -> PlanFile | InputError:
    """Read a text as a plan: a record, or the error that a person is told."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plan.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
        begun = time.perf_counter()
        try:
            found: PlanFile | InputError = read_plan(path)
        except InputError as error:
            found = error
        assert time.perf_counter() - begun < BOUND_S
    return found


def must_be_told_well(found: PlanFile | InputError) -> None:
    """Every fault is one printable line that names the file; every record is one."""
    if isinstance(found, PlanFile):
        assert PlanFile.model_validate(found.model_dump(mode="python", by_alias=True)) == found
        return
    assert 1 <= len(found.faults) <= 3 * MOST_FAULTS
    for fault in found.faults:
        sentence = fault.sentence()
        assert sentence.startswith(("plan.toml", "a.toml"))
        assert sentence.isprintable(), sentence
        assert len(sentence) < 1500
        assert fault.what.strip()
        assert fault.do.strip()


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """Cut, double, move and insert pieces of a sound plan."""
    text = draw(st.sampled_from(SEEDS))
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, len(text)))
        end = draw(st.integers(start, min(len(text), start + 60)))
        piece = draw(st.sampled_from(PIECES) | st.text(max_size=8) | st.just(text[start:end]))
        text = text[:start] + piece + text[draw(st.sampled_from([start, end])) :]
    return text


@st.composite
def revalued(draw: st.DrawFn) -> str:
    """Put other values behind the keys of a sound plan: most of these are TOML, so they reach the records."""
    lines = draw(st.sampled_from(SEEDS)).splitlines()
    keyed = [number for number, line in enumerate(lines) if " = " in line and not line.startswith("#")]
    for number in draw(st.lists(st.sampled_from(keyed), min_size=1, max_size=5)):
        key = lines[number].split(" = ", 1)[0]
        lines[number] = f"{key} = {draw(st.sampled_from(VALUES))}"
    return "\n".join(lines) + "\n"


@given(mutated())
@settings(max_examples=300)
@example(SOUND.replace("mass_g = 460", "mass_g = 460\n\x1b[31m = 1"))
def test_a_mutated_plan_is_a_record_or_told(text: str) -> None:
    must_be_told_well(read(text))


@given(revalued())
@settings(max_examples=400)
def test_a_plan_of_other_values_is_a_record_or_told(text: str) -> None:
    must_be_told_well(read(text))


@given(st.binary(max_size=400))
def test_any_bytes_are_told(content: bytes) -> None:
    found = read(content)
    assert isinstance(found, InputError)
    must_be_told_well(found)


KEYS = st.sampled_from(["schema", "aircraft", "pack", "radio", "site", "weather", "pilot", "route", "answers", "class"])
KEYS = KEYS | st.sampled_from(
    ["control", "video", "label", "waypoints", "ridges", "value", "mass_g", "corners", "id", "zz"]
)


def tables() -> st.SearchStrategy[Any]:
    leaves = st.sampled_from(VALUES)
    return st.recursive(
        leaves,
        lambda inner: (
            st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
            | st.dictionaries(KEYS, inner, max_size=4).map(
                lambda table: "{ " + ", ".join(f"{key} = {value}" for key, value in table.items()) + " }"
            )
        ),
        max_leaves=12,
    )


@given(st.dictionaries(KEYS, tables(), max_size=8))
@settings(max_examples=300)
def test_a_table_of_any_shape_is_told(table: dict[str, str]) -> None:
    must_be_told_well(read("".join(f"{key} = {value}\n" for key, value in table.items())))


HOSTILE = [
    ("a key of sixty thousand dots", "a" + ".a" * 60000 + " = 1\n"),
    ("a key of sixty thousand quoted dots", "a" + ' . "a"' * 40000 + " = 1\n"),
    ("a heading of sixty thousand dots", "[a" + ".a" * 60000 + "]\n"),
    ("dots and blanks", "# " + ". " * 120000),
    ("blanks after dots", "# " + ("." + " " * 500) * 500),
    ("many tables", "".join(f"[t{number}]\n" for number in range(25000))),
    ("one table, deeper line by line", "".join(f"[{'.'.join('a' * (n + 1))}]\n" for n in range(600))),
    ("a long key", "k" * 250000 + " = 1\n"),
    ("a long word where a word is chosen", SOUND.replace('"5-inch, 6 cells"', f'"{"5-inch " * 30000}"')),
    ("a long label", SOUND.replace('"6S 1300 mAh 100C"', f'"{"6S 1" * 50000}"')),
    ("a long id", SOUND.replace("packs_flown = 120", f'id = "{"a" * 250000}"')),
    ("a long list of numbers", SOUND.replace("packs_flown = 120", f"shown = [{'1,' * 100000}]")),
    ("a hundred thousand brackets", "a = " + "[" * 100000),
    ("a hundred thousand braces", "a = " + "{a=" * 60000),
    ("many waypoints, each at fault", SOUND.replace("distance_m = 400", f"waypoints = [{'{ e = 1 },' * 1999}]")),
    ("many duplicate keys", "a = 1\n" * 40000),
    ("a number of a hundred thousand digits", "a = " + "1" * 100000),
    ("a fraction of a hundred thousand digits", SOUND.replace("= 460", "= 460." + "1" * 100000)),
    ("many quotes", "a = " + '"' * 200000),
    ("many escapes", 'a = "' + "\\u0041" * 40000 + '"'),
    ("many comments", "# x\n" * 60000),
]


@pytest.mark.parametrize("text", [text for _, text in HOSTILE], ids=[name for name, _ in HOSTILE])
def test_a_hostile_plan_is_told_soon(text: str) -> None:
    must_be_told_well(read(text))
