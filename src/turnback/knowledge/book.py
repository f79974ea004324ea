"""What the book of causes, signs and checks is made of.

A book is data (TOML files beside this module); `turnback.knowledge.reading.read_book` reads and refuses. Texts are
English sentences of the book; faces say them through `turnback.report.language.text`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.together import Together

SOMETHING_ELSE = "something-else"
"""Key of the cause that stands for all that the book does not know; it is in every book and in no file."""


class Basis(Enum):
    """Where a number of the book comes from."""

    STUDY = "study"
    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    GUESS = "our guess"


class CauseGroup(Enum):
    """Where a cause lies."""

    BUILD = "build"
    SET_UP = "set-up"
    RETURN = "automatic return"
    BATTERY = "battery"
    RADIO = "radio"
    PILOT = "pilot"
    ENVIRONMENT = "environment"


class Channel(Enum):
    """Through what a sign comes to be known; signs of one channel and span share their error."""

    SAID = "said by the pilot"
    SEEN = "seen on the aircraft"
    BENCH = "seen on the bench, powered"
    LINK = "link level and quality in the record"
    VOLTS = "volts and current in the record"
    OUTPUTS = "corner outputs and rotor speeds in the record"
    MOTION = "turning rates and acceleration in the record"
    PLACE = "position and height in the record"
    STICKS = "sticks, modes and arming in the record"
    SITE = "terrain, weather and site"


class CheckKind(Enum):
    """How a check is done; in the order in which they may be asked for."""

    ASK = "a question"
    LOOK = "looking, unplugged"
    METER = "measuring, unplugged"
    RECORD = "looking into a record"
    POWERED = "powered: propellers off, restrained, short, no throttle"
    FLIGHT = "a short flight, low and near"


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that can be wrong.

    Parameters
    ----------
    key : str
        Lower case, words joined by hyphens.
    group : CauseGroup
    name : str
        What is wrong, without a full stop: "A propeller of the wrong direction at one corner".
    prior : float
        Share of troubled cases in which it is there, 1e-4 to 0.2.
    basis : Basis
        Of the prior.
    fix, prevention, caution : str
        Whole sentences. The caution says how it can hurt and what keeps it from doing so.
    pilot_error : bool
        A mistake in the air; named only after the aircraft is shown to have followed its pilot.
    """

    key: str
    group: CauseGroup
    name: str
    prior: float
    basis: Basis
    fix: str
    prevention: str
    caution: str
    pilot_error: bool = False


@dataclass(frozen=True, slots=True)
class Sign:
    """One observable thing.

    Parameters
    ----------
    key : str
    name : str
        What is observed, a clause without a full stop: "it rolls over as soon as it lifts".
    channel : Channel
    leak : float
        Chance to observe it in a troubled case where none of its causes is there, 0.001 to 0.5.
    basis : Basis
        Of the leak.
    phrases : tuple of str
        Ways in which pilots say it; for signs of the channel SAID, and others that a pilot can tell.
    """

    key: str
    name: str
    channel: Channel
    leak: float
    basis: Basis
    phrases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How surely one cause alone shows one sign (noisy-OR) where it can be observed at all; see `Book.strength`."""

    cause: str
    sign: str
    chance: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Check:
    """One action that decides between causes.

    Parameters
    ----------
    key : str
    name : str
        What to do, an imperative sentence.
    kind : CheckKind
    minutes : float
        Of work, 0.2 to 60.
    signs : tuple of str
        What it tells: each is seen or not seen afterwards; at most 4.
    caution : str
        Empty only for questions.
    """

    key: str
    name: str
    kind: CheckKind
    minutes: float
    signs: tuple[str, ...]
    caution: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """A consistent book: every key known, every sign caused by something, every cause seen in something.

    Attributes
    ----------
    causes, signs, checks : tuple
        In the order of the files. `SOMETHING_ELSE` is not among the causes.
    likelihoods : tuple of Likelihood
    strength : ndarray
        Shape ``(causes, signs)``: noisy-OR chances, 0 where a cause does not show a sign. Below 0, only with numbers of
        a study, where a cause keeps away what is usually seen: it is seen with 1 - (1 - leak)(1 - strength).
    together : Together or None
        What signs of one record say together; only with numbers of a study.
    """

    causes: tuple[Cause, ...]
    signs: tuple[Sign, ...]
    checks: tuple[Check, ...]
    likelihoods: tuple[Likelihood, ...]
    strength: NDArray[np.float64]
    together: Together | None = None
