"""Routes other than straight out: waypoints, a round trip, by eye; and weather from a pasted report."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.case import Case
from turnback.records.finding import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
PLAN = """
schema = 1
note = "Invented: a round by waypoints"
aircraft = "parts/aircraft-five-inch.toml"
pack = "parts/pack-six-cells.toml"
site = "parts/site-valley.toml"
radio = { control = "2.4 GHz, 250 mW", video = "none" }
observer = "yes"
pilot = { shown = ["self-level in sight", "rate mode"] }
weather = { metar = "METAR ZZZZ 261220Z 24004KT 9999 FEW030 18/09 Q1017", metar_distance_km = 12 }
answers = { propellers_verified_today = "yes", who_can_be_underneath = "nobody", return_tested_on_this_build = "yes" }
"""
ROUND = """
[route]
hover_s = 20
waypoints = [
  { east_m = 80, north_m = 40, height_m = 20 }, { east_m = 100, north_m = -40, height_m = 30 },
  { east_m = 0, north_m = 0, height_m = 20 },
]
"""
TRACK = """<?xml version="1.0"?><gpx version="1.1" creator="invented" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>
<trkpt lat="36.6021" lon="-84.2185"/><trkpt lat="36.6030" lon="-84.2185"/><trkpt lat="36.6030" lon="-84.2177"/>
</trkseg></trk></gpx>"""
NOON = datetime(2026, 11, 26, 12, 50, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with the examples' parts and ground."""
    for name in ("parts", "terrain"):
        (tmp_path / name).mkdir()
        for file in (EXAMPLES / name).iterdir():
            (tmp_path / name / file.name).write_bytes(file.read_bytes())
    (tmp_path / "way.gpx").write_text(TRACK)
    return tmp_path


def case(folder: Path, route: str, now: datetime = NOON) -> Case:
    """Read the plan with a route."""
    (folder / "plan.toml").write_text(PLAN + route)
    return read_case(folder / "plan.toml", now=now)


def test_a_round_by_eye_comes_home(folder: Path) -> None:
    """The turn-back point is the farthest place of the round, not its end; there is no video link to judge."""
    result = brief(case(folder, ROUND))
    assert result.verdict is Verdict.GO
    assert result.video is None
    assert result.back.planned_m == pytest.approx(107.7, abs=0.1)
    assert result.back.turn_back_m.low == pytest.approx(result.back.planned_m)
    assert not any(finding.rule == "link.video_chance" for finding in result.findings)


def test_wind_comes_from_the_report_and_an_old_one_is_unknown(folder: Path) -> None:
    """4 knots are 2.06 m/s (exact: 1852 m an hour each); a report of yesterday tells nothing of today's wind."""
    fresh = brief(case(folder, ROUND))
    assert fresh.air.wind_mps.mid == pytest.approx(4 * 1852 / 3600, rel=0.05)
    assert fresh.air.wind_from_deg == 240.0
    old = brief(case(folder, ROUND, NOON.replace(day=27)))
    assert old.air.wind_mps.high > 2.0 * fresh.air.wind_mps.high
    finding = next(finding for finding in old.findings if finding.rule == "weather.unknown")
    assert finding.evidence["stale"] == "yes"
    assert old.verdict is not Verdict.GO


def test_a_track_file_is_flown_and_its_way_home_added(folder: Path) -> None:
    """A hundred metres north and seventy east, then straight home (one minute of latitude is 1850 m)."""
    result = brief(case(folder, '[route]\nfile = "way.gpx"\nheight_m = 30\n'))
    assert result.back.planned_m == pytest.approx(123.0, abs=2.0)
    assert result.energy.distance_m[-1] == pytest.approx(100 + 71.5 + 123.0, abs=4.0)
