"""A sound plan as text, and the table of its broken versions: what several tests of the plan's readers start from."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

SOUND = """\
schema = 1
observer = "yes"

[aircraft]
class = "5-inch, 6 cells"
on_radio_loss = "automatic return"
mass_g = 460
automatic_return = { height_m = 80, speed_mps = 10 }

[pack]
label = "6S 1300 mAh 100C"
resistance_mohm_per_cell = 5.2

[radio]
control = "2.4 GHz, 100 mW"
video = "none"

[site]
latitude_deg = 36.6021
longitude_deg = -84.2185
antenna_height_m = 1.8

[weather]
wind_mps = 4
gust_mps = 7

[pilot]
packs_flown = 120

[route]
distance_m = 400
bearing_deg = 320
height_m = 60

[answers]
propellers_verified_today = "yes"
rest_v_per_cell = 4.18
"""
BROKEN: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("broken_plans.toml").read_text(encoding="utf-8"))[
    "plan"
]
"""Each with a name, the words changed, and the sentences told (without the file's name and the full stop)."""


def changed(changes: list[list[str]]) -> str:
    """Return the sound plan with words exchanged."""
    text = SOUND
    for old, new in changes:
        assert old in text, f"the sound plan has no {old!r}"
        text = text.replace(old, new, 1)
    return text
