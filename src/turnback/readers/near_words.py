"""Keys and words that are not known, and the known one that was most likely meant."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Any, Final

from turnback.readers.known_keys import Place, keys_of, record_at, tables_with, unit_of
from turnback.readers.said import LONGEST, said
from turnback.records.common import DONT_KNOW, FileRecord

Words = tuple[str, str]

_OPEN: Final = frozenset(["", "?", "unknown", "maybe", "perhaps", "not sure", "none", "n/a"])


def unknown_key(root: type[FileRecord], place: Place) -> Words:
    """Return what is wrong with an unknown key and what to do: write a near one, move it, or choose."""
    key = str(place[-1])
    if key == "schema":
        return "only a file carries a version, a table in it does not", "leave it out"
    record = record_at(root, place[:-1])
    known = keys_of(record) if record else {}
    near = nearest(key, list(known))
    if near:
        unit = unit_of(near, known[near])
        other_unit = unit and key.lower().replace("-", "_").rsplit("_", 1)[-1] != near.rsplit("_", 1)[-1]
        return "the key is not known", f"write {near}{f', in {unit},' if other_unit else ''} if that was meant"
    elsewhere = list(tables_with(root, key))
    if elsewhere:
        return "the key is not known here", f"it belongs in {elsewhere[0]}"
    return "the key is not known", f"known here: {', '.join(known)}"


def nearest(key: str, known: Sequence[str]) -> str | None:
    """Return the known key that was most likely meant: one with a unit added, or one slip of the pen away."""
    small = key.lower().replace("-", "_").replace(" ", "_")[:LONGEST]
    longer = [name for name in known if name.startswith(f"{small}_") or name.rsplit("_", 1)[0] == small]
    if small in known or longer:
        return small if small in known else min(longer, key=len)
    close = difflib.get_close_matches(small, known, n=1, cutoff=0.6)
    if close:
        return close[0]
    stem = small.rsplit("_", 1)[0]  # the right quantity in the wrong unit
    return next((name for name in known if "_" in small and name.rsplit("_", 1)[0] == stem), None)


def wrong_word(value: Any, words: Sequence[str]) -> Words:
    """Return what is wrong with a word that is none of the allowed ones, and what to write."""
    what = f"{said(value)} is not one of " + ", ".join(f'"{word}"' for word in words)
    if isinstance(value, bool) and "yes" in words:
        return what, f'write "{"yes" if value else "no"}" in quotes'
    small = value.strip().lower()[:LONGEST] if isinstance(value, str) else ""
    if small in _OPEN and DONT_KNOW in words:
        return what, f'write "{DONT_KNOW}" if that was meant'
    if small == DONT_KNOW:
        return what, "it cannot stay open: write the word that comes nearest"
    folded = {word.lower(): word for word in words}
    near = difflib.get_close_matches(small, list(folded), n=1, cutoff=0.5)
    return what, f'write "{folded[near[0]]}" if that was meant' if near else "write one of these words in quotes"
