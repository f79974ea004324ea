"""Small builders of Vega-Lite marks, and the look that every chart shares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Spec = dict[str, Any]
Array = NDArray[np.float64]

SCHEMA: Final = "https://vega.github.io/schema/vega-lite/v6.json"
"""The name of the language the specs are written in; nothing is fetched from it."""
MOST_POINTS: Final = 400
NARROW_BELOW_PX: Final = 400
PLAIN_NUMBER: Final = "~f"
"""Ticks read as the text reads: 1200 and 3.5, no comma, no trailing zeros."""

INK: Final = "#16232a"
CARD: Final = "#fbfaf4"
GRID: Final = "#d9d6c8"
EARTH: Final = "#8a6f4e"
LEAF: Final = "#7d9a5b"
SKY: Final = "#8fb7cc"
RADIO: Final = "#0d4f78"
HOME: Final = "#7d1d4f"
PATH: Final = "#3b3b3b"
RUST: Final = "#a3341b"


class Swatch(Enum):
    """How a key entry is drawn: what a reader looks for in the chart."""

    LINE = "line"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class Key:
    """One entry of a chart's key."""

    label: str
    colour: str
    swatch: Swatch
    dash: tuple[int, ...] = ()
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: layers for any width, its key, and what it says in words."""

    name: str
    title: str
    alt: str
    layers: tuple[Spec, ...]
    keys: tuple[Key, ...]
    height: int
    """In pixels; the most of it where `aspect` is set."""
    aspect: float = 0.0
    """Height over width, so that both axes have one scale; 0 where the height is free."""
    background: str = CARD
    framed: bool = True
    narrow_layers: tuple[Spec, ...] = ()
    """For a phone, where `layers` has more words than fit; empty where it has not."""

    def spec(self, width: int, font_px: int) -> Spec:
        """Return the Vega-Lite specification at a width."""
        narrow = width < NARROW_BELOW_PX
        wide_px, tall_px = self._size(width)
        return {
            "$schema": SCHEMA,
            "width": wide_px,
            "height": tall_px,
            "padding": 6,
            "background": self.background,
            "layer": list(self.narrow_layers if narrow and self.narrow_layers else self.layers),
            "config": _config(font_px, self.background, framed=self.framed, narrow=narrow),
        }

    def _size(self, width: int) -> tuple[int, int]:
        if self.aspect <= 0.0:
            return width, self.height
        wide = min(float(width), self.height / self.aspect)
        return round(wide), round(wide * self.aspect)


def thinned(*arrays: Array) -> tuple[Array, ...]:
    """Return at most 400 points of arrays on one grid, keeping the least and greatest of the first in each stretch."""
    lead = arrays[0]
    if lead.size <= MOST_POINTS:
        return arrays
    edges = np.linspace(0, lead.size, MOST_POINTS // 2 - 1).astype(int)
    kept = {0, lead.size - 1}
    for start, stop in pairwise(edges):
        if stop > start:
            kept.add(start + int(np.argmin(lead[start:stop])))
            kept.add(start + int(np.argmax(lead[start:stop])))
    index = np.array(sorted(kept))
    return tuple(array[index] for array in arrays)


def rows(digits: int = 2, **columns: Array) -> Spec:
    """Return columns as inline data; places that are not finite are left out."""
    names = list(columns)
    table = np.column_stack([np.asarray(columns[name], dtype=np.float64) for name in names])
    table = table[np.isfinite(table).all(axis=1)]
    return {"values": [dict(zip(names, (round(float(x), digits) for x in row), strict=True)) for row in table]}


def axis_x(title: str, values_from: Sequence[float] | None = None) -> Spec:
    """Return the x channel; `values_from` fixes its ends."""
    channel: Spec = {"field": "x", "type": "quantitative", "title": title, "axis": {"format": PLAIN_NUMBER}}
    if values_from is not None:
        channel["scale"] = {"domain": [round(float(end), 3) for end in values_from], "nice": False}
    return channel


def axis_y(title: str, ends: Sequence[float]) -> Spec:
    """Return the y channel with fixed ends."""
    return {
        "field": "y",
        "type": "quantitative",
        "title": title,
        "axis": {"format": PLAIN_NUMBER},
        "scale": {"domain": [round(float(end), 3) for end in ends], "nice": False, "zero": False},
    }


def line(data: Spec, x: Spec, y: Spec, colour: str, width: float = 2.5, dash: Sequence[int] = ()) -> Spec:
    """Return a line in the order of its data."""
    mark: Spec = {"type": "line", "color": colour, "strokeWidth": width, "clip": True}
    if dash:
        mark["strokeDash"] = list(dash)
    return {"data": data, "mark": mark, "encoding": {"x": x, "y": y, "order": {"field": "x", "type": "quantitative"}}}


def area(data: Spec, x: Spec, y: Spec, colour: str, opacity: float = 1.0) -> Spec:
    """Return the area between ``y`` and ``y2``."""
    mark = {"type": "area", "color": colour, "opacity": opacity, "clip": True}
    return {"data": data, "mark": mark, "encoding": {"x": x, "y": y, "y2": {"field": "y2"}}}


def level(value: float, x: Spec, y: Spec, ends: Sequence[float], colour: str, dash: Sequence[int] = ()) -> Spec:
    """Return a level line across the chart."""
    data = {"values": [{"x": round(float(end), 3), "y": round(float(value), 3)} for end in ends]}
    return line(data, x, y, colour, 2.0, dash)


def upright(at: float, x: Spec, y: Spec, ends: Sequence[float], colour: str, dash: Sequence[int] = ()) -> Spec:
    """Return an upright line through the chart."""
    data = {"values": [{"x": round(at, 3), "y": round(float(end), 3)} for end in ends]}
    return line(data, x, y, colour, 2.0, dash)


def dot(at: tuple[float, float], x: Spec, y: Spec, colour: str, shape: str) -> Spec:
    """Return one marked place."""
    return {
        "data": {"values": [{"x": round(at[0], 3), "y": round(at[1], 3)}]},
        "mark": {"type": "point", "filled": True, "size": 110, "color": colour, "shape": shape, "opacity": 1},
        "encoding": {"x": x, "y": y},
    }


def outline(
    rings: Sequence[tuple[Array, Array]], x: Spec, y: Spec, colour: str, fill: str = "", opacity: float = 1.0,
    dash: Sequence[int] = (), width: float = 2.0,
) -> Spec:  # fmt: skip
    """Return closed outlines, each of ``x`` and ``y``, drawn and filled."""
    values = [
        {"x": round(float(east), 2), "y": round(float(north), 2), "ring": ring, "at": at}
        for ring, (xs, ys) in enumerate(rings)
        for at, (east, north) in enumerate(zip(xs, ys, strict=True))
    ]
    mark: Spec = {"type": "line", "interpolate": "linear-closed", "color": colour, "strokeWidth": width, "clip": True}
    mark |= {"fill": fill, "fillOpacity": opacity} if fill else {}
    mark |= {"strokeDash": list(dash)} if dash else {}
    channels: Spec = {"x": x, "y": y, "order": {"field": "at", "type": "quantitative"}}
    channels["detail"] = {"field": "ring", "type": "nominal"}
    return {"data": {"values": values}, "mark": mark, "encoding": channels}


def labels(
    places: Sequence[tuple[float, float, str]], x: Spec, y: Spec, colour: str = INK, *, halo: str = "", **mark: Any
) -> list[Spec]:
    """Return words at places; with a halo they read on any ground."""
    values = [{"x": round(east, 2), "y": round(north, 2), "text": words} for east, north, words in places]
    channels: Spec = {"x": x, "y": y, "text": {"field": "text", "type": "nominal"}}
    front: Spec = {"data": {"values": values}, "mark": {"type": "text", "color": colour, **mark}, "encoding": channels}
    if not halo:
        return [front]
    edge = {"stroke": halo, "strokeWidth": 3, "strokeJoin": "round", "strokeOpacity": 0.85}
    return [{**front, "mark": {**front["mark"], "color": halo, **edge}}, front]


def picture(url: str, west: float, south: float, east: float, north: float, x: Spec, y: Spec) -> Spec:
    """Return an image laid over a rectangle of both axes."""
    values = [{"x": west, "x2": east, "y": south, "y2": north, "url": url}]
    channels: Spec = {"x": x, "y": y, "x2": {"field": "x2"}, "y2": {"field": "y2"}}
    channels["url"] = {"field": "url", "type": "nominal"}
    return {"data": {"values": values}, "mark": {"type": "image", "aspect": False, "clip": True}, "encoding": channels}


def bare(ends: Sequence[float], field: str) -> Spec:
    """Return a channel with fixed ends and neither axis nor title."""
    scale = {"domain": [round(float(end), 3) for end in ends], "nice": False, "zero": False}
    return {"field": field, "type": "quantitative", "axis": None, "scale": scale}


def _config(font_px: int, background: str, *, framed: bool, narrow: bool) -> Spec:
    text = {"labelColor": INK, "titleColor": INK, "labelFontSize": font_px, "titleFontSize": font_px}
    return {
        "font": "sans-serif",
        "view": {"stroke": GRID if framed else None, "fill": background},
        "text": {"fontSize": font_px - 2, "color": INK},
        "axis": {
            **text,
            "gridColor": GRID,
            "domainColor": INK,
            "tickColor": INK,
            "titleFontWeight": "normal",
            "tickCount": 4 if narrow else 7,
            "titlePadding": 8,
            "labelOverlap": "greedy",
            "labelSeparation": 12 if narrow else 6,
        },
    }
