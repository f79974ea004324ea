"""Signs of the book as a person types them."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from turnback.base.errors import Fault, InputError
from turnback.knowledge.book import Book
from turnback.readers.said import said


def known_signs(keys: Sequence[str], book: Book) -> None:
    """Make sure that the book has every sign that was named.

    Raises
    ------
    InputError
        With one sentence for each that it has not, and the nearest that it has.
    """
    known = [each.key for each in book.signs]
    faults = []
    for key in keys:
        if key not in known:
            near = difflib.get_close_matches(key[:60].lower(), known, n=3, cutoff=0.5)
            do = f"write {' or '.join(near)} if that was meant" if near else "turnback bench --list shows all signs"
            faults.append(Fault(f"the sign {said(key)}", "is not in the book", do))
    if faults:
        raise InputError(*faults)
