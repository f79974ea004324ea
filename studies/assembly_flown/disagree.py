"""Where algebra and flight disagree, and what one would be worth who works nothing out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
from studies.assembly_flown import rigid
from studies.assembly_flown.rigid import Built

MOST_ROWS: Final = 9
NAMES: Final = ("holds", "flips", "flips", "spins", "stays down")
Way = tuple[str, int, str, str]


class Beside(NamedTuple):
    """One pair of margins; weights are how often a way is met, without the one that is right everywhere."""

    wrong: float
    """Of ways that are wrong somewhere: share for which the algebra says what flew."""
    flips: int
    """Ways that flip: so often is right who always says that it flips."""
    flips_met: float
    """The same by how often a way is met, the right one among them."""
    flips_wrong: float
    """The same of ways that are wrong somewhere."""
    where: Counter[Way]
    """Ways that disagree: board, corners that push down, what is said, what flew."""


def beside(built: Built, said: Any, flew: Any, met: Any) -> Beside:
    """Count; kinds are such in which both ways to flip are one, ``met`` adds up to one."""
    wrong = np.where(np.arange(met.size) == met.argmax(), 0.0, met)
    wrong = wrong / wrong.sum()
    flips, same = flew == rigid.FLIPS_AT_ONCE, said == flew
    down = (np.asarray(built.propeller) != np.asarray(built.motor)).sum(axis=-1)
    where = Counter(
        ("upside down" if built.flipped[i] else "right way up", int(down[i]), NAMES[said[i]], NAMES[flew[i]])
        for i in np.flatnonzero(~same)
    )
    return Beside(float(wrong[same].sum()), int(flips.sum()), float(met[flips].sum()), float(wrong[flips].sum()), where)


def table(rows: Sequence[Beside]) -> str:
    """Return the table of where they disagree, all pairs of margins together, the commonest first."""
    found: Counter[Way] = Counter()
    for row in rows:
        found.update(row.where)
    total = found.total()
    lines = [
        f"**Where they disagree**, {total} flights, the commonest first:",
        "",
        "| board | corners that push down | the algebra says | it flew | of all that disagree |",
        "|---|---|---|---|---|",
    ]
    lines += [
        f"| {board} | {corners} | {said} | {flew} | {100 * count / total:.0f} % |"
        for (board, corners, said, flew), count in sorted(found.items(), key=lambda row: (-row[1], row[0]))[:MOST_ROWS]
    ]
    return "\n".join(lines)


def baseline(rows: Sequence[Beside], ways: int) -> str:
    """Return what always saying "it flips" is worth, beside the algebra of the wrong ways alone."""
    flips = sum(row.flips for row in rows) / (ways * len(rows))
    met, wrong = (sum(values) / len(rows) for values in ([r.flips_met for r in rows], [r.flips_wrong for r in rows]))
    algebra = [row.wrong for row in rows]
    return (
        f"**Held against a plain guess**: who always says *it flips* is right in {100 * flips:.1f} % of all ways, in "
        f"{100 * met:.1f} % by how often ways are met, and in {100 * wrong:.1f} % by that of the ways that are wrong "
        f"somewhere. Of these last the algebra is right in {100 * min(algebra):.1f} to {100 * max(algebra):.1f} %."
    )
