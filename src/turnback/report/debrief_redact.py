"""Take out of a debrief where and when it was, and whose words and names it holds, before any face is made of it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Final

from turnback.records.debrief import DebriefAnswer, RecordSign, SearchArea, SignsTold
from turnback.report.record_redact import redacted_record

NO_DATE: Final = date.min
"""Stands where the date was."""
_OF_PLACES: Final = re.compile("latitude|longitude|sea_level")


def redacted_debrief(answer: DebriefAnswer) -> DebriefAnswer:
    """Return an answer without positions, dates, names and the pilot's own words; once is as good as twice.

    What was understood of the words stays, and so do directions from the launch point: they tell no place.
    """
    return replace(
        answer,
        words=(),
        told=replace(answer.told, signs=tuple(_sign(each) for each in answer.told.signs)),
        record=None if answer.record is None else redacted_record(answer.record),
        signs=SignsTold(tuple(_sign(each) for each in answer.signs.signs), answer.signs.not_looked_for),
        search=None if answer.search is None else _search(answer.search),
        on=NO_DATE,
        plan_title="",
        earlier=tuple("" for _ in answer.earlier),
        ground=None,  # hills tell where it was
    )


def _sign(sign: RecordSign) -> RecordSign:
    return replace(sign, values={key: value for key, value in sign.values.items() if not _OF_PLACES.search(key)})


def _search(search: SearchArea) -> SearchArea:
    return replace(search, launch_latitude_deg=None, launch_longitude_deg=None)
