"""Broken plans, each a small edit of a sound one or a set of files, with the exact sentences it must get.

The wording is this project's own choice; each sentence in `broken_plans.toml` was read by a person's eye for: where,
what was met, what is allowed, what to do.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.readers.plans import BROKEN, SOUND, changed

from turnback.base.errors import InputError
from turnback.readers.fault_words import MOST_FAULTS
from turnback.readers.plan_files import read_aircraft, read_pack, read_plan

AIRCRAFT = '[aircraft]\nclass = "5-inch, 6 cells"\non_radio_loss = "automatic return"\nmass_g = 460\n'
AIRCRAFT += "automatic_return = { height_m = 80, speed_mps = 10 }\n"
PACK = '[pack]\nlabel = "6S 1300 mAh 100C"\nresistance_mohm_per_cell = 5.2\n'
NOT_TOML = "write key = value, words in double quotes, numbers without a unit and with a decimal point."
SITE = "[site]\nlatitude_deg = 36.6021\nlongitude_deg = -84.2185\nantenna_height_m = 1.8\n"


def sentences(path: Path, reader: Callable[[Path], Any] = read_plan) -> list[str]:
    with pytest.raises(InputError) as caught:
        reader(path)
    assert caught.value.exit_status == 2
    return [fault.sentence() for fault in caught.value.faults]


def test_the_sound_plan_is_sound(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(SOUND, encoding="utf-8")
    assert read_plan(path).aircraft.mass_g is not None
    assert len(BROKEN) >= 60
    assert len({row["name"] for row in BROKEN}) == len(BROKEN)


@pytest.mark.parametrize("row", BROKEN, ids=[row["name"] for row in BROKEN])
def test_a_broken_plan_gets_its_sentences(row: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(changed(row["change"]), encoding="utf-8")
    assert sentences(path) == [f"plan.toml: {text}." for text in row["says"]]


BYTES: list[tuple[str, bytes, str]] = [
    ("empty", b"", "plan.toml: schema: it is missing; write schema = 1 on the first line."),
    ("latin-1", SOUND.encode().replace(b"[aircraft]", b'note = "H\xf6he"\n[aircraft]'),
     "plan.toml: line 4 is not UTF-8 text; save the file as UTF-8."),
    ("utf-16", SOUND.encode("utf-16"), "plan.toml: line 1 is not UTF-8 text; save the file as UTF-8."),
    ("a picture", b"\x89PNG\r\n\x1a\n" + bytes(100), "plan.toml: line 1 is not UTF-8 text; save the file as UTF-8."),
    ("zeros", bytes(100), "plan.toml: line 1 is not TOML: '" + "\\x00" * 57 + f"...'; {NOT_TOML}"),
    ("too large", SOUND.encode() + b"# more\n" * 40000, "plan.toml: plan.toml is larger than 256 kB; "
     "give the right file, or a smaller one."),
    ("too deep", SOUND.replace("mass_g = 460", "mass_g = " + "[" * 20 + "]" * 20).encode(),
     "plan.toml: tables are nested more than 8 deep; write a plan's tables side by side."),
    ("far too deep", SOUND.replace("mass_g = 460", "mass_g = " + "[" * 20000 + "]" * 20000).encode(),
     "plan.toml: tables are nested more than 8 deep; write a plan's tables side by side."),
    ("deep by dots", SOUND.replace("[weather]", "[weather" + ".a" * 2000 + "]").encode(),
     "plan.toml: tables are nested more than 8 deep; write a plan's tables side by side."),
    ("a number of thousands of digits", SOUND.replace("= 460", "= 1" + "0" * 5000).encode(),
     "plan.toml: a number or date in it cannot be read; write ordinary numbers and dates."),
    ("JSON", b'{"schema": 1}', f"plan.toml: line 1 is not TOML: '{{\"schema\": 1}}'; {NOT_TOML}"),
    ("long METAR", SOUND.replace("wind_mps = 4\ngust_mps = 7", f'metar = "{"A" * 500}"').encode(),
     "plan.toml: weather.metar: the text has 500 letters, more than 400; shorten it."),
    ("long path", SOUND.replace("antenna_height_m = 1.8", f'terrain = "{"a" * 400}"').encode(),
     "plan.toml: site.terrain: the text has 400 letters, more than 300; shorten it."),
    ("fifteen cells", SOUND.replace("resistance_mohm_per_cell = 5.2", f"cell_rest_v = [{'4.1, ' * 15}]").encode(),
     "plan.toml: pack.cell_rest_v: it has more than 14 entries; leave some out."),
    ("2001 waypoints", SOUND.replace(
        "distance_m = 400\nbearing_deg = 320\nheight_m = 60",
        f"waypoints = [{'{ east_m = 9, north_m = 0, height_m = 4 },' * 2001}]").encode(),
     "plan.toml: route.waypoints: it has more than 2000 entries; leave some out."),
]  # fmt: skip


@pytest.mark.parametrize(("content", "sentence"), [row[1:] for row in BYTES], ids=[row[0] for row in BYTES])
def test_bytes_that_are_no_plan_get_their_sentence(content: bytes, sentence: str, tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    assert sentences(path)[0] == sentence


def referring(part: str, reference: str, table: str) -> str:
    return SOUND.replace(table, "").replace('observer = "yes"', f'observer = "yes"\n{part} = "{reference}"')


FILES: list[tuple[str, dict[str, str], list[str]]] = [
    ("a part's file is missing", {"plan.toml": referring("pack", "packs/blue.toml", PACK)},
     ["plan.toml: pack: blue.toml does not exist; correct the path."]),
    ("a part is a folder", {"plan.toml": referring("pack", "packs.toml", PACK), "packs.toml/a.toml": ""},
     ["plan.toml: pack: packs.toml is a folder; give the file inside it."]),
    ("a part leads out of the folder", {"plan.toml": referring("pack", "../pack.toml", PACK)},
     ["plan.toml: pack: '../pack.toml' leads out of the plan's folder; "
      "put the file into the plan's folder or below it."]),
    ("a part is absolute", {"plan.toml": referring("pack", "/tmp/pack.toml", PACK)},
     ["plan.toml: pack: '/tmp/pack.toml' is an absolute path; "
      "write a path relative to this file, so the plan can move."]),
    ("a part is the plan itself", {"plan.toml": referring("pack", "./plan.toml", PACK)},
     ["plan.toml: pack: it names the plan itself; name the part's own file."]),
    ("a part is no TOML", {
        "plan.toml": referring("pack", "p/blue.toml", PACK), "p/blue.toml": "schema = 1\nlabel = 6S\n"},
     [f"p/blue.toml: line 2 is not TOML: 'label = 6S'; {NOT_TOML}"]),
    ("a part has no schema", {
        "plan.toml": referring("pack", "p/blue.toml", PACK), "p/blue.toml": 'label = "6S 1300 mAh"\n'},
     ["p/blue.toml: schema: it is missing; write schema = 1 on the first line."]),
    ("a part is from the future", {
        "plan.toml": referring("pack", "p/blue.toml", PACK), "p/blue.toml": 'schema = 7\nlabel = "6S 1300 mAh"\n'},
     ["p/blue.toml: schema: version 7 is newer than this Turnback reads (1); install a newer Turnback."]),
    ("faults of two files at once", {
        "plan.toml": referring("pack", "p/blue.toml", PACK).replace("mass_g = 460", "mass_g = 0.46"),
        "p/blue.toml": 'schema = 1\nlabel = "6S 1300 mAh"\nresistance_mohm_per_cell = 0.005\n'},
     ["plan.toml: aircraft.mass_g: 0.46 g is outside 15 to 10000 g; enter grams, not kilograms.",
      "p/blue.toml: resistance_mohm_per_cell: 0.005 mΩ is outside 0.2 to 200 mΩ; enter milliohms, not ohms."]),
    ("contradictions across files", {
        "plan.toml": referring("pack", "p/blue.toml", PACK).replace("cell = 4.18", "cell = 3.7"),
        "p/blue.toml": 'schema = 1\nlabel = "4S 1500 mAh"\ncells = 6\ncell_rest_v = [4.1, 4.1, 4.1, 4.1]\n'},
     ["p/blue.toml: cells: 6 contradicts the label, which says 4; correct one of the two.",
      "p/blue.toml: cell_rest_v: 4 cells are listed, but the pack has 6; give the rest volts of every cell.",
      "plan.toml: answers.rest_v_per_cell: 3.7 V per cell does not agree with the cells' 4.1 V; "
      "measure again, or leave one of the two out."]),
    ("a missing part hides no other fault", {
        "plan.toml": referring("pack", "blue.toml", PACK).replace("gust_mps = 7", "gust_mps = 2")},
     ["plan.toml: pack: blue.toml does not exist; correct the path.",
      "plan.toml: weather.gust_mps: gusts of 2 m/s are below the mean wind of 4 m/s; "
      "exchange the two, or correct one."]),
    ("a site's terrain counts from the site's file and leads out", {
        "plan.toml": referring("site", "sites/hill.toml", SITE),
        "sites/hill.toml": 'schema = 1\nlatitude_deg = 1\nlongitude_deg = 2\nterrain = "../../hill.tif"\n'},
     ["sites/hill.toml: terrain: '../../hill.tif' leads out of the plan's folder; "
      "put the file into the plan's folder or below it."]),
    ("a pack where an aircraft should be", {
        "plan.toml": referring("aircraft", "blue.toml", AIRCRAFT), "blue.toml": 'schema = 1\nlabel = "6S 1300 mAh"\n'},
     ['blue.toml: class: it is missing; add it: class of aircraft, one of "ducted micro", "3-inch", "5-inch, 4 cells", '
      '"5-inch, 6 cells", "7-inch".',
      "blue.toml: label: the key is not known here; it belongs in pack."]),
    ("a plan where a pack should be", {
        "plan.toml": referring("pack", "other.toml", PACK), "other.toml": SOUND},
     ["plan.toml: pack: other.toml is a whole plan; name the part's own file."]),
]  # fmt: skip


@pytest.mark.parametrize(("files", "expected"), [row[1:] for row in FILES], ids=[row[0] for row in FILES])
def test_broken_sets_of_files_get_their_sentences(files: dict[str, str], expected: list[str], tmp_path: Path) -> None:
    root = tmp_path / "plans"
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert sentences(root / "plan.toml") == expected


def test_a_link_that_leads_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside.toml"
    outside.write_text('schema = 1\nlabel = "6S 1300 mAh"\n', encoding="utf-8")
    root = tmp_path / "plans"
    root.mkdir()
    (root / "pack.toml").symlink_to(outside)
    (root / "plan.toml").write_text(referring("pack", "pack.toml", PACK), encoding="utf-8")
    assert sentences(root / "plan.toml") == [
        "plan.toml: pack: 'pack.toml' leads out of the plan's folder; put the file into the plan's folder or below it."
    ]


def test_a_link_to_itself_and_a_pipe_are_told_and_not_waited_for(tmp_path: Path) -> None:
    (tmp_path / "loop.toml").symlink_to("loop.toml")
    (tmp_path / "plan.toml").write_text(referring("pack", "loop.toml", PACK), encoding="utf-8")
    told = sentences(tmp_path / "plan.toml")
    assert len(told) == 1
    assert told[0].startswith("plan.toml: pack: ")
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "plan.toml").write_text(referring("pack", "pipe.toml", PACK), encoding="utf-8")
    assert sentences(tmp_path / "plan.toml") == ["plan.toml: pack: pipe.toml is not an ordinary file; give a file."]


@pytest.mark.parametrize(("name", "says"), [
    ("missing.toml", "missing.toml: missing.toml does not exist; correct the path."),
    (".", ": {folder} is a folder; give the file inside it."),
])  # fmt: skip
def test_a_plan_that_cannot_be_opened(name: str, says: str, tmp_path: Path) -> None:
    assert sentences(tmp_path / name)[0].endswith(says.format(folder=tmp_path.name))


def test_parts_of_their_own_tell_file_and_field(tmp_path: Path) -> None:
    pack, aircraft = tmp_path / "blue.toml", tmp_path / "five.toml"
    pack.write_text('schema = 1\nlabel = "4S 1500 mAh"\ncells = 6\n', encoding="utf-8")
    assert sentences(pack, read_pack) == [
        "blue.toml: cells: 6 contradicts the label, which says 4; correct one of the two."
    ]
    aircraft.write_text('class = "5-inch, 6 cells"\nmass_g = 0.4\n', encoding="utf-8")
    assert sentences(aircraft, read_aircraft) == [
        "five.toml: schema: it is missing; write schema = 1 on the first line.",
        "five.toml: mass_g: 0.4 g is outside 15 to 10000 g; enter grams, not kilograms.",
    ]


def test_a_table_inside_a_plan_carries_no_version(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(SOUND.replace("[pack]", "[pack]\nschema = 1"), encoding="utf-8")
    assert sentences(path) == [
        "plan.toml: pack.schema: only a file carries a version, a table in it does not; leave it out."
    ]


def test_no_more_faults_are_told_than_a_person_mends_and_it_takes_no_minute(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    lines = "\n".join(f"z{number} = 1" for number in range(20000))
    path.write_text(SOUND.replace("[aircraft]", f"{lines}\n[aircraft]"), encoding="utf-8")
    begun = time.perf_counter()
    told = sentences(path)
    assert time.perf_counter() - begun < 20  # seconds; a guard against quadratic work, not a benchmark
    assert len(told) == MOST_FAULTS + 1
    assert told[-1] == "plan.toml: 19900 more things are wrong with it; correct those told here first."
