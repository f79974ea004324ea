"""Read a plan and everything it names into a case, every fault of all its files told at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, Final, TypeVar

from turnback.base.errors import Fault, InputError
from turnback.readers.areas import read_areas
from turnback.readers.learned import read_learned
from turnback.readers.plan_files import Draft, finished, read_draft
from turnback.readers.route_points import read_route
from turnback.readers.terrain import MOST_CELLS as MOST_RASTER_CELLS
from turnback.readers.terrain import read_terrain
from turnback.readers.terrain_shapes import MOST_CELLS, RidgeLine, flat_terrain, ridge_terrain
from turnback.readers.toml_files import inside
from turnback.readers.weather import read_metar
from turnback.records.areas import PeopleAreas
from turnback.records.case import Case
from turnback.records.learned import NOTHING_LEARNED, Learned
from turnback.records.plan import PlanFile
from turnback.records.route import Route
from turnback.records.site import Ridge, SiteFile, WeatherFile
from turnback.records.terrain import Terrain
from turnback.records.weather import WeatherReport

Read = TypeVar("Read")

BEYOND_FACTOR: Final = 1.3  # how far `turnback.assess.track` continues a straight route, to say what is left
BEYOND_M: Final = 400.0
MARGIN_M: Final = (
    300.0  # our choice: three pixels of 3 arc-seconds, so that the last ray still has ground on both sides
)
REACH_WITHOUT_ROUTE_M: Final = 500.0  # where the route is at fault, the terrain is still opened to tell its own faults
CELL_M: Final = 30.0  # our choice: the spacing of the better common grids
CELLS_ACROSS_RIDGE: Final = 8.0  # our choice: a top between two cells then loses under 4 % of its height
USUAL_RIDGE_M: Final = 400.0  # from foot to foot, where the plan does not say it
LEARNED_NAME: Final = "learned.toml"


def read_case(
    path: str | Path,
    *,
    learned: Path | None = None,
    now: datetime | None = None,
    radius_m: float | None = None,
    most_cells: int = MOST_RASTER_CELLS,
) -> Case:
    """Return a plan and all it names, read in.

    Parameters
    ----------
    path : str or Path
        The plan's file.
    learned : Path, optional
        What records taught; ``learned.toml`` beside the plan, where there is one, if left out.
    now : datetime, optional
        When the question is asked, with its time zone (UTC where it has none). Without it, the age of a weather report
        is unknown.
    radius_m : float, optional
        Ground is read this far around the launch point, 50 to 100,000 m; what the route needs if left out.
    most_cells : int
        Along one side of a raster's grid, 100 to 10,000.

    Raises
    ------
    InputError
        With every fault of the plan and of the files it names. A file that a faulty part names is not opened.
    """
    draft = read_draft(path)
    faults: list[Fault] = list(draft.faults)

    def attempt(reader: Callable[[], Read]) -> Read | None:
        try:
            return reader()
        except InputError as error:
            faults.extend(error.faults)
            return None

    site, way, weather = (_sound(draft, part) for part in ("site", "route", "weather"))
    route = attempt(lambda: read_route(way, site, draft.root, draft.where)) if way and site else None
    terrain = attempt(lambda: _terrain(site, draft, route, radius_m, most_cells)) if site else None
    report = attempt(lambda: _report(weather, draft, now)) if weather else None
    areas = attempt(lambda: _areas(site, draft)) if site else None
    taught = attempt(lambda: _learned(draft, learned))
    if faults or route is None or terrain is None or taught is None:
        raise InputError(*dict.fromkeys(faults))
    plan = finished(draft).plan
    return Case(
        plan=plan,
        terrain=terrain,
        route=route,
        report=report,
        people_areas=areas,
        learned=taught,
        launch_height_m=terrain.launch_ground_m,
        title=_title(plan, draft.path),
    )


def _sound(draft: Draft, part: str) -> Any:
    """Return a part of a plan with nothing wrong in it; None where something is, or it is left out."""
    return getattr(draft.sections, part) if draft.sound(part) else None


def _terrain(site: SiteFile, draft: Draft, route: Route | None, asked_m: float | None, most_cells: int) -> Terrain:
    reach_m = REACH_WITHOUT_ROUTE_M if route is None else route.farthest_m
    radius_m = reach_m * BEYOND_FACTOR + BEYOND_M + MARGIN_M if asked_m is None else asked_m
    where = draft.where(("site", "terrain"))
    if site.terrain is not None:
        if site.latitude_deg is None or site.longitude_deg is None:
            what = "a terrain file needs to know where the launch point is"
            raise InputError(Fault(where, what, "add latitude_deg and longitude_deg"))
        place = (site.latitude_deg, site.longitude_deg)
        return read_terrain(draft.root / site.terrain, *place, radius_m, where, most_cells)
    height_m = 0.0 if site.height_m is None else site.height_m
    if not site.ridges:
        return flat_terrain(radius_m, max(CELL_M, 2.0 * radius_m / (MOST_CELLS - 10)), height_m)
    return _ridges(site.ridges, draft.where(("site", "ridges")), radius_m, height_m)


def _ridges(ridges: tuple[Ridge, ...], where: str, radius_m: float, height_m: float) -> Terrain:
    """Ground with the plan's ridges on it, as far as the farthest foot, in cells that keep the narrowest one."""
    lines = [RidgeLine(ridge.distance_m, ridge.height_m, ridge.bearing_deg, _width_m(ridge)) for ridge in ridges]
    radius_m = max([radius_m, *(line.distance_m + line.width_m / 2.0 + MARGIN_M for line in lines)])
    cell_m = min([CELL_M, *(line.width_m / CELLS_ACROSS_RIDGE for line in lines)])
    cell_m = max(cell_m, 2.0 * radius_m / (MOST_CELLS - 10))
    try:
        return ridge_terrain(radius_m, cell_m, lines, height_m, where)
    except InputError as error:
        raise InputError(*(Fault(_entry(fault.where), fault.what, fault.do) for fault in error.faults)) from error


def _width_m(ridge: Ridge) -> float:
    """A near ridge is narrower than usual: its foot stays half-way to the launch point."""
    return min(USUAL_RIDGE_M, ridge.distance_m) if ridge.width_m is None else ridge.width_m


def _entry(where: str) -> str:
    """Say the place of a list as plans are spoken of: ``site.ridges entry 1``, not ``site.ridges[0]``."""
    return re.sub(r"\[(\d+)\]\.?", lambda found: f" entry {int(found[1]) + 1} ", where).rstrip()


def _report(weather: WeatherFile, draft: Draft, now: datetime | None) -> WeatherReport | None:
    if weather.metar is None:
        return None
    return read_metar(weather.metar, draft.where(("weather", "metar")), distance_km=weather.metar_distance_km, now=now)


def _areas(site: SiteFile, draft: Draft) -> PeopleAreas | None:
    where = draft.where(("site", "people_areas"))
    if site.people_areas is None:
        return None
    if site.latitude_deg is None or site.longitude_deg is None:
        what = "a file of people areas needs to know where the launch point is"
        raise InputError(Fault(where, what, "add latitude_deg and longitude_deg"))
    return read_areas(draft.root / site.people_areas, site.latitude_deg, site.longitude_deg, where)


def _learned(draft: Draft, named: Path | None) -> Learned:
    """What the user names is read wherever it lies; what lies beside a plan must not lead elsewhere."""
    if named is not None:
        return read_learned(named)
    beside = draft.root / LEARNED_NAME
    if not beside.exists() and not beside.is_symlink():
        return NOTHING_LEARNED
    return read_learned(inside(draft.root, draft.path, LEARNED_NAME, LEARNED_NAME), LEARNED_NAME)


def _title(plan: PlanFile, path: Path) -> str:
    return " ".join((plan.note or "").split()) or plan.id or path.stem
