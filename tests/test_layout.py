"""The rooms of the house: who may import whom, what stands where, and one name for one thing."""

import ast
import re
from collections import defaultdict
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

from tests.parsed_code import ROOT, modules, nodes, parsed
from tests.test_imports import absolute

HALVES = ("fleet", "scheduling")
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
ROOT_WIRING = {"__init__", "apps", "tasks", "urls"}
"""What stands at the root of `scheduling`: Django and Celery look for it there."""


def dotted(path: Path) -> str:
    """Return the name by which a file is imported."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


CODE = {
    dotted(path): path
    for half in HALVES
    for path in modules(half)
    if "migrations" not in path.parts
}


def imports_of(name: str) -> set[str]:
    """Return the modules of the project that one imports, those under TYPE_CHECKING too."""
    found = set()
    for node in nodes(CODE[name]):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = absolute(node, CODE[name])
            members = {f"{base}.{alias.name}" for alias in node.names}
            found |= {member if member in CODE else base for member in members}
    return (found & CODE.keys()) - {name}


IMPORTS = {name: imports_of(name) for name in CODE}


def room_of(name: str) -> str:
    """Return the folder in which a module stands, dotted."""
    return name if CODE[name].name == "__init__.py" else name.rpartition(".")[0]


def circle_in(graph: dict[str, set[str]]) -> list[str]:
    """Return one circle of a graph; empty where there is none."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_modules_import_each_other_in_a_circle():
    assert circle_in(IMPORTS) == []


def test_a_circle_would_be_found():
    assert set(circle_in({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}})) == {"a", "b", "c"}


def test_no_two_rooms_of_scheduling_import_each_other():
    rooms = defaultdict(set)
    for name, imported in IMPORTS.items():
        rooms[room_of(name)] |= {room_of(other) for other in imported} - {room_of(name)}
    pairs = {
        tuple(sorted((one, other)))
        for one, others in rooms.items()
        for other in others
        if one.startswith("scheduling") and one in rooms[other]
    }
    assert pairs == set()


def test_only_wiring_stands_at_the_root_of_scheduling():
    assert {path.stem for path in (ROOT / "scheduling").glob("*.py")} == ROOT_WIRING


def folders_of(top: Path, depth: int) -> set[str]:
    """Return the folders below one that hold something, down to a depth."""
    below = [path for path in top.rglob("*") if path.is_dir() and "__pycache__" not in path.parts]
    near = [path for path in below if len(path.relative_to(top).parts) <= depth]
    return {str(path.relative_to(ROOT)) for path in near if any(path.glob("*.*"))}


def folders_on_the_map() -> set[str]:
    """Return the folders that the contributor's guide draws, by their indentation."""
    text = re.search(r"<!-- map:.*?```\n(.*?)```", GUIDE, re.S)
    assert text, "DEVELOPERS.md has no map"
    found, above = set(), {}
    for line in text[1].splitlines():
        depth = (len(line) - len(line.lstrip())) // 2
        for name in re.match(r"\s*((?:\w+/ ?)+)", line)[1].split():  # type: ignore[index]
            above[depth] = "/".join([*(above[d] for d in range(depth)), name.rstrip("/")])
            found.add(above[depth])
            above[depth] = name.rstrip("/")
    return found


def test_the_map_in_the_guide_shows_every_folder_and_no_other():
    there = {*HALVES, "templates", "tests", "fixtures", "scheduling/core"}
    for half in HALVES:
        there |= folders_of(ROOT / half, 1)
    there |= folders_of(ROOT / "scheduling/core", 1) | folders_of(
        ROOT / "scheduling/core/planner", 1
    )
    for top in ("templates", "tests", "fixtures"):
        there |= folders_of(ROOT / top, 1)
    # commands lie one folder deeper and never move
    there |= {f"{half}/management" for half in HALVES} | {"scheduling/core/planner"}
    there |= {"templates/static"}
    assert folders_on_the_map() == there


def test_every_file_that_the_guide_names_is_there():
    known = {
        path.name for top in (*HALVES, "tests", "fixtures") for path in (ROOT / top).rglob("*")
    }
    named = re.findall(r"`([\w./]+\.(?:py|json))`", GUIDE)
    gone = [
        name for name in named if not (ROOT / name).exists() and ("/" in name or name not in known)
    ]
    assert named
    assert gone == []


UNNAMED = {"__init__", "apps", "urls"}
"""Modules that Django finds by their name in each half."""


def test_no_two_modules_have_one_name():
    by_name = defaultdict(list)
    for name, path in CODE.items():
        # a command is called by its file's name
        if path.stem not in UNNAMED and "management" not in path.parts:
            by_name[path.stem].append(name)
    assert {stem: names for stem, names in by_name.items() if len(names) > 1} == {}


def test_no_two_public_classes_have_one_name():
    by_name = defaultdict(list)
    for name, path in CODE.items():
        for node in parsed(path).body:
            # each command's class is called Command
            if isinstance(node, ast.ClassDef) and node.name[0] != "_" and node.name != "Command":
                by_name[node.name].append(name)
    assert {name: where for name, where in by_name.items() if len(where) > 1} == {}
