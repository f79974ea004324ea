"""Every citation of the project, keyed. Rules, typical values, docstrings and reports name these keys.

``standing`` says how far a source carries: a published recommendation, a standard, a paper, open data, the trade's
common practice, or our own choice (which a study or a reason must back).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final


class Standing(Enum):
    """How far a source carries."""

    RECOMMENDATION = "recommendation"
    STANDARD = "standard"
    LAW = "law"
    PAPER = "paper"
    DATA = "open data"
    PRACTICE = "common practice"
    OURS = "our choice"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Source:
    """One citation."""

    key: str
    standing: Standing
    text: str


_ROWS: Final = (
    ("common-practice", Standing.PRACTICE, "Common practice of the trade; no single published source."),
    ("our-choice", Standing.OURS, "This project's own choice; the reason stands beside the value."),
    ("from-memory", Standing.MEMORY, "Recalled, not traced to its source; verify before relying on it."),
    ("user", Standing.DATA, "Entered by the user in the plan."),
    ("itu-p525", Standing.RECOMMENDATION, "ITU-R P.525, Calculation of free-space attenuation."),
    ("itu-p526", Standing.RECOMMENDATION, "ITU-R P.526-15, Propagation by diffraction, section 4.5."),
    ("itu-p530", Standing.RECOMMENDATION, "ITU-R P.530, path clearance of 0.6 first Fresnel radii."),
    ("itu-p341", Standing.RECOMMENDATION, "ITU-R P.341, The concept of transmission loss for radio links."),
    ("itu-p527", Standing.RECOMMENDATION, "ITU-R P.527, Electrical characteristics of the surface of the Earth."),
    ("itu-p528", Standing.RECOMMENDATION, "ITU-R P.528-5, Propagation curves for aeronautical mobile services."),
    ("itu-m2101", Standing.RECOMMENDATION, "ITU-R M.2101, Modelling of IMT networks, element pattern (from memory)."),
    ("itu-p833", Standing.RECOMMENDATION, "ITU-R P.833, Attenuation in vegetation."),
    ("itu-p2109", Standing.RECOMMENDATION, "ITU-R P.2109, Prediction of building entry loss."),
    ("itu-p372", Standing.RECOMMENDATION, "ITU-R P.372, Radio noise."),
    ("iso-2533", Standing.STANDARD, "ISO 2533:1975, Standard Atmosphere."),
    (
        "chen-rincon-mora-2006",
        Standing.PAPER,
        "Chen and Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 2006, p. 504 (second-hand).",
    ),
    ("bauersfeld-2022", Standing.PAPER, "Bauersfeld and Scaramuzza, IEEE RA-L 7(2), 2022."),
    (
        "glauert",
        Standing.PAPER,
        "Glauert's induced velocity in forward flight, as in Leishman, Principles of "
        "Helicopter Aerodynamics, section 2.14.",
    ),
    ("leishman", Standing.PAPER, "Leishman, Principles of Helicopter Aerodynamics, 2nd ed., 2006 (from memory)."),
    (
        "castles-gray-1951",
        Standing.PAPER,
        "Castles and Gray, NACA TN 2474, 1951, rotors in vertical descent (second-hand).",
    ),
    ("drela-motor", Standing.PAPER, "Drela, First-Order DC Electric Motor Model, MIT, 2007."),
    ("en-1991-1-4", Standing.STANDARD, "EN 1991-1-4, Eurocode 1, Wind actions, equations 4.3 to 4.8 (from memory)."),
    (
        "brandt-2015",
        Standing.DATA,
        "University propeller database, Brandt et al., static tests of 42 propellers of 2.2 to 7 in (summary figures).",
    ),
    (
        "wmo-8",
        Standing.MEMORY,
        "WMO-No. 8, Guide to Instruments and Methods of Observation, gust factors (from memory).",
    ),
    (
        "davenport-wieringa",
        Standing.MEMORY,
        "Davenport classification of roughness, revised by Wieringa 1992 (from memory).",
    ),
    (
        "easa-alos",
        Standing.MEMORY,
        "EASA guidance on SORA, attitude line of sight of rotorcraft 327 x span + 20 m (from memory).",
    ),
    ("cfr-107", Standing.LAW, "14 CFR part 107, subpart D (107.110, 107.120, 107.130)."),
    ("eu-2019-945", Standing.LAW, "Commission Delegated Regulation (EU) 2019/945, annex (second-hand)."),
    (
        "svaty-2025",
        Standing.MEMORY,
        "Svatý, 2025, kinetic energy as a predictor of injury by small unmanned aircraft (second-hand).",
    ),
    (
        "panofsky-dutton",
        Standing.MEMORY,
        "Panofsky and Dutton, Atmospheric Turbulence, 1984: gusts across the wind over those along it, 1.92 / 2.39 "
        "(from memory).",
    ),
    (
        "gudmundson-1991",
        Standing.PAPER,
        "Gudmundson, Correlation model for shadow fading in mobile radio systems, Electronics Letters 27(23), 1991, "
        "p. 2145: exponential over distance (second-hand).",
    ),
    (
        "vincenty-1975",
        Standing.PAPER,
        "Vincenty, Direct and inverse solutions of geodesics on the ellipsoid, Survey Review 23(176), 1975.",
    ),
    ("shannon-1949", Standing.PAPER, "Shannon, Communication in the presence of noise, Proc. IRE 37(1), 1949, p. 10."),
    ("harris-1978", Standing.PAPER, "Harris, On the use of windows for harmonic analysis, Proc. IEEE 66(1), 1978."),
    ("srtm", Standing.DATA, "Shuttle Radar Topography Mission, NASA and USGS, 3 arc-seconds, public domain."),
)

SOURCES: Final[dict[str, Source]] = {key: Source(key, standing, text) for key, standing, text in _ROWS}


def source(key: str) -> Source:
    """Return the source of a key.

    Raises
    ------
    KeyError
        If no source has that key: a programming error, caught by tests/test_house.py.
    """
    return SOURCES[key]
