"""Each thing that makes a book unusable is refused, on a small made-up book; and all of them are told at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from turnback.base.errors import Fault, InputError
from turnback.knowledge import reading
from turnback.knowledge.book import Basis, CauseGroup, Channel, CheckKind
from turnback.knowledge.reading import read_book

CAUSES: Final = """
[cause.nut-loose]
group = "build"
name = "A nut is loose"
prior = 0.02
basis = "our guess"
fix = "Tighten it."
prevention = "Look at it."
caution = "It can fly off."
[cause.nut-loose.shows]
rattles = [0.9, "common practice"]
nut-turns = [0.8, "our guess"]

[cause.wire-torn]
group = "set-up"
name = "A wire is torn"
prior = 0.01
basis = "common practice"
fix = "Replace it."
prevention = "Tie it down."
caution = "It can burn."
pilot_error = true
[cause.wire-torn.shows]
rattles = [0.2, "our guess"]
runs-bare = [0.7, "study"]
"""
SIGNS: Final = """
[sign.rattles]
name = "it rattles"
channel = "said by the pilot"
leak = 0.05
basis = "our guess"
phrases = ["it rattles", "there is a rattle"]

[sign.nut-turns]
name = "the nut turns by hand"
channel = "seen on the aircraft"
leak = 0.01
basis = "our guess"

[sign.runs-bare]
name = "it runs on the bench"
channel = "seen on the bench, powered"
leak = 0.1
basis = "our guess"
"""
CHECKS: Final = """
[check.turn-nut]
name = "Turn the nut by hand."
kind = "looking, unplugged"
minutes = 1
signs = ["nut-turns"]
caution = "Unplug it first."

[check.run-it]
name = "Run it."
kind = "powered: propellers off, restrained, short, no throttle"
minutes = 3.5
signs = ["runs-bare", "rattles"]
caution = "Propellers off, restrained, short, and no throttle."
"""


def folder(path: Path, causes: str = CAUSES, signs: str = SIGNS, checks: str = CHECKS) -> Path:
    for name, text in (("causes_toy", causes), ("signs_toy", signs), ("checks_toy", checks)):
        path.joinpath(f"{name}.toml").write_text(text, encoding="utf-8")
    return path


def faults(path: Path) -> tuple[Fault, ...]:
    with pytest.raises(InputError) as refused:
        read_book(path)
    return refused.value.faults


def test_a_consistent_book_is_read_as_it_is_written(tmp_path: Path) -> None:
    book = read_book(folder(tmp_path))
    nut, wire = book.causes
    assert (nut.key, nut.group, nut.prior, nut.basis, nut.pilot_error) == (
        "nut-loose", CauseGroup.BUILD, 0.02, Basis.GUESS, False
    )  # fmt: skip
    assert (wire.name, wire.fix, wire.pilot_error) == ("A wire is torn", "Replace it.", True)
    assert [sign.key for sign in book.signs] == ["rattles", "nut-turns", "runs-bare"]
    assert book.signs[0].channel is Channel.SAID
    assert book.signs[0].phrases == ("it rattles", "there is a rattle")
    assert [(decider.kind, decider.minutes) for decider in book.checks] == [
        (CheckKind.LOOK, 1.0), (CheckKind.POWERED, 3.5)
    ]  # fmt: skip
    np.testing.assert_array_equal(book.strength, [[0.9, 0.8, 0.0], [0.2, 0.0, 0.7]])
    assert not book.strength.flags.writeable
    assert [one.basis for one in book.likelihoods if one.sign == "runs-bare"] == [Basis.STUDY]


def test_files_of_one_book_may_use_each_other(tmp_path: Path) -> None:
    first, second = SIGNS.split("[sign.runs-bare]")
    folder(tmp_path, signs=first)
    tmp_path.joinpath("signs_other.toml").write_text("[sign.runs-bare]" + second, encoding="utf-8")
    assert {sign.key for sign in read_book(tmp_path).signs} == {"rattles", "nut-turns", "runs-bare"}


def swap(part: str, old: str, new: str) -> Callable[[Path], Path]:
    """Return what writes the book with one thing in one file put otherwise."""

    def write(path: Path) -> Path:
        texts = {"causes": CAUSES, "signs": SIGNS, "checks": CHECKS}
        assert old in texts[part]
        return folder(path, **{part: texts[part].replace(old, new, 1)})

    return write


NUT: Final = "causes_toy.toml: cause.nut-loose"
REFUSED: Final = {
    "a field that no row has": ("causes", "prior = 0.02", "prior = 0.02\nodds = 2", f"{NUT}.odds", "no field"),
    "no fix": ("causes", 'fix = "Tighten it."', "", f"{NUT}.fix", "missing"),
    "no prevention": ("causes", 'prevention = "Look at it."', "", f"{NUT}.prevention", "missing"),
    "no caution": ("causes", 'caution = "It can fly off."', "", f"{NUT}.caution", "missing"),
    "no basis": ("causes", 'basis = "our guess"\n', "", f"{NUT}.basis", "missing"),
    "an empty fix": ("causes", '"Tighten it."', '" "', f"{NUT}.fix", "says nothing"),
    "a fix without full stop": ("causes", "Tighten it.", "Tighten it", f"{NUT}.fix", "ends wrong"),
    "a name with full stop": ("causes", "A nut is loose", "A nut is loose.", f"{NUT}.name", "ends wrong"),
    "a place to fill in": ("causes", "Tighten it.", "Tighten {it}.", f"{NUT}.fix", "brace"),
    "too long a text": ("causes", "Tighten it.", "Tighten it " * 60 + ".", f"{NUT}.fix", "more than 600"),
    "a prior too large": ("causes", "0.02", "0.21", f"{NUT}.prior", "'0.21' is not a number from 0.0001 to 0.2"),
    "a prior too small": ("causes", "0.02", "0.00009", f"{NUT}.prior", "0.0001 to 0.2"),
    "a prior that is no number": ("causes", "0.02", "nan", f"{NUT}.prior", "'nan' is not a number"),
    "a prior that is true": ("causes", "0.02", "true", f"{NUT}.prior", "is not a number"),
    "an unknown group": ("causes", '"build"', '"engine"', f"{NUT}.group", "'engine' is not known"),
    "an unknown basis": ("causes", '"common practice"]', '"heard"]', f"{NUT}.shows.rattles", "'heard' is not known"),
    "a chance above one": ("causes", "[0.9,", "[1.0,", f"{NUT}.shows.rattles", "0.01 to 0.99"),
    "a chance without basis": ("causes", '[0.8, "our guess"]', "0.8", f"{NUT}.shows.nut-turns", "a chance and where"),
    "shows that is no table": ("causes", "[cause.nut-loose.shows]\nrattles", "shows = 1\nx", f"{NUT}.shows", "table"),
    "pilot_error in words": ("causes", "pilot_error = true", 'pilot_error = "yes"', "pilot_error", "neither true nor"),
    "a key in capitals": ("causes", "[cause.nut-loose]", "[cause.Nut]", "causes_toy.toml: cause.Nut", "lower-case"),
    "the kept key": ("causes", "wire-torn", "something-else", "cause.something-else", "kept for"),
    "an unknown sign": ("causes", "nut-turns =", "nut-spins =", f"{NUT}.shows.nut-spins", "no such sign"),
    "a sign that no cause shows": ("causes", 'runs-bare = [0.7, "study"]', "", "sign.runs-bare", "no cause shows it"),
    "double spaces": ("causes", "A wire is torn", "A wire  is torn", "cause.wire-torn.name", "spaces"),
    "a leak too large": ("signs", "0.05", "0.6", "sign.rattles.leak", "0.001 to 0.5"),
    "a leak too small": ("signs", "0.01", "0.0001", "sign.nut-turns.leak", "0.001 to 0.5"),
    "an unknown channel": ("signs", '"seen on the aircraft"', '"felt"', "nut-turns.channel", "'felt' is not known"),
    "words of the pilot missing": ("signs", "phrases =", "# phrases =", "sign.rattles.phrases", "the pilot says"),
    "a phrase twice": ("signs", '"there is a rattle"', '"it rattles"', "sign.rattles.phrases", "there twice"),
    "phrases that are no list": ("signs", '["it rattles", "there is a rattle"]', "7", "rattles.phrases", "list of"),
    "two signs of one name": ("signs", "the nut turns by hand", "it rattles", "sign.nut-turns.name", "rattles has"),
    "an unknown kind": ("checks", '"looking, unplugged"', '"thinking"', "turn-nut.kind", "'thinking' is not known"),
    "too many minutes": ("checks", "3.5", "61", "check.run-it.minutes", "0.2 to 60"),
    "no time at all": ("checks", "minutes = 1", "minutes = 0", "check.turn-nut.minutes", "0.2 to 60"),
    "too many signs": ("checks", '["nut-turns"]', '["a", "b", "c", "d", "e"]', "turn-nut.signs", "5 signs, not 1 to 4"),
    "no signs": ("checks", '["nut-turns"]', "[]", "check.turn-nut.signs", "0 signs, not 1 to 4"),
    "a sign not in the book": ("checks", '["nut-turns"]', '["nut-spins"]', "turn-nut.signs", "no sign 'nut-spins'"),
    "looking without caution": ("checks", 'caution = "Unplug it first."', "", "turn-nut.caution", "only a question"),
    "powered with propellers": ("checks", "Propellers off, r", "R", "run-it.caution", "propellers off"),
    "a name that is no sentence": ("checks", "Run it.", "Run it", "check.run-it.name", "ends wrong"),
    "a table of another kind": ("signs", "[sign.rattles]", "[cause.x]\n[sign.rattles]", "toml: cause", "belong"),
    "a row that is no table": ("signs", "[sign.rattles]", "sign.x = 1\n[sign.rattles]", "sign.x", "is not a table"),
    "a value twice": ("causes", "prior = 0.02", "prior = 0.02\nprior = 0.02", "causes_toy.toml", "line 6"),
    "no closing quote": ("signs", '"it rattles"\n', '"it rattles\n', "signs_toy.toml", "is not TOML"),
    "an endless line": ("signs", "0.05", "0.05 #" + "x" * 2001, "signs_toy.toml", "more than 2000 letters"),
    "too large a file": ("signs", "0.05", "0.05" + "\n#" * 150_000, "signs_toy.toml", "larger than 256 kB"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_each_fault_is_refused_with_its_place_and_reason(name: str, tmp_path: Path) -> None:
    part, old, new, where, what = REFUSED[name]
    told = [fault for fault in faults(swap(part, old, new)(tmp_path)) if fault.where.endswith(where)]
    assert any(what in fault.what for fault in told)
    assert all(fault.do for fault in told)


def test_all_faults_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    causes = CAUSES.replace("0.02", "0.5").replace('fix = "Replace it."', "")
    folder(tmp_path, causes, SIGNS.replace("0.05", "0.9"), CHECKS.replace("minutes = 1", "minutes = 0"))
    assert [fault.where.rsplit(".", 2)[-2:] for fault in faults(tmp_path)] == [
        ["nut-loose", "prior"], ["wire-torn", "fix"], ["rattles", "leak"], ["turn-nut", "minutes"]
    ]  # fmt: skip


def test_a_book_of_one_key_in_two_files_is_refused(tmp_path: Path) -> None:
    folder(tmp_path).joinpath("signs_zz.toml").write_text(SIGNS, encoding="utf-8")
    told = faults(tmp_path)
    assert [fault.where for fault in told] == [
        f"signs_zz.toml: sign.{key}" for key in ("rattles", "nut-turns", "runs-bare")
    ]
    assert all("signs_toy.toml" in fault.what for fault in told)


def test_one_phrase_may_not_mean_two_signs(tmp_path: Path) -> None:
    signs = SIGNS.replace('by hand"\n', 'by hand"\nphrases = ["It  RATTLES"]\n')
    told = faults(folder(tmp_path, signs=signs))
    assert [(fault.where, "rattles" in fault.what) for fault in told] == [
        ("signs_toy.toml: sign.nut-turns.phrases", True)
    ]


ALIKE: Final = CAUSES.replace('rattles = [0.2, "our guess"]\nruns-bare = [0.7, "study"]',
                              'nut-turns = [0.8, "our guess"]\nrattles = [0.9, "our guess"]').replace(
                              '[0.8, "our guess"]', '[0.8, "our guess"]\nruns-bare = [0.3, "our guess"]')  # fmt: skip


def test_two_causes_that_nothing_separates_are_refused_unless_declared_alike(tmp_path: Path) -> None:
    told = faults(folder(tmp_path, ALIKE))
    assert [fault.where for fault in told] == ["causes_toy.toml: cause.wire-torn.shows"]
    assert "nut-loose" in told[0].what
    declared = ALIKE.replace("pilot_error = true", 'alike = ["nut-loose"]')
    assert len(read_book(folder(tmp_path, declared)).causes) == 2
    stranger = ALIKE.replace("pilot_error = true", 'alike = ["nut-lose"]')
    assert [fault.where.rsplit(".")[-1] for fault in faults(folder(tmp_path, stranger))] == ["alike", "shows"]


def test_a_cause_that_shows_nothing_or_that_nothing_can_tell_is_refused(tmp_path: Path) -> None:
    mute = CAUSES.replace('rattles = [0.2, "our guess"]\nruns-bare = [0.7, "study"]', "").replace(
        '[0.8, "our guess"]', '[0.8, "our guess"]\nruns-bare = [0.3, "our guess"]'
    )
    assert [(fault.where, fault.what) for fault in faults(folder(tmp_path, mute))] == [
        ("causes_toy.toml: cause.wire-torn", "it shows no sign")
    ]
    untold = CHECKS.replace('"runs-bare", "rattles"', '"nut-turns"')
    assert [(fault.where, fault.what) for fault in faults(folder(tmp_path, checks=untold))] == [
        ("causes_toy.toml: cause.wire-torn", "nothing that can be done tells it")
    ]


def test_two_causes_or_two_deeds_of_one_name_are_refused(tmp_path: Path) -> None:
    folder(
        tmp_path,
        CAUSES.replace("A wire is torn", "A NUT is loose"),
        SIGNS,
        CHECKS.replace("Run it.", "Turn the nut by hand."),
    )
    assert [fault.where for fault in faults(tmp_path)] == [
        "causes_toy.toml: cause.wire-torn.name", "checks_toy.toml: check.run-it.name"
    ]  # fmt: skip


def test_a_file_that_cannot_be_read_does_not_make_the_others_look_wrong(tmp_path: Path) -> None:
    folder(tmp_path, causes=CAUSES.replace("0.02", "2")).joinpath("signs_toy.toml").write_bytes(b"\xff\xfe")
    assert [fault.where for fault in faults(tmp_path)] == ["causes_toy.toml: cause.nut-loose.prior", "signs_toy.toml"]


def test_a_folder_without_causes_or_that_is_none_is_refused(tmp_path: Path) -> None:
    assert "no causes" in faults(tmp_path)[0].what
    assert "no folder" in faults(tmp_path / "nowhere")[0].what


def test_too_many_files_or_rows_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder(tmp_path)
    monkeypatch.setattr(reading, "MOST_ROWS", 2)
    assert "more than 2 rows" in faults(tmp_path)[0].what
    monkeypatch.setattr(reading, "MOST_FILES", 0)
    assert "more than 0 files" in faults(tmp_path)[0].what


def test_the_book_of_this_package_is_read_once() -> None:
    assert read_book() is read_book()
