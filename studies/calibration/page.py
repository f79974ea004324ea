"""The figures of the page, as tables between two marks; the words around them are written by hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from studies.calibration.figures import Share, brier, brier_gain, frequencies, share
from studies.calibration.population import CLASSES, ENTRY, GENERAL, RADIO, Quantity
from studies.calibration.run import Row

if TYPE_CHECKING:
    from studies.calibration.rotor_flights import Flown

Array = NDArray[np.float64]

BEGIN, END = "<!-- figures: written by make calibration -->", "<!-- end of the figures -->"
SAID: Final = "mean"
"""The brief says the mean over its worlds; the median stands beside it, as briefs said before."""
THIRDS: Final = (1 / 3, 2 / 3)
SAYS_09: Final = (0.85, 0.95)
NEARLY_SURE: Final = 0.97
"""Links this sure leave a return nothing to add."""
BINS: Final = (0.0, 0.1, 0.3, 0.5, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 1.0001)
TABLE_UNITS: Final = {"log": "by factors", "plain": "evenly"}


def write(page: Path, figures: str) -> None:
    """Put the figures between the page's two marks.

    Raises
    ------
    ValueError
        Where the page has no such marks.
    """
    text = page.read_text()
    if text.count(BEGIN) != 1 or text.count(END) != 1:
        raise ValueError(f"{page.name} needs the marks {BEGIN!r} and {END!r}, once each")
    before, rest = text.split(BEGIN)
    page.write_text(f"{before}{BEGIN}\n\n{figures.strip()}\n\n{END}{rest.split(END)[1]}")


def figures(rows: Sequence[Row], careful: Sequence[Row], flights: Sequence[Flown]) -> str:
    """Return every table of the page."""
    parts = [
        _headline(rows, careful), _reliability(rows), _reliability_of_medians(rows), _own_errors(rows), _ends(rows),
        _parts(rows), _groups(rows), _scores(rows),
        _thumb(rows, careful), _whys(rows), _rotor(flights), _populations(),
    ]  # fmt: skip
    return "\n\n".join(parts)


def _column(rows: Sequence[Row], name: str) -> Array:
    return np.array([getattr(row, name) for row in rows], dtype=np.float64)


def credited(row: Row) -> bool:
    """Return whether the brief counts on the automatic return; read off its chance, which is then above its parts'."""
    tested = row.action == "automatic return" and bool(row.tested)
    return tested and (row.links_mid > NEARLY_SURE or row.mid > 1.02 * row.pack_mid * row.links_mid)


def as_claimed(row: Row) -> bool:
    """Return whether it came home as the brief means it: a return that it does not count on saves nobody."""
    return bool(row.home) and (bool(row.links_held) or credited(row))


def _home(rows: Sequence[Row]) -> Share:
    return share([as_claimed(row) for row in rows])


def _anyhow(rows: Sequence[Row]) -> Share:
    return share([bool(row.home) for row in rows])


def _between(rows: Sequence[Row], low: float, high: float, name: str = SAID) -> list[Row]:
    return [row for row in rows if low <= getattr(row, name) < high]


def near_09(rows: Sequence[Row]) -> list[Row]:
    """Return the plans of which the brief says about 0.9."""
    return _between(rows, *SAYS_09)


def _table(heads: Sequence[str], lines: Sequence[Sequence[object]]) -> str:
    bars = ["| " + " | ".join(str(each) for each in line) + " |" for line in [heads, ["---"] * len(heads), *lines]]
    return "\n".join(bars)


def _headline(rows: Sequence[Row], careful: Sequence[Row]) -> str:
    every = [*rows, *careful]
    goes = [row for row in every if row.verdict == "go"]
    away = share([not row.home for row in goes])
    lines = [
        ["the brief says 0.9 (0.85 to 0.95): come home, as it means it", "85 to 95 %", _home(near_09(rows))],
        [
            "the same, with those brought home by a return that the brief does not count on",
            "",
            _anyhow(near_09(rows)),
        ],
        ["the median over the brief's worlds is 0.85 to 0.95: come home", "", _home(_between(rows, *SAYS_09, "mid"))],
        ["all plans: come home (the base rate)", "", _home(rows)],
        ["all plans of which the rule of thumb says yes: come home", "", _home([row for row in rows if row.thumb])],
        ["the brief says go: end away", "at most 1 %", away],
        ["all careful plans: end away (their base rate)", "", share([not row.home for row in careful])],
    ]
    refused = sum(row.refused for row in every)
    said = f"{len(rows)} plans of every kind and {len(careful)} careful ones, flown once each; "
    said += f"{refused} more drawn plans could not be answered and were drawn anew."
    return f"## The two figures\n\n{said}\n\n" + _table(["", "asked for", "found, with ends of 95 %"], lines)


def _reliability(rows: Sequence[Row]) -> str:
    lines = []
    for low, high in pairwise(BINS):
        of = _between(rows, low, high)
        if of:
            lines.append([
                f"{low:g} to {min(high, 1.0):g}", len(of), f"{100 * _column(of, SAID).mean():.1f} %",
                f"{100 * _column(of, 'mid').mean():.1f} %", _home(of), _anyhow(of),
            ])  # fmt: skip
    heads = [
        "the brief says", "plans", "mean of what it says", "mean of the medians over its worlds", "come home",
        "by any return",
    ]  # fmt: skip
    return "## What it says, and what comes\n\n" + _table(heads, lines)


def _reliability_of_medians(rows: Sequence[Row]) -> str:
    lines = []
    for low, high in pairwise(BINS):
        of = _between(rows, low, high, "mid")
        if of:
            said = f"{100 * _column(of, 'mid').mean():.1f} %"
            lines.append([f"{low:g} to {min(high, 1.0):g}", len(of), said, _home(of)])
    heads = ["median over the brief's worlds", "plans", "mean of these", "come home"]
    return "## Had it said the median over its worlds, as it did before\n\n" + _table(heads, lines)


def own_error_db(row: Row) -> float:
    """Return what this plan's own error of the typical radio values does, over the links that it has."""
    return 0.5 * (row.control_error_db + row.video_error_db) if row.video else row.control_error_db


def _own_errors(rows: Sequence[Row]) -> str:
    low, high = np.quantile([own_error_db(row) for row in rows], THIRDS)
    lines = []
    for name, of in (("says 0.9", near_09(rows)), ("whole", rows)):
        for third, least, most in (("most against", -99.0, low), ("middle", low, high), ("least against", high, 99.0)):
            part = [row for row in of if least <= own_error_db(row) < most]
            if part:
                off = f"{np.mean([own_error_db(row) for row in part]):+.1f} dB"
                lines.append([name, third, len(part), off, f"{100 * _column(part, SAID).mean():.1f} %", _home(part)])
    heads = ["plans", "third", "of them", "mean own error", "mean of what it says", "come home"]
    said = f"Ends of the thirds, of all plans: {low:+.1f} and {high:+.1f} dB."
    return f"## By a plan's own error of the typical radio values\n\n{said}\n\n" + _table(heads, lines)


def _ends(rows: Sequence[Row]) -> str:
    lines: list[list[object]] = []
    for name, low, high in (
        ("whole", 0.0, 1.01),
        ("says 0.5 to 0.85", 0.5, 0.85),
        ("says 0.9", *SAYS_09),
        ("says 0.95 and more", 0.95, 1.01),
    ):
        of = _between(rows, low, high)
        if of:
            ends = [f"{100 * _column(of, end).mean():.1f} %" for end in ("low", "high")]
            lines.append([name, len(of), *ends, _home(of)])
    of = _between(rows, *SAYS_09, "low")
    lines.append(["its unfavourable end is 0.85 to 0.95", len(of), "", "", _home(of)])
    heads = ["", "plans", "mean unfavourable end", "mean favourable end", "come home"]
    return "## Its two ends\n\nWhat comes should lie between them.\n\n" + _table(heads, lines)


def _parts(rows: Sequence[Row]) -> str:
    lines = []
    for name, mid, mean, held in (
        ("pack", "pack_mid", "pack_mean", "pack_held"),
        ("links", "links_mid", "links_mean", "links_held"),
    ):
        for low, high in ((0.0, 0.5), (0.5, 0.85), (0.85, 0.95), (0.95, 0.99), (0.99, 1.01)):
            of = _between(rows, low, high, mid)
            if of:
                share_of = share([bool(getattr(row, held)) for row in of])
                said = [f"{100 * _column(of, key).mean():.1f} %" for key in (mid, mean)]
                lines.append([name, f"{low:g} to {min(high, 1.0):g}", len(of), *said, share_of])
    heads = ["part", "the brief says", "plans", "mean of its medians", "mean over its worlds", "held"]
    return "## Pack and links apart\n\n" + _table(heads, lines)


def _on_loss(row: Row) -> str:
    if row.action != "automatic return":
        return row.action
    return f"{row.action}, {'' if credited(row) else 'not '}counted on"


def _groups(rows: Sequence[Row]) -> str:
    of = near_09(rows)
    ways: tuple[tuple[str, Callable[[Row], str]], ...] = (
        ("known", lambda row: row.known), ("class", lambda row: row.class_name), ("ground", lambda row: row.ground),
        ("on radio loss", _on_loss),
        ("video", lambda row: "with video" if row.video else "by eye"),
    )  # fmt: skip
    lines = []
    for name, key in ways:
        for value in sorted({key(row) for row in of}):
            lines.append([name, value, _home([row for row in of if key(row) == value])])
    return "## Where it says 0.9, by what it is about\n\n" + _table(["", "", "come home"], lines)


def _scores(rows: Sequence[Row]) -> str:
    home = np.array([as_claimed(row) for row in rows], dtype=np.float64)
    base = np.full(home.size, home.mean())
    thumb = frequencies(np.array([bool(row.thumb) for row in rows]), home)
    mid, mean = _column(rows, "mid"), _column(rows, "mean")
    said = (
        ("the brief", mean), ("the median over the brief's worlds", mid), ("always the base rate", base),
        ("rule of thumb, told how often each answer came home", thumb),
    )  # fmt: skip
    lines = []
    for name, forecast in said:
        gain, low, high = brier_gain(mean, forecast, home)
        lines.append(
            [
                name,
                len(rows),
                f"{brier(forecast, home):.4f}",
                "" if forecast is mean else f"{gain:+.4f} ({low:+.4f} to {high:+.4f})",
            ]
        )
    heads = ["forecast", "plans", "Brier score (0 is best)", "worse than the brief by, ends of 95 %"]
    return "## Against trivial forecasts\n\n" + _table(heads, lines)


def _thumb(rows: Sequence[Row], careful: Sequence[Row]) -> str:
    lines = []
    for name, of in (("every kind", rows), ("careful", careful)):
        yes = [row for row in of if row.thumb]
        first = sorted(of, key=lambda row: -row.low)[: len(yes)]
        lines.append([name, "the rule of thumb says yes", share([not row.home for row in yes])])
        lines.append(
            [
                name,
                "as many plans, those of the best unfavourable end in the brief",
                share([not row.home for row in first]),
            ]
        )
    return "## Who is sent out and does not come back\n\n" + _table(["plans", "sent out", "end away"], lines)


def _whys(rows: Sequence[Row]) -> str:
    of = near_09(rows)
    lines = [[why or "came home", share([row.why == why for row in of])] for why in sorted({row.why for row in of})]
    return "## Where it says 0.9: how flights ended\n\n" + _table(["", "share"], lines)


def _rotor(flights: Sequence[Flown]) -> str:
    lines = []
    hover = {row.quad: row.joules for row in flights if row.segment == "hover"}
    for segment in ("all", *dict.fromkeys(row.segment for row in flights)):
        of = [row for row in flights if segment in ("all", row.segment)]
        ratio = np.array([row.joules / row.measured_j[0] for row in of])
        plain = np.array([row.joules / hover[row.quad] for row in of])
        low, mid, high = np.quantile(ratio, [0.05, 0.5, 0.95])
        typical, measured = (
            share([band[1] <= row.joules <= band[2] for row, band in zip(of, bands, strict=True)])
            for bands in ([row.typical_j for row in of], [row.measured_j for row in of])
        )
        errors = [f"{100 * float(np.sqrt(np.mean(np.log(each) ** 2))):.1f} %" for each in (ratio, plain)]
        lines.append([segment, len(of), f"{mid:.2f} ({low:.2f} to {high:.2f})", *errors, typical, measured])
    heads = [
        "segment", "flights", "rotorpy over the product, hover measured: median (5 to 95 %)", "root mean square error",
        "the same, of 'it takes what hover takes'", "in the 90 % band, nothing measured",
        "in the 90 % band, hover measured",
    ]  # fmt: skip
    return "## Energy, against rotorpy\n\n" + _table(heads, lines)


def _populations() -> str:
    def line(key: str, of: Quantity) -> list[object]:
        return [key, f"{of.median:g}", f"{of.low:g} to {of.high:g}", TABLE_UNITS["log" if of.log else "plain"], of.why]

    lines = [line(key, of) for key, of in GENERAL.items()]
    lines += [line(f"radio: {key}", of) for key, of in RADIO.items()]
    lines += [line(f"{name}: {key}", of) for name, row in CLASSES.items() for key, of in row.quantities.items()]
    heads = ["what", "median", "90 % lie in", "spread", "why"]
    errors = [[key, f"{size:g}", why] for key, (size, why) in ENTRY.items()]
    return (
        "## The perturbations\n\n"
        + _table(heads, lines)
        + "\n\nHow entered numbers err:\n\n"
        + _table(["what", "size", "of what"], errors)
    )
