"""A new plan reads back to what was answered, with every comment taken for what it is; faults come by question."""

from __future__ import annotations

import re
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.plan_files import read_plan
from turnback.records.plan import PlanFile
from turnback.report.cautions import CAUTIONS
from turnback.report.new_plan import QUESTIONS, Question, QuestionKind, Value, answer_of, ask_all, new_plan_text

LEAST: Mapping[str, Value] = {
    "aircraft_class": "5-inch, 6 cells",
    "pack_label": "6S 1300 mAh 100C",
    "control_class": "2.4 GHz, 100 mW",
    "video_class": "none",
    "distance_m": 400,
    "bearing_deg": 320,
    "height_m": 60,
}
BY_KEY = {question.key: question for question in QUESTIONS}

# The ranges are written out here, not taken from the records: a range that moves must be seen to move.
NUMBERS = {
    "latitude_deg": (-89, 89), "longitude_deg": (-180, 180), "distance_m": (5, 20000), "bearing_deg": (0, 360),
    "height_m": (0.5, 3000), "wind_mps": (0, 40), "rest_v_per_cell": (2.0, 4.25), "last_flight_minutes": (0.01, 120),
    "last_flight_charger_mah": (1, 1430),
}  # fmt: skip
NEEDED = set(LEAST)


def opened(value: st.SearchStrategy[Any], key: str) -> st.SearchStrategy[Any]:
    return value if key in NEEDED else st.none() | value


@st.composite
def answers(draw: st.DrawFn) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for question in QUESTIONS:
        if question.kind is QuestionKind.CHOICE:
            found[question.key] = draw(st.sampled_from(question.choices))
        elif question.kind is QuestionKind.NUMBER:
            low, high = NUMBERS[question.key]
            found[question.key] = draw(opened(st.floats(low, high), question.key))
    words = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="0123456789"), max_size=40)
    found["pack_label"] = "6S 1300 mAh " + draw(words)
    found["terrain"] = draw(st.none() | st.sampled_from(["hill.tif", 'a "b" c.tif', "höhe/é.tif", "tab\there.tif"]))
    for first, second in (("latitude_deg", "longitude_deg"), ("last_flight_minutes", "last_flight_charger_mah")):
        if found[first] is None or found[second] is None:
            found[first] = found[second] = None
    if found["latitude_deg"] is None:
        found["terrain"] = None
    return found


def read_back(text: str) -> PlanFile:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "new.toml"
        path.write_text(text, encoding="utf-8", newline="\n")
        return read_plan(path)


def value_at(plan: PlanFile, question: Question) -> Any:
    record: Any = plan
    for step in question.place:
        record = getattr(record, "class_" if step == "class" else step) if record is not None else None
    if hasattr(record, "numbers"):
        return record.value
    if question.key == "pilot_shown":
        named = [skill.value for skill in record]
        nothing = "nothing yet" if "shown" in plan.pilot.model_fields_set else "don't know"
        assert tuple(named) == question.choices[: len(named)]
        return named[-1] if named else nothing
    return getattr(record, "value", record)


@given(answers())
def test_a_new_plan_reads_back_to_the_same_values(given_answers: dict[str, Value]) -> None:
    plan = read_back(new_plan_text(given_answers))
    for question in QUESTIONS:
        assert value_at(plan, question) == given_answers[question.key], question.key


@given(answers())
def test_taking_every_comment_mark_off_a_further_value_changes_nothing(given_answers: dict[str, Value]) -> None:
    text = new_plan_text(given_answers)
    opened_up = re.sub(r"^#(?=\w+ = )", "", text, flags=re.MULTILINE)
    assert opened_up.count("\n") == text.count("\n")
    before, after = read_back(text), read_back(opened_up)
    assert before == after.model_copy(
        update={"aircraft": after.aircraft.model_copy(update={"automatic_return": before.aircraft.automatic_return})}
    )


def test_the_least_answers_make_a_plan_whose_other_questions_stay_open() -> None:
    text = new_plan_text(LEAST)
    plan = read_back(text)
    assert plan.pack.cells == 6
    assert plan.pack.capacity_mah is not None
    assert plan.pack.capacity_mah.value == 1300
    assert (plan.route.distance_m, plan.route.bearing_deg, plan.route.height_m) == (400, 320, 60)
    assert plan.answers.rest_v_per_cell is None
    assert plan.answers.who_can_be_underneath.value == "don't know"
    assert plan.site.latitude_deg is None
    table = tomllib.loads(text)
    assert next(iter(table)) == "schema"
    assert list(table["answers"]) == [
        "propellers_verified_today", "rest_v_per_cell", "who_can_be_underneath", "return_tested_on_this_build",
        "last_flight",
    ]  # fmt: skip


def test_the_text_carries_the_cautions_units_and_what_dont_know_means() -> None:
    text = new_plan_text(LEAST)
    unwrapped = " ".join(line.removeprefix("# ") for line in text.splitlines())
    for caution in CAUTIONS:
        assert caution in unwrapped
    assert "This does not know your local law." in unwrapped
    assert "don't know\" may stand in place of any value" in unwrapped
    assert "How far out, in metres? 5 to 20000 m." in unwrapped
    assert '#mass_g = "don\'t know"  # mass ready to fly, without the pack; 15 to 10000 g' in text
    assert 'Propellers verified today? One of "yes", "no", "don\'t know". Left open, it is never a go.' in unwrapped
    assert max(len(line) for line in text.splitlines()) <= 140
    assert "\t" not in text


FAULTY: list[tuple[str, dict[str, Value], list[str]]] = [
    ("nothing needed is left out silently", {"height_m": None}, [
        'height_m: a plan cannot be written without it; answer "How high above the launch point, in metres?".',
    ]),
    ("kilometres", {"distance_m": 0.4}, ["distance_m: 0.4 m is outside 5 to 20000 m; enter metres, not kilometres."]),
    ("volts of the pack", {"rest_v_per_cell": 25.1}, [
        "rest_v_per_cell: 25.1 V is outside 2 to 4.5 V; enter volts of one cell, not of the pack.",
    ]),
    ("over full", {"rest_v_per_cell": 4.32}, [
        "rest_v_per_cell: 4.32 V is no rest voltage of one LiPo cell (2 to 4.25 V); "
        'write chemistry = "high-voltage LiPo" if its label says so; otherwise it is overcharged: do not fly it.',
    ]),
    ("a label with no capacity", {"pack_label": "6S 100C"}, [
        "pack_label: the label does not say the capacity; "
        'write capacity_mah = 1500, or the label as in label = "4S 1500 mAh 95C".',
    ]),
    ("latitude alone", {"latitude_deg": 36.6}, [
        "longitude_deg: it is missing beside the latitude; add longitude_deg.",
    ]),
    ("terrain without a place", {"terrain": "a.tif"}, [
        "terrain: a terrain file needs to know where the launch point is; add latitude_deg and longitude_deg.",
    ]),
    ("minutes alone", {"last_flight_minutes": 4.0}, [
        "last_flight_charger_mah: it is missing; add it: more than 0, up to 50000 mAh.",
    ]),
    ("a word that is none", {"on_radio_loss": "motor stop"}, [
        'on_radio_loss: \'motor stop\' is not one of "motors stop", "keep last sticks", "automatic return", '
        '"descend in place", "don\'t know"; write "motors stop" if that was meant.',
    ]),
    ("no number", {"wind_mps": float("nan")}, [
        "wind_mps: nan is not a number that can be used; write a plain number in m/s, without quotes or unit.",
    ]),
    ("letters that no file holds", {"pack_label": "6S 1300 mAh \ud800"}, [
        "pack_label: it holds letters that no text file can hold; type it again.",
    ]),
    ("an unknown question", {"colour": "red"}, ["colour: no question has this key; correct it."]),
    ("two at once", {"bearing_deg": 400, "observer": "maybe"}, [
        'observer: \'maybe\' is not one of "yes", "no", "don\'t know"; write "don\'t know" if that was meant.',
        "bearing_deg: 400° is outside 0 to 360°; enter a value inside that range.",
    ]),
]  # fmt: skip


@pytest.mark.parametrize(("change", "sentences"), [row[1:] for row in FAULTY], ids=[row[0] for row in FAULTY])
def test_faulty_answers_get_their_sentences_by_question(change: dict[str, Value], sentences: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        new_plan_text({**LEAST, **change})
    assert [fault.sentence() for fault in caught.value.faults] == sentences


TYPED: list[tuple[str, str, Value]] = [
    ("aircraft_class", "3-inch", "3-inch"),
    ("aircraft_class", "5-INCH, 6 cells", "5-inch, 6 cells"),
    ("aircraft_class", "5", "7-inch"),
    ("on_radio_loss", "1", "motors stop"),
    ("on_radio_loss", "auto", "automatic return"),
    ("on_radio_loss", "", "don't know"),
    ("observer", "y", "yes"),
    ("rest_v_per_cell", "4,18", 4.18),
    ("rest_v_per_cell", " 4.18 ", 4.18),
    ("rest_v_per_cell", "?", None),
    ("rest_v_per_cell", "Don't know", None),
    ("rest_v_per_cell", "don\u2019t know", None),
    ("rest_v_per_cell", "", None),
    ("terrain", "terrain/hill.tif", "terrain/hill.tif"),
    ("last_flight_minutes", "4.5", 4.5),
]


@pytest.mark.parametrize(("key", "typed", "meant"), TYPED)
def test_a_typed_answer_means(key: str, typed: str, meant: Value) -> None:
    assert answer_of(BY_KEY[key], typed) == meant


MISTYPED = [
    ("aircraft_class", "", "a plan cannot be written without it; answer one of "
     '"ducted micro", "3-inch", "5-inch, 4 cells", "5-inch, 6 cells", "7-inch".'),
    ("aircraft_class", "9", "'9' is none of the choices; answer one of "
     '"ducted micro", "3-inch", "5-inch, 4 cells", "5-inch, 6 cells", "7-inch".'),
    ("aircraft_class", "8-inch", "'8-inch' is none of the choices; answer \"7-inch\" if that was meant."),
    ("distance_m", "don't know", "a plan cannot be written without it; answer with a number."),
    ("distance_m", "400 m", "'400 m' is not a number; answer with a plain number, without a unit."),
    ("wind_mps", "weak", "'weak' is not a number; answer with a plain number, without a unit, or \"don't know\"."),
]  # fmt: skip


@pytest.mark.parametrize(("key", "typed", "sentence"), MISTYPED)
def test_a_mistyped_answer_gets_its_sentence(key: str, typed: str, sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        answer_of(BY_KEY[key], typed)
    assert str(caught.value) == f"{key}: {sentence}"


def answering(replies: Mapping[str, list[str]], log: list[tuple[str, str | None]]) -> Any:
    left = {key: list(lines) for key, lines in replies.items()}

    def ask(question: Question, fault: str | None) -> str:
        log.append((question.key, fault))
        return left[question.key].pop(0) if left.get(question.key) else ""

    return ask


def test_asking_tells_a_fault_and_asks_again_and_skips_what_says_nothing() -> None:
    log: list[tuple[str, str | None]] = []
    replies = {
        "pack_label": ["6S", "6S 1300 mAh 100C"], "control_class": ["2"], "video_class": ["none"],
        "distance_m": ["0.4", "400"], "bearing_deg": ["320"], "height_m": ["", "60"], "rest_v_per_cell": ["25", "4.18"],
        "last_flight_minutes": ["4.5"], "last_flight_charger_mah": ["9100", "?"],
    }  # fmt: skip
    found = ask_all(answering(replies, log), {"aircraft_class": "5-inch, 6 cells"})
    asked = [key for key, _ in log]
    assert "aircraft_class" not in asked
    assert "longitude_deg" not in asked  # the latitude was left open
    assert "terrain" not in asked
    assert [fault for key, fault in log if key == "distance_m"] == [
        None, "distance_m: 0.4 m is outside 5 to 20000 m; enter metres, not kilometres.",
    ]  # fmt: skip
    assert [fault for key, fault in log if key == "pack_label"][1] is not None
    assert [fault for key, fault in log if key == "last_flight_charger_mah"][1] == (
        "last_flight_charger_mah: 9100 mAh were put back into a pack of 1300 mAh; "
        "give the charge of one flight of this pack, or leave it out."
    )
    assert found["last_flight_minutes"] is None  # the minutes say nothing without the charge
    plan = read_back(new_plan_text(found))
    assert plan.answers.rest_v_per_cell == 4.18
    assert plan.answers.last_flight is None


def test_every_question_has_a_flag_of_its_own_and_a_place_in_the_plan() -> None:
    flags = [question.flag for question in QUESTIONS]
    assert len(set(flags)) == len(flags)
    assert BY_KEY["rest_v_per_cell"].flag == "--rest-v-per-cell"
    assert {question.key for question in QUESTIONS if question.needed} == NEEDED
    assert all(question.prompt.rstrip(")").endswith(("?", ".")) for question in QUESTIONS)
