"""The sentences, and the fixed rule by which they are split."""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

FILE: Final = Path(__file__).with_name("sentences.toml")
TUNING_OF_TEN: Final = 6
"""Sentences whose hash ends below this are for tuning; the others are held out."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One message of a pilot, with the signs that it tells.

    Parameters
    ----------
    text : str
    said : frozenset of tuple of str and bool
        Sign and whether it is seen (true) or said not to be there.
    """

    text: str
    said: frozenset[tuple[str, bool]]


def for_tuning(text: str) -> bool:
    """Return whether a sentence is for tuning: by the hash of its text, so that nobody chooses."""
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16) % 10 < TUNING_OF_TEN


def sentences() -> tuple[Sentence, ...]:
    """Read all sentences."""
    rows = tomllib.loads(FILE.read_text(encoding="utf-8"))["sentences"]
    return tuple(
        Sentence(
            row["text"],
            frozenset({(sign, True) for sign in row["seen"]} | {(sign, False) for sign in row["not_seen"]}),
        )
        for row in rows
    )
