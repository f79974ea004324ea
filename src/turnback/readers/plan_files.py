"""Read a plan: its parts from the files they are in, every fault of all of them told at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, TypeVar

from pydantic import ValidationError

from turnback.base.errors import Fault, InputError
from turnback.readers.consistency import Sections, plan_faults, sound_sections
from turnback.readers.fault_words import faults_of
from turnback.readers.known_keys import Place
from turnback.readers.said import LONGEST_NAME, dotted, on_one_line, said
from turnback.readers.toml_files import Table, inside, read_toml
from turnback.readers.upgrade import PARTS, FileKind, upgraded
from turnback.records.aircraft import AircraftFile
from turnback.records.common import DONT_KNOW, FileRecord
from turnback.records.labels import filled_from_label
from turnback.records.pack import PackFile
from turnback.records.plan import PlanFile

Record = TypeVar("Record", bound=FileRecord)

_SHORTEST: Final = {
    FileKind.AIRCRAFT: '{ class = "..." }',
    FileKind.PACK: '{ label = "..." }',
    FileKind.RADIO: '{ control = "...", video = "..." }',
    FileKind.SITE: "{ latitude_deg = ..., longitude_deg = ... }",
    FileKind.WEATHER: '{ metar = "..." }',
    FileKind.PILOT: "{ packs_flown = ... }",
}
PLAN_ONLY: Final = frozenset(["aircraft", "pack", "radio", "site", "route"])
FILES_NAMED: Final = (("site", "terrain"), ("site", "people_areas"), ("route", "file"))
"""Places of a plan that name a file which is no part of it."""


@dataclass(slots=True)
class Draft:
    """A plan being read: its tables put together, where each came from, and the faults so far."""

    path: Path
    table: Table = field(default_factory=dict)
    homes: dict[str, Path] = field(default_factory=dict)
    """By part: the file it was read from, where that is not the plan itself."""
    lost: set[str] = field(default_factory=set)
    """Parts that could not be read at all."""
    faults: list[Fault] = field(default_factory=list)
    sections: Sections = field(default_factory=Sections)
    """The parts that are sound by themselves."""
    plan: PlanFile | None = None
    """The whole, where every part is sound."""

    @property
    def root(self) -> Path:
        """The plan's folder: nothing outside it is read."""
        return self.path.parent

    @property
    def name(self) -> str:
        """The plan's file, for errors."""
        return on_one_line(self.path.name, LONGEST_NAME)

    def where(self, place: Place) -> str:
        """Return file and field of a place, for errors."""
        part = str(place[0]) if place else ""
        if part in self.homes:
            name, place = relative_name(self.homes[part], self.root), place[1:]
        else:
            name = self.name
        return f"{name}: {dotted(place)}" if place else name

    def sound(self, part: str) -> bool:
        """Return whether nothing at all is wrong with a part."""
        return not any(fault.where.startswith(self.where((part,))) for fault in self.faults)

    def home(self, part: str) -> Path:
        """Return the file that a part was read from."""
        return self.homes.get(part, self.path)


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """A plan as read, and where its fields stand, for the errors of files that it names."""

    plan: PlanFile
    draft: Draft


def read_plan(path: str | Path) -> PlanFile:
    """Return a plan with its parts read in.

    Parameters
    ----------
    path : str or Path
        The plan's file. Its parts may stand in it or be named by a path relative to the file that names them; all lie
        in the plan's folder or below it.

    Returns
    -------
    PlanFile
        The pack filled from its label; paths of terrain, people areas and track relative to the plan's folder.

    Raises
    ------
    InputError
        With every fault of all its files.
    """
    return read_plan_and_places(path).plan


def read_pack(path: str | Path) -> PackFile:
    """Return a pack from a file of its own, filled from its label; errors as in `read_plan`."""
    pack, draft = _read_part(path, FileKind.PACK, PackFile)
    _raise_any(plan_faults(Sections(pack=pack), draft.where))
    return filled_from_label(pack)


def read_aircraft(path: str | Path) -> AircraftFile:
    """Return an aircraft from a file of its own; errors as in `read_plan`."""
    aircraft, draft = _read_part(path, FileKind.AIRCRAFT, AircraftFile)
    _raise_any(plan_faults(Sections(aircraft=aircraft), draft.where))
    return aircraft


def read_plan_and_places(path: str | Path) -> ReadPlan:
    """Return a plan with the places of its fields; otherwise as `read_plan`."""
    return finished(read_draft(path))


def finished(draft: Draft) -> ReadPlan:
    """Return the plan of a draft that has no fault.

    Raises
    ------
    InputError
        With every fault of the draft.
    """
    _raise_any(draft.faults)
    if draft.plan is None:  # cannot be: an invalid plan has faults
        raise InputError(Fault(draft.name, "it cannot be read", "correct it"))
    return ReadPlan(draft.plan.model_copy(update={"pack": filled_from_label(draft.plan.pack)}), draft)


def read_draft(path: str | Path) -> Draft:
    """Return a plan as far as it can be read, with its faults.

    Raises
    ------
    InputError
        If the plan's own file cannot be read at all.
    """
    draft = Draft(Path(path))
    table = read_toml(draft.path, draft.name)
    draft.table, faults, readable = upgraded(table, FileKind.PLAN, draft.name)
    draft.faults += faults
    if not readable:
        raise InputError(*draft.faults)
    for part in PARTS:
        _fetch(draft, part)
    for part_name, key in FILES_NAMED:
        _hold_inside(draft, part_name, key)
    draft.plan = _validated(draft)
    return draft


def relative_name(path: Path, root: Path) -> str:
    """Return a file's path as seen from the plan's folder, for errors."""
    try:
        name = path.resolve().relative_to(root.resolve()).as_posix()
    except ValueError:
        name = path.name
    return on_one_line(name, LONGEST_NAME)


def _read_part(path: str | Path, kind: FileKind, record: type[Record]) -> tuple[Record, Draft]:
    draft = Draft(Path(path), homes={kind.value: Path(path)})
    table = read_toml(draft.path, draft.name)
    draft.table[kind.value], faults, readable = upgraded(table, kind, draft.name)
    if not readable:
        raise InputError(*faults)
    part, more = _section(record, draft, kind.value)
    _raise_any([*faults, *more])
    if part is None:
        raise InputError(Fault(draft.name, "it cannot be read", "correct it"))
    return part, draft


def _fetch(draft: Draft, part: FileKind) -> None:
    """Read a part from the file that the plan names for it."""
    key = part.value
    reference = draft.table.get(key)
    if not isinstance(reference, str):
        return
    here = f"{draft.name}: {key}"
    try:
        if not reference.lower().endswith(".toml"):
            what = f"{said(reference)} is neither a table nor the path of a .toml file"
            raise InputError(Fault(here, what, _slip(part, reference)))
        path = inside(draft.root, draft.path, reference, here)
        if path == draft.path.resolve():
            raise InputError(Fault(here, "it names the plan itself", "name the part's own file"))
        name = relative_name(path, draft.root)
        read = read_toml(path, here, name)
        if len(PLAN_ONLY & read.keys()) > 1:
            raise InputError(Fault(here, f"{name} is a whole plan", "name the part's own file"))
        table, faults, readable = upgraded(read, part, name)
    except InputError as error:
        draft.faults += error.faults
        draft.lost.add(key)
        return
    draft.faults += faults
    if not readable:
        draft.lost.add(key)
        return
    draft.homes[key] = path
    draft.table[key] = table


def _slip(part: FileKind, reference: str) -> str:
    if reference == DONT_KNOW and part in (FileKind.WEATHER, FileKind.PILOT):
        return "leave it out"
    return f"write {part.value} = {_SHORTEST[part]} or the path of a file"


def _hold_inside(draft: Draft, part: str, key: str) -> None:
    """Make the path of a named file relative to the plan's folder; a path that leads out of it is a fault."""
    table = draft.table.get(part)
    if not isinstance(table, dict) or not isinstance(table.get(key), str):
        return
    if table[key] in ("", DONT_KNOW):
        return
    try:
        target = inside(draft.root, draft.home(part), table[key], draft.where((part, key)))
    except InputError as error:
        draft.faults += error.faults
        return
    draft.table[part] = {**table, key: target.relative_to(draft.root.resolve()).as_posix()}


def _validated(draft: Draft) -> PlanFile | None:
    """Validate the whole; where that fails, tell what contradicts itself in the parts that are sound."""
    table = {**{key: value for key, value in draft.table.items() if key not in draft.lost}, "schema": 1}
    try:
        plan = PlanFile.model_validate(table)
    except ValidationError as error:
        found = faults_of(error, PlanFile, table, draft.where)
        draft.faults += [fault for fault in found if not _of_lost(fault, draft)]
        broken = {str(row["loc"][0]) for row in error.errors() if row["loc"]} | draft.lost
        draft.sections = sound_sections(table, broken)
        draft.faults += plan_faults(draft.sections, draft.where)
        return None
    draft.sections = Sections.of(plan)
    draft.faults += plan_faults(draft.sections, draft.where)
    return plan


def _of_lost(fault: Fault, draft: Draft) -> bool:
    return any(fault.where == f"{draft.name}: {part}" and fault.what == "it is missing" for part in draft.lost)


def _section(record: type[Record], draft: Draft, name: str) -> tuple[Record | None, list[Fault]]:
    def where(place: Place) -> str:
        return draft.where((name, *place))

    try:
        return record.model_validate(draft.table[name]), []
    except ValidationError as error:
        return None, faults_of(error, record, draft.table[name], where)


def _raise_any(faults: list[Fault]) -> None:
    if faults:
        raise InputError(*dict.fromkeys(faults))
