"""Words in another language: from a catalogue, English where it is silent, never without their numbers."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from tests.report import sample
from tools import words_template

from turnback.base.errors import InputError
from turnback.cli import main
from turnback.records.finding import Verdict
from turnback.report import numbers
from turnback.report.language import language, mark, mark_plural, places, plural, speaking, text
from turnback.report.terminal import brief_text

ROOT = Path(__file__).resolve().parents[2]
CODE = "de"
# German, or near it; made up for this test. "no_place" loses a number and "other_place" invents one.
SAID = {
    "Go": "Los",
    "No-go": "Bleib am Boden",
    "about 1 flight in {flights}": "etwa einer von {flights} Flügen",
    "{low} to {high}": "{low} bis {high}",
    "Up to {planned} above launch, as planned.": "So hoch wie geplant.",
    "Stay low, under {height}.": "Bleib unter {hoehe}.",
    "The value is {value}.": "Der Wert ist {value",
}
AREAS = ("It crosses one area, first: {first}.", "It crosses {count} areas, first: {first}.")
AREAS_SAID = ("Es quert ein Gebiet: {first}.", "Es quert {count} Gebiete, zuerst: {first}.")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder of translations with one small catalogue in it."""
    catalog = Catalog(locale=CODE, charset="utf-8")
    for message, said in SAID.items():
        catalog.add(message, said)
    catalog.add(AREAS, AREAS_SAID)
    catalog.add("Cautions", "")  # not translated yet
    made: Path = tmp_path_factory.mktemp("locale")
    (made / CODE / "LC_MESSAGES").mkdir(parents=True)
    with (made / CODE / "LC_MESSAGES" / "turnback.mo").open("wb") as handle:
        write_mo(handle, catalog)
    return made


def test_a_text_comes_from_the_catalogue_with_its_numbers(folder: Path) -> None:
    with speaking(CODE, folder):
        assert language() == "de"
        assert text("Go") == "Los"
        assert text("{low} to {high}", low="3 m", high="8 m") == "3 m bis 8 m"
        assert numbers.chance_of(0.05) == "etwa einer von 20 Flügen"
    assert language() == "en"
    assert text("Go") == "Go"


@pytest.mark.parametrize(
    ("count", "said"), [(1, "Es quert ein Gebiet: Anger."), (3, "Es quert 3 Gebiete, zuerst: Anger.")]
)
def test_a_plural_comes_from_the_catalogue(folder: Path, count: int, said: str) -> None:
    with speaking(CODE, folder):
        assert plural(*AREAS, count, first="Anger") == said
    assert plural(*AREAS, count, first="Anger").startswith("It crosses")


@pytest.mark.parametrize("message", ["Cautions", "What to mend", "nobody knows how many flights"])
def test_english_stands_in_where_the_catalogue_is_silent(folder: Path, message: str) -> None:
    with speaking(CODE, folder):
        assert text(message) == message


def test_a_translation_that_loses_or_invents_a_place_is_not_spoken(folder: Path) -> None:
    """A number that a pilot keeps to is never dropped by a slip of a translator."""
    with speaking(CODE, folder):
        assert (
            text("Up to {planned} above launch, as planned.", planned="40 m") == "Up to 40 m above launch, as planned."
        )
        assert text("Stay low, under {height}.", height="40 m") == "Stay low, under 40 m."
        assert text("The value is {value}.", value="40 m") == "The value is 40 m."


def test_a_brief_is_told_in_the_language_and_the_rest_in_english(folder: Path) -> None:
    result = sample.brief(Verdict.NO_GO)
    with speaking(CODE, folder):
        said = brief_text(result)
    assert "BLEIB AM BODEN" in said
    assert "What to mend" in said
    assert "bis" in said
    assert brief_text(result) != said
    assert "BLEIB" not in brief_text(result)


def test_a_country_falls_back_to_its_language(folder: Path) -> None:
    """``de-AT`` speaks by ``de``; the page names what was asked for."""
    for code in ("de-AT", "de_AT"):
        with speaking(code, folder):
            assert text("Go") == "Los"
            assert language() == "de-AT"


@pytest.mark.parametrize("code", ["xx", "", "../de", "de/../de", "/de", "e" * 500])
def test_an_unknown_language_is_a_fault_of_the_input(folder: Path, code: str) -> None:
    with pytest.raises(InputError, match="no translation") as caught, speaking(code, folder):
        pass
    assert caught.value.faults[0].where == "--language"


def test_the_language_is_spoken_no_longer_after_a_fault(folder: Path) -> None:
    with pytest.raises(RuntimeError), speaking(CODE, folder):
        raise RuntimeError
    assert text("Go") == "Go"


def test_a_mark_changes_nothing() -> None:
    assert mark("Go") == "Go"
    assert mark_plural("one", "many") == ("one", "many")
    assert text("") == ""


@pytest.mark.parametrize(
    ("message", "named"),
    [("Go", set()), ("{low} to {high}", {"low", "high"}), ("{{ value = 5.2 }} {dont_know}", {"dont_know"})],
)
def test_places_are_found(message: str, named: set[str]) -> None:
    assert places(message) == named


@pytest.mark.parametrize("words", [["brief", "examples/go.toml"], ["plan", "new", "--no-questions"]])
def test_an_unknown_language_ends_a_command_with_a_sentence(
    words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    assert main([*words, "--language", "xx"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == "--language: there is no translation into 'xx'; leave it out for English.\n"


def test_english_is_always_there(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    profile = tmp_path / "hill.csv"
    profile.write_text("distance_km,height_m\n0,10\n0.5,80\n1,10\n", encoding="utf-8")
    ray = ["ray", "--profile", str(profile), "--from-height", "2", "--to-height", "30", "--frequency-mhz", "5800"]
    assert main([*ray, "--language", "en"]) == 0
    english = capsys.readouterr().out
    assert main(ray) == 0
    assert capsys.readouterr().out == english
    assert "Loss in free space" in english


def test_the_template_is_up_to_date() -> None:
    committed = words_template.TEMPLATE.read_text(encoding="utf-8")
    assert committed.splitlines() == words_template.template().splitlines(), "run make words, and commit what it writes"


def test_the_template_reads_as_a_catalogue_and_names_no_day_or_machine() -> None:
    with words_template.TEMPLATE.open(encoding="utf-8") as handle:
        catalog = read_po(handle)
    messages = {message.id if isinstance(message.id, str) else message.id[0] for message in catalog if message.id}
    assert {"Go with limits", "about 1 flight in {flights}", AREAS[0], "Plan a shorter way out."} <= messages
    assert len(messages) > 400
    raw = words_template.TEMPLATE.read_text(encoding="utf-8")
    assert "Date" not in raw.split("\n\n")[0]
    assert str(ROOT) not in raw
    assert "python-format" not in raw


def test_the_language_costs_no_heavy_import() -> None:
    """Every face imports it first."""
    code = "import sys, turnback.report.language; print(sorted({'numpy', 'jinja2', 'pydantic'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
