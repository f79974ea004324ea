"""The house holds: names carry units, modules stay short, rules have sources, formulas have values from outside.

These tests read the sources as text (`ast`), so they hold for modules that nobody imported yet.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path
from typing import Final

import pytest
from numpydoc.docscrape import NumpyDocString  # type: ignore[import-untyped]

ROOT: Final = Path(__file__).resolve().parent.parent
PACKAGE: Final = ROOT / "src" / "turnback"
TESTS: Final = ROOT / "tests"

MOST_LINES: Final = 300
MOST_BODY_LINES: Final = 60

UNITS: Final = frozenset(
    ["m", "km", "m2", "m3", "mhz", "hz", "s", "s2", "v", "a", "ah", "w", "wh", "j", "k", "c", "pa", "n", "nm", "ohm",
     "mol", "kg", "rad", "deg", "mps", "db", "dbi", "dbm"]
)  # fmt: skip
DIMENSIONLESS_ENDINGS: Final = frozenset(
    ["ratio", "fraction", "share", "soc", "coefficient", "factor", "efficiency", "probability"]
)
DIMENSIONLESS: Final = {
    "relative_humidity": "a share by definition",
    "relative_permittivity": "a ratio by definition",
    "figure_of_merit": "the trade's name of a ratio",
    "descent_floor": "share of hover power, least in descent",
    "soc": "state of charge, 0 to 1",
    "efficiency": "a ratio of powers",
    "nu": "the recommendation's own symbol of a pure number (ITU-R P.526, section 4.1)",
    "z": "a standard normal score",
    "probability": "0 to 1",
    "reflection": "a complex ratio of fields",
    "blades": "a count",
    "motors": "a count",
    "successes": "a count",
    "trials": "a count",
    "rotors": "a count",
    "cells_in_series": "a count",
    "most_samples": "a count",
    "failed_row": "an index",
    "amount": "amperes or watts: its companion `load` says which",
    "value": "a range check takes any quantity and is told its unit",
    "low": "a range check takes any quantity and is told its unit",
    "high": "a range check takes any quantity and is told its unit",
    **dict.fromkeys(("propeller", "motor", "scheme"), "a direction, +1 or -1"),
    "order": "an index",
    "values": "samples of any quantity; a density is in its square per hertz",
    "amplitude": "in the unit of the samples",
    "turns": "a count",
    **dict.fromkeys(("upside_down", "flipped"), "true or false"),
    "rotation": "a rotation matrix",
    "matrix": "asked only for the signs of its eigenvalues",
    **dict.fromkeys("rstuvwxyz", "a column of the recommendation's own table (ITU-R P.2109, table 1)"),
}
DIMENSIONLESS_RESULTS: Final = {
    "normal_cdf": "a probability",
    "normal_quantile": "a score",
    "turbulence_intensity": "a ratio by definition",
    "thrust_lapse": "a ratio of thrusts",
    "output_for_speed": "a fraction of full output",
    "output_at_current_limit": "a fraction of full output",
    "number_within": "returns what it was given",
    "ground_reflection": "a complex ratio of fields",
    "inside": "true or false",
    "corner_thrust": "shares of the full thrust of one corner",
    "effectiveness": "in full thrusts and full reaction torques of one corner",
    "mixer": "shares of full output",
    "board_rotation": "a rotation matrix",
    "loop_matrix": "asked only for the signs of its eigenvalues",
    "valid_ground": "returns what it was given",
    "valid_profile": "returns what it was given",
    "valid_ends": "returns what it was given",
    "packed": "lays the traits of a cell out for the kernel",
}
COMPUTES_NOTHING: Final = {
    "number_within": "holds one number in its range",
    "valid_ground": "holds ground constants in their range",
    "valid_frequency_mhz": "holds frequencies in their range",
    "valid_profile": "holds a profile in its range",
    "valid_ends": "holds antenna heights in their range",
    "valid_radius_km": "holds the earth radius in its range",
    "require_inside": "holds places inside a grid",
    "terrain_grid": "holds a raster in its range",
    "packed": "lays the traits of a cell out for the kernel",
}
NUMERIC: Final = re.compile(r"\b(Any|float|int|Array|Floats|NDArray)\b")
NOT_NUMERIC: Final = re.compile(r"bool|str|complex|Callable")


def sources(*parts: str) -> list[Path]:
    """Return every module under a room of the package."""
    return sorted(PACKAGE.joinpath(*parts).rglob("*.py"))


def tree(path: Path) -> ast.Module:
    """Return a module as a syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions(node: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Return every function below a node."""
    return (child for child in ast.walk(node) if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef))


def is_kernel(function: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    """True for what `turnback.base.kernels` compiles."""
    return any("kernel" in ast.unparse(decorator) for decorator in function.decorator_list)


def public_functions(path: Path) -> list[ast.FunctionDef]:
    """Return a module's own public functions that are not kernels."""
    found = [node for node in tree(path).body if isinstance(node, ast.FunctionDef)]
    return [function for function in found if not function.name.startswith("_") and not is_kernel(function)]


def carries_unit(name: str, allowed: dict[str, str]) -> bool:
    """True where a name ends in a unit, says that it has none, or is allowed for a reason."""
    ending = name.rsplit("_", 1)[-1] if "_" in name else ""
    return ending in UNITS or ending in DIMENSIONLESS_ENDINGS or name in allowed


def is_quantity(annotation: ast.expr | None) -> bool:
    """True where an annotation means numbers."""
    text = "" if annotation is None else ast.unparse(annotation)
    return bool(NUMERIC.search(text)) and not NOT_NUMERIC.search(text)


def arguments(function: ast.FunctionDef | ast.AsyncFunctionDef) -> list[ast.arg]:
    """Return every argument of a function but self."""
    every = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return [argument for argument in every if argument.arg not in {"self", "cls"}]


@pytest.mark.parametrize("path", sources("physics"), ids=lambda path: path.stem)
def test_the_unit_ends_every_name_in_physics(path: Path) -> None:
    # Kernels and private helpers mirror the symbols of their formula; the public function around them has the units.
    bare = [
        f"{function.name}({argument.arg})"
        for function in public_functions(path)
        for argument in arguments(function)
        if is_quantity(argument.annotation) and not carries_unit(argument.arg, DIMENSIONLESS)
    ]
    for record in (node for node in tree(path).body if isinstance(node, ast.ClassDef)):
        fields = [node for node in record.body if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)]
        bare += [
            f"{record.name}.{field.target.id}"
            for field in fields
            if isinstance(field.target, ast.Name)
            and is_quantity(field.annotation)
            and not carries_unit(field.target.id, DIMENSIONLESS)
        ]
    bare += [
        f"{function.name} -> {ast.unparse(function.returns)}"
        for function in public_functions(path)
        if function.returns is not None
        and is_quantity(function.returns)
        and not carries_unit(function.name, DIMENSIONLESS_RESULTS)
    ]
    assert bare == [], f"{path.name}: these names carry a quantity and no unit"


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_modules_and_functions_stay_short_enough_to_read_aloud(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES
    long = []
    for function in functions(tree(path)):
        body = function.body[1:] if ast.get_docstring(function) is not None else function.body
        if body and (body[-1].end_lineno or 0) - body[0].lineno + 1 > MOST_BODY_LINES:
            long.append(function.name)
    assert long == []


SAID_AS: Final = {"soc": "state of charge"}


@pytest.mark.parametrize("path", sources("physics"), ids=lambda path: path.stem)
def test_docstrings_of_physics_name_every_argument_that_does_not_say_its_unit_itself(path: Path) -> None:
    faults = []
    for function in public_functions(path):
        text = ast.get_docstring(function) or ""
        names = {argument.arg for argument in arguments(function)}
        listed = {name.strip() for row in NumpyDocString(text)["Parameters"] for name in row.name.split(",")}
        faults += [f"{function.name} has no argument {name}" for name in sorted(listed - names)]
        if not text:
            faults.append(f"{function.name} says nothing")
        if function.name in COMPUTES_NOTHING:
            continue
        faults += [
            f"{function.name} does not say what {argument.arg} is"
            for argument in arguments(function)
            if is_quantity(argument.annotation)
            and not carries_unit(argument.arg, {})
            and not re.search(rf"{argument.arg}|{SAID_AS.get(argument.arg, argument.arg.replace('_', ' '))}", text)
        ]
    assert faults == []


def published_names() -> set[tuple[str, str]]:
    """Return (module, function) of every function of physics that a published test uses, not only imports."""
    used = set()
    for path in sorted((TESTS / "published").glob("test_*.py")):
        module = tree(path)
        here: dict[str, tuple[str, str]] = {}
        rooms: dict[str, str] = {}
        for node in ast.walk(module):
            if isinstance(node, ast.ImportFrom) and node.module == "turnback.physics":
                rooms |= {alias.asname or alias.name: alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("turnback.physics."):
                room = str(node.module).rsplit(".", 1)[-1]
                here |= {alias.asname or alias.name: (room, alias.name) for alias in node.names}
        for node in ast.walk(module):
            if isinstance(node, ast.Name) and node.id in here:
                used.add(here[node.id])
            elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in rooms:
                used.add((rooms[node.value.id], node.attr))
    return used


def test_every_function_of_physics_has_a_published_test() -> None:
    wanted = {
        (path.stem, function.name)
        for path in sources("physics")
        for function in public_functions(path)
        if function.name not in COMPUTES_NOTHING
    }
    assert len(wanted) > 60
    assert sorted(wanted - published_names()) == []


@pytest.mark.parametrize("path", sorted((TESTS / "published").glob("test_*.py")), ids=lambda path: path.stem)
def test_published_tests_are_marked_published(path: Path) -> None:
    module = tree(path)
    whole = any(
        isinstance(node, ast.Assign) and "pytestmark" in ast.unparse(node) and "published" in ast.unparse(node)
        for node in module.body
    )
    tests = [function for function in functions(module) if function.name.startswith("test_")]
    assert tests
    marks = {test.name: " ".join(map(ast.unparse, test.decorator_list)) for test in tests}
    assert whole or any("published" in mark for mark in marks.values())


# --- what the product may lean on ---------------------------------------------------------------------------------

PYTHON_NAME: Final = {"vl-convert-python": "vl_convert"}
ORACLES: Final = ("pycraf", "thevenin", "pybamm", "rotorpy", "aerosandbox", "ambiance", "p528", "scipy", "matplotlib")


def imported(path: Path) -> set[str]:
    """Return the top-level names of everything a module imports, inside functions too."""
    names = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            names.add(str(node.module).split(".")[0])
    return names


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_the_product_imports_only_what_it_declares(path: Path) -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = [re.split(r"[<>=\[ ;]", line)[0] for line in declared]
    allowed = {PYTHON_NAME.get(name, name.replace("-", "_")) for name in names}
    allowed |= {
        "turnback",
        "pydantic_core",
        "annotated_types",
        "markupsafe",
    }  # the lower halves of pydantic and jinja2, by the same makers
    allowed |= sys.stdlib_module_names
    assert imported(path) - allowed == set()
    assert imported(path).isdisjoint(ORACLES)  # test-only, some under the GPL


def test_the_oracles_are_declared_for_tests_only() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for name in ORACLES:
        assert not any(line.startswith(name) for line in project["dependencies"])
        assert any(line.startswith(name) for line in project["optional-dependencies"]["test"])
    assert any("GPL" in text for text in metadata.metadata("pycraf").get_all("Classifier") or [])


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_input_is_never_verified_by_assert(path: Path) -> None:
    assert [node.lineno for node in ast.walk(tree(path)) if isinstance(node, ast.Assert)] == []


BELOW_FACES: Final = ("base", "physics", "rules", "records", "readers", "assess", "report")
FROM_NOWHERE: Final = re.compile(r"\b(datetime\.now|datetime\.utcnow|date\.today|time\.time|random|getenv|environ)\b")


@pytest.mark.parametrize("room", BELOW_FACES)
def test_clock_randomness_and_settings_come_in_as_arguments(room: str) -> None:
    found = []
    for path in sources(room):
        if path == PACKAGE / "base" / "streams.py":  # the one place where random streams are made
            continue
        calls = (node for node in ast.walk(tree(path)) if isinstance(node, ast.Attribute | ast.Import))
        for node in calls:
            text = ast.unparse(node)
            # A generator from base/streams may be asked for numbers; making one elsewhere may not be.
            if FROM_NOWHERE.search(text) and not text.startswith("generator."):
                found.append(f"{path.name}:{node.lineno}: {text}")
    assert found == []


def test_kernels_take_numbers_and_arrays_only() -> None:
    kernels = [(path, function) for path in sources("physics") for function in functions(tree(path))]
    kernels = [(path, function) for path, function in kernels if is_kernel(function)]
    assert len(kernels) > 15
    for path, function in kernels:
        names = {argument.arg for argument in arguments(function)}
        called = {node.func.id for node in ast.walk(function) if isinstance(node, ast.Call)
                  and isinstance(node.func, ast.Name)}  # fmt: skip
        assert names.isdisjoint(called), f"{path.name}: {function.name} calls an argument: it would never be cached"
        annotations = " ".join(ast.unparse(a.annotation) for a in arguments(function) if a.annotation is not None)
        assert "Callable" not in annotations
    users = [path for path in sources() if "numba" in imported(path) and path.parent.name != "base"]
    assert users
    assert all("import njit" not in path.read_text(encoding="utf-8") for path in users)


def defined_names(path: Path) -> set[str]:
    """Return the names that a module gives: of itself, its functions, classes, arguments and variables."""
    names = {path.stem}
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            names.add(node.name)
        elif isinstance(node, ast.arg):
            names.add(node.arg)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            names.add(node.id)
    return names


def decides_between_causes(path: Path) -> bool:
    """True of what holds real checks: the book, beliefs, the bench and debriefs."""
    return (
        path.parent.name == "knowledge"
        or re.search(r"belief|bench|assembly|debrief|look_alikes", path.stem) is not None
    )


@pytest.mark.parametrize(
    "path",
    [path for path in sources() if not decides_between_causes(path)],
    ids=lambda path: str(path.relative_to(PACKAGE)),
)
def test_a_check_is_what_decides_between_causes_and_nothing_else(path: Path) -> None:
    assert {name for name in defined_names(path) if re.search(r"(^|_)check", name, re.IGNORECASE)} == set()
    text = path.read_text(encoding="utf-8")
    said = re.findall(r"(\w+ \w+ )\bcheck(?:s|ed|ing)?\b", text)
    assert [words for words in said if not words.endswith(("one ", "which "))] == [], "files are verified"


# --- the tests themselves -----------------------------------------------------------------------------------------

TEST_FILES: Final = sorted(TESTS.rglob("test_*.py"))


@pytest.mark.parametrize("path", TEST_FILES, ids=lambda path: str(path.relative_to(TESTS)))
def test_no_test_is_skipped_or_expected_to_fail(path: Path) -> None:
    found = []
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Attribute):
            name = ast.unparse(node)
            if re.fullmatch(r"pytest\.(mark\.)?(skip|skipif|xfail|importorskip)", name):
                found.append(f"{node.lineno}: {name}")
    assert found == []


def speaks(function: ast.AST, helpers: set[str]) -> bool:
    """True where something below can fail for a stated reason."""
    for node in ast.walk(function):
        if isinstance(node, ast.Assert):
            return True
        if isinstance(node, ast.Call):
            name = ast.unparse(node.func)
            if (
                re.search(r"(pytest\.(raises|warns|fail)|testing\.assert_\w+|Validator\(.+\)\.validate)$", name)
                or name in helpers
            ):
                return True
    return False


@pytest.mark.parametrize("path", TEST_FILES, ids=lambda path: str(path.relative_to(TESTS)))
def test_every_test_asserts_something(path: Path) -> None:
    every = list(functions(tree(path)))
    helpers = {function.name for function in every if not function.name.startswith("test_") and speaks(function, set())}
    mute = [function.name for function in every if function.name.startswith("test_") and not speaks(function, helpers)]
    assert mute == []


def test_test_files_have_names_of_their_own() -> None:
    stems = [path.stem for path in TEST_FILES]
    assert sorted(stems) == sorted(set(stems))


# --- the repository -----------------------------------------------------------------------------------------------

# Put together here, so that this file does not contain what it looks for.
SLASH: Final = "/"
PLACES: Final = tuple(
    f"{SLASH}{folder}{SLASH}"
    for folder in ("home", "root", "work", "Users", "opt" + SLASH + "pypi", "tmp" + SLASH + "tb")
)
REGISTRIES: Final = tuple(
    "".join(parts)
    for parts in (
        ("pypi", ".org"), ("python", "hosted.org"), ("npm", "js.org"), ("npm", "js.com"), ("debian", ".org"),
        ("conda", ".anaconda"), ("index", "-url="), ("extra-index", "-url"),
    )
)  # fmt: skip


def git(*words: str) -> str:
    """Return what git says about this repository."""
    # a checkout may belong to another user than the one who tests it
    command = ["git", "-c", "safe.directory=*", *words]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout


def test_no_file_or_commit_names_a_place_on_a_machine_or_a_registry() -> None:
    found = []
    for name in git("ls-files", "-z").split("\0"):
        path = ROOT / name
        if not name or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            text = path.read_bytes().decode("latin-1")
        found += [f"{name}: {word}" for word in (*PLACES, *REGISTRIES) if word in text]
    messages = git("log", "--format=%H%n%B")
    found += [f"a commit message: {word}" for word in (*PLACES, *REGISTRIES) if word in messages]
    assert found == []
