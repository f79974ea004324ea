"""Figures of a run as plain data and as tables for reading."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, Any

import numpy as np
from studies.record_flown.score_columns import FILES, Outcome

if TYPE_CHECKING:
    from studies.record_flown.run import RecordScore


def wilson(hits: int, n: int) -> tuple[float, float]:
    """Return the 95 % score interval of a share (Wilson 1927)."""
    if n == 0:
        return 0.0, 1.0
    z, p = 1.959964, hits / n
    middle = (p + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return max(0.0, middle - half), min(1.0, middle + half)


def share(hits: int, n: int) -> dict[str, Any]:
    """Return a share with its count and interval."""
    low, high = wilson(hits, n)
    return {"hits": hits, "n": n, "share": hits / n if n else math.nan, "low": low, "high": high}


def column_figures(scores: list[RecordScore]) -> dict[str, Any]:
    """Return outcomes of columns: of channels told plainly, of other channels, of columns that are nothing."""
    found: dict[str, Any] = {}
    every = [each for score in scores for each in score.columns]
    for name, group in (
        ("channels", [each for each in every if each.channel]),
        ("plain name and unit", [each for each in every if each.channel and each.told]),
        ("other channels", [each for each in every if each.channel and not each.told]),
        ("nothing", [each for each in every if not each.channel]),
        *((f"channels, {kind}", [each for each in every if each.channel and each.file == kind]) for kind in FILES),
        ("all columns", every),
    ):
        counts = Counter(each.outcome for each in group)
        row = {one.value: share(counts[one], len(group)) for one in Outcome}
        row["right or asked"] = share(counts[Outcome.RIGHT] + counts[Outcome.ASKED], len(group))
        faults = Counter(each.wrong_in for each in group)
        row |= {f"wrong {part}": share(faults[part], len(group)) for part in ("channel", "unit", "number")}
        found[name] = row
    return found


def settled_figures(scores: list[RecordScore], which: str) -> dict[str, Any]:
    """Return outcomes of senses or corners."""
    every = [each for score in scores for each in getattr(score, which)]
    counts = Counter(each.outcome for each in every)
    return {one.value: share(counts[one], len(every)) for one in (Outcome.RIGHT, Outcome.ASKED, Outcome.WRONG)}


def event_figures(scores: list[RecordScore]) -> dict[str, Any]:
    """Return, by kind, how many were found and how many false alarms came in healthy flights."""
    every = [each for score in scores for each in score.events]
    healthy = sum(not score.faults and not score.broke for score in scores)
    found: dict[str, Any] = {}
    for kind in sorted({each.kind for each in every}):
        of_kind = [each for each in every if each.kind == kind]
        counts = Counter(each.outcome for each in of_kind)
        n = sum(counts[key] for key in ("found", "off", "missed", "refused"))
        offs = [each.onset_off_s for each in of_kind if each.outcome in {"found", "off"}]
        found[kind] = {
            "found in time": share(counts["found"], n), "found": share(counts["found"] + counts["off"], n),
            "missed": counts["missed"], "refused": counts["refused"],
            "median off s": float(np.median(offs)) if offs else None,
            "nine in ten off s": float(np.quantile(offs, 0.9)) if offs else None,
            "said right": sum(each.said == "right" for each in of_kind),
            "said wrong": sum(each.said == "wrong" for each in of_kind),
            "said nothing": sum(each.said == "none" for each in of_kind),
            "false in healthy flights": sum(each.outcome == "false" and each.healthy for each in of_kind),
            "false in faulty flights": sum(each.outcome == "false" and not each.healthy for each in of_kind),
        }  # fmt: skip
    return {"healthy flights": healthy, "kinds": found}


def phase_figures(scores: list[RecordScore]) -> dict[str, float]:
    """Return shares of time by what was said of the phase."""
    every = [score.phases for score in scores if score.phases]
    total = sum(each.right_s + each.coarse_s + each.unknown_s + each.wrong_s for each in every) or math.nan
    kinds = ("right", "coarse", "unknown", "wrong")
    return {name: sum(getattr(each, f"{name}_s") for each in every) / total for name in kinds}


def report(scores: list[RecordScore]) -> tuple[dict[str, Any], str]:
    """Return all figures, and the tables for reading."""
    figures = {
        "records": len(scores),
        "broke": sum(bool(each.broke) for each in scores),
        "asked for the clock": sum(each.asked_clock for each in scores),
        "columns": column_figures(scores),
        "senses": settled_figures(scores, "senses"),
        "corners": settled_figures(scores, "corners"),
        "events": event_figures(scores),
        "phases": phase_figures(scores),
    }
    return figures, "\n".join(_lines(figures, scores))


def _said(one: dict[str, Any]) -> str:
    return f"{one['hits']}/{one['n']} {100 * one['share']:.2f} % ({100 * one['low']:.2f} to {100 * one['high']:.2f})"


def _of_said(row: dict[str, Any]) -> str:
    right, wrong, nothing = (row[f"said {key}"] for key in ("right", "wrong", "nothing"))
    return f"; said right {right}, wrong {wrong}, nothing {nothing}" if right + wrong + nothing else ""


def _lines(figures: dict[str, Any], scores: list[RecordScore]) -> list[str]:
    lines = [
        f"{figures['records']} records, {figures['broke']} refused or broken, "
        f"{figures['asked for the clock']} asked which column is the clock"
    ]
    lines += [f"  {text}: {n}" for text, n in Counter(each.broke[:110] for each in scores if each.broke).most_common(8)]
    for name, row in figures["columns"].items():
        lines.append(f"{name}: " + "; ".join(f"{key} {_said(one)}" for key, one in row.items()))
    for name in ("senses", "corners"):
        lines.append(f"{name}: " + "; ".join(f"{key} {_said(one)}" for key, one in figures[name].items()))
    lines.append("phases: " + "; ".join(f"{key} {100 * one:.1f} %" for key, one in figures["phases"].items()))
    events = figures["events"]
    what = "in time / found / n; missed, refused; false in healthy, in faulty; median and nine in ten off; corner said"
    lines.append(f"events ({events['healthy flights']} healthy flights): {what}")
    for kind, row in events["kinds"].items():
        off, most = row["median off s"], row["nine in ten off s"]
        lines.append(
            f"  {kind:28} {row['found in time']['hits']:4} {row['found']['hits']:4} {row['found']['n']:4}; "
            f"{row['missed']:3} {row['refused']:3}; {row['false in healthy flights']:3} "
            f"{row['false in faulty flights']:3}; "
            f"{'' if off is None else f'{off:.3f} s, {most:.3f} s'}{_of_said(row)}"
        )
    return lines
