"""Words for people, in their language: every text of a report, card or terminal goes through here.

English stands in the code as the messages themselves. A translation is a gettext catalogue
``report/locale/<language>/LC_MESSAGES/turnback.mo``; the template to start one from is ``report/locale/turnback.pot``
(``make words``). Numbers, names from a plan and units are filled in after the message was translated, by name. A
translation that loses a place or invents one would lose a number that a pilot keeps to: English stands in for it.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib import resources
from pathlib import Path
from string import Formatter
from typing import Final

from turnback.base.errors import bad_input

DOMAIN: Final = "turnback"
ENGLISH: Final = "en"

_CODE: Final = re.compile(r"[A-Za-z]{2,3}([_-][A-Za-z0-9]{2,8})*")
_AS_WRITTEN: Final = gettext.NullTranslations()
_spoken: Final[ContextVar[gettext.NullTranslations | None]] = ContextVar("spoken", default=None)
_code: Final[ContextVar[str]] = ContextVar("code", default=ENGLISH)


def text(message: str, **values: object) -> str:
    """Return a message in the language spoken, with its named places filled in.

    Parameters
    ----------
    message : str
        English, with places such as ``{distance}``; a constant where it is written, so that it can be collected.
    **values
        What goes into the places: text that is ready to read.
    """
    said = _catalogue_spoken().gettext(message) if message else ""
    if not values:
        return said
    return (said if _keeps_places(said, message, message) else message).format(**values)


def plural(one: str, many: str, count: int, **values: object) -> str:
    """Return the message for one or for many, in the language spoken; ``{count}`` is filled in too."""
    said = _catalogue_spoken().ngettext(one, many, count)
    kept = said if _keeps_places(said, one, many) else one if count == 1 else many
    return kept.format(count=count, **values)


def mark(message: str) -> str:
    """Return a message as it is, marked for collection: a table's words are translated where they are used."""
    return message


def mark_plural(one: str, many: str) -> tuple[str, str]:
    """Return two forms as they are, marked for collection together: a table's are used by ``plural(*pair, count)``."""
    return one, many


def language() -> str:
    """Return the code of the language spoken, such as ``"en"`` or ``"pt-BR"``, as HTML and print name it."""
    return _code.get()


@contextmanager
def speaking(code: str, folder: Path | None = None) -> Iterator[None]:
    """Speak a language inside the block.

    Parameters
    ----------
    code : str
        Of the language, such as ``"de"`` or ``"pt-BR"``.
    folder : Path or None
        Where the translations stand; those of this package if None.

    Raises
    ------
    InputError
        If there is no such translation.
    """
    with speaking_by(_catalogue(code, folder), code.replace("_", "-")):
        yield


@contextmanager
def speaking_by(catalogue: gettext.NullTranslations, code: str) -> Iterator[None]:
    """Speak by a catalogue that is already read, inside the block."""
    spoken, named = _spoken.set(catalogue), _code.set(code)
    try:
        yield
    finally:
        _spoken.reset(spoken)
        _code.reset(named)


def _catalogue_spoken() -> gettext.NullTranslations:
    spoken = _spoken.get()
    return _AS_WRITTEN if spoken is None else spoken


def _catalogue(code: str, folder: Path | None) -> gettext.NullTranslations:
    if code == ENGLISH:
        return _AS_WRITTEN
    at = str(resources.files("turnback.report").joinpath("locale") if folder is None else folder)
    try:
        # The code becomes part of a path, so only what a code may be is looked up.
        return gettext.translation(DOMAIN, at, [code.replace("-", "_")] if _CODE.fullmatch(code) else [])
    except OSError:
        what = f"there is no translation into {code[:20]!r}"
        raise bad_input("--language", what, "leave it out for English") from None


@cache
def _keeps_places(said: str, one: str, many: str) -> bool:
    """True where a translation has the places of its message: those of both forms at least, of either at most."""
    if said in (one, many):
        return True
    least, most = places(one) & places(many), places(one) | places(many)
    try:
        return least <= places(said) <= most
    except ValueError:
        return False


def places(message: str) -> frozenset[str]:
    """Return the names of a message's places.

    Raises
    ------
    ValueError
        If its braces do not match.
    """
    return frozenset(name for _, name, _, _ in Formatter().parse(message) if name is not None)
