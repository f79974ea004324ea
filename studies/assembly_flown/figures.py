"""What the algebra says against what flew: shares that agree, weighed evenly and by how often a way is met."""

from __future__ import annotations

import math
from typing import Any, Final, NamedTuple

import numpy as np
from studies.assembly_flown import disagree, rigid
from studies.assembly_flown.rigid import Built

from turnback.assess.assembly_flown import BY_EIGHTH, KINDS, TOWARDS, UPSIDE_DOWN_SHARE, FlownKind, flown
from turnback.assess.assembly_prior import prior
from turnback.records.bench import Toward

SCHEME: Final = np.array([1, -1, -1, 1])
OF_KIND: Final = {
    FlownKind.HOLDS: rigid.HOLDS,
    FlownKind.FLIPS_AT_ONCE: rigid.FLIPS_AT_ONCE,
    FlownKind.LIFTS_THEN_FLIPS: rigid.LIFTS_THEN_FLIPS,
    FlownKind.SPINS: rigid.SPINS,
    FlownKind.STAYS_DOWN: rigid.STAYS_DOWN,
}
EIGHTH: Final = math.pi / 4.0


class Agreed(NamedTuple):
    """How far algebra and flight agree at one pair of margins."""

    margin: float
    reverse: float
    ways: int
    kind: int
    """Ways that do the same, the two ways to flip counted as one."""
    flip: int
    """Ways that do the same, the two ways to flip kept apart."""
    met: float
    """Share of the same by how often a way is met."""
    again: int
    """Ways that do the same in another flight on other ground with other motors."""
    sides: int
    """Ways that flip in both and of which the algebra tells a side."""
    near: int
    """Of these, they tip to that eighth of a turn or one beside it."""
    same: int
    """Of these, they tip to that very eighth."""
    beside: disagree.Beside
    """Where they disagree, and what a plain guess is worth."""


def together(kind: Any) -> Any:
    """Return kinds with the two ways to flip as one."""
    return np.where(kind == rigid.LIFTS_THEN_FLIPS, rigid.FLIPS_AT_ONCE, kind)


def said(built: Built, margin: float, reverse: float) -> tuple[Any, Any]:
    """Return what the algebra says: kind as in `rigid`, and eighth of a turn, -1 where no side is told."""
    done = flown(built, SCHEME, margin, reverse)
    eighth = np.array([BY_EIGHTH.index(side) if side is not Toward.NOT_TOLD else -1 for side in TOWARDS])
    return np.array([OF_KIND[kind] for kind in KINDS])[done.kind], eighth[done.toward]


def apart(low: Any, eighth: Any) -> Any:
    """Return how many eighths lie between the low side of a flight and the side that was told."""
    tipped = np.round(np.arctan2(low[:, 1], low[:, 0]) / EIGHTH).astype(int) % 8
    steps = np.abs(tipped - eighth)
    return np.minimum(steps, 8 - steps)


def met(built: Built) -> Any:
    """Return how likely each way is before anything was seen, all propellers being the right way up; adds up to one."""
    bits = 1 << np.arange(4)
    propeller, motor = ((np.asarray(turn) != SCHEME) @ bits for turn in (built.propeller, built.motor))
    order = np.tile(np.repeat(np.arange(24), 8), 256)
    chance = prior()
    share = chance.turning[propeller, motor] * chance.order[order] * chance.board[built.turns + 4 * built.flipped]
    return share / share.sum()


def agreed(built: Built, margin: float, reverse: float, seed: int) -> Agreed:
    """Fly all ways twice and count."""
    kind, eighth = said(built, margin, reverse)
    flew, low = rigid.fly(built, SCHEME, margin, reverse, UPSIDE_DOWN_SHARE, seed)
    again, _ = rigid.fly(built, SCHEME, margin, reverse, UPSIDE_DOWN_SHARE, seed + 100)
    same = together(flew) == together(kind)
    sided = (together(flew) == rigid.FLIPS_AT_ONCE) & (together(kind) == rigid.FLIPS_AT_ONCE) & (eighth >= 0)
    sided &= np.hypot(low[:, 0], low[:, 1]) > 0.0
    itself = int((together(flew) == together(again)).sum())
    steps, often = apart(low[sided], eighth[sided]), met(built)
    return Agreed(
        margin, reverse, kind.size, int(same.sum()), int((flew == kind).sum()), float(often[same].sum()),
        itself, int(sided.sum()), int((steps <= 1).sum()), int((steps == 0).sum()),
        disagree.beside(built, together(kind), together(flew), often),
    )  # fmt: skip


def interval(hits: int, of: int) -> tuple[float, float]:
    """Return Wilson's interval of 95 %."""
    z, share = 1.959964, hits / of
    middle, reach = share + z * z / (2 * of), z * math.sqrt(share * (1 - share) / of + z * z / (4.0 * of * of))
    return (middle - reach) / (1 + z * z / of), (middle + reach) / (1 + z * z / of)


def percent(hits: int, of: int) -> str:
    """Return a share with its interval."""
    low, high = interval(hits, of)
    return f"{100 * hits / of:.1f} % ({100 * low:.1f} to {100 * high:.1f})"


def table(rows: list[Agreed]) -> str:
    """Return the page's table of all ways."""
    lines = [
        "| thrust margin, reverse thrust | ways | does the same | by how often it is met | of these, wrong ones | "
        "another flight of the same | both ways to flip told apart | side within an eighth | that very eighth |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for row in rows:
        cells = (
            f"{row.margin:g}, {row.reverse:g}", str(row.ways), percent(row.kind, row.ways), f"{100 * row.met:.2f} %",
            f"{100 * row.beside.wrong:.1f} %", f"{100 * row.again / row.ways:.1f} %", percent(row.flip, row.ways),
            f"{percent(row.near, row.sides)}, n {row.sides}", f"{100 * row.same / row.sides:.0f} %",
        )  # fmt: skip
        lines.append("| " + " | ".join(cells) + " |")
    ways, kind = sum(row.ways for row in rows), sum(row.kind for row in rows)
    near, sides = sum(row.near for row in rows), sum(row.sides for row in rows)
    return "\n".join(
        [
            *lines,
            "",
            f"Together: {percent(kind, ways)} of {ways} do what the algebra says; "
            f"of {sides} sides {percent(near, sides)} lie within an eighth.",
            "",
            disagree.baseline([row.beside for row in rows], rows[0].ways),
            "",
            disagree.table([row.beside for row in rows]),
        ]
    )
