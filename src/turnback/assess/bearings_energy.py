"""How far out energy lets it turn back on every bearing at once: only the draws that can rule, only where they might.

A turn-back distance is the unfavourable end over the draws, so of 250 draws the few weakest decide. They are found by a
rough march of all draws and bearings in the wind of one flight in twenty; each is then marched to ever fewer places by
halving, all bearings together. The places, nodes and chances are those of `turnback.assess.turning`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import Craft, landing_chance, landing_margin, loaded_margin_v, march_flight
from turnback.assess.legs import Legs, legs_turning_at
from turnback.assess.track import Track
from turnback.assess.turning import LONG_STEP_S, kept, places_of
from turnback.rules.chance import BAND_LOW, LIMIT_CHANCE

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

WINDY: Final = Nodes(np.array([1.645]), np.array([0.0]), np.array([1.0]))
SPARE_SHARE: Final = 0.16  # of the draws are looked at closely: three times those that decide
SPARE_LOADED_SHARE: Final = 0.12  # and of those whose volts under load are lowest
RANKED_AT: Final = (1.0 / 3.0, 2.0 / 3.0, 1.0)  # of the way to the farthest place asked about
RANK_STEP_S: Final = 30.0  # of the march that only ranks
SAME_WAY: Final = 1e-9


@dataclass(slots=True)
class _Way:
    """One bearing on the way to its answer."""

    track: Track
    places: Ints
    top: int
    """The first place beyond what is asked: farther ones decide nothing."""
    legs: dict[int, Legs] = field(default_factory=dict)

    def distance_m(self) -> Array:
        return self.track.along_m[self.places]

    def legs_to(self, place: int) -> Legs:
        if place not in self.legs:
            self.legs[place] = merged(legs_turning_at(self.track, int(self.places[place])))
        return self.legs[place]


def energy_reaches_m(craft: Craft, tracks: list[Track], enough_m: Array, nodes: Nodes) -> Array:
    """Return how far out each draw can turn back on energy, shape ``(b, j)``.

    Exact for the draws that decide the unfavourable end, as far as `enough_m`; a draw that decides nothing, and one
    that reaches farther than enough, is only placed beyond those.

    Parameters
    ----------
    craft : Craft
        In the ``j`` draws of a turn-back.
    tracks : list of Track
        Straight out, one for each of the ``b`` bearings.
    enough_m : ndarray, shape (b,)
        Farther than this nobody asks: another thing ends the way there.
    nodes : Nodes
        Of chance.
    """
    ways = [_way(track, float(enough)) for track, enough in zip(tracks, enough_m, strict=True)]
    bearing, draw = _weakest(craft, ways)
    reach = _halved(craft, ways, bearing, draw, nodes)
    farthest = np.array([way.distance_m()[-1] for way in ways])
    reaches = np.repeat(farthest[:, None], craft.draws.count, axis=1)
    reaches[bearing, draw] = reach
    return reaches


def deciding(count: int) -> int:
    """Return how many of the least values settle the unfavourable end of `count` draws."""
    return min(int(np.floor(BAND_LOW.value * (count - 1))) + 2, count)


def merged(legs: Legs, *, roughly: bool = False) -> Legs:
    """Join level legs of one direction and height, and leave out those that take no time: the same flight in fewer.

    Parameters
    ----------
    legs : Legs
    roughly : bool
        Join all legs of one direction, level at their mean height: good to rank draws by, not to judge them.
    """
    table = np.column_stack([legs.length_m, legs.climb_m, legs.east, legs.north, legs.height_m, legs.still_s])
    joined: list[Array] = []
    for row in table[(legs.length_m > 0.0) | (legs.still_s > 0.0)]:
        last = joined[-1] if joined else None
        if last is not None and _continues(last, row, roughly=roughly):
            share = row[0] / (last[0] + row[0])
            last[4] += share * (row[4] - last[4])
            last[:2] += row[:2]
        else:
            joined.append(row.copy())
    length, climb, east, north, height, still = np.array(joined).T
    return Legs(length, climb, east, north, height, still, np.cumsum(length), legs.far)


def _continues(last: Array, leg: Array, *, roughly: bool) -> bool:
    """True where a leg goes on as the last one did."""
    moving = last[0] > 0.0 and leg[0] > 0.0 and bool(np.abs(leg[2:4] - last[2:4]).max() < SAME_WAY)
    alike = last[1] == 0.0 and leg[1] == 0.0 and abs(leg[4] - last[4]) < SAME_WAY
    return moving and (roughly or alike)


def stacked(legs: list[Legs], which: Ints) -> Legs:
    """Return the legs of many flights as one set, shape ``(r, 1, s)``; the short ones end with a wait of no time."""
    most = max(flight.length_m.size for flight in legs)

    def table(name: str, *, repeat_last: bool) -> Array:
        columns = [getattr(flight, name) for flight in legs]
        filled = [np.append(each, np.full(most - each.size, each[-1] if repeat_last else 0.0)) for each in columns]
        return np.array(filled)[which][:, None, :]

    ends, height_m = table("end_along_m", repeat_last=True), table("height_m", repeat_last=True)
    rest = [table(name, repeat_last=False) for name in ("length_m", "climb_m", "east", "north", "still_s")]
    length_m, climb_m, east, north, still_s = rest
    return Legs(length_m, climb_m, east, north, height_m, still_s, ends, 0)


def _way(track: Track, enough_m: float) -> _Way:
    places = places_of(track)
    top = int(np.searchsorted(track.along_m[places], enough_m + 1e-6))
    return _Way(track, places, min(top, places.size - 1))


def _march(craft: Craft, ways: list[_Way], bearing: Ints, draw: Ints, place: Ints) -> tuple[Craft, Legs]:
    """Return the craft and the legs of many flights: each a draw that turns at a place of a bearing."""
    width = max(way.places.size for way in ways)
    pairs, which = np.unique(bearing * width + place, return_inverse=True)
    legs = [ways[pair // width].legs_to(int(pair % width)) for pair in pairs]
    return kept(craft, draw), stacked(legs, which)


def _weakest(craft: Craft, ways: list[_Way]) -> tuple[Ints, Ints]:
    """Return bearing and draw of those that may decide: least charge left, or least volts, in a windy flight.

    Margins of near and far flights are summed: far out all weak draws fail alike, and near by all strong ones hold.
    """
    count = craft.draws.count
    bearing, draw = (part.reshape(-1) for part in np.indices((len(ways), count)))
    flown = kept(craft, draw)
    charge, volts = np.zeros(draw.size), np.zeros(draw.size)
    for part in RANKED_AT:
        rough = [
            merged(legs_turning_at(way.track, int(way.places[round(part * way.top)])), roughly=True) for way in ways
        ]
        marched = march_flight(flown, stacked(rough, bearing), WINDY, RANK_STEP_S)
        charge += landing_margin(marched, flown)[:, 0, 0]
        volts += loaded_margin_v(marched, flown)[:, 0, 0]
    chosen = np.zeros((len(ways), count), dtype=np.bool_)
    for margin, share in ((charge, SPARE_SHARE), (volts, SPARE_LOADED_SHARE)):
        many = min(count, max(deciding(count), round(share * count)))
        order = np.argsort(margin.reshape(len(ways), count), axis=1, kind="stable")[:, :many]
        np.put_along_axis(chosen, order, values=True, axis=1)
    bearing, draw = np.nonzero(chosen)
    return bearing, draw


def _halved(craft: Craft, ways: list[_Way], bearing: Ints, draw: Ints, nodes: Nodes) -> Array:
    """Return the reach of each flight: between the last place that holds the limit chance and the first that fails."""
    limit, decides = LIMIT_CHANCE.value, deciding(craft.draws.count)
    width = max(way.places.size for way in ways)
    distance = np.array([np.append(way.distance_m(), np.full(width - way.places.size, np.inf)) for way in ways])
    top = np.array([way.top for way in ways])[bearing]
    holds, fails = np.full(bearing.size, -1), top + 1  # places; before the first, and beyond the last, nobody looked
    chance_holds, chance_fails = np.ones(bearing.size), np.full(bearing.size, np.nan)
    place, left = top.copy(), np.arange(bearing.size)
    while left.size:
        flown, legs = _march(craft, ways, bearing[left], draw[left], place[left])
        chance = landing_chance(march_flight(flown, legs, nodes, LONG_STEP_S), flown)
        good, bad = left[chance >= limit], left[chance < limit]
        holds[good], chance_holds[good] = place[good], chance[chance >= limit]
        fails[bad], chance_fails[bad] = place[bad], chance[chance < limit]
        place = (holds + fails) // 2
        least = np.where(holds >= 0, distance[bearing, np.maximum(holds, 0)], 0.0)
        most = np.where(fails <= top, distance[bearing, np.minimum(fails, width - 1)], np.inf)
        beaten = np.zeros(bearing.size, dtype=np.bool_)
        for b in range(len(ways)):
            here = np.flatnonzero(bearing == b)
            beaten[here] = least[here] > np.sort(most[here])[decides - 1]
        left = np.flatnonzero((fails - holds > 1) & ~beaten)
    between = (fails <= top) & (holds >= 0)
    fall = np.where(between, chance_holds - chance_fails, 1.0)
    share = np.where(between & (fails - holds == 1), (chance_holds - limit) / fall, 0.0)
    return np.asarray(least + share * np.where(between, most - least, 0.0))
