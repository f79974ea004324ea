"""Words for people, in their language: every text of a report, card or terminal goes through here.

English stands in the code as the messages themselves. A translation is a gettext catalogue
``report/locale/<language>/LC_MESSAGES/turnback.mo``; the template to start one from is ``report/locale/turnback.pot``
(``make words``). Numbers, names from a plan and units are filled in after the message was translated, by name.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from importlib import resources
from typing import Final

from turnback.base.errors import bad_input

DOMAIN: Final = "turnback"
ENGLISH: Final = "en"

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
    return said.format(**values) if values else said


def plural(one: str, many: str, count: int, **values: object) -> str:
    """Return the message for one or for many, in the language spoken; ``{count}`` is filled in too."""
    return _catalogue_spoken().ngettext(one, many, count).format(count=count, **values)


def mark(message: str) -> str:
    """Return a message as it is, marked for collection: a table's words are translated where they are used."""
    return message


def language() -> str:
    """Return the code of the language spoken, such as ``"en"``."""
    return _code.get()


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Speak a language inside the block.

    Raises
    ------
    InputError
        If there is no such translation.
    """
    with speaking_by(_catalogue(code), code):
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


def _catalogue(code: str) -> gettext.NullTranslations:
    if code == ENGLISH:
        return _AS_WRITTEN
    folder = resources.files("turnback.report").joinpath("locale")
    try:
        return gettext.translation(DOMAIN, str(folder), [code])
    except OSError:
        raise bad_input("--language", f"there is no translation into {code!r}", "leave it out for English") from None
