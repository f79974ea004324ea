"""What a pilot's own words tell in a debrief: signs, typed readings, people, pack, and where the aircraft is."""

from __future__ import annotations

from turnback.assess.hearing import hear
from turnback.assess.told_faint import faint_signs
from turnback.assess.told_lean import lean_of
from turnback.assess.told_readings import cells_said, typed_readings
from turnback.assess.told_safety import hurt_told, pack_told, whereabouts_told
from turnback.assess.told_signs import signs_of_readings
from turnback.knowledge.book import Book
from turnback.records.debrief import ToldInWords


def told_in_words(
    words: tuple[str, ...],
    book: Book,
    *,
    cells: int | None = None,
    chemistry: str | None = None,
    beside_record: bool = False,
) -> ToldInWords:
    """Return all that words tell.

    Parameters
    ----------
    words : tuple of str
        One text each.
    book : Book
    cells : int or None
        In series; what the words say of it ("4S") counts where this is None.
    chemistry : str or None
        A name of `records.pack.ChemistryName`.
    beside_record : bool
        Whether a record is there as well: then nothing leans on what the words are like, and the time for it is saved.

    Raises
    ------
    InputError
        Where the words are longer than anybody tells of one flight (`rules.hearing.MOST_LETTERS`).
    """
    whole = "\n".join(words).replace("\u2019", "'")
    if not whole.strip():
        return ToldInWords()
    heard = hear(whole, book)
    readings = typed_readings(whole)
    where = whereabouts_told(whole)
    typed = signs_of_readings(whole, readings, book, cells=cells or cells_said(whole), chemistry_name=chemistry)
    told = {one.sign for one in typed}
    return ToldInWords(
        heard=heard,
        readings=readings,
        hurt=hurt_told(whole),
        pack=pack_told(whole, where),
        whereabouts=where,
        lean=() if beside_record else lean_of(whole, book),
        signs=(*typed, *(one for one in faint_signs(whole, book, heard) if one.sign not in told)),
    )
