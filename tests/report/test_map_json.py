"""map.json keeps to its schema and sums each layer up; the schema refuses what is not a map."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import jsonschema
import numpy as np
import pytest
from tests.report.made_map import made, nowhere

from turnback.records.home_map import LAYERS, NO_DATA, Layer
from turnback.report.map_json import layer_data, map_data, map_json
from turnback.report.map_schema import map_schema, map_schema_json

SCHEMA = map_schema()
KEEPS = jsonschema.Draft202012Validator(SCHEMA)
MAP = made(101)
DATA = map_data(MAP)


def stored(values: list[list[int]], key: str = "energy") -> Layer:
    """Return a layer of these stored numbers."""
    return Layer(key, np.array(values, dtype=np.int16), *LAYERS[key])


def test_it_keeps_to_its_schema_with_and_without_a_place() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert list(KEEPS.iter_errors(DATA)) == []
    bare = nowhere(
        made(31, return_set_m=None, return_works=None, limit_height_m=None, limit_distance_m=None, heights=())
    )
    assert list(KEEPS.iter_errors(map_data(bare))) == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data.pop("ring"),
        lambda data: data.update(more=1),
        lambda data: data["ring"].update(chance="much"),
        lambda data: data["layers"][0].pop("unit"),
        lambda data: data.update(height_above="sea level"),
        lambda data: data.update(measured=["camera"]),
    ],
)
def test_what_is_no_map_does_not_keep_to_it(spoil: Callable[[dict[str, Any]], object]) -> None:
    data = copy.deepcopy(DATA)
    spoil(data)
    assert list(KEEPS.iter_errors(data))


def test_the_text_is_strict_json_without_cells() -> None:
    text = map_json(MAP)
    assert text.endswith("}\n")

    def refuse(name: str) -> None:
        raise ValueError(name)

    assert json.loads(text, parse_constant=refuse) == json.loads(json.dumps(DATA))
    assert len(text) < 10 * MAP.layers["home"].values.size  # 19 layers of it stand in the GeoTIFF


def test_ring_and_heights_are_those_of_the_map() -> None:
    assert DATA["ring"]["turn_back_m"] == MAP.ring.turn_back_m.tolist()
    assert DATA["ring"]["reason"] == list(MAP.ring.reason)
    assert [each["height_m"] for each in DATA["heights"]] == [30.0, 60.0, 90.0, 120.0]
    assert DATA["heights"][0]["ring"]["share_home"] == MAP.heights[0].ring.share_home
    assert any("does not know your local law" in caution for caution in DATA["cautions"])


def test_layers_are_summed_up_as_numpy_does() -> None:
    for said in DATA["layers"]:
        layer = MAP.layers[said["key"]]
        known = layer.values[layer.values != NO_DATA]
        assert said["known_share"] == known.size / layer.values.size
        if layer.unit == "":
            shares = {each["code"]: each["share"] for each in said["codes"]}
            assert shares == {int(code): (known == code).mean() for code in np.unique(known)}
            assert said["median"] is None
        else:
            middle = float(np.sort(known)[(known.size - 1) // 2])  # the lower median
            assert said["median"] == pytest.approx(middle * layer.scale, abs=1e-9)
            assert said["least"] == pytest.approx(known.min() * layer.scale, abs=1e-9)
            assert said["most"] == pytest.approx(known.max() * layer.scale, abs=1e-9)
            assert said["codes"] == []


def test_bands_are_counted_in_the_order_of_the_geotiff() -> None:
    assert [(each["band"], each["key"]) for each in DATA["layers"]] == list(enumerate(LAYERS, start=1))


def test_a_layer_by_hand() -> None:
    said = layer_data(stored([[100, NO_DATA, 300], [-50, 200, 32767]]), 3)
    assert (said.least, said.median, said.most) == (-0.5, 2.0, 327.67)
    assert said.known_share == 5 / 6
    assert (said.band, said.unit, said.scale) == (3, "W h", 0.01)


def test_a_layer_of_nothing() -> None:
    said = layer_data(stored([[NO_DATA, NO_DATA]]), 1)
    assert (said.least, said.median, said.most, said.known_share) == (None, None, None, 0.0)
    assert layer_data(stored([[NO_DATA]], "reason"), 1).codes == ()


def test_codes_by_hand() -> None:
    said = layer_data(stored([[0, 0, 4], [NO_DATA, 0, 4]], "reason"), 4).codes
    assert [(each.code, each.name, each.share) for each in said] == [(0, "home", 0.6), (4, "wind", 0.4)]
    seen = layer_data(stored([[1, 0, 1, 1]], "sight"), 4).codes
    assert [(each.name, each.share) for each in seen] == [("hidden", 0.25), ("seen", 0.75)]


def test_the_schema_says_units_and_is_the_same_each_time() -> None:
    assert SCHEMA["properties"]["sight_m"]["x-unit"] == "m"
    assert SCHEMA["$defs"]["TurnBackRing"]["properties"]["bearing_deg"]["x-unit"] == "°"
    assert map_schema_json() == map_schema_json()
    assert json.loads(map_schema_json()) == SCHEMA
