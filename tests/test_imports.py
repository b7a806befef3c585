"""The layout's rules: a pure core, and facts that know nothing of consequences."""

import ast
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

from tests.parsed_code import EDGES, ROOT, by_file, modules, nodes, parsed

CLOCKS = {"now", "today", "utcnow", "time", "perf_counter", "monotonic", "localdate", "localtime"}
LONGEST_FILE = 400
ALLOWED_IN_CORE = {"scheduling", "numpy", "scipy", "ortools", "highspy"}


def imported(path: Path) -> set[str]:
    """Return the dotted names that a file imports."""
    names: set[str] = set()
    for node in nodes(path):
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


def foreign_to_the_core(path: Path) -> list[str]:
    """Return the names that a file imports and the core may not."""
    return [
        name
        for name in imported(path)
        if (top := name.split(".")[0]) not in ALLOWED_IN_CORE | sys.stdlib_module_names
        or (top == "scheduling" and not name.startswith("scheduling.core"))
    ]


def test_the_core_imports_only_itself_numbers_and_solvers():
    assert by_file(foreign_to_the_core, modules("scheduling/core")) == []


def asks_the_clock(path: Path) -> list[int]:
    """Return the lines on which a file asks what time it is."""
    calls = [n for n in nodes(path) if isinstance(n, ast.Call)]
    return [
        call.lineno
        for call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr in CLOCKS
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id in {"datetime", "date", "time", "timezone"}
    ]


def test_the_core_never_asks_the_clock():
    assert by_file(asks_the_clock, modules("scheduling/core")) == []


def test_a_call_to_the_clock_would_be_found(tmp_path):
    guilty = tmp_path / "guilty.py"
    guilty.write_text("import time\n\nstarted = time.monotonic()\n", encoding="utf-8")
    assert asks_the_clock(guilty) == [3]


def consequences_imported(path: Path) -> list[str]:
    return [name for name in imported(path) if name.split(".")[0] == "scheduling"]


def test_facts_never_import_consequences():
    assert by_file(consequences_imported, modules("fleet")) == []


def signs_of_a_drawer(path: Path) -> list[str]:
    """Return what makes a file one into which anything is thrown: its name, or its length."""
    lines = len(path.read_text("utf-8").splitlines())
    named = path.stem in {"utils", "helpers", "misc", "common"}
    return ["its name says nothing"] * named + [f"{lines} lines"] * (lines > LONGEST_FILE)


def test_no_file_is_a_drawer_for_leftovers():
    halves = [path for half in ("fleet", "scheduling") for path in modules(half)]
    assert by_file(signs_of_a_drawer, [p for p in halves if "migrations" not in p.parts]) == []


CORE = "scheduling.core"
CORE_PACKAGES = [
    "intervals", "usage", "forecast", "verification", "substitution", "planner", "replay",
]  # fmt: skip
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


@cache
def is_module(name: str) -> bool:
    """Tell whether a dotted name is a module or package of ours, and not a thing in one."""
    place = ROOT.joinpath(*name.split("."))
    return place.is_dir() or place.with_suffix(".py").is_file()


@cache
def taken(path: Path) -> list[tuple[str, str]]:
    """Return (module, name in it) of each import of a file; "" for a module as a whole.

    A name that is itself a module counts as that module, unless the package offers it openly.
    """
    found: list[tuple[str, str]] = []
    for node in nodes(path):
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


@cache
def offered(package: str) -> set[str]:
    """Return the names in `__all__` of a package, none where it has no such list."""
    face = ROOT.joinpath(*package.split("."), "__init__.py")
    if not face.is_file():
        return set()
    for node in parsed(face).body:
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


def test_a_package_of_the_core_imports_earlier_ones_by_their_faces():
    for own in CORE_PACKAGES:
        files = modules(f"scheduling/core/{own}")
        assert (
            by_file(lambda path, own=own: past_a_face(path, CORE, own, CORE_PACKAGES), files) == []
        )


def test_a_room_of_the_planner_imports_earlier_rooms_by_their_faces():
    rooms = [path for path in modules("scheduling/core/planner") if path.parent.name != "planner"]
    assert (
        by_file(lambda path: past_a_face(path, PLANNER, path.parent.name, PLANNER_ROOMS), rooms)
        == []
    )


def test_the_core_is_used_by_the_faces_of_its_packages():
    others = [
        path
        for folder in ("fleet", "scheduling", "tests")
        for path in modules(folder)
        if not {"scheduling", "core"} <= set(path.relative_to(ROOT).parts)
    ]
    assert by_file(past_a_face, others) == []


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
    guilty = tmp_path / "as_guilty.py"
    guilty.write_text(
        f"from {CORE}.forecast import HORIZON\nfrom {CORE}.usage.law import UseLaw\n", "utf-8"
    )
    assert past_a_face(guilty, CORE, "usage", CORE_PACKAGES) == [
        "usage imports forecast, which comes after it"
    ]
    assert past_a_face(guilty, CORE, "verification", CORE_PACKAGES) == [
        f"reaches into {CORE}.usage.law: import it from {CORE}.usage"
    ]


QUERY_WORDS = {
    "aggregate", "alias", "annotate", "bulk_create", "bulk_update", "create", "defer", "delete",
    "distinct", "earliest", "exclude", "exists", "filter", "get_or_create", "in_bulk", "latest",
    "order_by", "prefetch_related", "raw", "refresh_from_db", "save", "select_for_update",
    "select_related", "union", "update_or_create", "using", "values_list",
}  # fmt: skip
"""Methods by which a query is built or a row is written, whatever they are called on."""

QUERY_WORDS_ALONE = {"all", "count", "first", "iterator", "last", "none"}
"""Such methods where nothing is handed to them: list.count(each) is none."""

QUERY_WORDS_HANDED = {"only", "values"}
"""Such methods where something is: dict.values() is none."""

QUERY_WORDS_NAMED = {"get", "update"}
"""Such methods where fields are named in the call: dict.get(key) is none."""

MANAGERS = {"objects", "_default_manager", "_base_manager"}

FROM_DATABASE = {"DatabaseError", "QuerySet", "connections"}
"""What an edge may take from django.db: a fault to catch, a type, and connections to be closed."""


def queries_in(path: Path) -> list[str]:
    """Return where a file reads or writes models by itself, line and word."""
    wrong = []
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("django.db"):
            wrong += [
                f"{node.lineno}: {one.name}" for one in node.names if one.name not in FROM_DATABASE
            ]
        elif isinstance(node, ast.Attribute) and node.attr in MANAGERS:
            wrong.append(f"{node.lineno}: {node.attr}")
        elif isinstance(node, ast.Call) and (word := query_word(node)):
            wrong.append(f"{node.lineno}: {word}")
    return wrong


def query_word(call: ast.Call) -> str:
    """Return the word by which a call builds or runs a query; empty where it does not."""
    names = {word.arg or "" for word in call.keywords}
    if isinstance(call.func, ast.Name) and call.func.id.endswith("_object_or_404"):
        # what is asked has to come from a query, and one field of the row itself names it
        whole = isinstance(call.args[0], ast.Call) and not any("__" in name for name in names)
        return "" if whole else call.func.id
    if not isinstance(call.func, ast.Attribute):
        return ""
    word, handed = call.func.attr, bool(call.args or names)
    built = (
        word in QUERY_WORDS
        or (word in QUERY_WORDS_ALONE and not handed)
        or (word in QUERY_WORDS_HANDED and handed)
        or (word in QUERY_WORDS_NAMED and bool(names) and not call.args)
    )
    return word if built else ""


def test_an_edge_leaves_models_to_actions_and_queries():
    assert by_file(queries_in, EDGES) == []


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("Machine.objects", "objects"),
        ("machine.bookings.all()", "all"),
        ("row.changes.select_related('by')", "select_related"),
        ("shops_of(person).get(pk=1)", "get"),
        ("rows.update(sent_at=now)", "update"),
        ("rows.values('pk')", "values"),
        ("row.save()", "save"),
        ("get_object_or_404(Machine, pk=1)", "get_object_or_404"),
        ("get_object_or_404(machines_of(person), yard__shop=1)", "get_object_or_404"),
        ("from django.db import transaction", "transaction"),
        ("from django.db.models import Q", "Q"),
    ],
)
def test_a_query_on_an_edge_would_be_found(tmp_path, line, word):
    guilty = tmp_path / "guilty.py"
    guilty.write_text(line, "utf-8")
    assert queries_in(guilty) == [f"1: {word}"]


def test_what_only_looks_like_a_query_is_let_be(tmp_path):
    innocent = tmp_path / "innocent.py"
    innocent.write_text(
        "from django.db.models import QuerySet\n"
        "request.GET.get('day', '')\nerrors.values()\nattrs.update(limits)\nwords.count('a')\n"
        "get_object_or_404(machines_of(person), tag=tag)\n",
        "utf-8",
    )
    assert queries_in(innocent) == []
