"""The page of a flight record: light, whole, nothing outside, peaks kept, and written whole or not at all."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.report import record_answers as made
from tests.report.pseudo import PSEUDO, Pseudo, outside, shown

from turnback.base.errors import InputError
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import RecordAnswer
from turnback.report import record_files
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.record_charts import groups
from turnback.report.record_curves import thinned, time_ticks, value_ticks
from turnback.report.record_files import write_record
from turnback.report.record_page import OPEN_EVENTS, record_html
from turnback.report.record_ribbon import ribbon
from turnback.report.record_rules import thresholds
from turnback.report.record_track_picture import crosses_apart

MOST_BYTES = 1_500_000
MOST_S = 1.0
ROWS = 600_000


def test_nothing_points_outside() -> None:
    for said in (record_html(made.flight()), record_html(made.hostile())):
        assert not re.search(r'(?:src|href)="(?!#|data:,")', said)
        assert "<script" not in said
        assert "@import" not in said
        assert "url(" not in said.replace("url(#", "")


def test_what_came_from_the_file_is_escaped() -> None:
    said = record_html(made.hostile())
    assert "&lt;script&gt;" in said


def test_story_stands_before_ribbon_events_columns_and_charts() -> None:
    said = record_html(made.flight())
    order = ["five", "asks", "story", "phases", "events", "missing", "columns", "charts", "cautions"]
    places = [said.index(f'<section id="{name}"') for name in order]
    assert places == sorted(places)
    assert said.index('<figure class="chart"') > said.index('<section id="charts"')


def test_nothing_is_left_of_who_where_and_when() -> None:
    said = record_html(made.flight(), places=False)
    assert [secret for secret in made.SECRETS if secret in said] == []
    assert 'class="track"' not in said
    assert 'class="track"' in record_html(made.flight())


def test_a_long_record_makes_a_light_page_at_once() -> None:
    answer = made.flight(ROWS)
    record_html(made.flight())  # templates are read once
    before = time.perf_counter()
    said = record_html(answer)
    spent_s = time.perf_counter() - before
    assert len(said.encode()) < MOST_BYTES
    assert spent_s < MOST_S


def test_a_single_peak_in_many_rows_stays() -> None:
    t_s = np.arange(ROWS) / 1000.0
    values = np.zeros(ROWS, np.float32)
    values[123_457], values[400_001] = 9.0, -7.0
    times, thin = thinned(t_s, values, 0.0, 600.0)
    assert thin.size <= 600
    assert thin.max() == 9.0
    assert thin.min() == -7.0
    assert times[int(thin.argmax())] == pytest.approx(123.457, abs=2.0)


def test_a_line_breaks_where_rows_are_missing() -> None:
    t_s = np.concatenate([np.arange(5000) / 100.0, 80.0 + np.arange(2000) / 100.0])
    times, values = thinned(t_s, np.ones(t_s.size), 0.0, 100.0)
    assert np.isnan(values).sum() == 1
    assert 49.0 < times[np.flatnonzero(np.isnan(times))[0] - 1] < 51.0


@pytest.mark.parametrize(("low", "high"), [(-3.2, 4.1), (0.0, 0.03), (-98.0, -58.0), (1.0e4, 2.4e4), (-462.0, 400.0)])
def test_marks_are_round_and_enough(low: float, high: float) -> None:
    ticks = value_ticks(low, high)
    values = np.array([float(tick.label) for tick in ticks])
    assert 2 <= len(ticks) <= 7
    assert np.allclose(np.diff(values), values[1] - values[0])
    for tick, value in zip(ticks, values, strict=True):
        assert tick.at == pytest.approx((high - value) / (high - low) * 100.0, abs=0.02)


@pytest.mark.parametrize("length_s", [0.4, 3.0, 45.0, 180.0, 610.0, 4000.0, 20_000.0])
def test_times_are_few_enough_for_a_phone(length_s: float) -> None:
    assert 2 <= len(time_ticks(0.0, length_s)) <= 6


def test_every_chart_has_few_points_and_each_corner_its_own() -> None:
    found = {group.key: group for group in groups(made.flight(ROWS), Units.METRIC)}
    assert set(found) == {"air", "pack", "link", "outputs", "rates"}
    for group in found.values():
        for panel in group.panels:
            assert all(curve.path.count("L") <= 600 for curve in panel.curves)
    assert found["outputs"].corners
    assert len(found["outputs"].panels) == len(At)
    assert found["outputs"].panels[0].title == "Corner output at front-left (%)"


def test_an_event_is_shaded_where_it_is_seen() -> None:
    found = {panel.title: panel for group in groups(made.flight(), Units.METRIC) for panel in group.panels}
    level = found["Link level at the aircraft (dBm)"]
    assert level.shades[0].x == pytest.approx(1000.0 * 119.0 / 180.0, abs=0.1)  # the loss weighs more than the dip
    assert level.notes[0].startswith("At 1:59.0 the control link was lost")


def test_the_ribbon_covers_the_record_without_overlap() -> None:
    found = ribbon(made.flight())
    assert found is not None
    ends = [each.left + each.width for each in found.stretches]
    assert found.stretches[0].left == 0.0
    assert ends[-1] == pytest.approx(100.0, abs=0.01)
    for end, following in zip(ends, found.stretches[1:], strict=False):
        assert following.left == pytest.approx(end, abs=0.01)
    assert len({kind for kind, _ in found.kinds}) == len(found.kinds)


def test_every_phase_has_a_pattern_of_its_own() -> None:
    style = (Path(record_files.__file__).parent / "templates" / "record.css").read_text(encoding="utf-8")
    looks = dict(re.findall(r"^\.phase\.([a-z-]+) \{ (.*?) \}$", style, re.MULTILINE))
    from turnback.records.happened import PhaseKind

    assert set(looks) == {kind.value for kind in PhaseKind}
    assert len(set(looks.values())) == len(looks)


@pytest.mark.parametrize("answer", [made.flight(), made.bare()], ids=["flight", "bare"])
def test_every_word_can_be_translated(answer: RecordAnswer) -> None:
    record = answer.flown.record
    known = [record.name, record.format.value, *(each.name for each in record.matches), *made.SECRETS, "abcdefgh"]
    known += ['--column "gx=pitch_rate deg/s"', "record.json", *(row.unit for row in thresholds().values())]
    with speaking_by(Pseudo(), PSEUDO):
        page = record_html(answer)
    said = [text for text in shown(page) if not re.fullmatch(r"\s*[a-h]\s*", text)]
    units = {"dBm", "V", "A", "m", "m/s", "°/s", "Hz", "dB"}
    assert [(text, left) for text in said if (left := set(outside(text, known)) - units)] == []


def test_no_chart_where_there_is_no_channel() -> None:
    said = record_html(made.bare())
    assert 'id="phases"' in said
    assert groups(made.bare(), Units.METRIC)[0].key == "pack"
    assert "The track from above" not in said


def test_files_are_writtencrosses_apart(tmp_path: Path) -> None:
    page = write_record(made.flight(), tmp_path / "out", columns_text="[columns]\n")
    names = {each.name for each in (tmp_path / "out").iterdir()}
    assert page.name == "record.html"
    assert names == {"record.html", "record.json", "record.schema.json", "columns.toml"}


def test_the_match_of_columns_is_not_given_away(tmp_path: Path) -> None:
    write_record(made.flight(), tmp_path, places=False, columns_text="AnnasRoll")
    assert not (tmp_path / "columns.toml").exists()
    assert all(b"AnnasRoll" not in each.read_bytes() for each in tmp_path.iterdir())


def test_nothing_is_left_where_writing_fails(tmp_path: Path) -> None:
    (tmp_path / "record.json").mkdir()
    (tmp_path / "record.html").write_text("old", encoding="utf-8")
    with pytest.raises(InputError):
        write_record(made.flight(), tmp_path)
    assert (tmp_path / "record.html").read_text(encoding="utf-8") == "old"
    assert {each.name for each in tmp_path.iterdir()} == {"record.json", "record.html"}


def test_a_channel_with_a_number_and_no_corner_is_shown_as_such() -> None:
    answer = made.bare()
    first = next(iter(answer.flown.record.series.values()))
    channel = Channel(Quantity.OUTPUT, None, 3)
    answer.flown.record.series[channel] = made.series(channel, first.t_s, first.values / 40.0)
    try:
        found = {group.key: group for group in groups(answer, Units.METRIC)}
    finally:
        del answer.flown.record.series[channel]
    assert not found["outputs"].corners
    assert "corner not known" in found["outputs"].panels[0].title


def test_letters_on_the_track_do_not_cover_one_another() -> None:
    near, far = (100.0, 100.0), (200.0, 120.0)
    assert crosses_apart([near, (104.0, 97.0), far]) == [(*near, "a b"), (*far, "c")]


def test_a_long_list_of_events_is_there_on_opening() -> None:
    flight = made.flight()
    many = replace(flight, events=tuple(flight.events[0] for _ in range(OPEN_EVENTS + 1)))
    for answer, opens in ((flight, False), (many, True)):
        said = record_html(answer)
        events = said[said.index('<section id="events"') :]
        assert (events.index("<ol") > events.index("<details>")) is opens
