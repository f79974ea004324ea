"""Columns of moments in a text table."""

from __future__ import annotations

from typing import Final

import polars as pl

from turnback.readers.record_text_cells import Moment

DAY_S: Final = 86_400.0


def moments(cells: pl.Series, way: Moment) -> pl.Series:
    """Return seconds since the epoch, or since midnight where only the time of day is told; null for anything else."""
    text = cells.str.replace(",", ".", literal=True)
    if way is Moment.NO_YEAR_FIRST:
        part = text.str.extract_groups(
            r"[T ](?<h>[0-9]{1,2}):(?<m>[0-9]{2}):(?<s>[0-9]{2}(?:\.[0-9]+)?) ?(?<p>[AaPp])?[Mm]?$"
        ).struct.unnest()
        h, m, s = (part[key].cast(pl.Float64, strict=False) for key in "hms")
        half = part["p"].str.to_lowercase().replace_strict({"a": 0.0, "p": 12.0}, default=-1.0, return_dtype=pl.Float64)
        half = half.fill_null(-1.0)
        return pl.select(pl.when(half >= 0.0).then(h % 12.0 + half).otherwise(h)).to_series() * 3600.0 + m * 60.0 + s
    if way is Moment.CLOCK:
        part = text.str.extract_groups(r"^(?<h>[0-9]{1,2}):(?<m>[0-9]{2}):(?<s>[0-9]{2}(?:\.[0-9]+)?)$").struct.unnest()
        h, m, s = (part[key].cast(pl.Float64, strict=False) for key in "hms")
        return h * 3600.0 + m * 60.0 + s
    if way is Moment.MINUTES:
        part = text.str.extract_groups(r"^(?<m>[0-9]{1,3}):(?<s>[0-9]{2}(?:\.[0-9]+)?)$").struct.unnest()
        return part["m"].cast(pl.Float64, strict=False) * 60.0 + part["s"].cast(pl.Float64, strict=False)
    day = {Moment.DOTTED: r"(?<d>[0-9]{1,2})\.(?<n>[0-9]{1,2})\.(?<y>[0-9]{4})"}.get(
        way, r"(?<y>[0-9]{4})[-/](?<n>[0-9]{1,2})[-/](?<d>[0-9]{1,2})"
    )
    clock = (
        r"[T ](?<h>[0-9]{1,2}):(?<m>[0-9]{2}):(?<s>[0-9]{2}(?:\.[0-9]+)?) ?(?:[Zz]|UTC)?(?<z>[+-][0-9]{2}:?[0-9]{2})?$"
    )
    part = text.str.extract_groups(f"^{day}" + ("$" if way is Moment.DATE else clock)).struct.unnest()
    date = part["y"] + "-" + part["n"] + "-" + part["d"]
    days = date.str.to_date("%Y-%m-%d", strict=False).cast(pl.Int32).cast(pl.Float64)
    if way is Moment.DATE:
        return days * DAY_S
    h, m, s = (part[key].cast(pl.Float64, strict=False) for key in "hms")
    zone = part["z"].str.replace(":", "", literal=True)
    sign = zone.str.slice(0, 1).replace_strict({"+": 1.0, "-": -1.0}, default=0.0, return_dtype=pl.Float64)
    ahead = zone.str.slice(1, 2).cast(pl.Float64) * 3600.0 + zone.str.slice(3, 2).cast(pl.Float64) * 60.0
    return days * DAY_S + h * 3600.0 + m * 60.0 + s - (sign * ahead).fill_null(0.0)
