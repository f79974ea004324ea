"""Headings as strangers write them, from `names.toml` or from the held-out `names_fresh.toml`."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from studies.record_flown.units import Unit

Rng = np.random.Generator
Names = dict[str, dict[str, list[str]]]
FAMILY: Final = {
    **{f"{a}_rate": ("rate", i) for i, a in enumerate(("roll", "pitch", "yaw"))},
    **{f"{a}_rate_demand": ("rate_demand", i) for i, a in enumerate(("roll", "pitch", "yaw"))},
    **{f"acceleration_{x}": ("acceleration", i) for i, x in enumerate("xyz")},
    **{f"magnetic_{x}": ("magnetic", i) for i, x in enumerate("xyz")},
}
AXES: Final = (
    {"a": "roll", "A": "Roll", "F": "roulis", "S": "alabeo", "x": "x", "p": "p"},
    {"a": "pitch", "A": "Nick", "F": "tangage", "S": "cabeceo", "x": "y", "p": "q"},
    {"a": "yaw", "A": "Gier", "F": "lacet", "S": "guiñada", "x": "z", "p": "r"},
)
CORNER: Final = (
    {"c": "front left", "l": "left front", "k": "fl", "b": "lf", "K": "vorn links", "KF": "avant gauche",
     "KS": "delantero izquierdo"},
    {"c": "front right", "l": "right front", "k": "fr", "b": "rf", "K": "vorn rechts", "KF": "avant droit",
     "KS": "delantero derecho"},
    {"c": "rear left", "l": "left rear", "k": "rl", "b": "lr", "K": "hinten links", "KF": "arrière gauche",
     "KS": "trasero izquierdo"},
    {"c": "rear right", "l": "right rear", "k": "rr", "b": "rr", "K": "hinten rechts", "KF": "arrière droit",
     "KS": "trasero derecho"},
)  # fmt: skip
STYLES: Final = ("plain", "short", "symbol", "german")
TONGUES: Final = ("german", "french", "spanish")
SHEETS: Final = 0.35
"""Of those who write short, where the table has headings of spreadsheets."""
CASES: Final = ("lower", "title", "snake", "upper", "camel", "pascal", "kebab", "upper words")
PLACES: Final = ("none", "square", "round", "suffix", "row", "comma")


@dataclass(frozen=True, slots=True)
class Hand:
    """How one stranger writes headings.

    Parameters
    ----------
    style, case, unit_at : str
        One of `STYLES`, `CASES`, `PLACES`.
    strict : float
        Chance that a column keeps to the style.
    prefix : str
        Before every name, such as ``"log."``.
    salt : int
        Picks the same name for all axes of one family.
    table : str
        Of names: `names` or `names_fresh`.
    """

    style: str
    case: str
    unit_at: str
    strict: float
    prefix: str
    salt: int
    table: str


@dataclass(frozen=True, slots=True)
class Heading:
    """One heading written: its text, the text for a row of units, and whether a plain name and a unit are given."""

    text: str
    unit_row: str
    plain: bool
    unit_given: bool


@cache
def names(table: str = "names") -> Names:
    """Return a table of names."""
    return tomllib.loads((Path(__file__).parent / f"{table}.toml").read_text(encoding="utf-8"))


def draw_hand(rng: Rng, table: str = "names") -> Hand:
    """Draw one stranger."""
    return Hand(
        style=str(rng.choice(STYLES, p=[0.5, 0.28, 0.08, 0.14])),
        case=str(rng.choice(CASES, p=[0.18, 0.16, 0.26, 0.08, 0.14, 0.06, 0.06, 0.06])),
        unit_at=str(rng.choice(PLACES, p=[0.22, 0.22, 0.2, 0.18, 0.14, 0.04])),
        strict=float(rng.choice([1.0, 0.9, 0.75])),
        prefix=str(rng.choice(["", "", "", "", "", "log.", "rec/", "FB_"])),
        salt=int(rng.integers(0, 1 << 30)),
        table=table,
    )


def cased(words: str, case: str) -> str:
    """Write words in one case."""
    parts = words.replace("-", " ").split()
    made = {
        "lower": " ".join(parts), "title": " ".join(p[:1].upper() + p[1:] for p in parts), "snake": "_".join(parts),
        "upper": "_".join(parts).upper(), "camel": parts[0] + "".join(p[:1].upper() + p[1:] for p in parts[1:]),
        "pascal": "".join(p[:1].upper() + p[1:] for p in parts), "kebab": "-".join(parts),
        "upper words": " ".join(parts).upper(),
    }  # fmt: skip
    return made[case]


def habit(entry: dict[str, list[str]], style: str, hand: Hand, pick: Rng) -> str:
    """Return which list of names a stranger of this style takes: one other language, or headings of a spreadsheet."""
    if style == "german" and all(tongue in entry for tongue in TONGUES):
        return TONGUES[hand.salt % len(TONGUES)]
    if style == "short" and "sheet" in entry and pick.random() < SHEETS:
        return "sheet"
    return style


def heading(hand: Hand, quantity: str, unit: Unit, fill: dict[str, str], rng: Rng) -> Heading:
    """Write one heading; a family (three axes, four corners) gets one name in one style."""
    family, axis = FAMILY.get(quantity, (quantity, None))
    entry = names(hand.table)[family]
    pick = np.random.default_rng([hand.salt, sum(family.encode()) * 131 + len(family)])
    style = hand.style if pick.random() < hand.strict else str(pick.choice(STYLES))
    spellings = entry[habit(entry, style, hand, pick)]
    words = spellings[int(pick.integers(0, len(spellings)))]
    if axis is not None:
        fill = AXES[axis] | fill
    for key, value in fill.items():
        words = words.replace("{" + key + "}", value)
    text = cased(words, hand.case) if style == "plain" else words
    if style == "short" and hand.case.startswith("upper"):
        text = text.upper()
    text = hand.prefix + text
    spelled = int(pick.integers(0, 97))
    said = unit.texts[spelled % len(unit.texts)] if unit.texts else ""
    ending = unit.suffixes[spelled % len(unit.suffixes)] if unit.suffixes else ""
    skipped = rng.random() < 0.06
    given = bool(said) and hand.unit_at != "none" and not skipped and not (hand.unit_at == "suffix" and not ending)
    row = said if hand.unit_at == "row" and given else ""
    if given and hand.unit_at == "square":
        text = f"{text} [{said}]"
    elif given and hand.unit_at == "round":
        text = f"{text} ({said})" if hand.case in {"lower", "title", "upper words"} else f"{text}({said})"
    elif given and hand.unit_at == "comma":
        text = f"{text}, {said}"
    elif given and hand.unit_at == "suffix":
        text = f"{text}_{ending}"
    return Heading(text, row, style == "plain", given)
