"""``turnback map``: five lines, its files all or none, one sentence for every fault, a stop that leaves nothing."""

from __future__ import annotations

import dataclasses
import json
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from rasterio.transform import from_origin
from tests.report.made_map import made, nowhere

from turnback import api
from turnback.base.errors import InputError
from turnback.cli import main
from turnback.commands import progress as progress_module
from turnback.commands.progress import progress
from turnback.flows.map_heights import even_heights, swept_heights
from turnback.records.home_map import HomeMap
from turnback.report import map_page_files

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
NAMES = {"map.html", "map.png", "map.tif", "map.json", "map.schema.json", "ring.geojson"}
SMALL = made(cells=21, heights=())


@pytest.fixture
def answered(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Any]]:
    """Let the map be the one made by hand, at once; what it was asked is kept."""
    asked: dict[str, Any] = {"found": SMALL}

    def home_map(plan: Path, **given: Any) -> HomeMap:
        asked.update(given, plan=plan)
        found: HomeMap = asked["found"]
        return found

    monkeypatch.setattr(api, "home_map", home_map)
    yield asked


def site(folder: Path, terrain: str, limits: str = 'looked_up = "yes", height_m = 60') -> Path:
    """Write a plan of eleven lines that names a raster, and return its path."""
    plan = folder / "plan.toml"
    plan.write_text(
        f"""\
schema = 1
site = {{ terrain = "{terrain}", latitude_deg = 46.505, longitude_deg = 8.005, local_limits = {{ {limits} }} }}
aircraft = {{ class = "5-inch, 6 cells" }}
pack = {{ label = "6S 1300 mAh 100C" }}
radio = {{ control = "2.4 GHz, 250 mW", video = "analogue 5.8 GHz, 600 mW" }}
weather = {{ wind_mps = 2 }}
route = {{ distance_m = 200, bearing_deg = 90, height_m = 40 }}
""",
        encoding="utf-8",
    )
    return plan


def raster(path: Path, *, unit: str = "m", hole: bool = False, **profile: Any) -> Path:
    """Write a slope around the launch point of `site`, sound unless told otherwise."""
    heights = np.add.outer(np.arange(80), np.arange(80)).astype(np.float32) + 500.0
    if hole:
        heights[25:56, 25:56] = -32768
    facts = {"crs": "EPSG:4326", "transform": from_origin(7.995, 46.515, 0.00025, 0.00025), "nodata": -32768, **profile}
    kept = {key: value for key, value in facts.items() if value is not None}
    with rasterio.open(path, "w", driver="GTiff", count=1, height=80, width=80, dtype="float32", **kept) as file:
        file.write(heights[None])
        file.set_band_unit(1, unit)
    return path


# What is said, and what is asked


def test_five_lines_then_the_path_alone(
    answered: dict[str, Any], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    out = tmp_path / "a" / "map"
    assert main(["map", "x.toml", "--out", str(out)]) == 0
    said = capsys.readouterr()
    lines = said.out.splitlines()
    assert lines[:2] == ["An invented valley", "TURN-BACK MAP"]
    starts = ("Comes home from", "Why it ends there", "How high", "How sure", "Look out for")
    assert [next(line for line in lines if line.startswith(start)) for start in starts]
    assert lines[-1] == str(out / "map.html")
    assert lines[-2] == ""
    assert {path.name for path in out.iterdir()} == NAMES
    assert said.err == ""


def test_json_alone_on_standard_output_and_the_path_aside(
    answered: dict[str, Any], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["map", "x.toml", "--json", "--out", str(tmp_path)]) == 0
    said = capsys.readouterr()
    assert json.loads(said.out) == json.loads((tmp_path / "map.json").read_text(encoding="utf-8"))
    assert said.err == f"{tmp_path / 'map.html'}\n"


def test_what_is_asked_arrives(answered: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--height", "40", "--height-above", "ground", "--radius", "800", "--chance", "0.9", "--heights", "30, 60"]
    assert main(["map", "x.toml", *words, "--seed", "4", "--redact"]) == 0
    wanted = {"height_m": 40.0, "height_above": "ground", "radius_m": 800.0, "chance": 0.9, "heights": (30.0, 60.0)}
    assert wanted.items() <= answered.items()
    assert (answered["seed"], answered["redact"]) == (4, True)
    assert main(["map", "x.toml", "--all-heights"]) == 0
    assert answered["heights"] is None
    assert main(["map", "x.toml"]) == 0
    assert {"heights": (), "chance": 0.95, "height_m": None}.items() <= answered.items()


def test_a_map_without_a_place_has_no_ring_and_says_so(
    answered: dict[str, Any], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "ring.geojson").write_text("of another map")
    (tmp_path / "notes.txt").write_text("mine")
    answered["found"] = nowhere(SMALL)
    assert main(["map", "x.toml", "--out", str(tmp_path)]) == 0
    assert {path.name for path in tmp_path.iterdir()} == NAMES - {"ring.geojson"} | {"notes.txt"}
    assert "ring.geojson is left out" in " ".join(capsys.readouterr().out.split())


def test_above_the_limit_it_is_said_plainly(answered: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    answered["found"] = dataclasses.replace(SMALL, over_limit=True, height_m=140.0)
    assert main(["map", "x.toml", "--height", "140"]) == 0
    assert "ABOVE THE HEIGHT LIMIT THAT YOU ENTERED" in capsys.readouterr().out


@pytest.mark.slow
def test_the_same_map_gives_the_same_bytes(tmp_path: Path) -> None:
    found = [api.write_map(made(cells=21), tmp_path / name).parent for name in ("one", "two")]
    for name in NAMES:
        assert (found[0] / name).read_bytes() == (found[1] / name).read_bytes(), name


# A stop leaves nothing


class _Stop:
    """Stops the work when it is told the n-th time, as the keyboard does."""

    def __init__(self, at: int) -> None:
        self.at, self.told = at, 0

    def __call__(self, share: float) -> None:
        self.told += 1
        if self.told == self.at:
            signal.raise_signal(signal.SIGINT)


def counted(found: HomeMap, out: Path) -> int:
    """Return how often writing tells its share."""
    teller = _Stop(-1)
    api.write_map(found, out, tell=teller)
    return teller.told


def test_a_stop_at_any_time_leaves_no_folder(tmp_path: Path) -> None:
    often = counted(SMALL, tmp_path / "whole")
    assert often >= 5
    for at in (1, 2, often // 2, often - 1, often):
        with pytest.raises(KeyboardInterrupt):
            api.write_map(SMALL, tmp_path / "new" / "map", tell=_Stop(at))
        assert not (tmp_path / "new").exists()


def test_a_stop_at_any_time_leaves_the_map_of_before(tmp_path: Path) -> None:
    api.write_map(SMALL, tmp_path)
    (tmp_path / "notes.txt").write_text("mine")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    other = dataclasses.replace(nowhere(SMALL), title="Another")
    often = counted(other, tmp_path.with_name("whole"))
    for at in (1, often // 2, often):
        with pytest.raises(KeyboardInterrupt):
            api.write_map(other, tmp_path, tell=_Stop(at))
        assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_the_share_that_is_told_starts_near_nought_and_only_grows(tmp_path: Path) -> None:
    told: list[float] = []
    api.write_map(SMALL, tmp_path, tell=told.append)
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)
    drawn = next(share for share in reversed(told) if share < 1.0)
    assert drawn <= 0.5  # the picture stands then; the page, which is the half of the work, is still to be drawn


class _Moves:
    """Moves of files, the n-th of which is stopped; what is written is a word in each file, not a drawn map."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.stop_at, self.made, rename = 0, 0, Path.rename

        def written(_found: HomeMap, fresh: Path, _units: object, _tell: object) -> None:
            for name in NAMES - {"ring.geojson"}:
                (fresh / name).write_text("new")

        def stopped(path: Path, to: Path) -> Path:
            self.made += 1
            if self.made == self.stop_at:
                raise KeyboardInterrupt
            return rename(path, to)

        monkeypatch.setattr(map_page_files, "_write", written)
        monkeypatch.setattr(Path, "rename", stopped)


@pytest.mark.parametrize(("stood", "moves"), [("old", 11), (None, 5)], ids=["a map stood there", "nothing stood there"])
def test_a_stop_between_two_moves_puts_everything_back(
    stood: str | None, moves: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six names: the old file out, the new one in, but for the ring, which the new map lacks: eleven moves, or five."""
    before = dict.fromkeys(NAMES, stood) if stood else {}
    for name, word in before.items():
        (tmp_path / name).write_text(word)
    for fails_at in range(1, moves + 1):
        told = _Moves(monkeypatch)
        told.stop_at = fails_at
        with pytest.raises(KeyboardInterrupt):
            api.write_map(SMALL, tmp_path)
        assert {path.name: path.read_text() for path in tmp_path.iterdir()} == before, fails_at
        monkeypatch.undo()
    told = _Moves(monkeypatch)
    api.write_map(SMALL, tmp_path)  # not stopped
    assert told.made == moves
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == dict.fromkeys(
        NAMES - {"ring.geojson"}, "new"
    )


def test_a_stop_while_it_is_worked_out_ends_with_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def home_map(plan: Path, *, tell: Callable[[float], None], **_: Any) -> HomeMap:
        tell(0.4)
        signal.raise_signal(signal.SIGINT)
        raise AssertionError("the signal did not arrive")

    monkeypatch.setattr(api, "home_map", home_map)
    assert main(["map", "x.toml", "--out", str(tmp_path / "map")]) == 130
    assert list(tmp_path.iterdir()) == []
    assert capsys.readouterr().err.strip() == "Stopped."


@pytest.mark.parametrize("at", [1, 4])
@pytest.mark.slow
def test_a_real_map_stops_when_told_so(at: int, tmp_path: Path) -> None:
    raster(tmp_path / "hill.tif")
    with pytest.raises(KeyboardInterrupt):
        api.home_map(site(tmp_path, "hill.tif"), radius_m=400.0, heights=(20.0, 40.0), tell=_Stop(at))


def test_a_terminal_is_told_the_share_that_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.test_cli_progress import Terminal

    monkeypatch.setattr(progress_module, "PATIENCE_S", 0.02)
    stream = Terminal()
    with progress("Working out the map", stream) as tell:
        tell(0.37)
        for _ in range(500):
            if "37%" in stream.getvalue():
                break
            time.sleep(0.02)
    assert "Working out the map: 0 s, 37% done" in stream.getvalue()


# Bad input: status 2, one sentence, no traceback


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run a map that cannot be answered, and return what is said."""
    assert main(["map", *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    return said.err


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--chance", "1"], "--chance: 1 is outside 0.5 to 0.999; enter a share of flights, such as 0.95."),
        (["--chance", "0.4"], "--chance: 0.4 is outside 0.5 to 0.999; enter a share of flights, such as 0.95."),
        (["--chance", "nan"], "--chance: nan is outside 0.5 to 0.999; enter a share of flights, such as 0.95."),
        (["--height", "-5"], "--height: -5 m is outside 2 to 1000 m; enter metres, such as 60."),
        (["--radius", "3"], "--radius: 3 m is outside 50 to 20000 m; enter metres, such as 1500."),
        (["--radius", "1e9"], "--radius: 1e+09 m is outside 50 to 20000 m; enter metres, such as 1500."),
        (["--heights", "30,-1"], '--heights: -1 m is outside 2 to 1000 m; enter metres, such as "30,60,90".'),
        (["--heights", "30,high"], "argument --heights: '30,high' is no list of numbers in the form \"30,60,90\""),
        (["--heights", "30;60"], "argument --heights: '30;60' is no list of numbers in the form \"30,60,90\""),
        (["--heights", ""], "argument --heights: '' is no list of numbers in the form \"30,60,90\""),
        (["--heights", "30", "--all-heights"], "argument --all-heights: not allowed with argument --heights"),
        (["--height-above", "sea"], "argument --height-above: invalid choice: 'sea'"),
    ],
    ids=" ".join,
)
def test_an_option_out_of_range(words: list[str], sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, str(EXAMPLES / "go.toml"), *words)
    assert sentence in said
    assert said.count("\n") == 1


def test_all_that_is_wrong_is_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, str(EXAMPLES / "go.toml"), "--chance", "2", "--height", "0", "--radius", "1")
    assert [line.split(":")[0] for line in said.splitlines()] == ["--chance", "--height", "--radius"]


def test_more_heights_than_anybody_compares(capsys: pytest.CaptureFixture[str]) -> None:
    many = ",".join(str(height) for height in range(990, 1020))  # nineteen of them too high: still one fault
    assert told(capsys, str(EXAMPLES / "go.toml"), "--heights", many) == (
        "--heights: names 30 heights, more than 12; name fewer; each is a map of its own.\n"
    )


def test_no_height_above_the_limit_is_compared(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    raster(tmp_path / "hill.tif")
    plan = site(tmp_path, "hill.tif")
    assert told(capsys, str(plan), "--heights", "30,61,90") == (
        "--heights: 61 m, 90 m lie above the height limit of 60 m entered in the plan; name heights up to 60 m.\n"
    )
    plan = site(tmp_path, "hill.tif", limits='looked_up = "no"')
    assert "none is entered; look yours up and enter" in told(capsys, str(plan), "--all-heights")


def test_a_folder_that_cannot_be_written(
    answered: dict[str, Any], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine")
    for place in (taken, taken / "map"):  # told before the map is worked out: nobody was asked for one
        said = told(capsys, "x.toml", "--out", str(place))
        assert said == f"{place}: is a file, not a folder; name a folder for the map.\n"
    assert "/proc/1/nowhere: cannot be written" in told(capsys, "x.toml", "--out", "/proc/1/nowhere")
    assert "plan" not in answered
    inside = tmp_path / "map"
    (inside / "map.tif").mkdir(parents=True)
    (inside / "map.tif" / "mine.txt").write_text("mine")
    assert "map.tif: is a folder where a file belongs" in told(capsys, "x.toml", "--out", str(inside))
    assert [str(path.relative_to(inside)) for path in inside.rglob("*")] == ["map.tif", "map.tif/mine.txt"]


RASTERS: list[tuple[str, dict[str, Any], str]] = [
    ("wrong units", {"unit": "K"},
     "hill.tif gives its values in 'K', not in metres or feet; give a raster of heights."),
    ("no projection", {"crs": None},
     "hill.tif has no projection; assign the one its maker names, such as EPSG:4326 for degrees."),
    ("void at launch", {"hole": True},
     "hill.tif has no height at the launch point itself; move it, or mend the void there."),
    ("launch outside", {"transform": from_origin(18.0, 46.51, 0.00025, 0.00025)},
     "hill.tif does not hold the launch point 46.505, 8.005; give a raster that holds it, or correct the launch "
     "point."),
]  # fmt: skip


@pytest.mark.parametrize(("how", "sentence"), [row[1:] for row in RASTERS], ids=[row[0] for row in RASTERS])
def test_a_broken_raster_gets_its_sentence(
    how: dict[str, Any], sentence: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    raster(tmp_path / "hill.tif", **how)
    said = told(capsys, str(site(tmp_path, "hill.tif")), "--out", str(tmp_path / "map"))
    assert said.endswith(f": {sentence}\n")
    assert said.count("\n") == 1
    assert not (tmp_path / "map").exists()


@pytest.mark.slow
def test_a_sound_raster_is_answered(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The same helper, nothing broken: the sentences above are not told of every raster."""
    raster(tmp_path / "hill.tif")
    plan = site(tmp_path, "hill.tif")
    assert main(["map", str(plan), "--radius", "400", "--all-heights", "--out", str(tmp_path / "map")]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Drawn for 40 m above launch" in said
    data = json.loads((tmp_path / "map" / "map.json").read_text(encoding="utf-8"))
    assert [each["height_m"] for each in data["heights"]] == [10.0, 20.0, 30.0, 40.0, 50.0, 60.0]
    assert main(["map", str(plan), "--radius", "400", "--height", "90"]) == 0
    assert "ABOVE THE HEIGHT LIMIT THAT YOU ENTERED" in capsys.readouterr().out


# The heights of a sweep


@pytest.mark.parametrize(
    ("limit_m", "heights"),
    [
        (120.0, (20.0, 40.0, 60.0, 80.0, 100.0, 120.0)),
        (50.0, (10.0, 20.0, 30.0, 40.0, 50.0)),
        (30.0, (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)),
        (122.0, (30.0, 60.0, 90.0, 120.0, 122.0)),
        (500.0, (100.0, 200.0, 300.0, 400.0, 500.0)),
    ],
)
def test_even_steps_end_at_the_limit(limit_m: float, heights: tuple[float, ...]) -> None:
    assert even_heights(limit_m) == heights


@pytest.mark.parametrize("limit_m", [2.0, 2.5, 7.0, 33.3, 119.99, 260.0, 499.0])
def test_no_step_lies_above_any_limit(limit_m: float) -> None:
    found = even_heights(limit_m)
    assert found[-1] == pytest.approx(limit_m)
    assert all(2.0 <= height <= limit_m for height in found)
    assert list(found) == sorted(set(found))


def test_heights_are_compared_once_each_and_in_order() -> None:
    assert swept_heights((60.0, 30.0, 60.0), 120.0) == (30.0, 60.0)
    assert swept_heights((), None) == ()
    assert swept_heights((900.0,), None) == (900.0,)
    with pytest.raises(InputError, match=r"120\.5 m lies above the height limit of 120 m"):
        swept_heights((30.0, 120.5), 120.0)
