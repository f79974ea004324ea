"""The words of the bench and of beliefs: complete, careful, translatable, the same on every face."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import jsonschema
import pytest
from tests.report import made_bench
from tests.report.pseudo import PSEUDO, Pseudo, outside, shown

from turnback.base.errors import InputError
from turnback.knowledge.book import CheckKind
from turnback.readers.bench_said import RESULTS, seen_from
from turnback.records.aircraft import Rotation
from turnback.records.belief import Judged, Told
from turnback.records.bench import At, BenchCheck, MendStep, Saw, Slip, Toward
from turnback.report import bench_files
from turnback.report import bench_text as bench_text_module
from turnback.report.bench_files import write_bench
from turnback.report.bench_json import bench_json
from turnback.report.bench_page import bench_page
from turnback.report.bench_schema import bench_schema, bench_schema_json
from turnback.report.bench_text import bench_text
from turnback.report.language import speaking_by
from turnback.report.words_belief import CHECK_KINDS, TOLD, belief_said
from turnback.report.words_belief_chance import odds, speaks, sureness
from turnback.report.words_belief_text import belief_text
from turnback.report.words_bench import bench_lines, mends, standing
from turnback.report.words_bench_checks import HOW, NAMES, told_with
from turnback.report.words_bench_seen import SAW, TOWARD, seen_words
from turnback.report.words_bench_slips import MEND, STEPS, mend_lines, slip_name
from turnback.report.words_bench_told import bench_cautions, run_up_lines

ON_ONE_LINE = 100_000
ANSWERS = made_bench.ANSWERS
PROPELLER = re.compile(r"propeller", re.IGNORECASE)


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.05, "about 1 in 20"),
        (0.75, "about 3 in 4"),
        (0.5, "about 1 in 2"),
        (0.333, "about 1 in 3"),
        (0.2, "about 1 in 5"),
        (0.951, "about 19 in 20"),
        (0.9999, "more than 99 in 100"),
        (1.0, "more than 99 in 100"),
        (0.0, "less than 1 in 1,000"),
        (0.0123, "about 1 in 80"),
    ],
)
def test_chances_are_said_as_people_do(chance: float, said: str) -> None:
    assert odds(chance) == said


def test_what_is_said_lies_near_the_chance() -> None:
    for step in range(1, 995):
        some, many = (int(part.replace(",", "")) for part in re.findall(r"[\d,]+", odds(step / 1000.0)))
        assert some / many == pytest.approx(step / 1000.0, rel=0.15)


def test_surer_words_belong_to_greater_chances() -> None:
    assert [sureness(each) for each in (0.1, 0.3, 0.6, 0.8, 0.97)] == [
        "Only a first guess", "A good guess, not more", "More likely than not", "Likely", "Nearly sure",
    ]  # fmt: skip
    assert speaks(12.0) == "speaks strongly for it"
    assert speaks(-6.0) == "speaks clearly against it"
    assert speaks(0.4) == speaks(-0.4) == ""


def test_everything_that_can_be_has_words() -> None:
    assert set(SAW) == set(Saw)
    assert set(TOWARD) == set(Toward)
    assert set(MEND) == set(Slip)
    assert set(STEPS) == set(MendStep)
    assert set(NAMES) == set(HOW) == set(BenchCheck)
    assert set(CHECK_KINDS) == set(CheckKind)
    assert set(TOLD) == set(product(Told, (False, True)))


def test_all_that_can_be_typed_is_told_in_words() -> None:
    """What the reader takes, and never the fallback that repeats what was typed."""
    saw = [each.value for each in Saw if each is not Saw.MOTOR_TURNS]
    saw += [f"{name}={toward.value}" for name in ("flips-at-once", "lifts-then-flips") for toward in Toward
            if toward is not Toward.NOT_TOLD]  # fmt: skip
    saw += [f"{name}={at.value}" for name in ("weak-and-loud", "wrong-corner-turns") for at in At]
    saw += [f"motor-turns={at.value}:{turn.value}" for at in At for turn in Rotation]
    checked = ["motor-order=right", "motor-order=front-left:rear-right"]
    for check, results in RESULTS.items():
        by_corner = check in (BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.MOTOR_DIRECTION)
        places = [f".{at.value}" for at in At] if by_corner else [""]
        checked += [f"{check.value}{place}={result}" for place in places for result in results]
        checked += [f"{check.value}={results[0]}"]
    said = [seen_words(seen) for seen in seen_from(saw, checked)]
    assert not [each for each in said if "“" in each or "{" in each or not each.endswith(".")]
    assert (
        len(set(said)) >= len(said) - 3
    )  # hand-tilt and board-arrow stand twice, and a wrong tilt may be seen or checked


def test_what_is_offered_to_type_is_understood() -> None:
    for check, at in product(BenchCheck, ((), (At.REAR_LEFT,), tuple(At))):
        for offered in told_with(check, at):
            option, given = offered.split(" ", 1)
            assert option == "--checked"
            (seen,) = seen_from([], [given])
            assert seen.what is check


@pytest.mark.parametrize("name", ANSWERS)
def test_five_lines_stand_first_and_the_last_is_safety(name: str) -> None:
    lines = bench_lines(ANSWERS[name]())
    assert len(lines) == 5
    assert all(line.text.endswith((".", "?")) and "{" not in line.text for line in lines)
    for part in ("Unplug first", "Propellers off", "strapped down, short, no throttle", "Never hold an aircraft with"
                 " propellers on", "This does not know your local law."):  # fmt: skip
        assert part in lines[-1].text


def test_ways_that_the_signs_do_not_separate_are_all_named() -> None:
    said = bench_lines(made_bench.one_flip())
    assert "propeller of the wrong direction at front-left" in said[0].text
    assert "a motor that turns the wrong way at front-left" in said[0].text
    assert "do not tell them apart" in said[0].text
    assert "about 4 in 5" in said[1].text, "0.48 and 0.36 together"
    whole = " ".join(bench_text(made_bench.any_corner()).split())
    assert whole.count("(not told apart from the first)") == len(standing(made_bench.any_corner())) - 1


def test_what_is_normal_is_no_sign_and_what_is_likely_right_is_no_permission() -> None:
    first, sure, _, mend, _ = (line.text for line in bench_lines(made_bench.ran_up()))
    assert first == "That shows nothing: motors that run up without propellers are normal. Do not do it again."
    assert sure == "Not at all, before more is told."
    first, sure, decides, mend, _ = (line.text for line in bench_lines(made_bench.another_reason()))
    assert first == "Hardly the way it is put together. Look for another reason, and do not fly it before."
    assert sure.endswith("about 3 in 5."), "0.42 and 0.2"
    assert decides.startswith("See whether the corner that is asked is the one that turns (about 5 minutes). Take all")
    assert "do not fly it before" in mend


def test_ways_that_hardly_are_any_stand_together() -> None:
    said = bench_text(made_bench.another_reason())
    assert "against the declared scheme" not in said
    assert "All other ways together" in said


def test_errors_that_are_mended_alike_stand_together() -> None:
    found = mends(made_bench.any_corner())
    assert [len(each.names) for each in found] == [5, 1, 4]
    assert found[0].names[0] == ("A propeller of the wrong direction at front-left", "about 1 in 9")
    assert "At front-left and rear-right belongs a propeller that turns clockwise, seen from above." in found[0].lines


def test_a_check_of_one_kind_says_once_how_it_is_done() -> None:
    answer = made_bench.one_flip()
    twice = replace(answer, next_checks=(answer.next_checks[0],) * 2)
    how = HOW[BenchCheck.PROPELLER_DIRECTION]
    said = " ".join(bench_text(twice).split())
    assert said.count(how) == 2, "in the five lines, and once below"


def test_every_mend_begins_unplugged() -> None:
    for made in ANSWERS.values():
        for each in mends(made()):
            assert each.lines[0].startswith(("Unplug the pack", "Change nothing")), each.lines
    for first in MendStep:
        assert mend_lines(Slip.ORDER, (), Rotation.CLOCKWISE, (first,))[0] == "Unplug the pack."


@pytest.mark.parametrize("slip", [Slip.MOTOR_DIRECTION, Slip.SCHEME])
@pytest.mark.parametrize("front_left", Rotation)
def test_reversing_a_motor_says_what_happens_to_its_propeller(slip: Slip, front_left: Rotation) -> None:
    for at in ((At.FRONT_LEFT,), (At.FRONT_RIGHT, At.REAR_LEFT), tuple(At)):
        said = " ".join(mend_lines(slip, (at,), front_left))
        assert re.search(r"[Rr]everse", said)
        assert PROPELLER.search(said)
        assert "push down" in said


def test_no_sentence_reverses_a_motor_and_forgets_its_propeller() -> None:
    """In every answer, on every face: where a motor is reversed, its propeller is spoken of in the same mend."""
    for made in ANSWERS.values():
        for each in mends(made()):
            said = " ".join(each.lines)
            assert "everse" not in said or len(PROPELLER.findall(said)) >= 1


def test_a_mend_names_the_direction_of_the_declared_scheme() -> None:
    places = ((At.FRONT_LEFT, At.FRONT_RIGHT),)
    said = mend_lines(Slip.PROPELLER_DIRECTION, places, Rotation.ANTICLOCKWISE)
    assert "At front-right belongs a propeller that turns clockwise, seen from above." in said
    assert "At front-left belongs a propeller that turns anticlockwise, seen from above." in said


def test_powered_checks_say_how_they_stay_safe_and_looks_come_unplugged() -> None:
    said = bench_text(made_bench.one_flip(), ON_ONE_LINE)
    assert said.count("Powered: propellers off, strapped down, short, no throttle.") == 1
    assert said.count("Powered: propellers off, not armed, short, no throttle.") == 1
    for check in (BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.BOARD_ARROW):
        assert HOW[check].startswith("Unplug the pack.")
    for check in (BenchCheck.MOTOR_DIRECTION, BenchCheck.MOTOR_ORDER, BenchCheck.HAND_TILT):
        assert HOW[check].startswith("Take all propellers off")


def test_the_wind_up_is_normal_and_not_to_be_done() -> None:
    said = " ".join(run_up_lines(made_bench.WIND_UP))
    assert "normal" in said
    assert "do not do it" in said
    assert "about 19 s at a tilt of 2°" in said  # models.md: 19.1 s
    assert "yours may differ" in said
    own = " ".join(run_up_lines(replace(made_bench.WIND_UP, from_gains=True)))
    assert "With your gains" in own
    assert "not known" in " ".join(run_up_lines(replace(made_bench.WIND_UP, seconds=None)))


def test_slips_have_names_for_any_number_of_corners() -> None:
    names = [slip_name(made_bench.slip(kind, at, turns=2)) for kind in Slip
             for at in ((), (At.FRONT_LEFT,), (At.FRONT_LEFT, At.REAR_RIGHT), tuple(At))]  # fmt: skip
    assert all(name and "{" not in name and not name.endswith(".") for name in names)
    assert {slip_name(made_bench.slip(Slip.BOARD_TURNED, turns=turns)) for turns in (1, 2, 3)} == {
        "the flight board turned by a quarter turn clockwise, seen from above",
        "the flight board turned by a half turn, its arrow to the rear",
        "the flight board turned by a quarter turn anticlockwise, seen from above",
    }


@pytest.mark.parametrize("width", [40, 80, 100])
@pytest.mark.parametrize("name", ANSWERS)
def test_text_keeps_to_its_width(name: str, width: int) -> None:
    said = bench_text(ANSWERS[name](), width, heard=made_bench.HEARD, belief=made_bench.belief(),
                      book=made_bench.book())  # fmt: skip
    # A word that is typed, such as an option with its value, stays whole.
    assert [line for line in said.splitlines() if len(line) > width and len(line.split()) > 1] == []
    assert said.endswith("\n")


def test_colour_only_adds_escapes() -> None:
    plain, coloured = (bench_text(made_bench.one_flip(), 80, colour) for colour in (False, True))
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain
    assert coloured != plain


def test_what_was_typed_cannot_steer_a_terminal_or_a_page() -> None:
    answer = made_bench.one_flip(said="\x1b[31m<script>alert(1)</script>\u202e")
    assert "\x1b" not in bench_text(answer)
    page = bench_page(answer)
    assert "<script" not in page
    assert "\u202e" not in page
    assert "\x1b" not in bench_json(answer)


def known(name: str) -> list[str]:
    """Return what comes from outside, or is typed: options, keys, what was given."""
    answer = ANSWERS[name]()
    given = [each.said for each in (*answer.seen, *answer.taken_back)]
    offered = [each for check, at in product(BenchCheck, ((), *((at,) for at in At), tuple(At)))
               for each in told_with(check, at)]  # fmt: skip
    return [*given, *offered, *(sign.key for sign in made_bench.book().signs), "0.1.0"]


@pytest.mark.parametrize("name", ANSWERS)
def test_every_word_can_be_translated(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench_text_module, "WIDEST", ON_ONE_LINE)
    with speaking_by(Pseudo(), PSEUDO):
        answer = ANSWERS[name]()
        said = bench_text(answer, ON_ONE_LINE, False, made_bench.HEARD, belief=made_bench.belief(),
                          book=made_bench.book())  # fmt: skip
        page = shown(bench_page(answer, made_bench.HEARD, belief=made_bench.belief(), book=made_bench.book()))
    assert outside(said, known(name)) == []
    assert [(each, loose) for each in page if (loose := outside(each, known(name)))] == []


@pytest.mark.parametrize("judged", Judged)
def test_a_belief_says_what_it_may_and_lists_all_survivors(judged: Judged) -> None:
    found, book = made_bench.belief(judged), made_bench.book()
    said = belief_said(found, book)
    whole = belief_text(found, book, ON_ONE_LINE)
    assert said.heading in whole.replace("\n", " ")
    names = ["A motor that falls out of step", "A loose propeller"]
    if judged is Judged.SEVERAL:
        assert list(said.survivors) == names
        assert not said.heading.startswith("Most likely: ")
    if judged is Judged.CAUSE:
        assert said.heading == "Most likely: A motor that falls out of step."
        assert said.sure.startswith("A good guess, not more: about 1 in 2.")
    if judged is Judged.CANNOT_SAY:
        assert "cannot say" in said.heading
    cause = said.causes[0]
    assert cause.speaks == ("It rolled over in the air: speaks strongly for it.",), "0.4 decibans is not worth a word"
    assert said.causes[1].speaks[1] == "Not so that a nut turns by hand: speaks clearly against it."
    assert cause.caution in whole.replace("\n", " ").replace("      ", "")
    assert "Powered: propellers off, strapped down, short, no throttle." in said.checks[1].how


def test_heard_words_ask_to_be_confirmed() -> None:
    said = bench_text(made_bench.one_flip(), ON_ONE_LINE, False, made_bench.HEARD, book=made_bench.book())
    assert "Before you confirm it, it counts for less." in said
    assert "--sign rolled-over" in said
    assert "--no-sign warned" in said


@pytest.mark.parametrize("name", ANSWERS)
def test_json_keeps_to_its_schema(name: str) -> None:
    answer = ANSWERS[name]()
    for belief in (None, made_bench.belief()):
        data = json.loads(bench_json(answer, heard=made_bench.HEARD, belief=belief))
        jsonschema.Draft202012Validator(bench_schema()).validate(data)
        assert data["said"] == [line.text for line in bench_lines(answer)]
    assert bench_json(answer) == bench_json(answer)
    assert json.loads(bench_schema_json()) == bench_schema()


def test_a_schema_refuses_what_is_not_in_it() -> None:
    data = json.loads(bench_json(made_bench.one_flip()))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**data, "more": 1}, bench_schema())


def test_files_are_written_all_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = write_bench(made_bench.one_flip(), tmp_path / "out", more={"chain.json": "[]\n"})
    assert page == tmp_path / "out" / "bench.html"
    names = {"bench.html", "bench.json", "bench.schema.json", "chain.json"}
    assert {each.name for each in page.parent.iterdir()} == names
    before = {each.name: each.read_bytes() for each in page.parent.iterdir()}
    (page.parent / "chain.json").unlink()
    (page.parent / "chain.json").mkdir()
    with pytest.raises(InputError):
        write_bench(made_bench.found_wrong(), page.parent, more={"chain.json": "[]\n"})
    assert page.read_bytes() == before["bench.html"]
    monkeypatch.setattr(bench_files, "bench_schema_json", lambda: (_ for _ in ()).throw(OSError(28, "No space left")))
    with pytest.raises(OSError, match="No space"):
        write_bench(made_bench.found_wrong(), tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_move_that_breaks_off_leaves_all_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = write_bench(made_bench.one_flip(), tmp_path)
    before = {each.name: each.read_bytes() for each in tmp_path.iterdir()}
    whole = Path.rename

    def breaks(self: Path, target: Path) -> Path:
        if self.name == "bench.json" and self.parent.name == "fresh":
            raise OSError(28, "No space left")
        return whole(self, target)

    monkeypatch.setattr(Path, "rename", breaks)
    with pytest.raises(InputError):
        write_bench(made_bench.found_wrong(), tmp_path)
    monkeypatch.undo()
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before
    assert page.exists()


def test_the_page_needs_nothing_from_elsewhere() -> None:
    page = bench_page(made_bench.one_flip(), made_bench.HEARD, belief=made_bench.belief(), book=made_bench.book())
    assert not re.findall(r"https?://", page)
    assert "<script" not in page
    assert all(caution in page for caution in bench_cautions() if "'" not in caution)
    assert page.count('<svg role="img"') == 6  # four corners, two cuts
