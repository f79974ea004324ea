"""Tracks with times as strangers keep them: GPX 1.1, KML with a track or with points, GeoJSON.

Sources: GPX 1.1 schema (trkpt, ele, time, sat, extensions); OGC 12-007r2 (Track, SimpleArrayData) and 07-147r2
(Placemark, TimeStamp); RFC 7946.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.naming import Hand, Heading
from studies.record_flown.sensors import Seen
from studies.record_flown.units import DEGREES, LENGTH, UNITLESS, Unit

Rng = np.random.Generator
Column = dict[str, Any]
KINDS: Final = ("gpx", "kml track", "kml points", "geojson line", "geojson points")
FASTEST_HZ: Final = 10.0
LEFT_OUT: Final = frozenset({"roll_rate", "pitch_rate", "yaw_rate", "roll_rate_demand", "pitch_rate_demand",
                             "yaw_rate_demand", "output", "rotor_speed", "acceleration_x", "acceleration_y",
                             "acceleration_z", "magnetic_x", "magnetic_y", "magnetic_z"})  # fmt: skip
"""What nobody keeps in a track."""
CLOCK: Final = Unit("iso", 1.0, 0.0, (), (), 1, 0)
SAID: Final = {"latitude": DEGREES[0], "longitude": DEGREES[0], "height_sea_level": LENGTH[0], "satellites": UNITLESS}

OWN_NAMES: Final = frozenset({"time", "latitude", "longitude", "lat", "lon", "ele", "sat", "height", "heading",
                              "coordtimes"})  # fmt: skip
"""What the formats name themselves; whoever writes a channel beside them under such a name has two of one name."""


def drawn_track(rng: Rng) -> str:
    """Draw a kind of track; empty for 7 in 8."""
    return str(rng.choice(KINDS)) if rng.random() < 0.125 else ""


def thinned(seen: Seen) -> Seen:
    """Return what a slow recorder of tracks keeps."""
    every = max(1, round(seen.rate_hz / FASTEST_HZ))
    starts = np.arange(0, len(seen.t_s), every)
    kept = [
        replace(each, values=each.values[starts],
                fresh=None if each.fresh is None else np.asarray(np.add.reduceat(each.fresh, starts) > 0))
        for each in seen.channels if each.quantity not in LEFT_OUT
    ]  # fmt: skip
    again = None if seen.restart_row is None else seen.restart_row // every
    return replace(seen, t_s=seen.t_s[starts], rate_hz=seen.rate_hz / every, channels=kept, restart_row=again)


def track_hand(hand: Hand) -> Hand:
    """Return a hand whose headings can stand as names of elements and properties."""
    case = hand.case if hand.case in {"snake", "camel", "pascal"} else "snake"
    unit_at = hand.unit_at if hand.unit_at in {"none", "suffix"} else "none"
    prefix = "" if "/" in hand.prefix else hand.prefix
    return replace(hand, case=case, unit_at=unit_at, prefix=prefix)


def said_by_format(column: Column, kind: str) -> bool:
    """Tell whether the format itself has a place for a channel."""
    return column["quantity"] in SAID and (kind == "gpx" or column["quantity"] != "satellites")


def in_order(made: list[Column], moments: list[str], kind: str) -> list[Column]:
    """Return the columns as a reader meets them: what the format says first; names made fit for the format."""
    said = {each["quantity"]: each for each in made if said_by_format(each, kind)}
    rest = [_named(each, kind) for each in made if not said_by_format(each, kind)]
    rest = [each for each in rest if each["head"].text.lower() not in OWN_NAMES]
    clock = {"head": Heading("time", "", True, True), "values": moments, "labels": (), "quantity": "time",
             "unit": CLOCK, "sense": 1, "corner": None, "number": None, "also": ""}  # fmt: skip
    first = [said["latitude"], said["longitude"]]
    more = [said[key] for key in ("height_sea_level", "satellites") if key in said]
    head = [*first, *more, clock] if kind.startswith("geojson") else [clock, *first, *more]
    for each in head[:5]:
        each["head"] = Heading(each["quantity"], "", True, True)
    return [*head, *rest]


def as_met(made: list[Column], rows: NDArray[np.bool_], kind: str) -> list[Column]:
    """Return the columns in the order in which their first values stand in a file that leaves empty values out."""
    if kind not in {"gpx", "kml points"}:
        return made
    met = []
    for place, each in enumerate(made):
        values = each["values"]
        full = rows if isinstance(values, list) else rows & np.isfinite(values)
        if full.any():
            first = -1 if each["quantity"] in {"time", "latitude", "longitude"} else int(np.argmax(full))
            met.append((first, place, each))
    return [each for _, _, each in sorted(met, key=lambda one: one[:2])]


def _named(column: Column, kind: str) -> Column:
    head = column["head"]
    text = head.text if kind != "gpx" else re.sub(r"[^\w.-]|^(?=[^A-Za-z_])", "_", head.text, flags=re.ASCII)
    return column | {"head": Heading(text, "", head.plain, head.unit_given)}


def write_track(made: list[Column], cells: list[list[Any]], kind: str, path: Path) -> Path:
    """Write a track; return the file.

    Parameters
    ----------
    made : list
        Columns in the order of `in_order`.
    cells : list of list
        Their kept values; None where empty.
    """
    places = {each["quantity"]: i for i, each in enumerate(made) if each["quantity"] in {*SAID, "time"}}
    points: list[dict[str, Any]] = []
    for row in zip(*cells, strict=True):
        points.append({"time": row[places["time"]], "lat": row[places["latitude"]], "lon": row[places["longitude"]],
                       "ele": row[places["height_sea_level"]] if "height_sea_level" in places else None,
                       "all": row})  # fmt: skip
    more = [(i, each["head"].text) for i, each in enumerate(made)
            if not (each["quantity"] == "time" or said_by_format(each, kind))]  # fmt: skip
    sat = places.get("satellites") if kind == "gpx" else None
    text = {"gpx": _gpx, "kml track": _kml_track, "kml points": _kml_points, "geojson line": _json_line,
            "geojson points": _json_points}[kind](points, more, sat)  # fmt: skip
    file = path.with_suffix(f".{kind.split(maxsplit=1)[0]}")
    file.write_text(text, encoding="utf-8")
    return file


Points = list[dict[str, Any]]
More = list[tuple[int, str]]


def _number(value: Any) -> str:
    return repr(float(value)) if isinstance(value, float) else str(value)


def _gpx(points: Points, more: More, sat: int | None) -> str:
    return "\n".join(_gpx_lines(points, more, sat))


def _gpx_lines(points: Points, more: More, sat: int | None) -> Iterator[str]:
    yield ('<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="made up" '
           'xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>')  # fmt: skip
    for point in points:
        if point["lat"] is None or point["lon"] is None:
            continue
        yield f'<trkpt lat="{point["lat"]}" lon="{point["lon"]}">'
        if point["ele"] is not None:
            yield f"<ele>{point['ele']}</ele>"
        yield f"<time>{point['time']}</time>"
        if sat is not None and point["all"][sat] is not None:
            yield f"<sat>{point['all'][sat]}</sat>"
        told = [(name, point["all"][i]) for i, name in more if point["all"][i] is not None]
        if told:
            yield "<extensions>" + "".join(f"<{n}>{escape(_number(v))}</{n}>" for n, v in told) + "</extensions>"
        yield "</trkpt>"
    yield "</trkseg></trk></gpx>"


def _kml(inside: Iterable[str]) -> str:
    top = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
    return "\n".join([top, *inside, "</Document></kml>"])


def _coordinates(point: dict[str, Any], gap: str) -> str:
    parts = [point["lon"], point["lat"], *([] if point["ele"] is None else [point["ele"]])]
    return gap.join(map(_number, parts))


def _kml_track(points: Points, more: More, sat: int | None) -> str:
    del sat
    full = [each for each in points if each["lat"] is not None and each["lon"] is not None]
    lines = ["<Placemark><Track><altitudeMode>absolute</altitudeMode>"]
    lines += [f"<when>{each['time']}</when>" for each in full]
    lines += [f"<coord>{_coordinates(each, ' ')}</coord>" for each in full]
    lines.append('<ExtendedData><SchemaData schemaUrl="#more">')
    for i, name in more:
        values = ("" if each["all"][i] is None else escape(_number(each["all"][i])) for each in full)
        lines.append(f"<SimpleArrayData name={quoteattr(name)}>")
        lines += [f"<value>{value}</value>" for value in values]
        lines.append("</SimpleArrayData>")
    return _kml([*lines, "</SchemaData></ExtendedData></Track></Placemark>"])


def _kml_points(points: Points, more: More, sat: int | None) -> str:
    del sat
    lines = []
    for each in points:
        if each["lat"] is None or each["lon"] is None:
            continue
        data = "".join(
            f"<Data name={quoteattr(name)}><value>{escape(_number(each['all'][i]))}</value></Data>"
            for i, name in more if each["all"][i] is not None
        )  # fmt: skip
        lines.append(
            f"<Placemark><TimeStamp><when>{each['time']}</when></TimeStamp><ExtendedData>{data}</ExtendedData>"
            f"<Point><altitudeMode>absolute</altitudeMode><coordinates>{_coordinates(each, ',')}</coordinates></Point>"
            "</Placemark>"
        )
    return _kml(lines)


def _place(point: dict[str, Any]) -> list[float]:
    return [point["lon"], point["lat"], *([] if point["ele"] is None else [point["ele"]])]


def _json_points(points: Points, more: More, sat: int | None) -> str:
    del sat
    features = [
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": _place(each)},
         "properties": {"time": each["time"]} | {name: each["all"][i] for i, name in more}}
        for each in points if each["lat"] is not None and each["lon"] is not None
    ]  # fmt: skip
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False)


def _json_line(points: Points, more: More, sat: int | None) -> str:
    del sat
    full = [each for each in points if each["lat"] is not None and each["lon"] is not None]
    lists = {"coordTimes": [each["time"] for each in full]} | {
        name: [each["all"][i] for each in full] for i, name in more
    }
    feature = {"type": "Feature", "geometry": {"type": "LineString", "coordinates": [_place(each) for each in full]},
               "properties": lists}  # fmt: skip
    return json.dumps({"type": "FeatureCollection", "features": [feature]}, ensure_ascii=False)
