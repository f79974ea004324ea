"""Names spoiled at random, for tests of how far chances can be trusted. Everything is invented."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
from tests.readers.record_tables import Truth, messy

from turnback.readers.record_match import match_columns
from turnback.records.record_read import RawTable

OTHER_TONGUES = {
    "roll": ("rollio", "roulis", "alabeo", "Roll"), "pitch": ("beccheggio", "tangage", "cabeceo", "Nick"),
    "yaw": ("imbardata", "lacet", "guiñada", "Gier"), "rate": ("tasso", "vitesse", "tasa", "rate"),
    "speed": ("velocità", "vitesse", "velocidad", "Geschwindigkeit", "snelheid"),
    "voltage": ("tensione", "tension", "voltaje", "Spannung", "spanning"),
    "current": ("corrente", "courant", "corriente", "Strom", "stroom"),
    "battery": ("batteria", "batterie", "batería", "Akku", "accu"),
    "height": ("quota", "hauteur", "altura", "Höhe", "hoogte"),
    "altitude": ("altezza", "altitude", "altitud", "Höhe", "hoogte"),
    "temperature": ("temperatura", "température", "temperatura", "Temperatur", "temperatuur"),
    "motor": ("motore", "moteur", "motor", "Motor"), "time": ("tempo", "temps", "tiempo", "Zeit", "tijd"),
    "pressure": ("pressione", "pression", "presión", "Druck", "druk"),
    "power": ("potenza", "puissance", "potencia", "Leistung", "vermogen"),
    "north": ("nord", "nord", "norte", "Nord", "noord"), "east": ("est", "est", "este", "Ost", "oost"),
    "distance": ("distanza", "distance", "distancia", "Entfernung", "afstand"),
    "quality": ("qualità", "qualité", "calidad", "Qualität", "kwaliteit"),
}  # fmt: skip
NOISE = ("zq", "v2", "fx", "new", "main", "log", "ch", "blk")


def mangled(name: str, rng: np.random.Generator) -> str:
    """Return a name with one or two things done to it; numbers and corners are kept."""
    words = [word for word in re.split(r"[\s_]+|(?<=[a-z])(?=[A-Z])", name) if word]
    for _ in range(int(rng.integers(1, 3))):
        done = int(rng.integers(6))
        place = int(rng.integers(len(words)))
        word = words[place]
        plain = word.isalpha() and len(word) > 4
        if done == 0 and plain:
            words[place] = word[0] + re.sub("[aeiou]", "", word[1:])
        elif done == 1 and plain:
            words[place] = word[: int(rng.integers(3, 6))]
        elif done == 2 and not any(each.isdigit() for each in words):
            words = words[::-1]
        elif done == 3:
            words = [str(rng.choice(NOISE)), *words]
        elif done == 4:
            words = [*words, str(rng.choice(NOISE))]
        elif word.lower() in OTHER_TONGUES:
            words[place] = str(rng.choice(OTHER_TONGUES[word.lower()]))
    return str(rng.choice(["_", " "])).join(words)


def spoiled(seed: int, says_unit: float) -> tuple[RawTable, list[Truth]]:
    """Return a made-up table with seven of ten names mangled, and what its columns are."""
    rng = np.random.default_rng([seed, 41])
    made, truths = messy(seed, says_unit)
    columns = tuple(
        replace(each, name=mangled(each.name, rng) if rng.random() < 0.7 else each.name) for each in made.columns
    )
    return replace(made, columns=columns), truths


def reliability(tables: int, first_seed: int = 9000) -> list[tuple[float, bool, bool]]:
    """Return, of every likeliest reading that is a channel, its chance, whether it is right, whether it is taken."""
    found = []
    for seed in range(first_seed, first_seed + tables):
        made, truths = spoiled(seed, says_unit=0.5 + 0.5 * (seed % 2))
        for match, truth in zip(match_columns(made).matches, truths, strict=True):
            if not match.readings or match.readings[0].channel.quantity.value == "other":
                continue
            best = match.readings[0]
            right = truth.channel == best.channel and math.isclose(best.scale, truth.scale, rel_tol=1e-9)
            found.append((best.chance, right, match.taken is not None))
    return found
