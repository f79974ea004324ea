"""Whole briefs for the page: the demo's, and the same with every stored text replaced by a hostile one."""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Finding
from turnback.records.result import BriefResult

EXAMPLES: Final = Path(__file__).parents[2] / "examples"
TURNED: Final = "\u202egnp.exe\u2066"
EVIL: Final = (
    "</dd></details><script>alert(1)</script><img src=x onerror=alert(2)>\"' style='x:url(http://x)' {{ 7*7 }}"
)
LONG: Final = f"{EVIL} {TURNED} {'x' * 500}"
OPTIONAL: Final = ("fall", "pilot", "care", "changes", "rose", "ground_plan")


@cache
def demo() -> BriefResult:
    """Return the demo's brief: it has every part."""
    return brief(read_case(EXAMPLES / "demo.toml"), changes=True)


def hostile() -> BriefResult:
    """Return the demo's brief with each text that came from its files replaced."""
    result = demo()
    assert result.fall is not None
    assert result.ground_plan is not None
    places = tuple(dataclasses.replace(at, areas=(LONG,)) for at in result.fall.places)
    return dataclasses.replace(
        result,
        title=LONG,
        terrain_source=LONG,
        findings=tuple(map(_renamed, result.findings)),
        fall=dataclasses.replace(result.fall, meets=(LONG,), places=places),
        ground_plan=dataclasses.replace(
            result.ground_plan, areas=tuple((LONG, ring) for _, ring in result.ground_plan.areas)
        ),
    )


def _renamed(finding: Finding) -> Finding:
    if "first" not in finding.evidence:
        return finding
    return dataclasses.replace(finding, evidence={**finding.evidence, "first": LONG})


class Element:
    """One element: its tag, attributes, text, and the elements inside it."""

    def __init__(self, tag: str, given: dict[str, str | None]) -> None:
        self.tag, self.given = tag, given
        self.parts: list[Element | str] = []

    def text(self) -> str:
        """Return all its text on one line, spaces and minus as in the other faces."""
        said = " ".join(part if isinstance(part, str) else part.text() for part in self.parts)
        return re.sub(r"\s+", " ", said.replace("\u00a0", " ").replace("\u2212", "-")).strip()

    def every(self, tag: str = "") -> list[Element]:
        """Return the elements inside it, in order, those of one tag or all."""
        found: list[Element] = []
        for part in self.parts:
            if isinstance(part, Element):
                found += [part] if tag in ("", part.tag) else []
                found += part.every(tag)
        return found

    def by_id(self, name: str) -> Element | None:
        """Return the element of an id."""
        return next((each for each in self.every() if each.given.get("id") == name), None)


class _Reader(HTMLParser):
    VOID: Final = frozenset({"meta", "link", "img", "br", "hr", "input"})

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, dict(attrs))
        self.open[-1].parts.append(made)
        if tag not in self.VOID:
            self.open.append(made)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open[-1].parts.append(Element(tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open[-1].tag != "style":
            self.open[-1].parts.append(data)


def read(html: str) -> Element:
    """Return a page as a tree; an element that is closed out of turn is a fault."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert len(reader.open) == 1, [each.tag for each in reader.open]
    return reader.root


def first(root: Element, **given: Any) -> Element:
    """Return the first element with these attributes; ``class_`` stands for class."""
    wanted = {name.rstrip("_"): value for name, value in given.items()}
    return next(each for each in root.every() if wanted.items() <= each.given.items())
