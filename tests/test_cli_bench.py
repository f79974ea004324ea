"""``turnback bench``: what is told, what is written, how a talk goes on, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from turnback.cli import main


def told(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> str:
    """Run the command and return what it printed."""
    assert main(["bench", *words]) == status
    both = capsys.readouterr()
    return both.out if status == 0 else both.err


def test_a_flip_names_both_that_look_alike_and_looks_first(capsys: pytest.CaptureFixture[str]) -> None:
    said = " ".join(told(capsys, "--saw", "flips-at-once=front-left").split())
    first = said.split("All ways that are left")[0]
    assert "propeller of the wrong direction at front-left" in first
    assert "motor that turns the wrong way at front-left" in first
    assert "Look at the direction" in first
    assert "This does not know your local law." in first


def test_a_look_decides(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(
        told(
            capsys, "--json", "--saw", "flips-at-once=front-left",
            "--checked", "propeller-direction.front-left=wrong",
        )
    )  # fmt: skip
    assert found["slips"][0]["at"] == ["front-left"]
    assert found["slips"][0]["slip"] == "propeller of the wrong direction"
    assert found["slips"][0]["chance"] > 0.7


def test_a_talk_goes_on_and_steps_are_taken_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "bench"
    printed = told(capsys, "--saw", "spins", "--out", str(out))
    assert printed.rstrip().endswith(str(out / "bench.html"))
    assert {each.name for each in out.iterdir()} >= {"bench.html", "bench.json", "chain.json"}
    one = json.loads((out / "bench.json").read_text())
    told(capsys, "--go-on", str(out), "--checked", "motor-order=right", "--out", str(out))
    assert len(json.loads((out / "chain.json").read_text())["steps"]) == 2
    two = json.loads((out / "bench.json").read_text())
    assert two["slips"] != one["slips"]
    told(capsys, "--go-on", str(out), "--take-back", "1", "--out", str(out))
    back = json.loads((out / "bench.json").read_text())
    assert back["slips"] == one["slips"]
    assert len(json.loads((out / "chain.json").read_text())["steps"]) == 1


def test_words_are_heard_and_shown_for_confirmation(capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, "--said", "It turns round and round by itself, like a top.")
    assert "--sign said-spins" in " ".join(said.split())
    denied = told(capsys, "--said", "It turns round and round by itself.", "--no-sign", "said-spins")
    assert "This was heard" in said
    assert "This was heard" not in denied


def test_the_list_holds_every_sight_check_and_sign(capsys: pytest.CaptureFixture[str]) -> None:
    from turnback.knowledge.reading import read_book
    from turnback.records.bench import BenchCheck, Saw

    said = told(capsys, "--list")
    for key in (
        *(each.value for each in Saw),
        *(each.value for each in BenchCheck),
        *(s.key for s in read_book().signs),
    ):
        assert key in said, key


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["--saw", "flip-at-once"], ["flip-at-once", "flips-at-once"]),
        (["--saw", "spins=front-left"], ["spins", "no value"]),
        (["--checked", "motor-order=front-left"], ["motor-order", "two to four"]),
        (["--sign", "said-spin"], ["said-spin", "said-spins"]),
        (["--gains", "1,2,3"], ["four numbers"]),
        (["--gains", "0.1,6,4,2"], ["limit", "between"]),
        (["--take-back", "1"], ["--take-back"]),
        (["--go-on", "no-such-folder"], ["no-such-folder", "cannot be read"]),
        (["--said", "x" * 200_000], ["200000 letters", "few sentences"]),
    ],
)
def test_what_cannot_be_used_is_one_clear_sentence(
    words: list[str],
    parts: list[str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    said = told(capsys, *words, "--out", "out", status=2)
    assert "Traceback" not in said
    assert len(said) < 1200
    for part in parts:
        assert part in said, said
    assert not (tmp_path / "out").exists()


def test_the_same_talk_gives_the_same_bytes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a", "b"):
        told(capsys, "--saw", "stays-down", "--said", "no lift at all", "--out", str(tmp_path / name))
    for each in (tmp_path / "a").iterdir():
        assert each.read_bytes() == (tmp_path / "b" / each.name).read_bytes(), each.name


def test_where_only_the_book_was_asked_it_stands_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, "--sign", "said-will-not-arm", "--out", str(tmp_path / "out"))
    first = " ".join(said.split("What is believed of the causes")[0].split())
    assert "does not arm because the throttle is not all the way down" in first
    assert "This does not know your local law." in first
    assert "All ways that are left" not in said
    page = (tmp_path / "out" / "bench.html").read_text(encoding="utf-8")
    assert page.index('id="belief"') < page.index('id="cautions"')
    assert page.count('id="belief"') == 1
    assert 'id="corners"' not in page
    both = told(capsys, "--sign", "said-will-not-arm", "--saw", "spins")
    assert "All ways that are left" in both
    assert "What is believed of the causes" in both


def test_a_talk_that_goes_on_keeps_scheme_and_gains(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Forgotten, the scheme would turn every portrait round without a word."""
    out = str(tmp_path / "bench")
    told(capsys, "--saw", "spins", "--front-left", "anticlockwise", "--gains", "0.2,5,0.4,3", "--out", out)
    told(capsys, "--go-on", out, "--checked", "motor-order=right", "--out", out)
    found = json.loads(told(capsys, "--go-on", out, "--saw", "runs-up-without-propellers", "--json"))
    assert (found["front_left"], found["scheme_assumed"]) == ("anticlockwise", False)
    assert (found["wind_up"]["integral_gain"], found["wind_up"]["from_gains"]) == (0.2, True)
    other = json.loads(told(capsys, "--go-on", out, "--front-left", "clockwise", "--json"))
    assert (other["front_left"], other["scheme_assumed"]) == ("clockwise", False)


def test_words_with_half_characters_are_taken_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told(capsys, "--said", "it turns round and round \udcff by itself", "--out", str(tmp_path / "out"))
    kept = json.loads((tmp_path / "out" / "chain.json").read_text(encoding="utf-8"))
    assert kept["steps"] == [{"said": "it turns round and round ? by itself"}]


def five(said: str) -> str:
    """Return the first screen on one line."""
    return " ".join(said.split("\n\n")[1].split())


@pytest.mark.parametrize(
    "words",
    [
        ["--said", "the pack is puffy"],
        ["--sign", "pack-swollen"],
        ["--saw", "flips-at-once=front-left", "--sign", "pack-swollen"],
    ],
)
def test_a_swollen_pack_is_warned_of_on_the_first_screen(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    first = five(told(capsys, *words))
    assert "is not connected, charged or flown" in first
    assert "is not connected, charged or flown" in json.loads(told(capsys, *words, "--json"))["said"][-1]
    assert "is not connected, charged or flown" not in five(told(capsys, "--no-sign", "pack-swollen"))


def test_words_alone_name_what_is_near_and_ask_first_for_a_confirmation(capsys: pytest.CaptureFixture[str]) -> None:
    first = five(told(capsys, "--said", "no picture in my goggles"))
    assert "The nearest that the book knows: Goggles and video transmitter are on different channels" in first
    assert "First confirm or deny what was heard" in first
    said = json.loads(told(capsys, "--said", "no picture in my goggles", "--json"))["said"]
    assert "Goggles and video transmitter" in said[0]


def test_words_that_are_not_understood_are_not_passed_over(capsys: pytest.CaptureFixture[str]) -> None:
    first = five(told(capsys, "--said", "xyzzy foo"))
    assert "Nothing in your words is known to the book." in first
    assert "Nothing was told yet" not in first


def test_a_terminal_says_how_each_corner_turns(capsys: pytest.CaptureFixture[str]) -> None:
    said = " ".join(told(capsys, "--saw", "spins", "--front-left", "anticlockwise").split())
    assert "Front-left: It should turn anticlockwise, seen from above." in said
    assert "Front-right: It should turn clockwise, seen from above." in said
