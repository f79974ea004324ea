"""What shakes: the spectra of a record as charts, with the frequencies at which its rotors turn."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.records.channel import UNIT_OF, Quantity
from turnback.records.happened import RecordAnswer, Spectrum
from turnback.report.language import text
from turnback.report.record_curves import WIDE, Curve, Panel, Tick, path, thinned_spectrum
from turnback.report.record_values import moment, number
from turnback.report.words_belief_chance import capital
from turnback.report.words_bench_slips import corner
from turnback.report.words_record_channels import channel_words
from turnback.report.words_record_phases import phase_label
from turnback.report.words_record_units import unit_words

MOST_SPECTRA: Final = 18
MOST_POINTS: Final = 600
LEAST_SHOWN: Final = 1e-5
"""Of the greatest: what lies lower is drawn at the foot."""
STEPS_HZ: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def spectrum_panels(answer: RecordAnswer) -> tuple[Panel, ...]:
    """Return a chart for each spectrum, rates first."""
    order = list(Quantity)
    found = sorted(answer.spectra, key=lambda each: (order.index(each.channel.quantity), each.start_s))
    blades = answer.flown.record.facts.blades
    return tuple(
        spectrum_panel(each, f"spectrum-{place}", blades)
        for place, each in enumerate((each for each in found if each.frequency_hz.size > 1), start=1)
        if place <= MOST_SPECTRA
    )


def spectrum_panel(spectrum: Spectrum, key: str, blades: int | None) -> Panel:
    """Return one spectrum: ten times the power with each mark; upright lines where rotors turn and blades pass."""
    frequency, density = thinned_spectrum(spectrum, MOST_POINTS)
    most = max(float(density.max()), 1e-300)
    decades = np.log10(np.maximum(density, most * LEAST_SHOWN))
    low, high = float(decades.min()) - 0.1, float(decades.max()) + 0.1
    end = float(frequency[-1])
    lines = [hertz for hertz in spectrum.rotor_hz if 0.0 < hertz < end]
    passes = [] if blades is None else [hertz * blades for hertz in lines if hertz * blades < end]
    title = text("{channel}: {phase} from {time}", channel=channel_words(spectrum.channel),
                 phase=phase_label(spectrum.phase), time=moment(spectrum.start_s))  # fmt: skip
    peak = int(np.argmax(density))
    return Panel(
        key=key,
        title=capital(title),
        alt=text("How strongly it shakes at each frequency, up to {end} Hz; most at {peak} Hz.",
                 end=number(round(end)), peak=number(float(frequency[peak]))),
        curves=(Curve(channel_words(spectrum.channel), path(frequency, decades, low, high, 0.0, end)),),
        ticks_x=_hertz(end),
        ticks_y=_decades(low, high),
        notes=_notes(spectrum, blades, passes=bool(passes)),
        uprights=tuple(round(hertz / end * WIDE, 1) for hertz in (*lines, *passes)),
    )  # fmt: skip


def spectra_note(answer: RecordAnswer) -> str:
    """Return how the charts of spectra are read."""
    units = {UNIT_OF[each.channel.quantity] for each in answer.spectra}
    said = text("Each mark upward is ten times the power. Upright lines stand where rotors turn.")
    if len(units) == 1:
        unit = unit_words(units.pop())
        return " ".join([said, text("The unit is {unit}, squared, per hertz.", unit=unit)]) if unit else said
    return said


def _notes(spectrum: Spectrum, blades: int | None, *, passes: bool) -> tuple[str, ...]:
    """Name each upright line."""
    said = [
        text("The rotor at {corner} turns at {hertz} Hz.", corner=corner(at), hertz=number(hertz))
        for at, hertz in zip(spectrum.corners, spectrum.rotor_hz, strict=False)
    ]
    if passes and blades is not None:
        said.append(text("Its {blades} blades pass at that many times as many hertz.", blades=blades))
    return tuple(said)


def _hertz(end: float) -> tuple[Tick, ...]:
    step = next((each for each in STEPS_HZ if end / each <= 4.5), end / 4.5)
    return tuple(
        Tick(round(turn * step / end * 100.0, 2), text("{number} Hz", number=number(turn * step)))
        for turn in range(math.floor(end / step + 1e-9) + 1)
    )


def _decades(low: float, high: float) -> tuple[Tick, ...]:
    found = range(math.ceil(low), math.floor(high) + 1)
    return tuple(Tick(round((high - each) / (high - low) * 100.0, 2), f"{10.0**each:g}") for each in found)
