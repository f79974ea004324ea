"""Take out of a range walk what tells where it was taken, before any face is made of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from turnback.records.walk_answer import WalkAnswer
from turnback.report.language import text
from turnback.report.redact import redacted
from turnback.report.redact_map import redacted_map


def redacted_walk(answer: WalkAnswer) -> WalkAnswer:
    """Return an answer without places, names of files, columns and sites; once is as good as twice.

    Distances from launch stay, and so do the turn-back distances by bearing. What is kept with the site is not said:
    neither its id nor the file.
    """
    walk, hidden = answer.read.walk, np.zeros(answer.read.walk.x_m.size)
    read = replace(
        answer.read,
        walk=replace(walk, x_m=walk.from_launch_m, y_m=hidden, source=text("a record")),
        rows=tuple(text("reading {number}", number=number) for number in range(1, hidden.size + 1)),
        columns=(),
        unused=(),
    )
    return replace(
        answer,
        read=read,
        before=redacted(answer.before),
        after=redacted(answer.after),
        map_before=None if answer.map_before is None else redacted_map(answer.map_before),
        map_after=None if answer.map_after is None else redacted_map(answer.map_after),
        entries=tuple(
            entry.model_copy(update={"id": "a-place", "from_record": "a record"}) for entry in answer.entries
        ),
        site_id=None if answer.site_id is None else text("a place"),
        title=text("A range walk"),
    )
