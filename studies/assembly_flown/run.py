"""Fly every way and write the figures into docs/models/assembly.md: ``python -m studies.assembly_flown.run``.

It takes some minutes; the sample in the simulator by others takes two of them.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path
from typing import Any, Final

import numpy as np
from studies.assembly_flown import rigid, rotor
from studies.assembly_flown.figures import SCHEME, agreed, apart, percent, said, table, together
from studies.assembly_flown.rigid import Built

from turnback.assess.assembly_flown import UPSIDE_DOWN_SHARE

PAGE: Final = Path(__file__).parents[2] / "docs" / "models" / "assembly.md"
BEGIN, END = "<!-- figures: written by studies.assembly_flown.run -->", "<!-- end of the figures -->"
PAIRS: Final = tuple(product((3.0, 4.0, 5.0, 6.0), (0.3, 0.4, 0.5)))
SEED: Final = 41
ROTOR_MARGIN, ROTOR_REVERSE = 5.0, 0.4
DRAWN: Final = 16
NAMES: Final = ("holds", "flips at once", "lifts, then flips", "spins", "stays down")
CORNERS: Final = ("front-left", "front-right", "rear-left", "rear-right")
RIGHT: Final = (0, 1, 2, 3)


def way(
    propeller: tuple[int, ...] = (),
    motor: tuple[int, ...] = (),
    over: tuple[int, ...] = (),
    order: tuple[int, ...] = RIGHT,
    turns: int = 0,
    flipped: bool = False,
) -> tuple[Any, ...]:
    """Return one way by the corners that are wrong."""
    lifts, turns_so, face = (np.isin(np.arange(4), corners) for corners in (propeller, motor, over))
    directions = [np.where(wrong, -SCHEME, SCHEME) for wrong in (lifts, turns_so)]
    return directions[0], face, directions[1], np.array(order), turns, flipped


def slips() -> dict[str, tuple[Any, ...]]:
    """Return elementary slips by name."""
    found = {"put together right": way()}
    for c, name in enumerate(CORNERS):
        found[f"propeller {name}"] = way(propeller=(c,))
        found[f"motor {name}"] = way(motor=(c,))
        found[f"upside down {name}"] = way(over=(c,))
    sides = {"front": (0, 1), "rear": (2, 3), "left": (0, 2), "right": (1, 3), "a diagonal": (0, 3), "other": (1, 2)}
    for name, pair in sides.items():
        found[f"propellers {name}"] = way(propeller=pair)
        order = list(RIGHT)
        order[pair[0]], order[pair[1]] = order[pair[1]], order[pair[0]]
        found[f"outputs {name}"] = way(order=tuple(order))
    found |= {
        "all propellers": way(propeller=RIGHT), "all motors": way(motor=RIGHT), "all of both": way(RIGHT, RIGHT),
        "all upside down": way(over=RIGHT), "both front-left": way((0,), (0,)),
        "both of a diagonal": way((0, 3), (0, 3)),
    }  # fmt: skip
    for more in ((1, 0, 3, 2), (2, 3, 0, 1), (3, 2, 1, 0), (1, 2, 0, 3), (3, 0, 1, 2)):
        found[f"order {more}"] = way(order=more)
    for turns in range(4):
        for flipped in (False, True):
            if turns or flipped:
                found[f"board {turns} {flipped}"] = way(turns=turns, flipped=flipped)
    return found


def samples() -> dict[str, tuple[list[str], Built]]:
    """Return what is flown in rotorpy: by sample the name of each way, and the ways."""
    named, every = slips(), rigid.every(SCHEME)
    agree = (every.propeller == every.motor).all(axis=-1)
    right = np.flatnonzero(agree & (every.motor == SCHEME).all(axis=-1))
    reverse = np.flatnonzero(agree & (every.motor == -SCHEME).all(axis=-1))
    drawn = np.random.default_rng(SEED).choice(len(every.turns), DRAWN, replace=False)
    found = {"elementary slips": (list(named), Built(*(np.array(part) for part in zip(*named.values(), strict=True))))}
    for name, rows in {
        "right propellers, every fourth of all orders and boards": right[::4],
        "the scheme reversed, every sixteenth of all orders and boards": reverse[::16],
        "drawn by lot from all": drawn,
    }.items():
        ways = Built(*(part[rows] for part in every))
        parts = zip(ways.order.tolist(), ways.turns.tolist(), ways.flipped.tolist(), strict=True)
        found[name] = ([f"order {tuple(o)}, board {t} {f}" for o, t, f in parts], ways)
    return found


def in_rotorpy() -> str:
    """Fly the samples in rotorpy, in `rigid` and by algebra; return the page's lines on it."""
    rows, others = [], []
    for sample, (names, built) in samples().items():
        kind, eighth = said(built, ROTOR_MARGIN, ROTOR_REVERSE)
        theirs, low = rotor.fly(built, SCHEME, ROTOR_MARGIN, ROTOR_REVERSE, UPSIDE_DOWN_SHARE, SEED)
        ours, _ = rigid.fly(built, SCHEME, ROTOR_MARGIN, ROTOR_REVERSE, UPSIDE_DOWN_SHARE, SEED)
        same, n = together(theirs) == together(kind), len(names)
        told = same & (together(kind) == rigid.FLIPS_AT_ONCE) & (eighth >= 0)
        near = int((apart(low[told], eighth[told]) <= 1).sum())
        both = int((together(theirs) == together(ours)).sum())
        rows.append(f"| {sample} | {n} | {percent(int(same.sum()), n)} | {both} of {n} | {near} of {int(told.sum())} |")
        others += [
            f"- {names[i]}: the algebra says {NAMES[kind[i]]}, rotorpy {NAMES[theirs[i]]}, our own {NAMES[ours[i]]}"
            for i in np.flatnonzero(~same)
        ]
    return "\n".join(
        [
            f"**In rotorpy**, thrust margin {ROTOR_MARGIN:g}, reverse thrust {ROTOR_REVERSE:g}:",
            "",
            "| sample | ways | does what the algebra says | what our own simulation says | side within an eighth |",
            "|---|---|---|---|---|",
            *rows,
            "",
            "Those that do something else:",
            "",
            *(others or ["- none"]),
        ]
    )


def write(path: Path, figures: str) -> None:
    """Put the figures between the page's two marks.

    Raises
    ------
    ValueError
        Where the page has no such marks.
    """
    text = path.read_text(encoding="utf-8")
    if text.count(BEGIN) != 1 or text.count(END) != 1:
        raise ValueError(f"{path.name} needs the marks {BEGIN!r} and {END!r}, once each")
    before, rest = text.split(BEGIN)
    path.write_text(f"{before}{BEGIN}\n\n{figures}\n\n{END}{rest.split(END)[1]}", encoding="utf-8")


def main() -> None:
    """Fly, count, write."""
    every = rigid.every(SCHEME)
    rows = [agreed(every, margin, reverse, SEED + place) for place, (margin, reverse) in enumerate(PAIRS)]
    write(PAGE, f"{table(rows)}\n\n{in_rotorpy()}")


if __name__ == "__main__":
    main()
