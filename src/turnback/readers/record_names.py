"""What the words in a column's name speak for.

A name is cut into words, each word speaks for one or several meanings, and each quantity has slots that meanings fill
(`record_names.toml`): an axis, a kind, "demand". The score of a quantity is the logarithm of how much likelier it is to
be called so than a column that is none of our channels.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Final

from turnback.readers.record_names_book import (
    COMMON,
    Meaning,
    Pattern,
    corner_words,
    meanings_of,
    patterns,
    phrases,
    words,
)
from turnback.readers.record_units import unit_keys
from turnback.records.bench import At
from turnback.records.channel import OF_CORNERS, Quantity

UNKNOWN_OURS: Final = 0.05  # how often a name of ours has a word beside that we do not know; of the others, half
UNKNOWN_OTHERS: Final = 0.5
BESIDE: Final = 0.08  # how often one given word that may stand beside does so
AGAINST: Final = 0.0003  # how often a name has a meaning that its quantity has no room for
FOREIGN: Final = -7.0  # log: a word that says outright that it is something else
LETTERS_ONLY: Final = -4.0  # log: a name of single letters speaks against nothing outright
SURE: Final = 0.945  # a word less sure than this may just as well be one that we do not know
WHOLE: Final = 2.1  # log: of columns that are none of ours, only 1 in 8 that could be called so is called wholly so
OTHER_ENDS: Final = frozenset({"back", "video"})
UNKNOWN_END: Final = 0.03  # how often the other radio is named by a word that we do not know
_LOG_BESIDE: Final = math.log(BESIDE / COMMON) / 2
_LOG_NUMBER: Final = math.log(0.3)
_LOG_RAW: Final = math.log(0.1)
_LOG_AGAINST: Final = math.log(AGAINST / COMMON)
_LOG_UNKNOWN: Final = math.log(UNKNOWN_OURS / UNKNOWN_OTHERS)
LONGEST_NAME: Final = 120
MOST_WORDS: Final = 16
_CAMEL: Final = re.compile(
    r"(?<=[a-zà-ÿ])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-zà-ÿ])|(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])"
)
_FILLERS: Final = frozenset({"the", "of", "to", "in", "from", "at", "and", "der", "die", "das", "de", "la", "el", "le"})


@dataclass(frozen=True, slots=True)
class Named:
    """A name taken apart.

    Parameters
    ----------
    words : tuple of str
    meanings : tuple of tuple
        For each word, what it may mean and how surely; empty of a word that is not known.
    number : int or None
        The one number in it.
    at : At or None
    unit_words : str
        A unit that its last words spell.
    numbers : int
        How many different numbers are in it.
    """

    words: tuple[str, ...]
    meanings: tuple[tuple[tuple[Meaning, float], ...], ...]
    number: int | None = None
    at: At | None = None
    unit_words: str = ""
    numbers: int = 0


def split_words(name: str) -> list[str]:
    """Return the words of a name: of camelCase, snake_case, brackets, digits, and of words written together."""
    parts = re.split(r"[\W_]+", " ".join(_CAMEL.split(name[:LONGEST_NAME])))
    found: list[str] = []
    for part in parts:
        small = part.lower()
        if small and small not in _FILLERS:
            found += [small] if small in words() or small.isdigit() else _together(small)
    joined: list[str] = []
    for word in found[:MOST_WORDS]:  # δ_a: the deflection of a control surface
        if joined and joined[-1] in {"delta", "δ"} and word in {"a", "e", "r", "t"}:
            joined[-1] = f"delta_{word}"
        else:
            joined.append(word)
    return joined


@cache
def _long_words() -> frozenset[str]:
    corners = {word for listed in corner_words().values() for word in listed}
    return frozenset(word for word in {*words(), *corners} if len(word) >= 3)


def _together(text: str) -> list[str]:
    """Cut ``packvoltage`` into two known words, or an axis off the end: ``gyrox``; leave others whole."""
    known = _long_words()
    for cut in range(len(text) - 1, 1, -1):
        head, tail = text[:cut], text[cut:]
        head = head if head in known else head.removesuffix("s")  # the s that joins two German words
        if head in known and (tail in known or tail in {"x", "y", "z"} or _together_all(tail)):
            return [head, *([tail] if tail in known or len(tail) == 1 else _together(tail))]
    for cut in range(3, len(text) - 4):  # a strange word before a long known one
        if text[cut:] in known:
            return [text[:cut], text[cut:]]
    return [text]


def _together_all(text: str) -> bool:
    parts = _together(text) if len(text) >= 6 else [text]
    return len(parts) > 1


def take_apart(name: str, unit_text: str = "") -> Named:
    """Return a name's words, number, corner and unit; what ends it is no unit where the file writes another one."""
    found = split_words(name)
    unit, rest = _unit_at_end(found)
    unit = "%" if not unit and len(found) > 0 and name.rstrip().endswith("%") else unit  # no word, but a unit
    own, written = unit_keys(unit), unit_keys(unit_text)
    unit, found = ("", found) if written and not set(own) & set(written) else (unit, rest)
    at, found = _corner(found)
    digits = [word for word in found if word.isdigit()]
    plain = [word for word in found if not word.isdigit()]
    number = int(digits[-1]) if digits and len(digits[-1]) <= 3 else None
    plain, meanings = _meanings(plain)
    if number is not None:
        plain, meanings = [*plain, str(number)], [*meanings, ((("number",), 1.0),)]
    if at is not None:
        plain, meanings = [*plain, at.value], [*meanings, ((("corner",), 1.0),)]
    return Named(tuple(plain), tuple(meanings), number, at, unit, len(set(digits)))


def _meanings(plain: list[str]) -> tuple[list[str], list[tuple[tuple[Meaning, float], ...]]]:
    """Return the words, phrases as one, and what each may mean."""
    found: list[str] = []
    meanings = []
    place = 0
    while place < len(plain):
        phrase = phrases().get(tuple(plain[place : place + 2]))
        width = 1 if phrase is None else 2
        found.append("_".join(plain[place : place + width]))
        meanings.append(meanings_of(plain[place]) if phrase is None else phrase)
        place += width
    return found, meanings


def _unit_at_end(found: list[str]) -> tuple[str, list[str]]:
    """Take a unit off the end of a name: ``alt_m``, ``gyro_x_deg_s``; never the whole name."""
    for count in (4, 3, 2, 1):
        if len(found) <= count:
            continue
        tail = found[-count:]
        if count == 1 and len(tail[0]) == 1 and all(len(word) < 3 for word in found[:-1]):
            continue  # r_c is a rate that is commanded, not one in °C
        for text in ("/".join(tail), "".join(tail), "_".join(tail)):
            fine = unit_keys(text) and not (count == 1 and (tail[0].isdigit() or tail[0] in _NEVER_UNIT))
            if fine and not (count > 1 and text == "".join(tail) and tail[0].isdigit() and len(tail[0]) == 1):
                return text, found[:-count]
    return "", found


_NEVER_UNIT: Final = frozenset(
    ["volts", "voltage", "volt", "n", "e", "h", "d", "amps", "utc", "count", "pulse", "pwm", "rpm", "mah", "dbm",
     "ratio", "grad", "flag", "spannung", "watt", "watts", "g", "l"]
)  # fmt: skip
"""Last words that more often say what it is than in which unit."""


def _corner(found: list[str]) -> tuple[At | None, list[str]]:
    """Take a corner off a name of motors, outputs or rotors."""
    of_motors = any(
        meaning[0] in {"motor", "output", "rotor", "corner", "demand", "command", "throttle"}
        for word in found
        for meaning, _ in words().get(word, ())
    )
    if not of_motors:
        return None, found
    for place, word in enumerate(found):
        pair = found[place : place + 2]
        for two, width in ((pair, 2), (list(word), 1)):
            at = _corner_of(two)
            if at is not None:
                return at, [*found[:place], *found[place + width :]]
    return None, found


def _corner_of(two: list[str]) -> At | None:
    """Return the corner that two words or letters name, in either order."""
    if len(two) != 2:
        return None
    sides = corner_words()
    for first, second in (two, two[::-1]):
        end = next((end for end in ("front", "rear") if first in sides[end]), None)
        flank = next((flank for flank in ("left", "right") if second in sides[flank]), None)
        if end and flank:
            return At(f"{end}-{flank}")
    return None


def name_scores(named: Named) -> dict[Quantity, float]:
    """Return, for each quantity, the log of how much likelier its column is named so than one that is none of ours."""
    if not any(named.meanings):
        return {quantity: math.log(0.02) for quantity in patterns()}
    return {quantity: _score(named, quantity, pattern) for quantity, pattern in patterns().items()}


def _score(named: Named, quantity: Quantity, pattern: Pattern) -> float:
    filled = [False] * len(pattern.slots)
    total = 0.0
    whole = True
    letters = [len(word) <= 2 and not word.isdigit() for word in named.words]
    for meanings, letter in zip(named.meanings, letters, strict=True):
        best, fills = _best_fit(meanings, pattern, filled, quantity) if meanings else (-math.inf, ())
        whole &= best > 0.0 or bool(meanings and meanings[0][0] == ("number",))
        if (letter or max((sure for _, sure in meanings), default=0.0) < SURE) and best < _LOG_UNKNOWN:
            best, fills = _unknown(pattern, filled)  # it may stand for anything
        total += best
        for place in fills:
            filled[place] = True
    for place, full in enumerate(filled):
        if not full:
            total += pattern.empty[place]
            whole &= not pattern.needed[place]
    total += WHOLE if whole and not all(letters) else 0.0
    return max(total, LETTERS_ONLY) if all(letters) else total


def _unknown(pattern: Pattern, filled: list[bool]) -> tuple[float, tuple[int, ...]]:
    """Return what a word that is not known says: it may name the other radio."""
    place = next((i for i, slot in enumerate(pattern.slots) if not filled[i] and slot.keys() & OTHER_ENDS), -1)
    return (_LOG_UNKNOWN, ()) if place < 0 else (math.log(UNKNOWN_END / UNKNOWN_OTHERS), (place,))


def _best_fit(
    meanings: tuple[tuple[Meaning, float], ...], pattern: Pattern, filled: list[bool], quantity: Quantity
) -> tuple[float, tuple[int, ...]]:
    best = -math.inf
    fills: tuple[int, ...] = ()
    for meaning, sure in meanings:
        score, places = _fit(meaning, pattern, filled, quantity)
        if score + math.log(sure) > best:
            best, fills = score + math.log(sure), places
    return best, fills


def _fit(meaning: Meaning, pattern: Pattern, filled: list[bool], quantity: Quantity) -> tuple[float, tuple[int, ...]]:
    score = 0.0
    places: list[int] = []
    for part in meaning:
        place = -1
        for i, slot in enumerate(pattern.fits):
            if part in slot and not filled[i] and i not in places:
                place = i
                break
        if place >= 0:
            places.append(place)
            score += pattern.fits[place][part]
        elif part in pattern.beside:
            score += _LOG_BESIDE
        elif part == "number":
            score += 0.0 if quantity in OF_CORNERS else _LOG_NUMBER
        elif part in ("not", "off"):
            score += FOREIGN
        elif part == "raw":
            score += _LOG_RAW
        else:
            score += _LOG_AGAINST
    return score, tuple(places)
