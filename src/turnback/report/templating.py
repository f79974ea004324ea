"""What every page of HTML shares: one set of templates, escaped text, the style sheet, the way its language runs."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import Final

from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from turnback.report.language import language, plural, text
from turnback.report.svg import STEERING
from turnback.report.typography import together

FROM_THE_RIGHT: Final = frozenset({"ar", "fa", "he", "ur"})
"""Languages that are written from the right."""


@cache
def environment() -> Environment:
    """Return the templates; everything that came from a plan is escaped."""
    made = Environment(
        loader=PackageLoader("turnback.report", "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        finalize=_finished,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.globals.update(_=text, plural=plural)
    return made


def resource(name: str) -> str:
    """Return a file that lies beside the templates."""
    return resources.files("turnback.report").joinpath("templates", name).read_text(encoding="utf-8")


def direction() -> str:
    """Return which way the language spoken is written, as HTML names it."""
    return "rtl" if re.split("[-_]", language())[0] in FROM_THE_RIGHT else "ltr"


def _finished(value: object) -> object:
    """Return text as it is shown: a number with its unit, minus as minus, nothing that turns the writing around.

    Markup of our own is left as it is.
    """
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return STEERING.sub("\ufffd", together(value))
