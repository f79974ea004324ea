"""The field card: one small page for the hand, with what a pilot keeps to and what to do when things go wrong.

A flight that may not go gets a card that says so and holds nothing to fly by.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from enum import Enum
from pathlib import Path
from typing import Any, Final

from turnback import __version__
from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import card_drills, card_list, card_rose, keep_to, numbers, pdf, words
from turnback.report.files import write_whole_bytes
from turnback.report.five import LEAST_TURN_BACK_M, find
from turnback.report.language import text
from turnback.report.numbers import Toward, Units
from turnback.report.typography import together
from turnback.rules.flight import REPORT_AGE

MOST_TITLE: Final = 60
MOST_MEND: Final = 5
MOST_LIMITS: Final = 3
MAY_FLY: Final = frozenset({Verdict.GO, Verdict.GO_WITH_LIMITS})
HOUR_S: Final = 3600.0


class Paper(Enum):
    """Sizes of the card."""

    A6 = "a6"
    QUARTER_LETTER = "quarter-letter"


SIZES_MM: Final = {Paper.A6: (105.0, 148.0), Paper.QUARTER_LETTER: (107.95, 139.7)}
"""ISO 216 A6; half of ANSI/ASME Y14.1 letter each way (4.25 by 5.5 inches)."""


@dataclass(frozen=True, slots=True)
class Made:
    """When a card was made, and how old its weather was then.

    Parameters
    ----------
    at : datetime or None
        With its zone; None where nobody says.
    weather_age_h : float or None
        Age of the weather report that the wind is from; None where the wind was entered or is not known.
    """

    at: datetime | None = None
    weather_age_h: float | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """A card that was written."""

    path: Path
    said: str
    """Verdict and meaning, in words."""


def write_card(
    result: BriefResult, path: Path, made: Made, paper: Paper = Paper.A6, units: Units = Units.METRIC
) -> Card:
    """Write the card to a file; what stood there is replaced whole.

    Raises
    ------
    InputError
        If the folder cannot be written, or a folder stands there.
    """
    written = write_whole_bytes(path, card_pdf(result, made, paper, units))
    verdict, meaning = text(words.VERDICT_WORDS[result.verdict]), text(words.VERDICT_MEANING[result.verdict])
    return Card(written, text("{verdict}. {meaning}", verdict=verdict, meaning=meaning))


def card_pdf(result: BriefResult, made: Made, paper: Paper = Paper.A6, units: Units = Units.METRIC) -> bytes:
    """Return the card as a PDF of one page; the same arguments give the same bytes."""
    return pdf.compiled("card.typ", card_data(result, made, paper, units))


def card_data(result: BriefResult, made: Made, paper: Paper, units: Units) -> dict[str, Any]:
    """Return all that the card says, in finished words."""
    if result.heights_above == "launch":  # redacted: an offset from UTC tells a band of longitudes
        made = _in_utc(made)
    verdict = text(words.VERDICT_WORDS[result.verdict])
    fly = result.verdict in MAY_FLY
    width_mm, height_mm = SIZES_MM[paper]
    return {
        "title": text("Field card, {verdict}: {plan}", verdict=verdict, plan=result.title),
        "width_mm": width_mm,
        "height_mm": height_mm,
        "plan": _shortened(result.title, MOST_TITLE),
        "verdict": verdict if fly else text("Do not fly"),
        "answer": "" if fly else verdict,
        "shape": result.verdict.name.lower().replace("_", "-"),
        "meaning": text(words.VERDICT_MEANING[result.verdict]),
        "fly": _fly(result, units) if fly else None,
        "stay": None if fly else _stay(result, units),
        "drills": [asdict(drill) for drill in card_drills.drills(result, units)],
        "valid": [together(said) for said in (_valid(result, made, units) if fly else _asked(made))],
        "law": text("This does not know your local law."),
        "estimate": text("An estimate, not a permission."),
        "made": text("Turnback {version}, seed {seed}", version=__version__, seed=result.seed),
    }


def _fly(result: BriefResult, units: Units) -> dict[str, Any]:
    """What a pilot flies by."""
    return {
        "limits": _limits(result),
        "readings": [
            _reading(text("Turn back: goggles show"), keep_to.turn_back(result, units)),
            _reading(text("Land by: goggles show"), keep_to.land_by(result, units)),
        ],
        "timer": {
            "label": text("Timer: turn for home"),
            "home": numbers.minutes(keep_to.turn_for_home_s(result), Toward.DOWN),
            "ground": text("landed: {time}", time=numbers.minutes(keep_to.on_the_ground_s(result), Toward.DOWN)),
        },
        "cell": text("one cell"),
        "pack": text("whole pack"),
        "first": text("Whichever comes first: volts, timer, distance or the observer’s word."),
        "above": text("Heights above launch."),
        "rose": _rose(result, units),
        "groups": [asdict(group) for group in card_list.groups(result, units)],
    }


def _reading(label: str, volts: keep_to.Volts) -> dict[str, str]:
    return {"label": label, "cell": volts.cell, "pack": volts.pack}


def _rose(result: BriefResult, units: Units) -> dict[str, Any]:
    """The rose drawn and in numbers; without one, the plan's own row alone."""
    near = result.back.planned_m < LEAST_TURN_BACK_M
    rows = [] if result.rose is None else card_rose.eight(result, result.rose)
    shown = [
        {
            "name": row.name,
            "distance": card_rose.distance(row.turn_back_m, units, result.back.planned_m),
            "height": card_rose.height(row.lowest_return_m, units),
        }
        for row in rows
    ]
    said = "; ".join(f"{row['name']} {row['distance']}" for row in shown)
    return {
        "outline": None if result.rose is None else asdict(card_rose.outline(result, result.rose, units)),
        "north": text("N"),
        "heads": {
            "bearing": text("Bearing"),
            "distance": text("Turn back at"),
            "height": text("Come home above"),
        },
        "plan": {
            "name": _plan_name(result, units),
            "distance": text("over launch")
            if near
            else card_rose.distance(keep_to.farthest_m(result), units, result.back.planned_m),
            "height": card_rose.height(result.back.lowest_height_m, units),
        },
        "rows": shown,
        "alt": text("Turn-back distance by bearing, north up: {said}.", said=said),
    }


def _plan_name(result: BriefResult, units: Units) -> str:
    if result.rose is None or not math.isfinite(result.rose.plan_bearing_deg):
        return text("Plan")
    return text("Plan, {bearing}", bearing=numbers.words(result.rose.plan_bearing_deg, "°", units))


def _limits(result: BriefResult) -> list[str]:
    """Return what keeps a flight inside its limits, the weightiest first."""
    return _actions(finding for finding in result.findings if finding.severity is Severity.LIMIT)[:MOST_LIMITS]


def _stay(result: BriefResult, units: Units) -> dict[str, Any]:
    """What to mend, and what holds if it is in the air all the same."""
    wanted = Severity.UNKNOWN if result.verdict is Verdict.CANNOT_SAY else Severity.STOP
    weighty = [finding for finding in result.findings if finding.severity in (Severity.STOP, Severity.UNKNOWN)]
    first = [] if result.deciding is None else [result.deciding]
    mend = _actions([*first, *(finding for finding in weighty if finding.severity is wanted), *weighty])
    left = len(mend) - MOST_MEND
    land_by = keep_to.land_by(result, units)
    return {
        "mend_title": text("Mend first"),
        "mend": mend[:MOST_MEND],
        "more": text("{count} more stand in the report.", count=left) if left > 0 else "",
        "again": text("Then ask again: only a new card may say go."),
        "air_title": text("If it is in the air all the same"),
        "land_by": _reading(text("Land by: goggles show"), land_by),
        "cell": text("one cell"),
        "pack": text("whole pack"),
    }


def _actions(findings: Iterable[Finding]) -> list[str]:
    """Return what to do about findings, each said once."""
    return list(dict.fromkeys(words.action(finding.do) for finding in findings if finding.do != "none"))


def _valid(result: BriefResult, made: Made, units: Units) -> list[str]:
    """Say for which hours and which weather the card holds."""
    wind = numbers.words(keep_to.wind_mps(result), "m/s", units, Toward.DOWN)
    gusts = numbers.words(keep_to.gust_mps(result), "m/s", units, Toward.DOWN)
    warm = numbers.words(result.air.temperature_c, "°C", units)
    known = not any(row.key == "site.wind_from_deg" for row in result.assumed)
    from_ = numbers.words(result.air.wind_from_deg % 360.0, "°", units)
    given = {"wind": wind, "gusts": gusts, "warm": warm, "direction": from_}
    if known:
        weather = text("Wind to {wind}, gusts to {gusts}, from about {direction}; air about {warm}.", **given)
    else:
        weather = text("Wind to {wind}, gusts to {gusts}, from any side; air about {warm}.", **given)
    return [_hours(result, made), weather, text("More wind, colder, or another pack: make a new card.")]


def _hours(result: BriefResult, made: Made) -> str:
    if find(result, "weather.unknown") is not None:
        return text("The wind is not known: measure it here before every launch.")
    left_s = (REPORT_AGE.value - max(made.weather_age_h or 0.0, 0.0)) * HOUR_S
    if made.at is None:
        return text("Valid for {time} after it was made.", time=numbers.minutes(left_s, Toward.DOWN))
    until = made.at + timedelta(seconds=left_s)
    return text("Valid {made} to {until} ({zone}).", made=_moment(made.at), until=f"{until:%H:%M}", zone=_zone(made.at))


def _asked(made: Made) -> list[str]:
    if made.at is None:
        return []
    return [text("Asked {made} ({zone}).", made=_moment(made.at), zone=_zone(made.at))]


def _in_utc(made: Made) -> Made:
    return made if made.at is None else replace(made, at=made.at.astimezone(UTC))


def _moment(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M}"


def _zone(at: datetime) -> str:
    offset = f"{at:%z}"
    return f"UTC{offset[:3]}:{offset[3:5]}" if offset and offset.strip("+-0") else "UTC"


def _shortened(title: str, most: int) -> str:
    """Return a title that fits its line."""
    return title if len(title) <= most else f"{title[: most - 1].rstrip()}…"
