"""What the loops show: how far bands narrow, how often they hold the truth, and the page that says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

Z95: Final = 1.959963984540054
NAMES: Final = {
    "resistance_mohm_per_cell": "resistance of one cell",
    "capacity_mah": "capacity of the pack",
    "hover_current_a": "current in hover",
    "cruise_current_a": "current at cruise",
    "drag_area_cm2": "drag area",
    "level_dbm": "link level at one place, 380 m away",
    "level_mean_dbm": "its mean over many such places",
    "excess_exponent": "how the link's loss grows beyond the model",
    "landing_rest_v": "rest volts at landing, by the table's curve",
    "landing_own_v": "rest volts at landing, by the pack's own curve",
}
"""Of what is followed, as the page calls it."""


@dataclass(frozen=True)
class Row:
    """One quantity of one loop: the truth, and the brief's band before, after one flight and after two."""

    loop: int
    quantity: str
    true: float
    low: tuple[float, float, float]
    mid: tuple[float, float, float]
    high: tuple[float, float, float]
    learned: tuple[bool, bool]


def wilson(held: int, count: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson 1927)."""
    if count == 0:
        return 0.0, 1.0
    share, z2 = held / count, Z95 * Z95
    middle = (share + z2 / (2 * count)) / (1 + z2 / count)
    half = Z95 / (1 + z2 / count) * sqrt(share * (1 - share) / count + z2 / (4 * count * count))
    return middle - half, middle + half


def share_of(held: Sequence[bool]) -> str:
    """Return a share with its interval, in per cent."""
    low, high = wilson(sum(held), len(held))
    return f"{100 * sum(held) / max(len(held), 1):.1f} ({100 * low:.1f} to {100 * high:.1f})"


def line_of(rows: Sequence[Row]) -> str:
    """Return one quantity's line of the table."""
    width = np.array([[high - low for low, high in zip(row.low, row.high, strict=True)] for row in rows])
    off = np.array([[abs(mid - row.true) for mid in row.mid] for row in rows])
    held = [[row.low[k] <= row.true <= row.high[k] for row in rows] for k in range(3)]
    banded = bool((width[:, 0] > 0.0).all())
    ratio = [f"{np.median(width[:, k] / width[:, 0]):.2f}" for k in (1, 2)] if banded else ["no band before"]
    narrower = f"{100 * np.mean(width[:, 2] < width[:, 0]):.0f}" if banded else ""
    before = share_of(held[0]) if banded else "no band"
    nearer = [float(np.median(off[:, k])) for k in range(3)]
    taught = [100.0 * float(np.mean([row.learned[k] for row in rows])) for k in range(2)]
    cells = [
        NAMES[rows[0].quantity], f"{taught[0]:.0f}, {taught[1]:.0f}", ", ".join(ratio),
        narrower, before, *(share_of(each) for each in held[1:]), ", ".join(f"{each:.3g}" for each in nearer),
    ]  # fmt: skip
    return "| " + " | ".join(cells) + " |"


def page(rows: Sequence[Row], loops: int, seed: int) -> str:
    """Return the page of figures, in Markdown."""
    body = [line_of([row for row in rows if row.quantity == name]) for name in NAMES]
    return "\n".join([*HEAD, "", f"n = {loops} loops, seed {seed}.", "", *TABLE, *body, "", *TAIL, ""])


HEAD: Final = (
    "# Learning from records",
    "",
    "<!-- Written by `python -m studies.learning_loops.run`; change the study, not this page. -->",
    "",
    "A debrief keeps what a record taught: the pack's resistance and capacity, the current in hover and at cruise,",
    "the body's drag, and what the control link loses beyond the model. The next brief of the same pack, aircraft",
    "and site uses these numbers, and says that they are learned from records. Each is kept with a band that holds",
    "nine in ten of what is possible, and with its day.",
    "",
    "## How each number is found",
    "",
    "| number | from | not from |",
    "|---|---|---|",
    "| resistance of one cell | least squares of volts on filtered current and a polynomial in the charge used; "
    "carried to 25 °C by the cells' temperature; 15 % either way is the least claimed of one flight "
    "| a steady load; volts after a sudden step |",
    "| capacity | charge between a full start and a rest of 20 s or more at the end | a flight from a part-used pack; "
    "less than a third of the pack |",
    "| current in hover and at cruise | steady, level stretches, carried to still air and to the plan's cruise speed "
    "by the model | anything after a blow, a fall, or a lost rotor |",
    "| drag area | how much more fast flight takes than hover: the sensor's own scale cancels | a record without "
    "hover, or without flight near cruise speed |",
    "| loss of the link beyond the model | the flight counts as a range walk in the air; its band holds what patterns "
    "of antennas and a single way over one site leave open | anything after the link went; places nearer than twice "
    "the height |",
    "",
    "A current sensor that nobody calibrated reads up to a tenth off, in every flight alike. That error is counted",
    "once: a second flight with the same sensor is no second witness of it. What the charger put back after the",
    "flight takes its place where it is told. So it is with the link: a second flight over the same hills sees the",
    "same hills. Both flights count, neither for being a little narrower by chance, and nine tenths of their error is",
    "taken to be one and the same.",
    "",
    "A number that the plan itself gives as measured, or as read off a label that is not the capacity, goes before a",
    "learned one. A guess gives way to it.",
    "",
    "## Does it help, and does it hold?",
    "",
    "For each loop a true aircraft, pack and site is drawn within the bands of one plan. It is flown in a light",
    "simulator that shares no code with the product, and recorded with noise. Its errors, as standard deviations: the",
    "current sensor 5 %; rest volts of the pack 0.02 V off the table's; the link 3 dB off at all places of a site,",
    "beside shadowing of 2.5 to 5.5 dB. The record is debriefed, the lessons are kept, and the plan is briefed again;",
    "then once more with a second flight. The link level and the volts at landing are the brief's own predictions.",
    "Everything flown is invented.",
)
TABLE: Final = (
    "| what | taught by the 1st, 2nd flight, % of loops | width of the band over that before: after one, after two | "
    "narrower after two, % of loops | truth held before, % | after one | after two "
    "| median error before, after one, two |",
    "|---|---|---|---|---|---|---|---|",
)
TAIL: Final = (
    "Shares are per cent of loops, with their 95 % interval (Wilson). A band of 90 % should hold the truth in about",
    "90 %; one that holds it more often is wider than it need be, and that is the side to err on.",
    "",
    "Three rows need a word:",
    "",
    "- Link level. A brief tells the level at a place with a spread of 5.5 dB beside what its plan leaves open. Site",
    "  and shadowing are both in that spread: the first row of the two. Of the mean over many places of one site a",
    "  first brief tells no error of the site at all. Its band, of what the plan leaves open, is too narrow for that",
    "  mean: the column before learning shows it. What is learned counts the site.",
    "- Loss that grows with distance. A first brief says that there is none, without a band. In the simulator that is",
    "  so.",
    "- Rest volts at landing, by the pack's own curve. No brief states that a pack differs from the table. Here 0.02 V",
    "  (standard deviation, the project's own rule for packs) are laid over the brief's volts, before and after.",
    "",
    "How much the link changes from place to place is learned too, and not judged here: by rule it is never taken",
    "below 0.7 of the model's, however calm a flight was.",
    "",
    "What this does not show: real packs, real sensors and real ground. The simulator's radio has free space, antennas",
    "and shadowing over flat ground only. The errors it is given are this project's own choice.",
)
