"""The sentences, and the fixed rule by which they are split."""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

FILE: Final = Path(__file__).with_name("sentences.toml")
FRESH: Final = Path(__file__).with_name("fresh.toml")
"""Written after all phrases stood, scored once, then used for tuning."""
FRESH_AGAIN: Final = Path(__file__).with_name("fresh_again.toml")
"""Written after that, and used for nothing but the score."""
TUNING_OF_TEN: Final = 6
"""Sentences whose hash ends below this are for tuning; the others are held out."""


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that a sentence tells: any of these signs, seen or said not to be there."""

    signs: frozenset[str]
    seen: bool


@dataclass(frozen=True, slots=True)
class Sentence:
    """One message of a pilot.

    Parameters
    ----------
    text : str
    told : tuple of Told
        What is to be heard.
    also : frozenset of str
        Signs that may be heard and need not be.
    """

    text: str
    told: tuple[Told, ...]
    also: frozenset[str]


def for_tuning(text: str) -> bool:
    """Return whether a sentence is for tuning: by the hash of its text, so that nobody chooses."""
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16) % 10 < TUNING_OF_TEN


def sentences(file: Path = FILE) -> tuple[Sentence, ...]:
    """Read all sentences of a file."""
    rows = tomllib.loads(file.read_text(encoding="utf-8"))["sentences"]
    return tuple(
        Sentence(
            row["text"],
            tuple(
                Told(frozenset(keys.split("|")), seen)
                for field, seen in (("seen", True), ("not_seen", False))
                for keys in row[field]
            ),
            frozenset(key for keys in row.get("also", ()) for key in keys.split("|")),
        )
        for row in rows
    )
