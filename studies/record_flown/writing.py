"""Files as strangers keep them: separators, remarks, rows of units, empty cells, zipped."""

from __future__ import annotations

import gzip
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import polars as pl
from numpy.typing import NDArray
from studies.record_flown.tracks import KINDS as TRACKS
from studies.record_flown.tracks import write_track

Rng = np.random.Generator
SWITCH_WORDS: Final = (("0", "1"), ("0", "1"), ("false", "true"), ("False", "True"), ("no", "yes"), ("off", "on"))


@dataclass(frozen=True, slots=True)
class Look:
    """How one file looks.

    Parameters
    ----------
    kind : str
        csv, parquet, or a track (`tracks.KINDS`).
    separator : str
    decimal_comma, zipped, quoted, byte_mark, windows : bool
    empty : str
        What an empty cell holds.
    remark : str
        What remarks begin with; empty for none.
    preamble : bool
        Lines of words before the headings, without a mark.
    latin : bool
        Written in Latin-1.
    heads : str
        one row, none, grouped (a row of sections above), wrapped (long headings over two rows).
    """

    kind: str
    separator: str
    decimal_comma: bool
    zipped: bool
    quoted: bool
    byte_mark: bool
    windows: bool
    empty: str
    remark: str
    preamble: bool
    latin: bool
    heads: str


HEADS: Final = ("one row", "none", "grouped", "wrapped")


def draw_look(rng: Rng) -> Look:
    """Draw the look of one file."""
    heads = str(rng.spawn(1)[0].choice(HEADS, p=[0.9, 0.04, 0.03, 0.03]))
    separator = str(rng.choice([",", ";", "\t", "|"], p=[0.58, 0.24, 0.14, 0.04]))
    return Look(
        kind=str(rng.choice(["csv", "parquet"], p=[0.92, 0.08])),
        separator=separator,
        decimal_comma=separator in ";\t" and bool(rng.random() < 0.45),
        zipped=bool(rng.random() < 0.1),
        quoted=bool(rng.random() < 0.12),
        byte_mark=bool(rng.random() < 0.08),
        windows=bool(rng.random() < 0.2),
        empty=str(rng.choice(["", "", "", "nan", "NaN", "null", "-"])),
        remark=str(rng.choice(["", "", "", "#", "#", "%", "//"])),
        preamble=bool(rng.random() < 0.12),
        latin=bool(rng.random() < 0.04),
        heads=heads,
    )


def write(made: list[dict[str, Any]], rows: NDArray[np.bool_], look: Look, folder: Path, name: str, rng: Rng) -> Path:
    """Write the columns' kept rows; return the file."""
    columns = [cells(each, rows, look, rng) for each in made]
    if look.kind in TRACKS:
        return write_track(made, [column.to_list() for column in columns], look.kind, folder / name)
    frame = pl.DataFrame([column.alias(str(i)) for i, column in enumerate(columns)])
    heads = [each["head"].text for each in made]
    if look.kind == "parquet":
        path = folder / f"{name}.parquet"
        units = {each["head"].text: each["head"].unit_row for each in made}
        frame.columns = [f"{head} [{units[head]}]" if units[head] else head for head in heads]
        frame.write_parquet(path)
        return path
    body = io.BytesIO()
    frame.write_csv(body, include_header=False, separator=look.separator, null_value=look.empty,
                    decimal_comma=look.decimal_comma, line_terminator="\r\n" if look.windows else "\n",
                    quote_style="necessary")  # fmt: skip
    top = heading_lines(made, heads, look, rng)
    end = "\r\n" if look.windows else "\n"
    text = "".join(line + end for line in top)
    encoding = "latin-1" if look.latin else ("utf-8-sig" if look.byte_mark else "utf-8")
    data = text.encode(encoding, errors="replace") + body.getvalue()
    path = folder / f"{name}.csv{'.gz' if look.zipped else ''}"
    path.write_bytes(gzip.compress(data, 1, mtime=0) if look.zipped else data)
    return path


def heading_lines(made: list[dict[str, Any]], heads: list[str], look: Look, rng: Rng) -> list[str]:
    """Return the lines before the values."""
    lines = []
    if look.remark:
        lines += [f"{look.remark} made-up flight {rng.integers(1, 999)}", f"{look.remark} all times since power-on"]
    if look.preamble:
        lines += ["Flight record", f"Board serial{look.separator}{rng.integers(1000, 9999)}", ""]
    if look.heads == "none":
        return lines
    rows = [heads]
    if look.heads == "grouped":
        rows.insert(0, sections(made))
    elif look.heads == "wrapped":
        parted = [head.split(" ", 1) for head in heads]
        rows = [[each[0] for each in parted], [each[1] if len(each) > 1 else "" for each in parted]]
    for row in rows:
        joined = [f'"{head}"' if look.quoted or look.separator in head else head for head in row]
        lines.append(look.separator.join(joined))
    units = [each["head"].unit_row for each in made]
    if any(units):
        lines.append(look.separator.join(f'"{unit}"' if look.quoted else unit for unit in units))
    return lines


SECTIONS: Final = (
    ("Position", ("latitude", "longitude", "height", "speed", "course", "velocity", "satellites", "fix", "launch",
                  "climb", "pressure")),
    ("Radio", ("link", "signal", "transmit", "video")),
    ("Pilot", ("stick", "throttle", "armed", "mode", "return")),
    ("Motors", ("output", "rotor")),
    ("Power", ("volts", "current", "charge", "power", "temperature")),
    ("Motion", ("rate", "acceleration", "roll", "pitch", "heading", "magnetic")),
)  # fmt: skip


def sections(made: list[dict[str, Any]]) -> list[str]:
    """Return a row of sections; each stands above the first of its columns, as joined cells of a spreadsheet do."""
    found = []
    for each in made:
        words = each["quantity"]
        found.append(next((name for name, parts in SECTIONS if any(part in words for part in parts)), "General"))
    return [name if i == 0 or name != found[i - 1] else "" for i, name in enumerate(found)]


def cells(each: dict[str, Any], rows: NDArray[np.bool_], look: Look, rng: Rng) -> pl.Series:
    """Return one column as it is written."""
    values = each["values"]
    if isinstance(values, list):
        return pl.Series([value for value, kept in zip(values, rows, strict=True) if kept])
    kept = np.asarray(values)[rows]
    if each["labels"]:
        places = np.clip(kept, 0, len(each["labels"]) - 1).astype(int)
        return pl.Series(np.array(each["labels"], object)[places], dtype=pl.String)
    if each["quantity"] in {"armed", "return_active", "link_loss"} and look.kind != "parquet":
        off, on = SWITCH_WORDS[int(rng.integers(0, len(SWITCH_WORDS)))]
        return pl.Series(np.where(kept > 0.5, on, off).astype(object), dtype=pl.String)
    full = np.isfinite(kept)
    whole = bool(np.all(kept[full] == np.round(kept[full]))) and bool(np.all(np.abs(kept[full]) < 1e17))
    if whole and each["unit"].digits == 0:
        return pl.Series(kept).fill_nan(None).cast(pl.Int64)
    return pl.Series(kept).fill_nan(None)
