"""Collect every message that people read into the template that a translation starts from.

``make words`` writes it to ``src/turnback/report/locale/turnback.pot``; a test holds it up to date. It is sorted, holds
no date and no place on a machine, and names files without lines, so that it changes only where words do.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

from turnback.base.sources import SOURCES
from turnback.knowledge.reading import read_book
from turnback.readers.known_keys import field_at
from turnback.records.plan import PlanFile
from turnback.report.language import places
from turnback.report.new_plan import MORE
from turnback.report.record_rules import thresholds
from turnback.rules.falling import PUBLISHED

ROOT: Final = Path(__file__).resolve().parent.parent
REPORT: Final = Path("src/turnback/report")
TEMPLATE: Final = ROOT / REPORT / "locale" / "turnback.pot"

METHODS: Final = [("**.py", "python"), ("templates/**.html", "jinja2")]
KEYWORDS: Final = {"text": None, "mark": None, "plural": (1, 2), "mark_plural": (1, 2), "_": None}
NOTE_MARK: Final = "translators:"

HEADER: Final = """\
# Every message of Turnback that people read. Copy this file to <language>/LC_MESSAGES/turnback.po and fill it in.
# Names in braces, such as {distance}, stand for a number, a unit or a name: keep each of them as it is.
msgid ""
msgstr ""
"Project-Id-Version: turnback\\n"
"Language: \\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""

Message = str | tuple[str, str]


def collected() -> Iterator[tuple[Message, str, str]]:
    """Yield every message, the file it stands in, and a note to translators or nothing."""
    found = extract_from_dir(
        ROOT / REPORT,
        method_map=METHODS,
        keywords=KEYWORDS,
        comment_tags=[NOTE_MARK],
        strip_comment_tags=True,
    )
    for name, _, message, notes, _ in found:
        yield message, str(REPORT / name), " ".join(notes)
    for source in SOURCES.values():
        yield source.text, "src/turnback/base/sources.py", "A source: leave titles of papers and standards as they are."
    for row in PUBLISHED:
        yield row.clause, "src/turnback/rules/falling.py", "A clause of a law, as that law numbers it."
    for threshold in thresholds().values():
        yield threshold.why, "src/turnback/rules", "Why a threshold of reading a record is what it is."
    book = read_book()
    for cause in book.causes:
        for sentence in (cause.name, cause.fix, cause.prevention, cause.caution):
            yield sentence, "src/turnback/knowledge", "Of the book of causes."
    for sign in book.signs:
        yield sign.name, "src/turnback/knowledge", "A sign in the book: what is seen, after 'it was seen that'."
    for check in book.checks:
        for sentence in (check.name, check.caution):
            if sentence:
                yield sentence, "src/turnback/knowledge", "A check in the book: what to do."
    for place in MORE:
        info = field_at(PlanFile, place.split("."))
        if info is not None and info.description:
            yield info.description, "src/turnback/records", "What a value of a plan means."


def template() -> str:
    """Return the text of the template."""
    catalog = Catalog(charset="utf-8")
    for message, name, note in collected():
        catalog.add(message, locations=[(name, 1)], auto_comments=[note] if note else [])
    for entry in catalog:
        # "90 % of" looks like a place of another kind of template; ours stand in braces.
        entry.flags.discard("python-format")
        forms = (entry.id,) if isinstance(entry.id, str) else entry.id
        if any(places_of(form) for form in forms):
            entry.flags.add("python-brace-format")
        entry.locations = sorted({(name, 1) for name, _ in entry.locations})
    written = io.BytesIO()
    write_po(written, catalog, width=0, omit_header=True, sort_output=True, include_lineno=False)
    return HEADER + written.getvalue().decode("utf-8").strip() + "\n"


def places_of(message: str) -> frozenset[str]:
    """Return the places of a message; a brace of another meaning is none."""
    try:
        return places(message)
    except ValueError:
        return frozenset()


def main() -> None:
    """Write the template."""
    TEMPLATE.parent.mkdir(exist_ok=True)
    TEMPLATE.write_text(template(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
