"""What the product answers to a plan: the only place of this study that calls it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.flows.flight import Flight
from turnback.readers.case import read_case
from turnback.records.finding import Verdict

__all__ = ["Answer", "Flight", "answer_of", "distance_for", "farthest_go", "flight_of", "roughly", "without_turning"]

Array = NDArray[np.float64]

NEAREST_M: Final = 20.0
CLOSE: Final = 0.03
FARTHEST_M: Final = 4500.0
RESCUES: Final = (0.0, 0.9)
"""What a lost link may be worth in the product's chance; which of the two it took is read off its own mean."""


@dataclass(frozen=True)
class Answer:
    """A brief's chance of coming home, as it stands on page one, and what it is made of."""

    mid: float
    """The median over the brief's worlds; it does not say it."""
    low: float
    high: float
    mean: float
    """What the brief says: the mean over the same worlds."""
    pack_mid: float
    pack_mean: float
    links_mid: float
    links_mean: float
    verdict: str
    """That of the whole brief where it is a go, else no worse than it (no turn-back worked out)."""


def flight_of(path: Path, text: str) -> Flight:
    """Write a plan file and read it as the product does."""
    path.write_text(text)
    return Flight(read_case(path), seed=1)


def roughly(flight: Flight, tested: bool) -> float:
    """Return about the chance that the brief will say: quicker, for choosing how far a plan goes."""
    rescue = RESCUES[1] if tested else RESCUES[0]
    return float(np.mean(_home(flight, rescue)))


def without_turning(flight: Flight) -> Flight:
    """Spare a flight its turn-back: neither its chance of coming home nor anything but a worse verdict rests on it."""
    count = flight.craft.draws.count
    anywhere = SimpleNamespace(rows=np.arange(count), reach_m=np.full(count, 1e9), reach_s=np.zeros(count))
    flight.__dict__["turning"] = anywhere  # where the flight itself would keep it
    return flight


def answer_of(make: Callable[[], Flight]) -> Answer:
    """Return the brief's chance and verdict.

    A flight without its turn-back has the same chance of coming home and no worse a verdict, so the whole is worked
    out only where that verdict is a go.
    """
    flight = without_turning(make())
    verdict = flight.verdict
    if verdict is Verdict.GO:
        flight = make()
        verdict = flight.verdict
    home = flight.home
    rescue = min(RESCUES, key=lambda each: abs(float(np.mean(_home(flight, each))) - home.mid))
    links = np.prod([link.chance for link in flight.links], axis=0)
    return Answer(
        float(np.median(_home(flight, rescue))), home.low, home.high, home.mid,
        float(np.median(flight.energy.chance)), float(flight.energy.chance.mean()),
        float(np.median(links)), float(links.mean()), verdict.value,
    )  # fmt: skip


def _home(flight: Flight, rescue: float) -> Array:
    return np.asarray(flight.energy.chance * np.prod(_links(flight, rescue), axis=0))


def _links(flight: Flight, rescue: float) -> list[Array]:
    return [np.asarray(link.chance + (1.0 - link.chance) * rescue) for link in flight.links]


def distance_for(aim: float, tested: bool, make: Callable[[float], Flight]) -> float:
    """Return how far out a plan has to go for the brief to say about `aim`, by halving on the product's answer alone.

    The radios are asked first, since they answer quickest; the pack only brings the plan nearer.
    """
    rescue = RESCUES[1] if tested else RESCUES[0]

    def by_radio(distance_m: float) -> float:
        return float(np.mean(np.prod(_links(make(distance_m), rescue), axis=0)))

    farthest = _halved(aim, by_radio, NEAREST_M, FARTHEST_M, 6)
    if roughly(make(farthest), tested) > aim - CLOSE:
        return farthest
    return _halved(aim, lambda distance_m: roughly(make(distance_m), tested), NEAREST_M, farthest, 4)


def _halved(aim: float, says: Callable[[float], float], low: float, high: float, steps: int) -> float:
    for _ in range(steps):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if says(middle) > aim else (low, middle)
    return float((low * high) ** 0.5)


def farthest_go(distances_m: Iterable[float], make: Callable[[float], Flight]) -> float:
    """Return the first distance at which the brief says go, else the last."""
    distance_m = NEAREST_M
    for distance_m in distances_m:
        if make(distance_m).reaches(Verdict.GO):
            break
    return distance_m
