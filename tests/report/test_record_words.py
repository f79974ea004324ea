"""The words of a flight record: all of them are there, they read, and they say no more than the record."""

from __future__ import annotations

import re
import shlex
from dataclasses import replace

import pytest
from tests.report import record_answers as made
from tests.report.pseudo import PSEUDO, Pseudo, outside

from turnback.readers.record_columns_file import column_told
from turnback.readers.record_units import UNITS
from turnback.records.bench import At
from turnback.records.channel import UNIT_OF, Channel, Quantity
from turnback.records.flight_record import SenseBy
from turnback.records.happened import Event, EventKind, NotTold, PhaseKind, RecordAnswer, WhyNot
from turnback.records.record_read import ColumnTold, FlightFacts, Gap, MatchedBy
from turnback.report import record_text as record_text_module
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.record_text import record_text
from turnback.report.record_values import lasting, moment
from turnback.report.words_record import CRASHED, DAMAGED_PACK, NO_LEAVE, record_cautions, record_five
from turnback.report.words_record_channels import QUANTITIES
from turnback.report.words_record_columns import (
    BY,
    GAPS,
    SENSES,
    asks,
    column_flag,
    corner_lines,
    record_lines,
    sure_words,
)
from turnback.report.words_record_events import WORDS, event_sentence, places_of
from turnback.report.words_record_gaps import WHY, next_time, not_told_lines, why_words
from turnback.report.words_record_phases import LABELS, SENTENCES
from turnback.report.words_record_story import MOST_TOLD, PHASES_TOLD, beside_the_story, story
from turnback.report.words_record_units import unit_words

ON_ONE_LINE = 100_000


def test_everything_that_can_be_found_has_words() -> None:
    assert {kind.name for kind in EventKind} <= WORDS.keys()
    assert set(LABELS) == set(SENTENCES) == set(PhaseKind)
    assert set(WHY) == set(WhyNot)
    assert set(GAPS) == set(Gap)
    assert set(BY) == set(MatchedBy)
    assert set(SENSES) == set(SenseBy)
    assert set(QUANTITIES) == set(Quantity)
    assert set(PHASES_TOLD) <= set(PhaseKind)


def test_every_unit_that_is_read_is_said_plainly() -> None:
    keys = {unit.key for some in UNITS.values() for unit in some} | set(UNIT_OF.values())
    assert {key for key in keys if key and unit_words(key) == key} <= {"dBm"}
    assert unit_words("0.1 deg/s") == "steps of 0.1 degrees a second"
    assert unit_words("-500-500") == "numbers from -500 to 500"
    assert unit_words("g/2048") == "counts, 2048 for each g"


@pytest.mark.parametrize("negative", [False, True])
def test_the_flag_says_what_it_proposes(negative: bool) -> None:
    """What stands there can be given back as it is."""
    match = made.MATCHES[4]
    best = match.readings[0]
    match = replace(match, readings=(replace(best, scale=-best.scale if negative else best.scale),))
    flag = column_flag(match, (match,))
    _, told = shlex.split(flag)
    assert column_told(told) == ColumnTold("gx", best.channel, "deg/s", True if negative else None)
    twice = column_flag(match, (match, match))
    assert column_told(shlex.split(twice)[1]).name == "#5"


def test_what_is_likely_nothing_is_not_proposed_as_a_channel() -> None:
    """A flag that is given back unread must not take one channel for another."""
    match = made.MATCHES[4]
    best = match.readings[0]
    other = replace(best, channel=Channel(Quantity.OTHER), unit="", scale=1.0, chance=0.98)
    match = replace(match, readings=(other, replace(best, chance=0.02)))
    _, told = shlex.split(column_flag(match, (match,)))
    assert column_told(told) == ColumnTold("gx", None)
    (ask,) = asks((match,))
    assert "most likely something else (98 of 100)" in ask.words


def test_a_told_rate_that_does_not_count_is_said() -> None:
    record = made.flight().flown.record
    told = replace(record, facts=FlightFacts(rate_hz=50.0))
    assert "You told 50 rows a second" in " ".join(record_lines(told))
    assert "You told" not in " ".join(record_lines(record))
    without = replace(told, clock=replace(record.clock, column="", unit=""))
    assert "You told" not in " ".join(record_lines(without))


def test_corners_are_told_together() -> None:
    said = corner_lines(made.CORNERS)
    assert said[0] == (
        "Of corner output, number 1 is rear-right: told by how the aircraft turns when they change, very "
        "likely (98 of 100)."
    )
    assert "named in the record or told by you: front-right" in said[1]
    assert said[2].endswith("these of the record are: 1. Say it with --column.")


@pytest.mark.parametrize("kind", EventKind)
def test_a_sentence_stands_without_any_value(kind: EventKind) -> None:
    said = event_sentence(Event(kind, 102.3, 105.3, (made.LEVEL,), ""), Units.METRIC)
    assert said[0].isupper()
    assert said.endswith(".")
    assert "{" not in said


@pytest.mark.parametrize("kind", EventKind)
def test_a_sentence_with_every_value_has_no_hole(kind: EventKind) -> None:
    words = WORDS[kind.name]
    lines = [*words.lines, *(line for some in words.apart.values() for line in some)]
    assert words.lines
    assert places_of(words.lines[-1]) <= {"time"}
    places = set().union(*map(places_of, lines))
    values = {place: 1.5 for place in places if "_" in place or place in ("number", "turns")}
    given = Event(kind, 61.0, 64.0, (made.LEVEL,), "", values, (At.REAR_LEFT,), {"action": "motors-stop"})
    for key in ("", *words.apart):
        rule = key.removeprefix("rule=") if key.startswith("rule=") else ""
        held = {key.split("=")[0]: float(key.split("=")[1])} if "=" in key and not rule else {}
        which = {} if held or rule else {"which": key}
        one = replace(given, rule=rule, values=values | held, words=dict(given.words) | which)
        assert "{" not in event_sentence(one, Units.METRIC)
    said = event_sentence(given, Units.IMPERIAL)
    assert "{" not in said
    assert said.endswith(".")


def test_what_holds_of_an_event_chooses_its_sentence() -> None:
    lost = Event(EventKind.LINK_LOST, 60.0, 64.0, (made.LEVEL,), "", {"back": 1.0})
    assert event_sentence(lost, Units.METRIC) == "At 1:00.0 the control link was lost, for 4 s."
    gone = replace(lost, values={"back": 0.0, "distance_m": 420.0})
    assert event_sentence(gone, Units.METRIC) == (
        "At 1:00.0 the control link was lost, 420 m from launch; it did not come back in flight."
    )
    wind = Event(EventKind.WIND, 0.0, 60.0, (), "", {"wind_mps": 6.0, "from_rad": 5.5}, words={"part": "whole"})
    assert "about 6.0 m/s from the north-west" in event_sentence(wind, Units.METRIC)  # 5.5 rad are 315 degrees
    assert "about 13 mph" in event_sentence(wind, Units.IMPERIAL)  # 6 m/s * 2.237


def test_a_height_that_was_not_lost_is_not_said() -> None:
    fall = Event(EventKind.FREE_FALL, 60.0, 61.0, (), "", {"duration_s": 1.0, "height_lost_m": -2.7, "height_m": 4.0})
    assert (
        event_sentence(fall, Units.METRIC)
        == "At 1:00.0 it fell freely for 1 s: from standing still that is about 4.0 m."
    )
    lost = replace(fall, values={**fall.values, "height_lost_m": 4.2})
    assert event_sentence(lost, Units.METRIC) == "At 1:00.0 it fell for 1 s, and lost 4.2 m of height."


def test_a_dip_of_the_video_link_is_not_one_of_the_control_link() -> None:
    dip = Event(
        EventKind.LEVEL_DIP, 102.3, 105.3, (made.LEVEL,), "", {"depth_db": 14.0, "least_dbm": -92.0, "back": 1.0}
    )
    control, video = replace(dip, words={"link": "control"}), replace(dip, words={"link": "video"})
    said = "At 1:42.3 the link level fell by 14 dB to -92 dBm, for 3 s."
    assert event_sentence(control, Units.METRIC) == said
    assert event_sentence(video, Units.METRIC).startswith("At 1:42.3 the level of the video link fell by 14 dB")


@pytest.mark.parametrize(
    ("seconds", "said"), [(0.0, "0:00.0"), (102.34, "1:42.3"), (59.96, "1:00.0"), (3661.25, "1:01:01.2")]
)
def test_moments_read_as_a_clock(seconds: float, said: str) -> None:
    assert moment(seconds) == said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.0, ""), (0.02, "0.02 s"), (0.5, "0.5 s"), (3.04, "3 s"), (3.2, "3.2 s"), (59.7, "1 min"), (125.0, "2 min 5 s"),
     (3725.0, "1 h 2 min")],
)  # fmt: skip
def test_how_long_it_lasted_reads(seconds: float, said: str) -> None:
    assert lasting(seconds) == said


def test_the_story_is_short_in_order_and_weighty() -> None:
    said = story(made.flight(), Units.METRIC)
    times = [match[1] for line in said if (match := re.search(r"(\d+:\d\d\.\d)", line))]
    assert 5 <= len(said) <= MOST_TOLD
    assert times == sorted(times)
    assert "At 1:59.0 the control link was lost, for 5 s." in said
    assert sum("sagged" in line for line in said) == 1
    assert any("worst of 2 times" in line and "2.10 V" in line for line in said)


def test_a_crowd_of_events_does_not_hide_the_weighty_one() -> None:
    flight = made.flight()
    dips = tuple(
        Event(kind, 20.0 + place, 20.4 + place, (made.LEVEL,), "")
        for place, kind in enumerate(each for each in EventKind for _ in range(3))
        if kind not in (EventKind.IMPACT, EventKind.LINK_LOST)
    )
    events = tuple(sorted((*flight.events, *dips), key=lambda each: each.start_s))
    said = story(replace(flight, events=events), Units.METRIC)
    assert len(said) == MOST_TOLD
    assert any("knocked" in line for line in said)
    assert any("control link was lost" in line for line in said)


def test_five_lines_say_what_it_was() -> None:
    said = {line.label: line.text for line in record_five(made.flight(), Units.METRIC)}
    assert said["What it is"].startswith("A CSV record of 3 min, with 20 rows a second. 4 of its 6 columns")
    assert "in the air for 2 min 20 s, from 0:12.0 on, up to 46 m above launch" in said["How it flew"]
    assert said["What stands out first"] == (
        "At 1:59.0 the control link was lost, for 5 s. "
        "At 2:00.0 the radio-loss action began: it flew the automatic return."
    )
    assert said["How it ended"] == "It fell, and lay on the ground from 2:32.5 on."
    assert "Next time record or export this above all: the rotor speed at each corner." in said["What it cannot say"]


def test_how_it_ended_is_not_what_stands_out_too() -> None:
    ends = Event(EventKind.ENDS_ALOFT, 170.0, 180.0, (), "", {"height_m": 30.0})
    dip = Event(EventKind.QUALITY_LOW_LEVEL_HIGH, 60.0, 64.0, (made.LEVEL,), "")
    flight = replace(made.flight(), events=(dip, ends))
    said = {line.label: line.text for line in record_five(flight, Units.METRIC)}
    assert said["What stands out first"] == "At 1:00.0 packets were lost although the level was high, for 4 s."
    assert said["How it ended"].startswith("At 2:50.0 the record ends while it is still in the air")
    alone = {line.label: line.text for line in record_five(replace(flight, events=(ends,)), Units.METRIC)}
    assert alone["What stands out first"] == "Nothing but how it ended, among what could be looked for."


def test_what_it_did_about_a_lost_link_is_said_with_it() -> None:
    lost = Event(EventKind.LINK_LOST, 60.0, 90.0, (made.LEVEL,), "", {"back": 0.0})
    did = Event(EventKind.RADIO_LOSS_ACTION, 61.0, 90.0, (), "", words={"action": "motors-stop"})
    said = {line.label: line.text for line in record_five(replace(made.flight(), events=(lost, did)), Units.METRIC)}
    assert said["What stands out first"] == (
        "At 1:00.0 the control link was lost; it did not come back in flight. "
        "At 1:01.0 the radio-loss action began: the motors stopped."
    )


def test_one_thing_at_several_corners_is_one_sentence_and_told_once() -> None:
    corners = (At.FRONT_LEFT, At.REAR_RIGHT, At.FRONT_LEFT)
    full = tuple(
        Event(EventKind.OUTPUT_SATURATED, 50.0 + place, 50.2 + place, (), "", {}, (at,))
        for place, at in enumerate(corners)
    )
    mode = Event(EventKind.MODE_CHANGE, 55.0, 55.0, (), "", words={"from": "one", "to": "two"})
    answer = replace(made.flight(), events=(*full, mode))
    (said,) = [line for line in story(answer, Units.METRIC) if "output" in line]
    assert said.endswith("the worst of 3 times, first at 0:50.0; the same was seen at rear-right.")
    assert beside_the_story(answer, Units.METRIC) == ("At 0:55.0 the flight mode changed from “one” to “two”.",)


def test_wind_is_said_with_its_band_and_with_what_was_taken_for_granted() -> None:
    values = {"wind_mps": 6.0, "from_rad": 0.0, "width_mps": 1.5}
    wind = Event(EventKind.WIND, 0.0, 60.0, (), "", values, words={"part": "whole", "by": "speed"})
    said = "The wind was about 6.0 m/s from the north, give or take 1.5 m/s"
    assert event_sentence(wind, Units.METRIC) == f"{said}, if it flew as fast through the air on every course."
    leaned = replace(wind, words={"part": "whole", "by": "lean"})
    assert event_sentence(leaned, Units.METRIC) == f"{said}, told by speed and lean."
    along = replace(wind, words={"part": "along", "by": "speed"})
    assert "both ways; what blew across it is not told" in event_sentence(along, Units.METRIC)
    fresh = replace(leaned, values=values | {"wind_mps": 8.0})
    assert any("wind was about 8.0" in line for line in story(replace(made.flight(), events=(fresh,)), Units.METRIC))
    assert not any("wind was" in line for line in story(replace(made.flight(), events=(leaned,)), Units.METRIC))


def test_volts_load_taken_off_are_not_said_to_have_been_measured() -> None:
    values = {"limit_v": 3.7, "least_v": 3.6, "rest_equivalent_v": 3.6}
    low = Event(EventKind.BELOW_LAND_BY, 60.0, 70.0, (), "", values, words={"state": "rest-equivalent"})
    assert "load taken off: down to 3.60 V" in event_sentence(low, Units.METRIC)
    assert "under load of 3.70 V per cell" in event_sentence(replace(low, words={"state": "loaded"}), Units.METRIC)


def test_a_blow_beyond_the_sensor_is_never_said_to_be_more_than_was_seen() -> None:
    blow = Event(EventKind.IMPACT, 60.0, 60.1, (), "", {"peak_mps2": 24.7 * 9.80665, "at_least": 1.0})
    assert "24 times gravity at least" in event_sentence(blow, Units.METRIC)
    whole = replace(blow, values={"peak_mps2": 24.7 * 9.80665, "at_least": 0.0})
    assert "25 times gravity." in event_sentence(whole, Units.METRIC)


def test_no_record_is_an_all_clear_and_a_crash_is_cared_for() -> None:
    assert NO_LEAVE in record_cautions(made.bare())
    crashed = record_cautions(made.flight())
    assert crashed[0] == CRASHED
    assert NO_LEAVE not in crashed


def test_the_same_story_in_imperial_units() -> None:
    said = {line.label: line.text for line in record_five(made.flight(), Units.IMPERIAL)}
    assert "151 ft above launch" in said["How it flew"]  # 46 m / 0.3048 m


def test_a_record_that_tells_nothing_says_so() -> None:
    said = {line.label: line.text for line in record_five(made.bare(), Units.METRIC)}
    assert said["How it flew"] == "The record does not tell whether it flew."
    assert said["What stands out first"] == "Nothing, among what could be looked for. That is no all-clear."
    assert said["How it ended"] == "The record ends at 0:20.0."


def test_a_rate_that_is_too_slow_names_the_rate_it_takes() -> None:
    said = why_words(made.NOT_TOLD[0])
    assert said.startswith("The rate of 50 rows a second is too slow for it: 620 would be needed.")


@pytest.mark.parametrize("why", WhyNot)
def test_a_reason_stands_without_values(why: WhyNot) -> None:
    said = why_words(NotTold(EventKind.SAG, why))
    assert said.endswith(".")
    assert "{" not in said


def test_what_hides_most_is_recorded_next() -> None:
    volts, rate = Channel(Quantity.CELL_VOLTS), Channel(Quantity.YAW_RATE)
    lacking = [NotTold(EventKind.SAG, WhyNot.NO_CHANNEL, (volts,))]
    lacking += [NotTold(kind, WhyNot.NO_CHANNEL, (volts, rate)) for kind in (EventKind.WIND, EventKind.IMPACT)]
    assert next_time(replace(made.bare(), not_told=tuple(lacking))) == "the volts of each cell"


def test_what_is_lacking_is_no_wall_and_what_hides_most_stands_first() -> None:
    def lacks(kind: EventKind, *needs: Quantity) -> NotTold:
        return NotTold(kind, WhyNot.NO_CHANNEL, tuple(map(Channel, needs)))

    found = (
        lacks(EventKind.MODE_CHANGE, Quantity.MODE),
        lacks(EventKind.OSCILLATION, Quantity.ROLL_RATE, Quantity.PITCH_RATE),
        lacks(EventKind.RATE_RUN_AWAY, Quantity.YAW_RATE),
        lacks(EventKind.ARM_SWITCH_OFF_ALOFT, Quantity.ARMED),
        NotTold(EventKind.BLADE_PASS, WhyNot.BLADES_UNKNOWN),
    )
    said = not_told_lines(replace(made.bare(), not_told=found))
    assert "--blades" in said[0]
    assert said[1:] == (
        "Not in the record: the turning rates about all three axes. It would tell: Oscillation; "
        "Turning faster and faster, unasked.",
        "Not in the record either: flight mode and armed or not. It lacks them for: Changes of the flight mode; "
        "Disarming in the air.",
    )


def test_a_column_that_asks_gives_the_flag() -> None:
    said = record_text(made.flight(), width=100)
    assert '--column "gx=pitch_rate deg/s"' in said
    assert sure_words(0.97) == "very likely (97 of 100)"
    assert sure_words(0.999) == "sure"


def test_a_pack_below_its_damage_volts_is_cared_for() -> None:
    assert DAMAGED_PACK in record_cautions(made.flight())
    assert DAMAGED_PACK not in record_cautions(made.bare())


def test_nothing_steers_the_terminal() -> None:
    answer = made.flight()
    named = replace(answer, flown=replace(answer.flown, record=replace(answer.flown.record, name="\x1b[2Jx\u202e.csv")))
    said = record_text(named)
    assert "\x1b" not in said
    assert "\u202e" not in said


def test_keys_of_the_finders_are_never_said() -> None:
    words = {
        "corners": "some-key",
        "axis": "axis-key",
        "what": "what-key",
        "action": "no-such-action",
        "channels": "x-key",
    }
    for kind in EventKind:
        said = event_sentence(Event(kind, 1.0, 2.0, (), "", {}, (), words), Units.METRIC)
        assert not [value for value in words.values() if re.search(rf"\b{value}\b", said)]


def test_no_cause_and_no_blame() -> None:
    said = [line for words in WORDS.values() for line in words.lines]
    said += list(SENTENCES.values())
    assert not [line for line in said if re.search(r"\b(because|caused?|due to|fault|mistake|wrong|blame)\b", line)]


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("answer", [made.flight(), made.bare()], ids=["flight", "bare"])
def test_every_word_can_be_translated(answer: RecordAnswer, units: Units, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(record_text_module, "WIDEST", ON_ONE_LINE)
    record = answer.flown.record
    known = [record.name, record.format.value, *(each.name for each in record.matches), *made.SECRETS]
    flags = ['--column "gx=pitch_rate deg/s"']
    with speaking_by(Pseudo(), PSEUDO):
        said = record_text(answer, units, ON_ONE_LINE)
    assert outside(said, [*flags, *known]) == []


def test_a_rotor_that_stands_is_not_held_against_an_output_that_was_not_recorded() -> None:
    rotor = Channel(Quantity.ROTOR_SPEED, number=3)
    event = Event(EventKind.SPEED_COLLAPSE, 4.0, 5.0, (rotor,), "record.outputs.stands_share", {"least_per_s": 0.0})
    said = event_sentence(event, Units.METRIC)
    assert "slower than it idles" in said
    assert "asked" not in said
