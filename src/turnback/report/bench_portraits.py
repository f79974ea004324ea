"""Four corner portraits: one motor with its propeller each, seen from above, close up, drawn as it should be.

Each is a small SVG of its own with a title and a description. What is where is told by words and by the kind of line,
never by colour alone: the leading edge carries ticks, a state has its own border and sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np
from markupsafe import Markup, escape

from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchAnswer, Slip
from turnback.report import bench_blades as blades
from turnback.report.language import mark, text
from turnback.report.words_belief_chance import capital, odds
from turnback.report.words_bench_seen import found_at, seen_words
from turnback.report.words_bench_slips import corner, declared

WIDE, TALL = 320, 204
HUB_X, HUB_Y = 176.0, 122.0
"""Somewhat to the right: words stand at the left."""
BELL: Final = 30.0
LEAST_SUSPECTED: Final = 0.05
"""Chance of an error at a corner from which on its portrait says so."""
CORNER_SLIPS: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("Propeller of the wrong direction: {odds}."),
    Slip.PROPELLER_UPSIDE_DOWN: mark("Propeller upside down: {odds}."),
    Slip.MOTOR_DIRECTION: mark("Motor turns the wrong way: {odds}."),
}
TURNS: Final[dict[Rotation, str]] = {
    Rotation.CLOCKWISE: mark("It should turn clockwise, seen from above."),
    Rotation.ANTICLOCKWISE: mark("It should turn anticlockwise, seen from above."),
}
ON_THE_RIBBON: Final[dict[Rotation, str]] = {
    Rotation.CLOCKWISE: mark("clockwise"),
    Rotation.ANTICLOCKWISE: mark("anticlockwise"),
}
TITLES: Final[dict[At, str]] = {
    At.FRONT_LEFT: mark("Front-left as it should be"),
    At.FRONT_RIGHT: mark("Front-right as it should be"),
    At.REAR_LEFT: mark("Rear-left as it should be"),
    At.REAR_RIGHT: mark("Rear-right as it should be"),
}
LOOKS: Final[dict[Rotation, str]] = {
    Rotation.CLOCKWISE: mark(
        "A motor and its propeller seen from above. A ribbon shows that it turns clockwise. On each blade the edge "
        "that goes first in that direction carries ticks: it is the higher, rounded edge."
    ),
    Rotation.ANTICLOCKWISE: mark(
        "A motor and its propeller seen from above. A ribbon shows that it turns anticlockwise. On each blade the edge "
        "that goes first in that direction carries ticks: it is the higher, rounded edge."
    ),
}


class State(Enum):
    """What is believed of one corner."""

    NO_DOUBT = "no doubt"
    LOOKED_RIGHT = "looked at and right so far"
    SUSPECTED = "suspected"
    FOUND_WRONG = "found wrong"


STATES: Final[dict[State, str]] = {
    State.NO_DOUBT: mark("No doubt so far"),
    State.LOOKED_RIGHT: mark("Looked at: right so far"),
    State.SUSPECTED: mark("Suspected"),
    State.FOUND_WRONG: mark("Found wrong"),
}
SIGNS: Final[dict[State, str]] = {
    State.NO_DOUBT: '<circle cx="8" cy="8" r="5.5" class="thin"/>',
    State.LOOKED_RIGHT: '<path d="M2 9l4 4 8-10"/>',
    State.SUSPECTED: '<path d="M4.5 5a3.5 3.5 0 1 1 5.2 3.1c-1.2.7-1.7 1.2-1.7 2.4M8 13.6v.8"/>',
    State.FOUND_WRONG: '<path d="M3 3l10 10M13 3L3 13"/>',
}


@dataclass(frozen=True, slots=True)
class Portrait:
    """One corner: its picture and what is said under it."""

    at: At
    key: str
    """Front-left, without spaces, for names in a page."""
    name: str
    state: State
    state_key: str
    state_name: str
    sign: Markup
    turns: str
    said: tuple[str, ...]
    """What was found or is suspected at this corner."""
    picture: Markup


def portraits(answer: BenchAnswer) -> tuple[Portrait, ...]:
    """Return the four portraits, front before rear, left before right."""
    return tuple(_portrait(answer, at) for at in At)


def corner_state(answer: BenchAnswer, at: At) -> tuple[State, tuple[str, ...]]:
    """Return what is believed of a corner and the sentences that say why."""
    results = found_at(answer.seen, at)
    wrong = tuple(seen_words(seen) for seen, right in results if not right)
    if wrong:
        return State.FOUND_WRONG, wrong
    said = []
    for slip, message in CORNER_SLIPS.items():
        chance = min(1.0, sum(found.chance for found in answer.slips if found.slip is slip and at in found.at))
        if chance >= LEAST_SUSPECTED:
            said.append(text(message, odds=odds(chance)))
    if said:
        return State.SUSPECTED, tuple(said)
    right = tuple(seen_words(seen) for seen, _ in results)
    return (State.LOOKED_RIGHT, right) if right else (State.NO_DOUBT, ())


def portrait_svg(at: At, rotation: Rotation, key: str) -> Markup:
    """Return one corner's picture: the motor with its propeller as they should be.

    Parameters
    ----------
    at : At
    rotation : Rotation
        How it should turn, seen from above.
    key : str
        Of the picture within its page.
    """
    parts = [
        f'<svg role="img" class="portrait" viewBox="0 0 {WIDE} {TALL}" aria-labelledby="{key}-t {key}-d">',
        f'<title id="{key}-t">{escape(text(TITLES[at]))}</title>',
        f'<desc id="{key}-d">{escape(text(LOOKS[rotation]))}</desc>',
        f'<g transform="translate({HUB_X:g} {HUB_Y:g})">',
        *(_blade(rotation, turned_deg) for turned_deg in (0.0, 180.0)),
        _bell(),
        f'<path class="ribbon" d="{blades.path(blades.ribbon(rotation))}"/>',
        f'<path class="ribbon head" d="{blades.path(blades.ribbon_head(rotation))}"/>',
        "</g>",
        _labels(rotation),
        "</svg>",
    ]
    return Markup("".join(parts))  # noqa: S704 - our own shapes; all text is escaped


def cut_svg(*, upside_down: bool) -> Markup:
    """Return a cut through a blade that moves to the left: right way up, or turned over."""
    key = "cut-over" if upside_down else "cut-up"
    title = text("A blade upside down, cut through") if upside_down else text("A blade the right way up, cut through")
    said = (
        text("The blade moves to the left. The higher edge goes first, but it is the sharp one; the hollow is on top.")
        if upside_down
        else text("The blade moves to the left. The higher edge goes first: the rounded one. The hollow is underneath.")
    )
    first = text("sharp edge: higher") if upside_down else text("rounded edge: higher")
    on_top = text("hollow side on top") if upside_down else text("bulging side on top")
    shape = blades.path(blades.cut(upside_down=upside_down))
    return Markup(  # noqa: S704 - our own shapes; all text is escaped
        f'<svg role="img" class="portrait cut" viewBox="0 0 320 150" aria-labelledby="{key}-t {key}-d">'
        f'<title id="{key}-t">{escape(title)}</title><desc id="{key}-d">{escape(said)}</desc>'
        f'<g transform="translate(168 82)"><path class="section" d="{shape}"/></g>'
        '<path class="ribbon" d="M62 126L28 126L28 132L10 122L28 112L28 118L62 118Z"/>'
        f'<text x="12" y="24">{escape(first)}</text><path class="leader" d="M64 32L76 48"/>'
        f'<text x="308" y="42" text-anchor="end">{escape(on_top)}</text>'
        f'<text x="72" y="130">{escape(text("goes this way"))}</text></svg>'
    )


def _portrait(answer: BenchAnswer, at: At) -> Portrait:
    rotation = declared(answer.front_left, at)
    state, said = corner_state(answer, at)
    key = f"corner-{at.value}"
    return Portrait(
        at=at,
        key=key,
        name=capital(corner(at)),
        state=state,
        state_key=state.name.lower().replace("_", "-"),
        state_name=text(STATES[state]),
        sign=Markup(SIGNS[state]),  # noqa: S704 - our own shapes
        turns=text(TURNS[rotation]),
        said=said,
        picture=portrait_svg(at, rotation, key),
    )


def _blade(rotation: Rotation, turned_deg: float) -> str:
    strokes = "".join(blades.path(each, closed=False) for each in blades.ticks(rotation, turned_deg))
    return (
        f'<g class="blade"><path class="outline" d="{blades.path(blades.outline(rotation, turned_deg))}"/>'
        f'<path class="high" d="{blades.path(blades.high_part(rotation, turned_deg))}"/>'
        f'<path class="leading" d="{blades.path(blades.leading_edge(rotation, turned_deg), closed=False)}"/>'
        f'<path class="ticks" d="{strokes}"/></g>'
    )


def _bell() -> str:
    """Draw the motor's bell with its openings, and the nut that holds the propeller."""
    openings = "".join(
        f'<circle class="opening" cx="{x:.1f}" cy="{y:.1f}" r="4.2"/>'
        for x, y in 21.0 * np.array([[np.cos(each), np.sin(each)] for each in np.radians(np.arange(6) * 60.0 + 30.0)])
    )
    nut = 9.0 * np.array([[np.cos(each), np.sin(each)] for each in np.radians(np.arange(6) * 60.0)])
    return (
        f'<circle class="bell" r="{BELL:g}"/>{openings}<circle class="bell" r="14"/>'
        f'<path class="nut" d="{blades.path(nut)}"/><circle class="shaft" r="3.5"/>'
    )


def _labels(rotation: Rotation) -> str:
    """Write the direction at the ribbon, and at the blade on the left which edge goes first."""
    # Seen from above, the blade on the left goes up the page when it turns clockwise.
    above = rotation is Rotation.CLOCKWISE
    first_y = HUB_Y - 72.0 if above else HUB_Y + 56.0
    from_y, to_y = (first_y + 23.0, HUB_Y - 29.0) if above else (first_y - 15.0, HUB_Y + 29.0)
    return (
        f'<text x="{HUB_X:g}" y="{HUB_Y - 95.0:g}" text-anchor="middle" class="turn">'
        f"{escape(text(ON_THE_RIBBON[rotation]))}</text>"
        f'<text x="6" y="{first_y:g}">{escape(text("higher edge"))}</text>'
        f'<text x="6" y="{first_y + 17.0:g}">{escape(text("goes first"))}</text>'
        f'<path class="leader" d="M52 {from_y:g}L{HUB_X - 76.0:g} {to_y:g}"/>'
    )
