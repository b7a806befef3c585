"""The layout's rules: a pure core, and facts that know nothing of consequences."""

import ast
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CLOCKS = {"now", "today", "utcnow", "time", "perf_counter", "monotonic", "localdate", "localtime"}
ALLOWED_IN_CORE = {"scheduling", "numpy", "scipy", "ortools", "highspy"}


def modules(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Return the dotted names that a file imports."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(absolute(node, path))
    return names


def absolute(node: ast.ImportFrom, path: Path) -> str:
    """Return the dotted name that `from .x import y` stands for."""
    if not node.level:
        return node.module or ""
    package = path.relative_to(ROOT).parts[: -node.level]
    return ".".join([*package, *([node.module] if node.module else [])])


def test_the_core_loads_neither_django_nor_celery():
    code = f"import sys, {', '.join(f'{CORE}.{package}' for package in CORE_PACKAGES)}\n"
    code += "print([m for m in ('django', 'celery', 'fleet') if m in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert run.stdout.strip() == "[]"


@pytest.mark.parametrize("path", modules("scheduling/core"), ids=str)
def test_the_core_imports_only_itself_numbers_and_solvers(path):
    for name in imported(path):
        top = name.split(".")[0]
        assert top in ALLOWED_IN_CORE or top in sys.stdlib_module_names, name
        assert top != "scheduling" or name.startswith("scheduling.core"), name


def asks_the_clock(path: Path) -> list[int]:
    """Return the lines on which a file asks what time it is."""
    calls = [n for n in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(n, ast.Call)]
    return [
        call.lineno
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr in CLOCKS
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id in {"datetime", "date", "time", "timezone"}
    ]


@pytest.mark.parametrize("path", modules("scheduling/core"), ids=str)
def test_the_core_never_asks_the_clock(path):
    assert asks_the_clock(path) == []


def test_a_call_to_the_clock_would_be_found(tmp_path):
    guilty = tmp_path / "guilty.py"
    guilty.write_text("import time\n\nstarted = time.monotonic()\n", encoding="utf-8")
    assert asks_the_clock(guilty) == [3]


@pytest.mark.parametrize("path", modules("fleet"), ids=str)
def test_facts_never_import_consequences(path):
    assert not [name for name in imported(path) if name.split(".")[0] == "scheduling"]


@pytest.mark.parametrize(
    "path",
    [p for half in ("fleet", "scheduling") for p in modules(half) if "migrations" not in p.parts],
    ids=str,
)
def test_no_file_is_a_drawer_for_leftovers(path):
    assert path.stem not in {"utils", "helpers", "misc", "common"}
    assert len(path.read_text("utf-8").splitlines()) <= 400


CORE = "scheduling.core"
CORE_PACKAGES = ["intervals", "usage", "forecast", "verification", "planner"]
"""The packages of the core in order: each imports only those before it."""

PLANNER = f"{CORE}.planner"
PLANNER_ROOMS = [
    "control",
    "problem",
    "visits",
    "plan",
    "answer",
    "bound",
    "search",
    "explain",
    "run",
    "mend",
]
"""The planner's rooms in order: each imports only those before it."""


def dotted(path: Path) -> str:
    """Return the dotted name of a module or package."""
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    return name.removesuffix(".__init__")


def is_module(name: str) -> bool:
    """Tell whether a dotted name is a module or package of ours, and not a thing in one."""
    place = ROOT.joinpath(*name.split("."))
    return place.is_dir() or place.with_suffix(".py").is_file()


def taken(path: Path) -> list[tuple[str, str]]:
    """Return (module, name in it) of each import of a file; "" for a module as a whole.

    A name that is itself a module counts as that module, unless the package offers it openly.
    """
    found: list[tuple[str, str]] = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found += [(alias.name, "") for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = absolute(node, path)
            found += [(base, alias.name) for alias in node.names]
    return [
        (f"{base}.{name}", "")
        if name and is_module(f"{base}.{name}") and name not in offered(base)
        else (base, name)
        for base, name in found
    ]


def offered(package: str) -> set[str]:
    """Return the names in `__all__` of a package, none where it has no such list."""
    face = ROOT.joinpath(*package.split("."), "__init__.py")
    if not face.is_file():
        return set()
    for node in ast.parse(face.read_text("utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return set(ast.literal_eval(node.value))
    return set()


def past_a_face(
    path: Path, within: str = CORE, own: str = "", order: Sequence[str] = ()
) -> list[str]:
    """Return what is wrong with the imports of the packages `within` one in a file.

    A module outside it takes all from the faces of its packages; one in its package `own` takes
    what is not its own from the faces of packages earlier in the order.
    """
    wrong = []
    for module, name in taken(path):
        face = ".".join(module.split(".")[: within.count(".") + 2])
        room = face.rpartition(".")[2]
        if own and module == within:
            wrong.append(f"{name} comes through the face of {within}: take it from its own package")
        if not face.startswith(f"{within}.") or room == own:
            continue
        if module != face:
            wrong.append(f"reaches into {module}: import it from {face}")
        elif name and name not in offered(face):
            wrong.append(f"{name} is not in __all__ of {face}")
        if own and room in order[order.index(own) :]:
            wrong.append(f"{own} imports {room}, which comes after it")
    return wrong


@pytest.mark.parametrize(("within", "order"), [(CORE, CORE_PACKAGES), (PLANNER, PLANNER_ROOMS)])
def test_every_package_of_the_core_has_its_place_in_the_order(within, order):
    folder = ROOT.joinpath(*within.split("."))
    assert {path.parent.name for path in folder.glob("*/__init__.py")} == set(order)
    assert [path.name for path in folder.glob("*.py")] == ["__init__.py"], "belongs into a package"


@pytest.mark.parametrize("path", modules("scheduling/core"), ids=str)
def test_a_package_of_the_core_imports_earlier_ones_by_their_faces(path):
    own = path.relative_to(ROOT / "scheduling/core").parts[0]
    if own in CORE_PACKAGES:
        assert past_a_face(path, CORE, own, CORE_PACKAGES) == []


@pytest.mark.parametrize("path", modules("scheduling/core/planner"), ids=str)
def test_a_room_of_the_planner_imports_earlier_rooms_by_their_faces(path):
    if path.parent.name != "planner":
        assert past_a_face(path, PLANNER, path.parent.name, PLANNER_ROOMS) == []


@pytest.mark.parametrize(
    "path",
    [
        path
        for folder in ("fleet", "scheduling", "tests")
        for path in modules(folder)
        if not {"scheduling", "core"} <= set(path.relative_to(ROOT).parts)
    ],
    ids=str,
)
def test_the_core_is_used_by_the_faces_of_its_packages(path):
    assert past_a_face(path) == []


def test_a_reach_past_a_face_would_be_found(tmp_path):
    guilty = tmp_path / "guilty.py"
    guilty.write_text(f"import {PLANNER}.plan.load\nfrom {PLANNER}.run import solve\n", "utf-8")
    assert past_a_face(guilty) == [
        f"reaches into {PLANNER}.plan.load: import it from {PLANNER}",
        f"reaches into {PLANNER}.run: import it from {PLANNER}",
    ]
    assert past_a_face(guilty, PLANNER, "bound", PLANNER_ROOMS) == [
        f"reaches into {PLANNER}.plan.load: import it from {PLANNER}.plan",
        "bound imports run, which comes after it",
    ]
    guilty.write_text(
        f"from {CORE}.forecast import HORIZON\nfrom {CORE}.usage.law import UseLaw\n", "utf-8"
    )
    assert past_a_face(guilty, CORE, "usage", CORE_PACKAGES) == [
        "usage imports forecast, which comes after it"
    ]
    assert past_a_face(guilty, CORE, "verification", CORE_PACKAGES) == [
        f"reaches into {CORE}.usage.law: import it from {CORE}.usage"
    ]
