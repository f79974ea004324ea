"""The numbers of a range walk as rows of text, and its cautions, for terminal and page alike."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.records.walk import WalkEnd, WalkMode
from turnback.records.walk_answer import WalkAnswer
from turnback.report import numbers, words
from turnback.report.cautions import CAUTIONS
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.table_rows import Row, Table
from turnback.report.words_walk import nothing_kept

LINKS: Final = {"control": mark("control link"), "video": mark("video link")}
HEADINGS: Final = {"control": mark("Range walk of the control link"), "video": mark("Range walk of the video link")}
MODES: Final = {WalkMode.ON_FOOT: mark("on foot"), WalkMode.IN_FLIGHT: mark("in flight")}
ENDS: Final = {WalkEnd.AIRCRAFT: mark("on the aircraft"), WalkEnd.GROUND: mark("at the pilot's end")}
LAW: Final = mark(
    "This does not know your local law. Use no more radio power than it allows, at this place and frequency."
)
ON_FOOT: Final = (
    mark("On foot the aircraft is not armed, and its propellers are off."),
    mark(
        "A video transmitter overheats without air moving over it: keep it on for a short time only, or hold a fan "
        "to it."
    ),
)
IN_FLIGHT: Final = (
    mark("A first flight to measure stays near and low, by eye, with an observer; land when packets begin to be lost."),
)
BOTH: Final = (
    mark("Keep people away from antennas that transmit, and never switch on a transmitter without its antenna."),
    mark(
        "Switch off everything that lets a radio change its own power: a level that is held up by more power hides "
        "what is lost."
    ),
    LAW,
)


def walk_tables(answer: WalkAnswer, units: Units) -> tuple[Table, ...]:
    """Return what was read, what was found, and what that changes if it teaches anything, as rows."""
    changes = (_changes(answer, units),) if answer.teaches else ()
    return _readings(answer, units), _found(answer, units), *changes


def _readings(answer: WalkAnswer, units: Units) -> Table:
    read, fit = answer.read, answer.fit
    walk = read.walk
    power = text("{power} mW", power=f"{10.0 ** (float(np.median(walk.power_dbm)) / 10.0):.3g}")
    rows = [
        Row(text("Link"), text(LINKS[walk.link])),
        Row(text("How it was taken"), text(MODES[walk.mode])),
        Row(text("Level read"), text(ENDS[walk.read_at])),
        Row(text("Readings"), f"{fit.readings:,}"),
        Row(text("Of these “no more than that”"), f"{fit.censored:,}"),
        Row(text("Worth, as readings that stand alone"), f"{max(1, round(fit.effective)):,}"),
        Row(text("Farthest from launch"), numbers.words(fit.walked_m, "m", units, Toward.DOWN)),
        Row(
            text("Receiver's floor"),
            text("none seen") if read.floor_dbm is None else numbers.words(read.floor_dbm, "dBm", units),
        ),
        Row(text("Transmit power"), text("recorded, it changes") if read.power_varies else power),
    ]
    rows += [
        Row(text("Column “{name}”", name=name), text("taken for {meaning}", meaning=meaning))
        for name, meaning in read.columns
        if name != meaning
    ]
    return Table(text("What was read"), tuple(rows))


def _found(answer: WalkAnswer, units: Units) -> Table:
    fit = answer.fit
    rows = [
        Row(
            text("Lost beyond the model, at {distance}", distance=numbers.words(fit.reference_m, "m", units)),
            words.spread(fit.offset_db, "dB", units),
        ),
        Row(text("Falls faster than the model, exponent"), words.spread(fit.excess_exponent, "exponent", units)),
        Row(text("Spread of single readings"), words.spread(fit.sigma_db, "dB", units)),
        Row(text("That spread over the model's"), words.spread(fit.sigma_ratio, "", units)),
        Row(text("Neighbours repeat each other within"), numbers.words(fit.correlation_m, "m", units)),
        Row(text("Chance that power or antenna is weak"), numbers.percent(fit.power_or_antenna)),
        Row(text("Chance that it falls too fast"), numbers.percent(fit.falls_too_fast)),
        Row(text("Readings far off the others"), numbers.percent(fit.outliers)),
    ]
    return Table(text("What was found"), tuple(rows))


def _changes(answer: WalkAnswer, units: Units) -> Table:
    def both(before: str, after: str) -> str:
        return text("{before} without, {after} with", before=before, after=after)

    briefs = (answer.before, answer.after)
    links = [brief.control if answer.fit.link == "control" else brief.video for brief in briefs]
    reach = [words.spread(link.reach_m, "m", units, Toward.DOWN) for link in links if link is not None]
    breaks = [words.spread_chance(link.probability) for link in links if link is not None]
    turns = [numbers.words(brief.back.turn_back_m.low, "m", units, Toward.DOWN) for brief in briefs]
    rows = [
        Row(text("Reach along the route"), both(*reach)),
        Row(text("It breaks on the route in"), both(*breaks)),
        Row(text("Turn back, from launch, at the latest"), both(*turns)),
        Row(text("It does not come home in"), both(*(words.spread_chance(brief.home) for brief in briefs))),
        Row(text("Verdict"), both(*(text(words.VERDICT_WORDS[brief.verdict]) for brief in briefs))),
    ]
    if answer.map_before is not None and answer.map_after is not None:
        shares = [numbers.percent(found.ring.share_home) for found in (answer.map_before, answer.map_after)]
        rows.append(Row(text("Part of the ground from which it comes home"), both(*shares)))
    return Table(text("What changes: without the walk and with it"), tuple(rows))


def walk_cautions(answer: WalkAnswer) -> tuple[str, ...]:
    """Return what to be careful of on a walk like this one."""
    own = ON_FOOT if answer.read.walk.mode is WalkMode.ON_FOOT else IN_FLIGHT
    return tuple(text(caution) for caution in (*own, *BOTH, CAUTIONS[-1]))


def kept_words(answer: WalkAnswer, file: str) -> str:
    """Say whether it is kept, where, or what it takes to keep it."""
    if answer.kept:
        return text("Kept with the site “{site}” in {file}: briefs and maps of this place use it.",
                    site=answer.site_id, file=file)  # fmt: skip
    if not answer.teaches:
        return nothing_kept(answer)
    if answer.site_id is None:
        return text('Not kept: the plan\'s site has no id. Give it one, such as id = "meadow", and walk again.')
    return text("Not kept, as asked (--dry-run).")
