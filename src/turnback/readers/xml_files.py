"""Open a stranger's XML: no document type, so no entity to expand; not deep, not endless."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final
from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser

from turnback.base.errors import bad_input

DEEPEST: Final = 32  # our choice: folders in folders; a track itself nests five deep
MOST_ELEMENTS: Final = 400_000  # our choice: eight for each of the most points that a track may have

_NUMBER: Final = re.compile(r"[+-]?(?:\d{1,20}(?:\.\d{0,40})?|\.\d{1,40})(?:[eE][+-]?\d{1,3})?", re.ASCII)


class _TooMuchError(Exception):
    """Nesting or a count of elements beyond what a track needs."""


class _Bounded(TreeBuilder):
    """Build a tree, and stop as soon as it grows beyond its bounds."""

    def __init__(self) -> None:
        super().__init__()
        self._depth = 0
        self._elements = 0

    def start(self, tag: Any, attrs: Any) -> Element:
        """Count an element in."""
        self._depth += 1
        self._elements += 1
        if self._depth > DEEPEST:
            raise _TooMuchError(f"its elements are nested more than {DEEPEST} deep")
        if self._elements > MOST_ELEMENTS:
            raise _TooMuchError(f"it has more than {MOST_ELEMENTS} elements")
        return super().start(tag, attrs)

    def end(self, tag: Any) -> Element:
        """Count an element out."""
        self._depth -= 1
        return super().end(tag)


def read_xml(data: bytes, where: str) -> Element:
    """Return the root of an XML document.

    Parameters
    ----------
    data : bytes
    where : str
        File and field that named it, for errors.

    Raises
    ------
    InputError
        If it is not XML, declares a document type, or is too deep or too long.
    """
    parser = DefusedXMLParser(target=_Bounded(), forbid_dtd=True)
    try:
        parser.feed(data)
        root = parser.close()
    except _TooMuchError as error:
        raise bad_input(where, str(error), "export the track alone") from error
    except DefusedXmlException as error:
        what = "it declares a document type, which a track does not need"
        raise bad_input(where, what, "export the track again") from error
    except ParseError as error:
        line, column = error.position
        raise bad_input(where, f"line {line}, column {column + 1} is not XML", "export the track again") from error
    except (ValueError, LookupError) as error:  # an encoding that does not exist
        raise bad_input(where, "its encoding cannot be read", "save the file as UTF-8") from error
    if not isinstance(root, Element):
        raise bad_input(where, "it holds no element", "export the track again")
    return root


def local_name(element: Element) -> str:
    """Return an element's name without its namespace."""
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def children(element: Element, name: str) -> Iterator[Element]:
    """Yield the children of one name, whatever their namespace."""
    return (child for child in element if local_name(child) == name)


def text_of(element: Element, name: str) -> str | None:
    """Return the text of the first child of one name, or None."""
    child = next(children(element, name), None)
    return None if child is None else (child.text or "").strip()


def number_of(text: str | None) -> float | None:
    """Return a plain decimal number, or None for anything else: no NaN, infinity or digit grouping."""
    if text is None or not _NUMBER.fullmatch(text.strip()):
        return None
    value = float(text)
    return value if abs(value) < 1e12 else None
