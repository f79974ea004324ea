"""More asked, less left: chances fall with wind, mass, distance and cold, and never the verdict rises."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from tests.assess.cases import case_of, plain

from turnback.flows.brief import brief
from turnback.records.finding import Verdict
from turnback.records.result import BriefResult

MARGINAL: dict[str, Any] = {
    "pack__label": "6S 850 mAh 60C",
    "pack__resistance_mohm_per_cell": 10.0,
    "answers__rest_v_per_cell": 4.05,
    "route__distance_m": 1500,
    "route__bearing_deg": 270,
    "aircraft__mass_g": 500,
}

pytestmark = pytest.mark.slow  # a minute of briefs

Figure = Callable[[BriefResult], float]


def landing(result: BriefResult) -> float:
    """Return the favourable end of the rest volts at landing: the other is flat too soon to show more."""
    return result.energy.landing_rest_v.high


def landing_chance(result: BriefResult) -> float:
    """Return the chance of landing above the land-by volts."""
    return result.energy.probability.mid


def control_chance(result: BriefResult) -> float:
    """Return the control link's chance."""
    return result.control.probability.mid


def video_chance(result: BriefResult) -> float:
    """Return the video link's chance."""
    return result.video.probability.mid if result.video else 1.0


LADDERS: list[tuple[Figure, str, list[Any]]] = [
    (landing_chance, "weather__wind_mps", [1, 4, 6, 8, 10]),
    (landing, "weather__wind_mps", [4, 6, 8, 10]),
    (landing_chance, "aircraft__mass_g", [400, 500, 650, 850]),
    (landing, "aircraft__mass_g", [400, 500, 650, 850]),
    (landing_chance, "route__distance_m", [500, 900, 1300, 1700, 2500]),
    (landing, "route__distance_m", [500, 900, 1300]),
    (landing_chance, "route__hover_s", [0, 30, 90, 240]),
    (landing_chance, "pack__resistance_mohm_per_cell", [4, 10, 20, 40]),
    (landing_chance, "pack__temperature_c", [30, 15, 5, -5]),
    (landing_chance, "answers__rest_v_per_cell", [4.2, 4.05, 3.9, 3.8]),
    (control_chance, "route__distance_m", [500, 1500, 3000, 4000]),
    (video_chance, "route__distance_m", [200, 500, 1500, 3000]),
    (control_chance, "radio__control__interference_dbm", [-125, -110, -100, -90]),
    (video_chance, "radio__video__ground_sensitivity_dbm", [-95, -90, -85, -80]),
    (video_chance, "radio__video__aircraft_power_mw", [800, 500, 200, 25]),
]


@pytest.mark.parametrize(
    ("figure", "path", "values"), LADDERS, ids=lambda value: getattr(value, "__name__", str(value))
)
def test_a_figure_only_falls(figure: Figure, path: str, values: list[Any]) -> None:
    """Each step asks more or gives less; the same draws serve both sides, so chance plays no part."""
    figures = [figure(brief(case_of(plain(), **{**MARGINAL, path: value}))) for value in values]
    assert all(after <= before + 1e-9 for before, after in pairwise(figures)), figures
    assert figures[-1] < figures[0], "the ladder must reach from good to bad for the test to show anything"


@pytest.mark.parametrize("path", ["route__distance_m", "weather__wind_mps"])
def test_the_verdict_only_falls(path: str) -> None:
    """Farther or windier never makes a better verdict."""
    values = {"route__distance_m": [60, 120, 400, 900, 1325], "weather__wind_mps": [1, 3, 6, 10, 16]}[path]
    order = [Verdict.GO, Verdict.GO_WITH_LIMITS, Verdict.CANNOT_SAY, Verdict.NO_GO]
    changes: list[dict[str, Any]] = [{path: value} for value in values]
    verdicts = [order.index(brief(case_of(**change)).verdict) for change in changes]
    assert verdicts == sorted(verdicts)
    assert len(set(verdicts)) > 1


def test_knowing_more_narrows_the_answer() -> None:
    """A measured resistance and a weighed aircraft leave less open, and fewer gaps are listed."""
    open_case = brief(
        case_of(plain(), **{**MARGINAL, "pack__resistance_mohm_per_cell": None, "aircraft__mass_g": None})
    )
    known = brief(case_of(plain(), **MARGINAL))
    assert known.energy.lowest_loaded_v.high - known.energy.lowest_loaded_v.low < (
        open_case.energy.lowest_loaded_v.high - open_case.energy.lowest_loaded_v.low
    )
    gaps = {row.key for row in open_case.assumed} - {row.key for row in known.assumed}
    assert gaps == {"pack.resistance_ohm", "aircraft.mass_kg"}
