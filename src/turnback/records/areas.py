"""Areas where people may be, in local metres around the launch point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class PeopleArea:
    """One polygon, with holes or without.

    Attributes
    ----------
    name : str
        As the file names it; empty where it does not.
    rings : tuple of ndarray
        Shape ``(n, 2)`` each, east and north in metres, read-only, first point repeated at the end; the outer ring
        first, holes after it.
    """

    name: str
    rings: tuple[Floats, ...]

    def __post_init__(self) -> None:
        """Freeze the rings."""
        frozen = []
        for ring in self.rings:
            array = np.array(ring, dtype=np.float64)
            array.flags.writeable = False
            frozen.append(array)
        object.__setattr__(self, "rings", tuple(frozen))

    def holds(self, x_m: Any, y_m: Any) -> Flags:
        """Return which points lie inside, holes taken out (even-odd rule).

        Parameters
        ----------
        x_m, y_m : float or array_like
            East and north of the launch point, shape ``(n,)``.
        """
        x, y = np.atleast_1d(np.asarray(x_m, dtype=np.float64)), np.atleast_1d(np.asarray(y_m, dtype=np.float64))
        inside = np.zeros(x.shape, dtype=np.bool_)
        if not x.size:
            return inside
        reach = (float(x.min()), float(y.min()), np.inf, float(y.max()))  # edges to the east decide
        for start, end in self._edges(reach):
            between = (start[1] > y) != (end[1] > y)
            rise = end[1] - start[1]
            at = start[0] + (y - start[1]) * (end[0] - start[0]) / (rise if rise else 1.0)
            inside ^= between & (x < at)
        return inside

    def crossed(self, x_m: Any, y_m: Any) -> bool:
        """Return whether a polyline passes over the area: a point inside, or a piece across its edge.

        Parameters
        ----------
        x_m, y_m : array_like
            The polyline, shape ``(n,)``; a single point is allowed.
        """
        x, y = np.atleast_1d(np.asarray(x_m, dtype=np.float64)), np.atleast_1d(np.asarray(y_m, dtype=np.float64))
        if bool(self.holds(x, y).any()):
            return True
        path = np.column_stack([x, y])
        reach = (float(x.min()), float(y.min()), float(x.max()), float(y.max()))
        return any(_meets(path[:-1], path[1:], start, end) for start, end in self._edges(reach))

    def met(self, x_m: Any, y_m: Any) -> bool:
        """Return whether a filled ring and the area share ground: they cross, or one lies inside the other.

        Parameters
        ----------
        x_m, y_m : array_like
            The ring, closed, shape ``(n,)``.
        """
        if self.crossed(x_m, y_m):
            return True
        outline = PeopleArea("", (np.column_stack([x_m, y_m]),))
        return bool(outline.holds(*self.rings[0][0]).any())  # no edges cross: all of its outer ring is inside, or none

    def box_m(self) -> tuple[float, float, float, float]:
        """Return west, south, east and north of the area."""
        west, south = self.rings[0].min(axis=0)
        east, north = self.rings[0].max(axis=0)
        return float(west), float(south), float(east), float(north)

    def _edges(self, reach: tuple[float, float, float, float]) -> list[tuple[Floats, Floats]]:
        """Return the edges whose box meets a box of west, south, east, north; touching counts."""
        found = []
        for ring in self.rings:
            low, high = np.minimum(ring[:-1], ring[1:]), np.maximum(ring[:-1], ring[1:])
            near = ((low <= reach[2:]) & (high >= reach[:2])).all(axis=1)
            found += [(ring[row], ring[row + 1]) for row in np.flatnonzero(near)]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class PeopleAreas:
    """All areas of a file."""

    areas: tuple[PeopleArea, ...]

    def crossed_by(self, x_m: Any, y_m: Any) -> list[str]:
        """Return the names of the areas that a polyline passes over, in the order of the file, each once.

        Parameters
        ----------
        x_m, y_m : array_like
            East and north of the launch point, shape ``(n,)``.
        """
        return list(dict.fromkeys(area.name for area in self.areas if area.crossed(x_m, y_m)))

    def met_by(self, x_m: Any, y_m: Any) -> list[str]:
        """Return the names of the areas that share ground with a filled ring, in the order of the file, each once.

        Parameters
        ----------
        x_m, y_m : array_like
            The ring, closed, shape ``(n,)``.
        """
        return list(dict.fromkeys(area.name for area in self.areas if area.met(x_m, y_m)))

    def holding(self, x_m: Any, y_m: Any) -> Flags:
        """Return which points lie inside any area, shape ``(n,)``.

        Parameters
        ----------
        x_m, y_m : array_like
            East and north of the launch point, shape ``(n,)``.
        """
        inside = np.zeros(np.shape(np.atleast_1d(x_m)), dtype=np.bool_)
        for area in self.areas:
            inside |= area.holds(x_m, y_m)
        return inside


def _meets(start: Floats, end: Floats, edge_start: Floats, edge_end: Floats) -> bool:
    """Whether any piece of a path, from `start` to `end`, both ``(n, 2)``, meets one edge; touching counts."""
    if not len(start):
        return False
    edge = edge_end - edge_start
    side_start, side_end = _turn(edge, start - edge_start), _turn(edge, end - edge_start)
    step = end - start
    side_low, side_high = _turn(step, edge_start - start), _turn(step, edge_end - start)
    across = (side_start * side_end <= 0.0) & (side_low * side_high <= 0.0)
    # pieces in one line with the edge satisfy both: their boxes must meet too
    low, high = np.minimum(start, end), np.maximum(start, end)
    edge_low, edge_high = np.minimum(edge_start, edge_end), np.maximum(edge_start, edge_end)
    near = ((low <= edge_high) & (high >= edge_low)).all(axis=1)
    return bool((across & near).any())


def _turn(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
